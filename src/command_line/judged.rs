//! One file judged: its overhauls as chosen, each with its survey and what every cylinder comes to.
//!
//! This is what both kinds of output show. All that can go wrong with a file is told as diagnostics with
//! their line and column, beside whatever could be judged all the same.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::args::Which;
use judging::Assessment;
use quantities::length::Unit;
use records::diag::{self, Beyond, Diagnostic, FieldPath, Gathered, WithDiagnostics};
use records::file::{self, Document as _};
use records::folder::Input;
use records::kind;
use records::limits::schema::TableOfLimits;
use records::limits::{Limits, validate};
use records::record::resolve;
use records::record::schema::{self, EngineRecord, Overhaul};
use records::survey::{Cylinder, Survey};

/// A table of limits given beside the files.
#[derive(Clone, Debug)]
pub struct Given {
    /// Its file.
    pub file: PathBuf,
    /// The table.
    pub limits: Arc<Limits>,
}

/// One overhaul of one file.
#[derive(Clone, Debug)]
pub struct Surveyed {
    /// The file.
    pub file: PathBuf,
    /// The record it holds.
    pub record: Arc<EngineRecord>,
    /// Index of the overhaul in it.
    pub index: usize,
    /// The overhaul, every text read.
    pub survey: Survey,
    /// The file of the table of limits, where one was given.
    pub limits_file: Option<PathBuf>,
}

impl Surveyed {
    /// The unit of the overhaul's lengths that name none.
    pub fn unit(&self) -> Unit {
        self.overhaul().map_or(self.survey.limits.unit, |overhaul| overhaul.unit)
    }

    /// The overhaul as written; `None` only if the index is not the record's.
    pub fn overhaul(&self) -> Option<&Overhaul> {
        self.record.overhauls.get(self.index)
    }
}

/// One overhaul of one file, judged.
#[derive(Clone, Debug)]
pub struct Judged {
    /// The overhaul.
    pub surveyed: Surveyed,
    /// What each cylinder comes to, in the survey's order.
    pub assessments: Vec<Assessment>,
}

impl Judged {
    /// Judges an overhaul.
    pub fn of(surveyed: Surveyed) -> Self {
        let survey = &surveyed.survey;
        let assessments = survey.cylinders.iter().map(|cylinder| judging::assess(cylinder, survey)).collect();
        Self { surveyed, assessments }
    }

    /// Every cylinder with what it comes to.
    pub fn cylinders(&self) -> impl Iterator<Item = (&Cylinder, &Assessment)> {
        self.surveyed.survey.cylinders.iter().zip(&self.assessments)
    }
}

/// Reads a table of limits that every file is to be judged by.
pub fn given(path: &Path) -> WithDiagnostics<Option<Given>> {
    let (text, WithDiagnostics { value, mut diagnostics }) = match read::<TableOfLimits>(path) {
        Ok(read) => read,
        Err(diagnostic) => return WithDiagnostics { value: None, diagnostics: vec![diagnostic] },
    };
    let limits = value.and_then(|table| match validate::sound(&table, &FieldPath::default()) {
        Ok(limits) => Some(Given { file: path.to_owned(), limits: Arc::new(limits) }),
        Err(mut errors) => {
            file::place(&mut errors, &text, Some(path));
            diagnostics.extend(errors);
            None
        }
    });
    WithDiagnostics { value: limits, diagnostics }
}

/// A file's text and the document in it.
fn read<D: file::Document>(path: &Path) -> Result<(String, WithDiagnostics<Option<D>>), Diagnostic> {
    let text = file::read_text(path)?;
    let reported = file::from_text(&text, Some(path));
    Ok((text, reported))
}

/// The chosen overhauls of a file, surveyed one after another.
#[derive(Clone, Debug)]
pub struct Overhauls {
    file: PathBuf,
    record: Arc<EngineRecord>,
    /// Indices of the overhauls.
    chosen: Vec<usize>,
    given: Option<Given>,
}

impl Overhauls {
    /// How many cylinders they have together.
    pub fn cylinders(&self) -> usize {
        let of = |index: &usize| self.record.overhauls.get(*index).map_or(0, |of| of.cylinders.len());
        self.chosen.iter().map(of).sum()
    }

    /// Each with what is told of it; it is surveyed when it is asked for.
    pub fn surveys(&self) -> impl Iterator<Item = WithDiagnostics<Option<Surveyed>>> {
        let limits = self.given.as_ref().map(|given| Arc::clone(&given.limits));
        let mut surveyor = resolve::Surveyor::new(&self.record, limits);
        self.chosen.iter().map(move |&index| {
            let WithDiagnostics { value, diagnostics } = surveyor.survey(index);
            let surveyed = |survey| Surveyed {
                file: self.file.clone(),
                record: Arc::clone(&self.record),
                index,
                survey,
                limits_file: self.given.as_ref().map(|given| given.file.clone()),
            };
            WithDiagnostics { value: value.map(surveyed), diagnostics }
        })
    }
}

