//! What people call the columns of readings: the one home of their names, for a fleet, for a record's readings and for a
//! gauge study.
//!
//! A heading is compared without regard to capitals, blanks and signs. A unit at its end, as in `Reading (mm)` or
//! `diameter_in`, is told apart from its name.

use super::shown;
use crate::diag::{Diagnostic, likely_intended};
use quantities::length::{Length, Unit};

/// The most characters of a heading that a message shows.
const LONGEST_SHOWN: usize = 100;

/// Each column's own name, and what else it is called; all in the plain form of [`plain`].
const NAMES: [(&str, &[&str]); 22] = [
    ("engine", &["engine_serial", "engine_no", "engine_number", "esn"]),
    ("overhaul", &["survey", "inspection", "date", "day"]),
    (
        "cylinder",
        &[
            "serial",
            "serial_no",
            "serial_number",
            "cylinder_serial",
            "cylinder_serial_no",
            "cylinder_serial_number",
            "s_n",
            "barrel",
            "liner",
        ],
    ),
    ("position", &["pos", "cyl", "cylinder_position", "cylinder_no", "cylinder_number"]),
    ("size", &["bore_size", "oversize"]),
    ("station", &["level", "stn"]),
    ("axis", &["direction", "orientation"]),
    ("reading", &["value", "measured", "measurement", "as_typed", "entered"]),
    ("diameter", &["bore", "dia", "bore_diameter", "mean", "mean_diameter", "average", "average_diameter"]),
    ("hours", &["total_hours", "total_time"]),
    ("repeat", &["rep", "trial", "repetition", "run", "replicate", "reading_no"]),
    ("part", &["parts", "place", "piece", "sample", "item"]),
    (
        "operator",
        &["operators", "person", "people", "appraiser", "inspector", "student", "name", "who", "by"],
    ),
    // A running number, and an outcome as likely as a reading: only a gauge study takes them for what it lacks.
    ("no", &["nr"]),
    ("result", &["results"]),
    ("unit", &["units", "uom"]),
    ("gauge", &["gage", "instrument", "measured_with"]),
    ("finished_to", &["finished_size"]),
    ("looked_over", &["visual"]),
    ("confirmed", &["why_it_stands", "confirmation"]),
    ("barrel_c", &["barrel_temperature", "barrel_temperature_c", "barrel_temp", "barrel_temp_c"]),
    ("gauge_c", &["gauge_temperature", "gauge_temperature_c", "gauge_temp", "gauge_temp_c", "gage_temp_c"]),
];

/// A heading without capitals, blanks and signs, and the unit that it ends with.
///
/// A heading that is nothing but a unit keeps it as its name.
pub fn plain(heading: &str) -> (String, Option<Unit>) {
    let lower = heading.to_lowercase();
    let mut words: Vec<&str> =
        lower.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).collect();
    let unit = words.last().copied().and_then(unit_word).filter(|_| words.len() > 1);
    if unit.is_some() {
        words.pop();
    }
    (words.join("_"), unit)
}

/// A unit by a word for it.
pub fn unit_word(word: &str) -> Option<Unit> {
    match word.trim().trim_end_matches('.').to_lowercase().as_str() {
        "in" | "inch" | "inches" | "\"" => Some(Unit::Inch),
        "mm" | "millimetre" | "millimetres" | "millimeter" | "millimeters" => Some(Unit::Millimetre),
        _ => None,
    }
}

/// The word for a count of graduations, where a unit of length may stand.
pub const GRADUATIONS: &str = "graduations";

/// What a number counts, as a sheet says it beside the number or in a heading.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum StatedUnit {
    /// A length in this unit, as it is written behind a number: `in`, `mm`, `thou`.
    Length(String),
    /// Graduations of a dial.
    Graduations,
}

impl StatedUnit {
    /// By a word for it; none: it is no unit known here.
    pub fn of(word: &str) -> Option<Self> {
        let word = word.trim();
        if let Some(unit) = unit_word(word) {
            return Some(Self::Length(unit.symbol().to_owned()));
        }
        let lower = word.to_lowercase();
        if matches!(
            lower.as_str(),
            "graduation" | "graduations" | "grad" | "grads" | "div" | "divs" | "divisions"
        ) {
            return Some(Self::Graduations);
        }
        // What is known behind a number is known here.
        let alone = word.starts_with(char::is_alphabetic) || word.starts_with(['"', '\u{2033}', '\'']);
        (alone && Length::parse(&format!("1 {word}"), Unit::Inch).is_ok()).then_some(Self::Length(lower))
    }

