//! What would be recommended if the table's decision rule or its taper rule were another: how much of an
//! outcome hangs on a choice that the published documents do not agree on.
//!
//! Nothing is decided by it. Each alternative is judged whole, by a copy of the table in which that one rule
//! differs and everything else stands.

use records::limits::rows::{RowKind, RowName};
use std::sync::Arc;

use super::row::Row;
use super::{Recommendation, assess};
use records::limits::schema::{DecisionRule, TaperRule};
use records::survey::{Cylinder, Survey};

/// The one rule that differs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OtherRule {
    /// How the uncertainty of measurement bears on the judging.
    Decision(DecisionRule),
    /// How the taper is computed.
    Taper(TaperRule),
}

impl OtherRule {
    /// The rule in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Decision(rule) => rule.words(),
            Self::Taper(rule) => rule.words(),
        }
    }
}

/// A cylinder judged by another rule.
#[derive(Clone, Debug, PartialEq)]
pub struct Alternative {
    /// The rule that differs.
    pub rule: OtherRule,
    /// What would be recommended.
    pub recommendation: Recommendation,
    /// The taper row under it, where the rule is one for taper.
    pub taper: Option<Row>,
}

/// A cylinder of a survey judged by each rule that its table does not have in force: the decision rules,
/// then, where the table has a taper row, the taper rules.
pub fn what_if(cylinder: &Cylinder, survey: &Survey) -> Vec<Alternative> {
    let limits = &survey.limits;
    let decisions = DecisionRule::ALL.into_iter().filter(|rule| *rule != limits.decision);
    let taper = limits.shape_row(RowName::Taper).map(|row| row.kind);
    let tapers =
        TaperRule::ALL.into_iter().filter(|rule| taper.is_some_and(|of| of != RowKind::Taper(*rule)));
    let rules = decisions.map(OtherRule::Decision).chain(tapers.map(OtherRule::Taper));
    let mut other = survey.clone();
    rules
        .map(|rule| {
            let mut changed = limits.as_ref().clone();
            match rule {
                OtherRule::Decision(rule) => changed.decision = rule,
                OtherRule::Taper(rule) => {
                    if let Some(row) = changed.shape_row_mut(RowName::Taper) {
                        row.kind = RowKind::Taper(rule);
                    }
                }
            }
            other.limits = Arc::new(changed);
            let assessment = assess(cylinder, &other);
            let taper = assessment.rows.into_iter().find(|row| matches!(row.kind, RowKind::Taper(_)));
            Alternative {
                rule,
                recommendation: assessment.recommendation,
                taper: taper.filter(|_| matches!(rule, OtherRule::Taper(_))),
            }
        })
        .collect()
}
