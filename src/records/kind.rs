//! The kinds of document that the program reads.
//!
//! Each is described by one [`Kind`], which stands beside the type or the reader that it is of: what it is called, how
//! it is told from the others, which formats are read, and what to do with it where another one was wanted. To add one is
//! to write its `Kind` and to put it into the list `KINDS` of its room. This room knows its own; the program gives those
//! of the rooms above it by [`register`], so that a file of any kind is named wherever another one was wanted.

use std::iter;
use std::path::Path;
use std::sync::OnceLock;

use crate::diag::{Diagnostic, TextPosition, likely_intended};
use crate::tabular::TableReader;
use crate::tabular::heading::{Asked, Layout};
use crate::text_position::{self, BYTE_ORDER_MARK, Top};
use crate::{limits, record};

/// What is told of a document of one kind, from its text and the name of its file.
pub type Check = fn(&str, Option<&Path>) -> Vec<Diagnostic>;

/// A kind of document.
#[derive(Debug)]
pub struct Kind {
    /// In words, with its article.
    pub words: &'static str,
    /// How it is told from the others.
    pub told_by: ToldBy,
    /// What to do with it where another one was wanted, as a sentence.
    pub instead: &'static str,
    /// All that may be wrong with it, where it can be told without another document.
    pub check: Option<Check>,
}

/// How a kind of document is told from the others.
#[derive(Debug)]
pub enum ToldBy {
    /// A text in RON.
    Top {
        /// The name at its top.
        name: &'static str,
        /// Fields that only it has, where that name is left out.
        fields: &'static [&'static str],
        /// The `format` that this program writes.
        newest: u32,
        /// The oldest `format` that a released program wrote.
        oldest: u32,
    },
    /// A table of readings, by the columns that it cannot be without.
    Columns(&'static [Asked]),
}

impl PartialEq for Kind {
    fn eq(&self, other: &Self) -> bool {
        self.words == other.words
    }
}

/// The kinds of this room.
pub const KINDS: &[&Kind] = &[&limits::schema::KIND, &record::schema::KIND];

/// The kinds of the rooms above.
static ABOVE: OnceLock<&[&[&Kind]]> = OnceLock::new();

/// Tells of the kinds of the rooms above this one, once, before any file is read.
pub fn register(above: &'static [&'static [&'static Kind]]) {
    // Whoever does so again has the same lists.
    ABOVE.get_or_init(|| above);
}

/// Every kind.
pub fn all() -> impl Iterator<Item = &'static Kind> {
    let above = ABOVE.get().copied().unwrap_or_default();
    iter::once(&KINDS).chain(above).flat_map(|kinds| kinds.iter().copied())
}

/// Tells the kind of a text: of RON by the name at its top, or by its fields where the name is left out; of a table of
/// readings by its columns.
pub fn of(text: &str) -> Option<&'static Kind> {
    let text = text.strip_prefix(BYTE_ORDER_MARK).unwrap_or(text);
    of_top(&text_position::top(text), None).or_else(|| of_table(text))
}

/// Is a text of a known kind, and of another than `wanted`?
pub fn is_another(text: &str, wanted: &Kind) -> bool {
    of(text).is_some_and(|kind| kind != wanted)
}

/// Tells the kind of a text of RON. One that is wanted is known, also where nobody told of its room's.
pub(crate) fn of_top(top: &Top<'_>, wanted: Option<&'static Kind>) -> Option<&'static Kind> {
    all().chain(wanted).find(|kind| match (&kind.told_by, top.name) {
        (ToldBy::Top { name, .. }, Some((written, _))) => *name == written,
        (ToldBy::Top { fields, .. }, None) => top.fields.iter().any(|field| fields.contains(field)),
        (ToldBy::Columns(_), _) => false,
    })
}

/// Tells the kind of a table of readings.
pub(crate) fn of_table(text: &str) -> Option<&'static Kind> {
    of_headings(TableReader::open(text.as_bytes(), LONGEST_HEADER).ok()?.headings().0)
}

/// The longest line of headings that is looked at, in bytes.
const LONGEST_HEADER: usize = 64 * 1024;

/// Tells the kind of a table of readings by its headings, or of what was taken for one by its first line.
pub fn of_headings(headings: &[String]) -> Option<&'static Kind> {
    let table = all().find(
        |kind| matches!(&kind.told_by, ToldBy::Columns(asked) if Layout::find(headings, asked).is_ok()),
    );
    table.or_else(|| of_top(&text_position::top(&headings.join(",")), None))
}

impl Kind {
    /// What to say where a document of another kind was wanted; none if it is of that one.
    pub fn instead_of(&self, wanted: &Self) -> Option<Diagnostic> {
        (self != wanted).then(|| {
            Diagnostic::error(format!("This is {}, not {}.", self.words, wanted.words)).remedy(self.instead)
        })
    }

    /// The name at the top of its files; empty for a table of readings.
    pub(crate) fn name(&self) -> &'static str {
        match self.told_by {
            ToldBy::Top { name, .. } => name,
            ToldBy::Columns(_) => "",
        }
    }

    /// The oldest and the newest `format` that are read.
    pub(crate) fn formats(&self) -> (u32, u32) {
        match self.told_by {
            ToldBy::Top { oldest, newest, .. } => (oldest, newest),
            ToldBy::Columns(_) => (0, 0),
        }
    }
}

/// A name that stands at the top of no kind of file.
pub(crate) fn unknown_name((name, position): (&str, TextPosition), wanted: &Kind) -> Diagnostic {
    let known: Vec<_> = all().map(Kind::name).filter(|name| !name.is_empty()).collect();
    let intended = likely_intended(name, known.iter().copied()).unwrap_or(wanted.name());
    Diagnostic::error(format!("`{name}` is no kind of file known here."))
        .remedy(format!("Write `{intended}` if that is meant; known are `{}`.", known.join("`, `")))
        .on(Some(position))
}
