//! The rows of a table that a bore is judged by, as data: which there are, what they are called, what is written in
//! them, which stations they look at, and on which side of its limit a figure is within.
//!
//! A further kind of row begins here: [`RowName`] and [`RowKind`] get a variant, and the compiler asks for all else that
//! is to be known of it. How it is written is [`super::schema::TableOfLimits`]'s, how its figure is worked out
//! `figures::of_row`'s. Nothing else in the program lists the rows by name.

use std::sync::Arc;

use super::resolved::{Bound, RowSource};
use super::schema::{JudgedOn, OutOfRoundRule, TaperRule, WhenBeyond};

/// The rows of a table that a bore is judged by: the size's own, and those of its shape.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
pub enum RowName {
    /// The bore's diameter; there is one for each size.
    Bore,
    /// Taper.
    Taper,
    /// Out-of-round.
    OutOfRound,
    /// Choke.
    Choke,
    /// Step (ridge).
    Step,
}

/// What is written in a row of the shape beside reference, place and what follows when it is beyond.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RowFields {
    /// What it gives of a new barrel.
    pub new: AsMade,
    /// The name of the field of its limit.
    pub limit: &'static str,
    /// The limit may be stated in every way ([`super::schema::Limit`]); else it is a plain value.
    pub limit_is_stated: bool,
}

/// What a row gives of a new barrel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AsMade {
    /// Nothing.
    Nothing,
    /// The greatest that may be.
    Greatest,
    /// The least and the greatest.
    Both,
}

/// The stations that a row's figure needs, by their roles.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Needs {
    /// All but those above ring travel.
    Worn,
    /// Those, from the head end to the base end, or the ones that the row names.
    WornOrNamed,
    /// Those of the head end and those of the base end.
    Ends,
    /// The one above ring travel and the one just below its top.
    Lip,
}

impl RowName {
    /// Every row, in the order of the table.
    pub const ALL: [Self; 5] = [Self::Bore, Self::Taper, Self::OutOfRound, Self::Choke, Self::Step];

    /// The rows of the shape, in the order of the table: all but the bore's own.
    pub fn of_shape() -> impl Iterator<Item = Self> {
        Self::ALL.into_iter().filter(|row| *row != Self::Bore)
    }

    /// Its name.
    pub fn words(self) -> &'static str {
        match self {
            Self::Bore => "bore",
            Self::Taper => "taper",
            Self::OutOfRound => "out-of-round",
            Self::Choke => "choke",
            Self::Step => "step",
        }
    }

    /// Other names that people have for it.
    pub fn other_words(self) -> &'static [&'static str] {
        match self {
            Self::Bore => &["diameter"],
            Self::Taper => &[],
            Self::OutOfRound => &["oval"],
            Self::Choke => &[],
            Self::Step => &["ridge"],
        }
    }

    /// Its name in a file and in JSON.
    pub fn key(self) -> &'static str {
        match self {
            Self::Bore => "bore",
            Self::Taper => "taper",
            Self::OutOfRound => "out_of_round",
            Self::Choke => "choke",
            Self::Step => "step",
        }
    }

    /// Its figure as it is followed across overhauls.
    pub fn followed_words(self) -> &'static str {
        match self {
            Self::Bore => "largest bore",
            Self::Choke => "choke left",
            Self::Taper | Self::OutOfRound | Self::Step => self.words(),
        }
    }

    /// What its limit limits, as a line of a table of limits, where no rule says it ([`RowKind::rule_words`]).
    pub fn limit_words(self) -> &'static str {
        match self {
            Self::Choke => "choke, the least that may remain",
            Self::Step => "step at the top of ring travel, per side",
            Self::Bore | Self::Taper | Self::OutOfRound => self.words(),
        }
    }

    /// What is written in it.
    pub fn fields(self) -> RowFields {
        match self {
            Self::Bore => RowFields { new: AsMade::Both, limit: "serviceable", limit_is_stated: true },
            Self::Taper | Self::OutOfRound => {
                RowFields { new: AsMade::Greatest, limit: "serviceable", limit_is_stated: true }
            }
            Self::Choke => RowFields { new: AsMade::Both, limit: "least", limit_is_stated: false },
            Self::Step => RowFields { new: AsMade::Nothing, limit: "serviceable", limit_is_stated: false },
        }
    }

    /// The stations that it needs.
    pub fn needs(self) -> Needs {
        match self {
            Self::Bore | Self::OutOfRound => Needs::Worn,
            Self::Taper => Needs::WornOrNamed,
            Self::Choke => Needs::Ends,
            Self::Step => Needs::Lip,
        }
    }

    /// Does it compare two axes at a station, so that one alone gives nothing?
    pub fn needs_two_axes(self) -> bool {
        self == Self::OutOfRound
    }

    /// Which side of its limit is within.
    pub fn side(self) -> Side {
        match self {
            Self::Bore | Self::Step => Side::AtMost,
            Self::Taper | Self::OutOfRound => Side::Either,
            Self::Choke => Side::AtLeast,
        }
    }

    /// The row under each rule there is for it, the first one first.
    pub fn kinds(self) -> Vec<RowKind> {
        match self {
            Self::Bore => vec![RowKind::Bore(JudgedOn::EveryPoint), RowKind::Bore(JudgedOn::Average)],
            Self::Taper => TaperRule::ALL.map(RowKind::Taper).into(),
            Self::OutOfRound => OutOfRoundRule::ALL.map(RowKind::OutOfRound).into(),
            Self::Choke => vec![RowKind::Choke],
            Self::Step => vec![RowKind::Step],
        }
    }
}

