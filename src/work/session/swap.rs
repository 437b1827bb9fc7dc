//! What another table of limits would make of the chosen overhaul, seen before it is accepted.

use std::sync::Arc;

use super::Session;
use crate::evaluation::Evaluation;
use judging::Recommendation;
use records::diag::{Diagnostic, FieldPath};
use records::limits::schema::TableOfLimits;
use records::limits::validate;
use records::record::resolve;

/// A cylinder by the table in force and by another.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// The cylinder in words.
    pub cylinder: String,
    /// The outcome by the table in force, and its words; none where it cannot be judged.
    pub now: Option<(Recommendation, String)>,
    /// The outcome by the other table, and its words.
    pub then: (Recommendation, String),
}

impl Change {
    /// Would the outcome be another one? Sizes are compared by their names, as tables number them differently.
    pub fn differs(&self) -> bool {
        self.now.as_ref().is_none_or(|(_, now)| *now != self.then.1)
    }
}

/// What another table would make of the chosen overhaul.
#[derive(Clone, Debug)]
pub struct Swap {
    /// The other table.
    pub table: TableOfLimits,
    /// Every cylinder, in bank order.
    pub changes: Vec<Change>,
    /// What could not be read by it, such as readings at stations that it does not have; errors first.
    pub diagnostics: Vec<Diagnostic>,
}

impl Session {
    /// The table of limits that the chosen overhaul is judged by, and its index in the record.
    pub fn table(&self) -> Option<(usize, &TableOfLimits)> {
        match self.overhaul() {
            Some(overhaul) => resolve::table_of(&self.record, overhaul),
            None => {
                self.record.tables.first().filter(|_| self.record.tables.len() == 1).map(|table| (0, table))
            }
        }
    }

    /// What another table would make of the chosen overhaul. Nothing is changed.
    ///
    /// # Errors
    /// Every error of the table: by one that holds any, nothing is judged.
    pub fn swap_preview(&self, table: &TableOfLimits) -> Result<Swap, Vec<Diagnostic>> {
        let limits = Arc::new(validate::sound(table, &FieldPath::default())?);
        let then = Evaluation::of(&self.record, self.overhaul, Some(limits));
        let now = &self.evaluation;
        let mut changes = Vec::new();
        for index in 0..self.cylinders() {
            let Some(((cylinder, judged), limits)) = then.cylinder(index).zip(then.limits()) else {
                continue;
            };
            let before = now
                .cylinder(index)
                .zip(now.limits())
                .map(|((_, judged), limits)| (judged.recommendation, judged.recommendation.words(limits)));
            changes.push(Change {
                cylinder: cylinder.words(),
                now: before,
                then: (judged.recommendation, judged.recommendation.words(limits)),
            });
        }
        Ok(Swap { table: table.clone(), changes, diagnostics: then.diagnostics })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::Command;
    use records::file;

    fn demo() -> Session {
        let text = include_str!("../../../demo/wexcombe_six.ron");
        Session::new(file::record_from_text(text, None).value.expect("a record"))
    }

    #[test]
    fn a_stricter_revision_is_seen_before_it_is_accepted() {
        let mut session = demo();
        let (_, table) = session.table().expect("the record has its table");
        let mut stricter = table.clone();
        stricter.revision = "D".to_owned();
        // The cylinder that was bored to 0.010 reads up to 5.1378.
        let row = stricter.bore.iter_mut().find(|row| row.reference == "2").expect("there");
        row.serviceable = Some(records::limits::schema::Limit::At("5.1375".into()));
        let before = session.state();
        let swap = session.swap_preview(&stricter).expect("can be read");
        assert_eq!(session.state(), before);
        let differing: Vec<_> = swap.changes.iter().filter(|change| change.differs()).collect();
        assert_eq!(swap.changes.len(), 6);
        assert_eq!(differing.len(), 1);
        assert_eq!(differing[0].cylinder, "cylinder 1 (WX-0411)");
        assert_eq!(differing[0].now.as_ref().map(|now| now.1.as_str()), Some("serviceable"));
        let seen: Vec<_> = swap.changes.iter().map(|change| change.then.1.clone()).collect();
        // What was seen is what follows.
        session.dispatch(Command::SwapLimits(Box::new(stricter))).expect("done");
        let evaluation = session.evaluation();
        let limits = evaluation.limits().expect("a table");
        assert_eq!(limits.revision, "D");
        let follows: Vec<_> =
            evaluation.assessments.iter().map(|judged| judged.recommendation.words(limits)).collect();
        assert_eq!(follows, seen);
        assert_eq!(session.table().map(|(index, _)| index), Some(session.record().tables.len() - 1));
    }

    #[test]
    fn a_table_that_cannot_be_read_is_told_and_changes_nothing() {
        let session = demo();
        let mut broken = session.table().expect("there").1.clone();
        broken.clean_up_allowance = "half a hair".into();
        assert!(session.swap_preview(&broken).is_err());
    }

    #[test]
    fn the_same_table_changes_nothing() {
        let session = demo();
        let table = session.table().expect("there").1.clone();
        let swap = session.swap_preview(&table).expect("can be read");
        assert!(swap.changes.iter().all(|change| !change.differs()));
    }
}
