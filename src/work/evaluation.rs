//! What the program makes of the chosen overhaul: its readings, the outcome of every cylinder, and what
//! could not be read. Computed anew when the record changes, and never while drawing.

use std::sync::Arc;

use crate::seal::{self, Verdict};
use judging::Assessment;
use records::bore::Point;
use records::diag::Diagnostic;
use records::limits::Limits;
use records::record::resolve;
use records::record::schema::EngineRecord;
use records::survey::{Cylinder, Survey};

/// The chosen overhaul, evaluated.
#[derive(Clone, Debug, Default)]
pub struct Evaluation {
    /// The readings; none without an overhaul or a table that can be judged by.
    pub survey: Option<Survey>,
    /// One assessment for each of the survey's cylinders.
    pub assessments: Vec<Assessment>,
    /// What could not be read, errors first.
    pub diagnostics: Vec<Diagnostic>,
    /// Whether it is as it was signed; none: it is not signed.
    pub signed: Option<Verdict>,
}

impl Evaluation {
    /// Evaluates an overhaul of a record, by the table it names or by `limits` if given.
    pub fn of(record: &EngineRecord, overhaul: usize, limits: Option<Arc<Limits>>) -> Self {
        let reported = resolve::survey(record, overhaul, limits);
        let assessments = reported
            .value
            .as_ref()
            .map(|survey| survey.cylinders.iter().map(|c| judging::assess(c, survey)).collect())
            .unwrap_or_default();
        let signed = seal::verify(record, overhaul);
        Self { survey: reported.value, assessments, diagnostics: reported.diagnostics, signed }
    }

    /// The table of limits in force.
    pub fn limits(&self) -> Option<&Limits> {
        self.survey.as_ref().map(|survey| survey.limits.as_ref())
    }

    /// A cylinder and its assessment.
    pub fn cylinder(&self, index: usize) -> Option<(&Cylinder, &Assessment)> {
        Some((self.survey.as_ref()?.cylinders.get(index)?, self.assessments.get(index)?))
    }

    /// How many of the cells that must be measured are measured in a cylinder, and how many there are.
    pub fn measured(&self, index: usize) -> (usize, usize) {
        let Some((cylinder, _)) = self.cylinder(index) else { return (0, 0) };
        let Some(limits) = self.limits() else { return (0, 0) };
        let needed = (0..limits.stations.len())
            .flat_map(|station| limits.required_axes.iter().map(move |&axis| Point::new(station, axis)));
        let (mut done, mut all) = (0, 0);
        for at in needed {
            all += 1;
            done += usize::from(cylinder.bore.cell(at).is_some());
        }
        (done, all)
    }
}