/// A row with the rule that it is judged by.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum RowKind {
    /// The bore's diameter.
    Bore(JudgedOn),
    /// Taper, under a rule.
    Taper(TaperRule),
    /// Out-of-round, under a rule.
    OutOfRound(OutOfRoundRule),
    /// Choke.
    Choke,
    /// Step (ridge).
    Step,
}

impl RowKind {
    /// Which row of the table it is.
    pub fn name(self) -> RowName {
        match self {
            Self::Bore(_) => RowName::Bore,
            Self::Taper(_) => RowName::Taper,
            Self::OutOfRound(_) => RowName::OutOfRound,
            Self::Choke => RowName::Choke,
            Self::Step => RowName::Step,
        }
    }

    /// Its name in words.
    pub fn words(self) -> &'static str {
        self.name().words()
    }

    /// Its rule in words, where there are several to choose from.
    pub fn rule_words(self) -> Option<&'static str> {
        match self {
            Self::Bore(JudgedOn::EveryPoint) => Some("every point"),
            Self::Bore(JudgedOn::Average) => Some("the average of all points"),
            Self::Taper(rule) => Some(rule.words()),
            Self::OutOfRound(rule) => Some(rule.words()),
            Self::Choke | Self::Step => None,
        }
    }

    /// What its figure is: the rule, or the one way there is.
    pub fn formula(self) -> &'static str {
        match self {
            Self::Choke => "base-end average minus head-end average",
            Self::Step => "height of the lip per side",
            Self::Bore(_) | Self::Taper(_) | Self::OutOfRound(_) => self.rule_words().unwrap_or(""),
        }
    }

    /// Is its figure made of averages, in which optional axes do not count?
    pub fn is_of_averages(self) -> bool {
        match self {
            Self::Bore(rule) => rule == JudgedOn::Average,
            Self::Taper(rule) => rule == TaperRule::AxisAverages,
            Self::Choke => true,
            Self::OutOfRound(_) | Self::Step => false,
        }
    }

    /// May its figure be negative? Where its limit is one on either side, the sign tells which end is the larger.
    pub fn has_sign(self) -> bool {
        match self {
            Self::Taper(rule) => rule.is_of_ends(),
            Self::Choke | Self::Step => true,
            Self::Bore(_) | Self::OutOfRound(_) => false,
        }
    }
}

/// Which side of a limit is within.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
pub enum Side {
    /// The limit is the greatest that may be.
    AtMost,
    /// The same on both sides of zero: the figure is a magnitude, and its true value may have either sign.
    Either,
    /// The limit is the least that may remain.
    AtLeast,
}

impl Side {
    /// What stands before the limit: `≤` or `≥`.
    pub fn sign(self) -> &'static str {
        if self == Self::AtLeast { "≥" } else { "≤" }
    }

    /// Which way it holds: `at most` or `at least`.
    pub fn words(self) -> &'static str {
        if self == Self::AtLeast { "at least" } else { "at most" }
    }

    /// What the serviceable limit is called in a sentence.
    pub fn limit_words(self) -> &'static str {
        if self == Self::AtLeast { "least that may remain," } else { "serviceable" }
    }

    /// Where a figure beyond the limit lies: `over` or `under` it.
    pub fn beyond_words(self) -> &'static str {
        if self == Self::AtLeast { "under" } else { "over" }
    }

    /// How much is left to the limit; negative beyond it. Exact lengths are judged by `judging::row`.
    pub fn left(self, value: f64, limit: f64) -> f64 {
        match self {
            Self::AtMost => limit - value,
            Self::Either => limit - value.abs(),
            Self::AtLeast => value - limit,
        }
    }

    /// Where a figure lies of which so much is left: `left`, or beyond its limit `over` or `under`.
    pub fn left_words(self, is_beyond: bool) -> &'static str {
        if is_beyond { self.beyond_words() } else { "left" }
    }
}

/// The stations that a row's figure is worked out over, by their places in the table, from the head end.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Over {
    /// These.
    Stations(Arc<[usize]>),
    /// Those of the head end against those of the base end.
    Ends {
        /// Of the head end.
        head: Arc<[usize]>,
        /// Of the base end.
        base: Arc<[usize]>,
    },
    /// The one above ring travel against the one just below its top.
    Lip {
        /// Above ring travel.
        above: usize,
        /// At its top.
        top: usize,
    },
}

impl Over {
    /// All of them.
    pub fn stations(&self) -> Vec<usize> {
        match self {
            Self::Stations(stations) => stations.to_vec(),
            Self::Ends { head, base } => [&**head, &**base].concat(),
            Self::Lip { above, top } => vec![*above, *top],
        }
    }
}

/// A row of a table, every text read: what a figure is judged against.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RowLimits {
    /// Which row, and by which rule.
    pub kind: RowKind,
    /// Which side of its limit is within.
    pub side: Side,
    /// What its figure is worked out over.
    pub over: Over,
    /// The as-made limits: least and greatest.
    pub new: (Option<Bound>, Option<Bound>),
    /// The serviceable limit; none is given: no pass.
    pub limit: Option<Bound>,
    /// What follows when it is beyond.
    pub when_beyond: WhenBeyond,
    /// Where the row stands in the manual.
    pub source: RowSource,
}
