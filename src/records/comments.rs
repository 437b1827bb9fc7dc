//! The comments of a file stay when the file is written anew.
//!
//! A record is written from what was read of it, and comments are not read: [`carry`] takes them from the text that
//! the record was read from. They are carried to the same field, found by its name, or to the same element of a list,
//! found by what tells it apart, and their own text is not touched. A comment whose field or element is gone is never
//! put on another one: it goes above what held it, which is told.

#![expect(
    clippy::indexing_slicing,
    reason = "places in a text are those that were found in it; any text is tried"
)]

mod outline;
mod pairs;
#[cfg(test)]
mod tests;

use std::collections::BTreeMap;

use crate::diag::Diagnostic;
use crate::text_position::{Kind, Scanner, Token};
use crate::wording::counted;
use outline::{Comment, CommentSide, Outline};

/// A text with the comments of another one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Carried {
    /// The text.
    pub text: String,
    /// How many comments stand above what held their field or element, which is gone.
    pub moved: usize,
    /// Could none be carried?
    pub lost: bool,
}

impl Carried {
    /// What there is to tell of it.
    pub fn note(&self) -> Option<Diagnostic> {
        if self.lost {
            let reported = Diagnostic::note("The comments that were in the file could not be carried over.");
            return Some(reported.remedy("Take them from a copy of the file, if they are needed."));
        }
        let message = match self.moved {
            0 => return None,
            1 => "1 comment was about something that is gone; it now stands above what held that.".to_owned(),
            moved => format!(
                "{} were about something that is gone; they now stand above what held it.",
                counted(moved, "comment")
            ),
        };
        let remedy = "Look the comments over in a text editor, and delete those that no longer hold.";
        Some(Diagnostic::note(message).remedy(remedy))
    }
}

/// Puts the comments of an old text into a new one, which is as [`crate::file::to_ron`] writes it: every field and
/// every element of a list on a line of its own.
///
/// Any text is safe as the old one. A new one that cannot bear the comments is given back unchanged.
pub fn carry(old: &str, new: &str) -> Carried {
    let unchanged = |lost| Carried { text: new.to_owned(), moved: 0, lost };
    if !Scanner::with_comments(old).any(|token| is_comment(old, token)) {
        return unchanged(false);
    }
    let (Some(from), Some(to)) = (Outline::of(old), Outline::of(new)) else { return unchanged(true) };
    let places = Places::find(&from, &to);
    let text = places.write(new);
    // The values are what matters: nothing may come out of them but what was to be written.
    let same =
        Scanner::new(&text).map(|token| token.of(&text)).eq(Scanner::new(new).map(|token| token.of(new)));
    if same && comments(&text) == from.comments.len() + comments(new) {
        Carried { text, moved: places.moved, lost: false }
    } else {
        unchanged(true)
    }
}

/// Is this a comment, be it closed or not?
fn is_comment(text: &str, token: Token) -> bool {
    token.kind == Kind::Comment || (token.kind == Kind::Other && token.of(text).starts_with("/*"))
}

fn comments(text: &str) -> usize {
    Scanner::with_comments(text).filter(|token| token.kind == Kind::Comment).count()
}

/// Where the comments of a text come to stand in another one, whose lines are counted from 0.
#[derive(Default)]
struct Places<'a> {
    above: BTreeMap<usize, Vec<&'a Comment<'a>>>,
    behind: BTreeMap<usize, Vec<&'a Comment<'a>>>,
    at_end: Vec<&'a Comment<'a>>,
    moved: usize,
}

impl<'a> Places<'a> {
    fn find(from: &'a Outline<'a>, to: &Outline<'_>) -> Self {
        let partner = pairs::partners(from, to);
        // For each entry the nearest one with a partner that holds it or is it.
        let mut homes: Vec<usize> = Vec::with_capacity(from.entries.len());
        for (index, entry) in from.entries.iter().enumerate() {
            homes.push(if partner[index].is_some() { index } else { homes[entry.parent] });
        }
        let ends: Vec<usize> = to.text.match_indices('\n').map(|(at, _)| at).collect();
        let line = |at: usize| ends.partition_point(|end| *end < at);
        let mut places = Self::default();
        for comment in &from.comments {
            let home = homes[comment.entry];
            let Some(entry) = partner[home].map(|index| &to.entries[index]) else { continue };
            let (first, last) = (line(entry.start), line(entry.end.saturating_sub(1)));
            let is_moved = home != comment.entry;
            places.moved += usize::from(is_moved);
            let place = match (comment.side, entry.open) {
                _ if is_moved => places.above.entry(first),
                (CommentSide::AtEnd, _) if home == 0 => {
                    places.at_end.push(comment);
                    continue;
                }
                (CommentSide::Before, _) => places.above.entry(first),
                (CommentSide::AtEnd, _) => places.above.entry(last),
                (CommentSide::BehindOpening, Some(open)) => places.behind.entry(line(open)),
                (CommentSide::BehindOpening | CommentSide::Behind, _) => places.behind.entry(last),
            };
            place.or_default().push(comment);
        }
        places
    }

    fn write(&self, new: &str) -> String {
        let newline = if new.contains("\r\n") { "\r\n" } else { "\n" };
        let mut text = String::with_capacity(new.len());
        for (number, line) in new.split_inclusive('\n').enumerate() {
            let content = line.trim_end_matches(['\r', '\n']);
            let value = content.trim_start();
            let mut indent = content.strip_suffix(value).unwrap_or_default().to_owned();
            if value.starts_with([')', ']', '}']) {
                // What stands above a closing bracket stands within.
                indent.push_str("    ");
            }
            let behind = self.behind.get(&number).map(Vec::as_slice).unwrap_or_default();
            // Nothing can stand behind a line comment but the end of the line.
            let last = behind.len().saturating_sub(1);
            let has_room = |at: usize| at == last || !behind[at].text.starts_with("//");
            let crowded = (0..behind.len()).filter(|at| !has_room(*at)).map(|at| behind[at]);
            for comment in self.above.get(&number).into_iter().flatten().copied().chain(crowded) {
                comment.write(&mut text, &indent, newline);
            }
            text.push_str(content);
            for at in (0..behind.len()).filter(|at| has_room(*at)) {
                text.push(' ');
                text.push_str(&behind[at].with(newline));
            }
            text.push_str(newline);
        }
        for comment in &self.at_end {
            comment.write(&mut text, "", newline);
        }
        text
    }
}

impl Comment<'_> {
    /// Itself, with the ends of lines that the new text has.
    fn with(&self, newline: &str) -> String {
        let text = if self.text.starts_with("//") { self.text.trim_end_matches('\r') } else { self.text };
        text.replace("\r\n", "\n").replace('\n', newline)
    }

    /// Adds it on lines of its own.
    fn write(&self, text: &mut String, indent: &str, newline: &str) {
        let above = if text.is_empty() { 0 } else { self.blank_above };
        let (above, below) = (newline.repeat(above), newline.repeat(self.blank_below));
        text.push_str(&format!("{above}{indent}{}{newline}{below}", self.with(newline)));
    }
}
