//! A recommendation, and what an inspector decided, in finished words.

use crate::Assessment;
use crate::reason::{self, Reason};
use crate::row::RowStatus;
use crate::words::{agrees, decision_of, disposition_words, known_words};
use quantities::length::Unit;
use records::limits::Limits;
use records::survey::Cylinder;

/// A reason as it is shown.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShownReason {
    /// Which reason.
    pub reason: Reason,
    /// It in a sentence.
    pub sentence: String,
    /// What its row comes to, where it is a row.
    pub status: Option<RowStatus>,
}

/// What is recommended for a cylinder and what was decided, as it is shown.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShownOutcome {
    /// It in words.
    pub words: String,
    /// What is known already of one that is not decided.
    pub known: Option<String>,
    /// Why, the weightiest first.
    pub reasons: Vec<ShownReason>,
    /// The inspector's decision; none without one.
    pub decision: Option<String>,
    /// The same with who, when and why.
    pub decided: Option<String>,
    /// It is not what is recommended.
    pub differs: bool,
}

impl ShownOutcome {
    /// Of a cylinder. Lengths are in `unit`, or as their readings were written; `written` is the unit of a size in the
    /// record that names none.
    pub fn of(
        assessment: &Assessment,
        cylinder: &Cylinder,
        limits: &Limits,
        unit: Option<Unit>,
        written: Unit,
    ) -> Self {
        let recommendation = assessment.recommendation;
        let shown = |&reason: &Reason| {
            let row = match reason {
                Reason::Beyond(i) | Reason::Within(i) => assessment.rows.get(i),
                _ => None,
            };
            let sentence = reason::sentence_in(unit, reason, assessment, cylinder, limits)?;
            Some(ShownReason { reason, sentence, status: row.map(|row| row.status) })
        };
        let disposition = cylinder.disposition.as_ref();
        Self {
            words: recommendation.words(limits),
            known: known_words(assessment, limits),
            reasons: assessment.reasons.iter().filter_map(shown).collect(),
            decision: disposition.map(|by| decision_of(&by.decision, limits, written)),
            decided: disposition.map(|by| disposition_words(by, recommendation, limits, written)),
            differs: disposition.is_some_and(|by| !agrees(&by.decision, recommendation, limits, written)),
        }
    }
}
