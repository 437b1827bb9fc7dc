//! What stands open at an overhaul, told to the person who is about to sign it. It keeps nobody from signing, except
//! where nothing at all is measured.

use judging::{Assessment, Need, Recommendation};
use records::diag::Diagnostic;
use records::record::schema::Overhaul;
use records::survey::{Survey, points_words};
use records::wording::capitalised;

/// What stands open.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Unresolved {
    /// Not one cylinder has a reading: it cannot be signed.
    pub nothing_measured: bool,
    /// Each thing that stands open, as a sentence.
    pub items: Vec<String>,
}

impl Unresolved {
    /// Looks an overhaul over; `diagnostics` are what could not be read of it.
    pub fn of(
        overhaul: &Overhaul,
        survey: Option<&Survey>,
        assessments: &[Assessment],
        diagnostics: &[Diagnostic],
    ) -> Self {
        let nothing_measured = !overhaul.is_measured();
        let mut items = Vec::new();
        if survey.is_none() {
            items.push(
                "It has no table of limits that can be judged by: no cylinder has an outcome.".to_owned(),
            );
        }
        for diagnostic in diagnostics.iter().filter(|diagnostic| diagnostic.is_error()) {
            let place =
                if diagnostic.place.is_empty() { String::new() } else { format!("{}: ", diagnostic.place) };
            items.push(capitalised(&format!("{place}{}", diagnostic.message)));
        }
        let cylinders = survey.map(|survey| survey.cylinders.as_slice()).unwrap_or_default();
        for (cylinder, assessment) in cylinders.iter().zip(assessments) {
            let who = capitalised(&cylinder.words());
            let mut item = |what: String| items.push(format!("{who}: {what}"));
            match (assessment.recommendation, &cylinder.disposition) {
                (Recommendation::NotDecided, None) => {
                    item("not decided, neither by the program nor by a person.".into());
                }
                (_, None) => item("no person has decided on it.".into()),
                (Recommendation::NotDecided, Some(_)) => {
                    item("a person has decided; the program has no outcome.".into());
                }
                (
                    Recommendation::Serviceable | Recommendation::Rebore(_) | Recommendation::Replace,
                    Some(_),
                ) => {}
            }
            for need in &assessment.needs {
                match need {
                    Need::Measure(points) => {
                        let words = survey.map(|survey| points_words(&survey.limits, points));
                        item(format!("not measured: {}.", words.unwrap_or_default()));
                    }
                    Need::LookOver => item("not looked over by eye.".into()),
                    Need::Amount(amount, i) => {
                        let what =
                            cylinder.findings.get(*i).map_or("finding", |finding| finding.kind.words());
                        item(format!("not measured: the {} of the {what}.", amount.words()));
                    }
                    Need::SizeRow => item("its size is not in the table of limits.".into()),
                    Need::Limit(_) => item("a row has no limit in the table.".into()),
                    Need::Budget(_) => item("what a guard band needs is not recorded.".into()),
                    Need::Impossible(_) => item("a row of the table cannot be worked out.".into()),
                    Need::Contradiction(_) => item("its size and its readings contradict each other.".into()),
                    Need::Expansion { .. } => item("its outcome hangs on a supposed expansion.".into()),
                    // Told with what could not be read, and with the slips.
                    Need::Unreadable(_) | Need::Confirm(_) => {}
                }
            }
            let open = assessment.slips.iter().filter(|slip| slip.at.is_some() && !slip.confirmed);
            for slip in open {
                let Some(at) = slip.at else { continue };
                let words = survey.map(|survey| records::survey::point_words(&survey.limits, at));
                item(format!(
                    "{} looks wrong, and nobody has retyped or confirmed it.",
                    words.unwrap_or_default()
                ));
            }
        }
        Self { nothing_measured, items }
    }
}
