//! Which gauge a cell was read with: the one that its rows name, or the only one that it can have been.
//!
//! A diameter goes on a gauge that reads diameters, and never on one that shows deviations, whose ring of today need
//! not be the ring it was read with. Where there is none, one is made.

use super::super::mapping::Field;
use super::Taken;
use super::row::shown;
use quantities::length::Length;
use records::diag::{Diagnostic, likely_intended};
use records::record::schema::{Gauge, Overhaul, PlusMeans, Reading, Reads};

/// The name of the gauge that is made for diameters of which the file names no gauge.
const UNNAMED: &str = "imported diameters";

/// The gauge of a cell.
pub(super) struct Chosen {
    /// Its name as the reading will keep it; none: the overhaul's first.
    pub(super) kept: Option<String>,
    /// Its name in words.
    pub(super) words: String,
    /// What the number typed from it stands for.
    pub(super) reads: Reads,
    /// One graduation, where it can be read.
    pub(super) graduation: Option<Length>,
}

/// What is wrong: the column, what, and what to do.
pub(super) type Wrong = (Option<Field>, String, String);

/// The gauges of an overhaul, and those that an import makes.
pub(super) struct Gauges<'a> {
    overhaul: &'a Overhaul,
    /// The gauge of rows that name none.
    unstated: Option<&'a Gauge>,
    made: Vec<Gauge>,
}

impl<'a> Gauges<'a> {
    /// `unstated` is the gauge of rows that name none.
    ///
    /// # Errors
    /// The overhaul has no such gauge.
    pub(super) fn new(overhaul: &'a Overhaul, unstated: Option<&str>) -> Result<Self, Diagnostic> {
        let find = |name: &str| {
            overhaul.gauges.iter().find(|gauge| gauge.name == name).ok_or_else(|| {
                Diagnostic::error(format!("The overhaul has no gauge `{}`.", shown(name)))
                    .remedy(format!("It has: {}.", names(overhaul.gauges.iter())))
            })
        };
        Ok(Self { overhaul, unstated: unstated.map(find).transpose()?, made: Vec::new() })
    }

    /// Every gauge that was made so far.
    pub(super) fn all_made(&self) -> Vec<Gauge> {
        self.made.clone()
    }

    /// The gauges made that cells are read with.
    pub(super) fn made(&self, taken: &[Taken]) -> Vec<Gauge> {
        let used = |gauge: &&Gauge| taken.iter().any(|taken| taken.gauge.as_ref() == Some(&gauge.name));
        self.made.iter().filter(used).cloned().collect()
    }

    /// The name that a reading of the record means by its own.
    pub(super) fn name_of<'n>(&'n self, kept: Option<&'n str>) -> Option<&'n str> {
        kept.or_else(|| self.overhaul.gauges.first().map(|gauge| gauge.name.as_str()))
    }

    /// The gauge of a cell. `named` is what its rows say, `stands` what the record has in it.
    ///
    /// # Errors
    /// A name that is not known, or several gauges that it may be.
    pub(super) fn choose(
        &mut self,
        named: &str,
        is_diameter: bool,
        stands: Option<&Reading>,
    ) -> Result<Chosen, Wrong> {
        let found = if named.is_empty() {
            match self.unstated.map_or_else(|| self.only(is_diameter, stands), |gauge| Ok(Some(gauge)))? {
                Some(gauge) => Some(gauge),
                // An overhaul without gauges reads diameters; a made one says so, whatever gauges come later.
                None if is_diameter => return Ok(self.make(UNNAMED, None)),
                None => None,
            }
        } else {
            match self.named(named) {
                Some(gauge) => Some(gauge),
                None => return self.unknown(named, is_diameter),
            }
        };
        Ok(match found {
            Some(gauge) if is_diameter && gauge.reads != Reads::Diameter => {
                self.make(&format!("{}, diameters", gauge.name), Some(gauge))
            }
            Some(gauge) => self.known(gauge, stands),
            None => Chosen {
                kept: None,
                words: "the gauge used".to_owned(),
                reads: Reads::Diameter,
                graduation: None,
            },
        })
    }