/// Reads a file and hands on the chosen overhauls as they are surveyed. `None` for a table of limits or a key that was
/// found in a folder.
fn overhauls(
    input: &Input,
    which: Which,
    given: Option<&Given>,
    mut each: impl FnMut(&Overhauls, Surveyed),
) -> Option<WithDiagnostics<Option<Overhauls>>> {
    let path = &input.path;
    let text = match file::read_text(path) {
        Ok(text) => text,
        Err(diagnostic) => return Some(WithDiagnostics { value: None, diagnostics: vec![diagnostic] }),
    };
    if input.found && kind::is_another(&text, EngineRecord::KIND) {
        return None;
    }
    let WithDiagnostics { value, mut diagnostics } = file::record_from_text(&text, Some(path));
    let Some(record) = value.map(Arc::new) else { return Some(WithDiagnostics { value: None, diagnostics }) };
    let mut beyond = Beyond::default();
    let found = match chosen(&record, which) {
        Ok(chosen) => {
            let overhauls = Overhauls { file: path.clone(), record, chosen, given: given.cloned() };
            let mut gathered = Gathered::default();
            for reported in overhauls.surveys() {
                gathered.add(reported.diagnostics);
                if let Some(surveyed) = reported.value {
                    each(&overhauls, surveyed);
                }
            }
            let (held, more) = gathered.finish();
            diagnostics.extend(held);
            beyond = more;
            Some(overhauls)
        }
        Err(diagnostic) => {
            diagnostics.push(diagnostic);
            None
        }
    };
    file::place(&mut diagnostics, &text, Some(path));
    diagnostics.sort_by_key(|diagnostic| diagnostic.position);
    diagnostics.dedup();
    if beyond != Beyond::default() {
        diagnostics = diag::reported_beyond(&diagnostics, beyond);
    }
    Some(WithDiagnostics { value: found, diagnostics })
}

/// The chosen overhauls of a file. `None` for a table of limits or a key that was found in a folder.
pub fn surveyed(
    input: &Input,
    which: Which,
    given: Option<&Given>,
) -> Option<WithDiagnostics<Vec<Surveyed>>> {
    let mut surveys = Vec::new();
    let WithDiagnostics { diagnostics, .. } =
        overhauls(input, which, given, |_, surveyed| surveys.push(surveyed))?;
    Some(WithDiagnostics { value: surveys, diagnostics })
}

/// The chosen overhauls of a file, judged. `None` for a table of limits that was found in a folder.
#[cfg(feature = "paper")]
pub fn judged(input: &Input, which: Which, given: Option<&Given>) -> Option<WithDiagnostics<Vec<Judged>>> {
    let WithDiagnostics { value, diagnostics } = surveyed(input, which, given)?;
    Some(WithDiagnostics { value: value.into_iter().map(Judged::of).collect(), diagnostics })
}

/// The chosen overhauls of a file: surveyed, or where they have more than `few` cylinders together still to be surveyed
/// one after another. `None` for a table of limits that was found in a folder.
pub fn surveyed_if_few(
    input: &Input,
    which: Which,
    given: Option<&Given>,
    few: usize,
) -> Option<WithDiagnostics<(Vec<Surveyed>, Option<Overhauls>)>> {
    let mut surveys = Vec::new();
    let WithDiagnostics { value, diagnostics } = overhauls(input, which, given, |overhauls, surveyed| {
        if overhauls.cylinders() <= few {
            surveys.push(surveyed);
        }
    })?;
    Some(WithDiagnostics {
        value: (surveys, value.filter(|overhauls| overhauls.cylinders() > few)),
        diagnostics,
    })
}

/// Index of the cylinder of this position, or else of this serial.
pub(super) fn cylinder(cylinders: &[schema::Cylinder], wanted: &str) -> Result<usize, Diagnostic> {
    let wanted = wanted.trim();
    let of = |name: fn(&schema::Cylinder) -> &str| cylinders.iter().position(|c| name(c).trim() == wanted);
    of(|cylinder| &cylinder.position).or_else(|| of(|cylinder| &cylinder.serial)).ok_or_else(|| {
        let known: Vec<_> = cylinders.iter().map(|c| format!("{} ({})", c.position, c.serial)).collect();
        Diagnostic::error(format!("The overhaul has no cylinder `{wanted}`."))
            .remedy(format!("Name one by its position or serial; it has: {}.", known.join(", ")))
    })
}

/// That one overhaul is wanted, and several are meant.
pub(super) fn several(number: usize) -> Diagnostic {
    Diagnostic::error(format!("That means {number} overhauls."))
        .remedy("Name one, by its number counted from 1.")
}

/// Indices of the overhauls that were asked for.
pub(super) fn chosen(record: &EngineRecord, which: Which) -> Result<Vec<usize>, Diagnostic> {
    let overhauls = || record.overhauls.iter().enumerate();
    let wanted: Vec<usize> = match which {
        Which::All => overhauls().map(|(i, _)| i).collect(),
        Which::Latest => {
            overhauls().max_by_key(|(_, overhaul)| overhaul.date).map(|(i, _)| i).into_iter().collect()
        }
        Which::Number(number) => {
            overhauls().nth(number.saturating_sub(1)).map(|(i, _)| i).into_iter().collect()
        }
        Which::Day(day) => overhauls().filter(|(_, overhaul)| overhaul.date == day).map(|(i, _)| i).collect(),
    };
    if !wanted.is_empty() {
        return Ok(wanted);
    }
    let place = FieldPath::default().field("overhauls");
    let known: Vec<_> = overhauls().map(|(i, overhaul)| format!("{} ({})", i + 1, overhaul.date)).collect();
    if known.is_empty() {
        return Err(Diagnostic::error("The record has no overhaul yet.")
            .at(place)
            .remedy("Write one under `overhauls`."));
    }
    let what = match which {
        Which::Number(number) => format!("The record has no overhaul number {number}."),
        Which::Day(day) => format!("The record has no overhaul of {day}."),
        Which::Latest | Which::All => "The record has no such overhaul.".to_owned(),
    };
    Err(Diagnostic::error(what).at(place).remedy(format!("It has: {}.", known.join(", "))))
}