    /// The unit that a heading ends with, such as `Dial (thou)`; a heading that is nothing else has none.
    pub fn of_heading(heading: &str) -> Option<Self> {
        let words = heading.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
        let words: Vec<&str> = words.collect();
        words.last().filter(|_| words.len() > 1).and_then(|last| Self::of(last))
    }

    /// Its word.
    pub fn word(&self) -> &str {
        match self {
            Self::Length(word) => word,
            Self::Graduations => GRADUATIONS,
        }
    }
}

/// The column's own name that a heading stands for, and its unit.
pub fn known(heading: &str) -> Option<(&'static str, Option<Unit>)> {
    let (plain, unit) = plain(heading);
    let (name, _) = NAMES.iter().find(|(name, others)| *name == plain || others.contains(&plain.as_str()))?;
    Some((name, unit))
}

/// What the columns of a file are, from the left: the column's own name goes before its other names, and of several
/// with the same meaning the first one counts.
pub fn columns<'a>(headings: impl IntoIterator<Item = &'a str>) -> Vec<Option<(&'static str, Option<Unit>)>> {
    let headings: Vec<(String, _)> = headings.into_iter().map(|text| (plain(text).0, known(text))).collect();
    let mut columns = vec![None; headings.len()];
    // There are only so many names, however many columns a file has.
    let mut taken: Vec<&str> = Vec::new();
    for own in [true, false] {
        for (i, (plain, known)) in headings.iter().enumerate() {
            let Some((name, unit)) = known.filter(|(name, _)| (name == plain) == own) else { continue };
            if let Some(column) = columns.get_mut(i).filter(|_| !taken.contains(&name)) {
                *column = Some((name, unit));
                taken.push(name);
            }
        }
    }
    columns
}