    /// A gauge by its name: as it is written, or but for capitals if that is one alone.
    fn named(&self, name: &str) -> Option<&'a Gauge> {
        let gauges = &self.overhaul.gauges;
        let plain = |text: &str| text.trim().to_lowercase();
        let mut alike = gauges.iter().filter(|gauge| plain(&gauge.name) == plain(name));
        let exact = gauges.iter().find(|gauge| gauge.name == name);
        exact.or_else(|| alike.next().filter(|_| alike.next().is_none()))
    }

    fn unknown(&mut self, named: &str, is_diameter: bool) -> Result<Chosen, Wrong> {
        let known = self.overhaul.gauges.iter().map(|gauge| gauge.name.as_str());
        let intended = likely_intended(named, known);
        // What a gauge that nobody has described shows is not known; a diameter is one on any.
        if is_diameter && intended.is_none() {
            return Ok(self.make(named, None));
        }
        let remedy = match intended {
            Some(intended) => {
                format!("Is `{intended}` meant? Correct it, or leave the column of the gauges unused.")
            }
            None => "Write it into the record first: what it shows must be known.".to_owned(),
        };
        let known = names(self.overhaul.gauges.iter());
        let known = if known.is_empty() { String::new() } else { format!("; known are {known}") };
        Err((Some(Field::Gauge), format!("there is no gauge `{}`{known}", shown(named)), remedy))
    }

    /// The gauge of rows that name none: that of the cell, or the only one that it can be; none: there is none.
    fn only(&self, is_diameter: bool, stands: Option<&Reading>) -> Result<Option<&'a Gauge>, Wrong> {
        let can_be = |gauge: &&Gauge| !is_diameter || gauge.reads == Reads::Diameter;
        if let Some(stands) = stands {
            let name = self.name_of(stands.gauge.as_deref());
            let gauge = self.overhaul.gauges.iter().find(|gauge| Some(gauge.name.as_str()) == name);
            if let Some(gauge) = gauge.filter(can_be) {
                return Ok(Some(gauge));
            }
        }
        let mut all = self.overhaul.gauges.iter().filter(can_be);
        match (all.next(), all.next()) {
            (only, None) => Ok(only),
            _ => Err((
                None,
                format!(
                    "it names no gauge, and it may be any of {}",
                    names(self.overhaul.gauges.iter().filter(can_be))
                ),
                "Name the gauge in a column of the file, or say which one is meant where none is named."
                    .to_owned(),
            )),
        }
    }

    fn known(&self, gauge: &Gauge, stands: Option<&Reading>) -> Chosen {
        // The first is meant where none is named; a cell that names it all the same goes on doing so.
        let is_first = self.overhaul.gauges.first().is_some_and(|first| first.name == gauge.name);
        let names_it = stands.is_some_and(|reading| reading.gauge.is_some());
        Chosen {
            kept: (!is_first || names_it).then(|| gauge.name.clone()),
            words: gauge.name.clone(),
            reads: gauge.reads,
            graduation: self.graduation(gauge),
        }
    }

    fn graduation(&self, gauge: &Gauge) -> Option<Length> {
        let entry = Length::parse(gauge.graduation.as_deref()?, self.overhaul.unit).ok()?;
        Some(entry.length).filter(|graduation| *graduation > Length::ZERO)
    }

    /// A gauge that reads diameters: of another one all that is known, but for what its numbers stand for.
    fn make(&mut self, name: &str, of: Option<&Gauge>) -> Chosen {
        let known = |name: &str, gauges: &[Gauge]| gauges.iter().any(|gauge| gauge.name == name);
        let reads = |gauge: &&Gauge| gauge.name == name && gauge.reads == Reads::Diameter;
        let found = self.made.iter().chain(&self.overhaul.gauges).find(reads);
        if let Some(found) = found {
            let (kept, graduation) = (found.name.clone(), self.graduation(found));
            return Chosen { kept: Some(kept.clone()), words: kept, reads: Reads::Diameter, graduation };
        }
        let mut free = name.to_owned();
        let mut number = 2;
        while known(&free, &self.overhaul.gauges) || known(&free, &self.made) {
            free = format!("{name} ({number})");
            number += 1;
        }
        let none = Gauge {
            name: String::new(),
            serial: String::new(),
            reads: Reads::Diameter,
            zeroed_on: None,
            plus_means: PlusMeans::Larger,
            graduation: None,
            turn: None,
            calibration: None,
            repeatability: None,
            expansion_ppm: None,
            further: Vec::new(),
        };
        let gauge = Gauge {
            name: free.clone(),
            reads: Reads::Diameter,
            plus_means: PlusMeans::Larger,
            ..of.cloned().unwrap_or(none)
        };
        let graduation = self.graduation(&gauge);
        self.made.push(gauge);
        Chosen { kept: Some(free.clone()), words: free, reads: Reads::Diameter, graduation }
    }
}

/// Names of gauges, one after the other.
fn names<'g>(gauges: impl Iterator<Item = &'g Gauge>) -> String {
    let names: Vec<String> = gauges.take(40).map(|gauge| format!("`{}`", gauge.name)).collect();
    names.join(", ")
}