/// What a reader of a table asks for: what it calls it, the columns that may serve, and whether it must be there.
#[derive(Clone, Copy, Debug)]
pub struct Asked {
    /// Its name, as a message says it.
    pub name: &'static str,
    /// The own names of the columns that may serve, the best first; of those that are as good as each other the leftmost.
    pub columns: &'static [&'static [&'static str]],
    /// Nothing can be read without it.
    pub needed: bool,
}

/// Where a table has what is asked for.
#[derive(Clone, Debug)]
pub struct Layout {
    /// For each thing that is asked for: its column, and the unit that its heading names.
    pub found: Vec<Option<(usize, Option<StatedUnit>)>>,
    /// The headings that serve nothing.
    pub unused: Vec<String>,
}

impl Layout {
    /// Finds what is asked for.
    ///
    /// # Errors
    /// What is needed and not there, with what is likely meant by it, or a heading that is there twice.
    pub fn find(headings: &[String], asked: &[Asked]) -> Result<Self, Diagnostic> {
        let known = columns(headings.iter().map(String::as_str));
        let is = |index: usize, name: &str| {
            known.get(index).is_some_and(|known| matches!(known, Some((own, _)) if *own == name))
        };
        let mut found = Vec::with_capacity(asked.len());
        for Asked { columns, .. } in asked {
            let leftmost =
                |alike: &&[&str]| (0..headings.len()).find(|&index| alike.iter().any(|name| is(index, name)));
            let served = columns.iter().find_map(leftmost);
            if let Some(index) = served {
                let of = |index: usize| headings.get(index).map(|heading| plain(heading));
                if (index + 1..headings.len()).any(|other| of(other) == of(index)) {
                    let heading = headings.get(index).map_or("", String::as_str);
                    return Err(Diagnostic::error(format!(
                        "the header names the column `{}` twice.",
                        shown(heading.as_bytes(), LONGEST_SHOWN)
                    ))
                    .remedy("Keep the one that counts and name the other differently."));
                }
            }
            found.push(served.map(|index| {
                (index, headings.get(index).and_then(|heading| StatedUnit::of_heading(heading)))
            }));
        }
        let used = |index: usize| found.iter().flatten().any(|(column, _)| *column == index);
        let unused =
            headings.iter().enumerate().filter(|(index, heading)| !used(*index) && !heading.is_empty());
        let unused = unused.map(|(_, heading)| shown(heading.as_bytes(), LONGEST_SHOWN)).collect();
        let layout = Self { found, unused };
        let missing =
            asked.iter().zip(&layout.found).filter(|(asked, found)| asked.needed && found.is_none());
        let missing: Vec<&Asked> = missing.map(|(asked, _)| asked).collect();
        if missing.is_empty() {
            return Ok(layout);
        }
        let needed: Vec<&str> = asked.iter().filter(|asked| asked.needed).map(|asked| asked.name).collect();
        let names: Vec<&str> = missing.iter().map(|asked| asked.name).collect();
        let also = missing.iter().flat_map(|asked| asked.columns.iter().copied().flatten().copied());
        let likely = likely(&layout.unused, &names.iter().copied().chain(also).collect::<Vec<_>>());
        Err(Diagnostic::error(format!("the header has no column {}.", names.join(", "))).remedy(format!(
            "The first line must name the columns {}, in any order.{likely}",
            needed.join(", ")
        )))
    }
}

impl Layout {
    /// The column behind something that is asked for, where commas part the columns and nothing else is there: a decimal
    /// comma may have made it ([`super::number::in_two_columns`]).
    pub fn behind(&self, asked: usize, (columns, delimiter): (usize, u8)) -> Option<usize> {
        let (column, _) = self.found.get(asked)?.as_ref()?;
        let behind = column + 1;
        let is_used = self.found.iter().flatten().any(|(other, _)| *other == behind);
        (delimiter == b',' && behind < columns && !is_used).then_some(behind)
    }
}

/// Which of the names that are missing are likely meant by headings: sentences with a blank before each.
pub fn likely<H: AsRef<str>>(headings: &[H], missing: &[&str]) -> String {
    let likely = headings.iter().map(AsRef::as_ref).filter_map(|heading| {
        let intended = likely_intended(heading, missing.iter().copied())?;
        Some(format!(" Is `{intended}` meant by `{heading}`?"))
    });
    likely.collect()
}

/// What parts the columns of a line of headings: the sign it has most of, quoted texts left out; a comma where it has
/// none.
pub fn delimiter(line: &[u8]) -> u8 {
    let count = |delimiter: u8| {
        let mut quoted = false;
        let parts = line.iter().filter(|&&byte| {
            quoted ^= byte == b'"';
            byte == delimiter && !quoted
        });
        parts.count()
    };
    [b'\t', b';', b','].into_iter().max_by_key(|&delimiter| count(delimiter)).unwrap_or(b',')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn headings_are_known_however_they_are_written() {
        for (heading, name, unit) in [
            ("Reading (mm)", "reading", Some(Unit::Millimetre)),
            ("diameter_in", "diameter", Some(Unit::Inch)),
            ("  CYLINDER  Serial No. ", "cylinder", None),
            ("Finished-to", "finished_to", None),
            ("Barrel temperature, °C", "barrel_c", None),
            ("value [inches]", "reading", Some(Unit::Inch)),
            ("S/N", "cylinder", None),
        ] {
            assert_eq!(known(heading), Some((name, unit)), "{heading}");
        }
        for heading in ["", "in", "colour", "reading of what"] {
            assert_eq!(known(heading), None, "{heading}");
        }
    }

    #[test]
    fn a_unit_is_what_a_number_may_carry() {
        for (word, known) in [
            ("in", Some("in")),
            ("Inches", Some("in")),
            ("mm.", Some("mm")),
            ("thou", Some("thou")),
            ("µm", Some("µm")),
            ("um", Some("um")),
            ("Div", Some("graduations")),
            ("graduations", Some("graduations")),
            ("furlong", None),
            ("5", None),
            ("", None),
            ("+", None),
        ] {
            assert_eq!(StatedUnit::of(word).as_ref().map(StatedUnit::word), known, "{word}");
        }
        assert_eq!(StatedUnit::of_heading("Dial, thou").as_ref().map(StatedUnit::word), Some("thou"));
        assert_eq!(StatedUnit::of_heading("mm"), None);
    }

    #[test]
    fn a_columns_own_name_goes_before_its_other_names() {
        let names = |headings: &[&str]| -> Vec<_> {
            columns(headings.iter().copied()).into_iter().map(|column| column.map(|(name, _)| name)).collect()
        };
        assert_eq!(names(&["date", "Overhaul", "serial"]), [None, Some("overhaul"), Some("cylinder")]);
        assert_eq!(names(&["value", "measured"]), [Some("reading"), None]);
        assert_eq!(names(&["cylinder", "cylinder"]), [Some("cylinder"), None]);
    }

    #[test]
    fn no_name_stands_for_two_columns() {
        let all: Vec<&str> = NAMES
            .iter()
            .flat_map(|(name, others)| std::iter::once(*name).chain(others.iter().copied()))
            .collect();
        for (i, name) in all.iter().enumerate() {
            assert!(!all[..i].contains(name), "{name}");
            assert_eq!(plain(name), ((*name).to_owned(), None), "{name} is in its plain form");
        }
    }

    #[test]
    fn columns_are_parted_by_what_there_is_most_of() {
        assert_eq!(delimiter(b"a;b;c,d"), b';');
        assert_eq!(delimiter(b"a"), b',');
        assert_eq!(delimiter(b"a\tb"), b'\t');
        assert_eq!(delimiter(b"a;\"b, in, out\""), b';');
    }
}
