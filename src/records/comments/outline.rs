//! What a text holds, as a tree, and what each of its comments stands beside.

use std::hash::{DefaultHasher, Hash, Hasher as _};

use crate::text_position::{Kind, Scanner, Token, word};

/// The most entries and comments that are followed, which takes some 400 MB: a record has a few thousand.
const MOST: usize = 4_000_000;

/// A field with its value, or an element of a list.
#[derive(Debug, Default)]
pub(super) struct Entry<'a> {
    /// The index of what holds it, which is smaller than its own.
    pub parent: usize,
    /// A field's name; empty for an element.
    pub name: &'a str,
    /// Where its first token starts.
    pub start: usize,
    /// Where its first bracket stands.
    pub open: Option<usize>,
    /// Where its last token ends.
    pub end: usize,
    /// Of its tokens without commas: what is written alike has the same one.
    pub hash: u64,
    /// The indexes of what its brackets hold, in order.
    pub children: Vec<usize>,
}

/// On which side of its entry a comment stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum CommentSide {
    Before,
    BehindOpening,
    Behind,
    /// Before its closing bracket.
    AtEnd,
}

#[derive(Debug)]
pub(super) struct Comment<'a> {
    /// As written.
    pub text: &'a str,
    /// The index of the entry that it stands beside.
    pub entry: usize,
    pub side: CommentSide,
    /// Does nothing stand in front of it on its line?
    pub own_line: bool,
    /// How many blank lines are above it.
    pub blank_above: usize,
    /// How many blank lines are below it, before a token.
    pub blank_below: usize,
}

/// The entries and the comments of a text, in order. The first entry is the whole text.
#[derive(Debug, Default)]
pub(super) struct Outline<'a> {
    pub text: &'a str,
    pub entries: Vec<Entry<'a>>,
    pub comments: Vec<Comment<'a>>,
}

/// A hash with more in it.
pub(super) fn fold(hash: u64, more: &(impl Hash + ?Sized)) -> u64 {
    let mut hasher = DefaultHasher::new();
    hash.hash(&mut hasher);
    more.hash(&mut hasher);
    hasher.finish()
}

impl<'a> Outline<'a> {
    /// Outlines any text; none: a comment is never closed, or it holds more than [`MOST`].
    pub fn of(text: &'a str) -> Option<Self> {
        let outline = Self { text, entries: vec![Entry::default()], ..Self::default() };
        let mut builder = Builder { outline, ..Builder::default() };
        // Of `#![enable(...)]`, which is not written again, only the comments count.
        let first = Scanner::new(text).next().map_or(text.len(), |token| token.start);
        let mut at = 0;
        for token in Scanner::with_comments(text) {
            let newlines = text.get(at..token.start).unwrap_or_default().matches('\n').count();
            match token.kind {
                Kind::Comment => builder.comment(token, newlines),
                Kind::Other if token.of(text).starts_with("/*") => return None,
                _ if token.start >= first => builder.token(token, newlines),
                _ => {}
            }
            let comments = builder.outline.comments.len() + builder.waiting.len();
            if builder.outline.entries.len() + comments > MOST {
                return None;
            }
            at = token.end;
        }
        builder.settle(0, (0, CommentSide::AtEnd), false);
        Some(builder.outline)
    }

    /// The bracket that opens an entry's value.
    pub fn bracket(&self, entry: &Entry<'_>) -> Option<u8> {
        entry.open.and_then(|at| self.text.as_bytes().get(at).copied())
    }
}

/// Every index in it is of an entry that it made.
#[derive(Default)]
struct Builder<'a> {
    outline: Outline<'a>,
    /// The entries whose brackets are open.
    open: Vec<usize>,
    /// The entry under way, and how many tokens it has; two stand for more.
    current: Option<usize>,
    tokens: usize,
    /// The entry that the last comma ended.
    ended: usize,
    last: Option<Token>,
    /// The comments behind the last token: only the next one tells what they stand beside.
    waiting: Vec<Comment<'a>>,
}

impl<'a> Builder<'a> {
    fn comment(&mut self, token: Token, newlines: usize) {
        let owner = self.open.last().copied().unwrap_or(0);
        let (entry, side) = match self.last.map(|last| last.kind) {
            Some(Kind::Open) => (owner, CommentSide::BehindOpening),
            Some(Kind::Colon) => (self.current.unwrap_or(owner), CommentSide::BehindOpening),
            Some(Kind::Comma) => (self.ended, CommentSide::Behind),
            _ => (self.current.unwrap_or(owner), CommentSide::Behind),
        };
        let own_line =
            newlines > 0 || self.waiting.last().map_or(self.last.is_none(), |before| before.own_line);
        let (text, blank_above) = (token.of(self.outline.text), newlines.saturating_sub(1));
        self.waiting.push(Comment { text, entry, side, own_line, blank_above, blank_below: 0 });
    }

    /// The next token is there: comments with lines of their own stand beside `next`, and so do those on the line of an
    /// entry that `begins` with it. What they stand beside otherwise is known.
    fn settle(&mut self, newlines: usize, next: (usize, CommentSide), begins: bool) {
        if let Some(last) = self.waiting.last_mut().filter(|last| last.own_line && next.0 != 0) {
            last.blank_below = newlines.saturating_sub(1);
        }
        let mut on_line = begins && newlines == 0;
        for comment in self.waiting.iter_mut().rev() {
            if comment.own_line || on_line {
                (comment.entry, comment.side) = next;
            }
            on_line &= !comment.own_line;
        }
        self.outline.comments.append(&mut self.waiting);
    }

    fn token(&mut self, token: Token, newlines: usize) {
        let owner = self.open.last().copied().unwrap_or(0);
        let begins = self.current.is_none() && !matches!(token.kind, Kind::Close | Kind::Comma);
        if begins {
            let index = self.outline.entries.len();
            self.outline.entries.push(Entry { parent: owner, start: token.start, ..Entry::default() });
            self.outline.entries[owner].children.push(index);
            (self.current, self.tokens) = (Some(index), 0);
        }
        let current = self.current.unwrap_or(owner);
        let next = match token.kind {
            Kind::Close => (owner, CommentSide::AtEnd),
            Kind::Comma => (current, CommentSide::Behind),
            _ => (current, CommentSide::Before),
        };
        self.settle(newlines, next, begins);
        let before = self.last.replace(token);
        self.outline.entries[0].end = token.end;
        match token.kind {
            Kind::Comma => {
                self.finish();
                self.ended = current;
            }
            Kind::Close => {
                self.finish();
                self.open.pop();
                self.current = Some(owner).filter(|owner| *owner != 0);
                self.add(owner, token);
            }
            Kind::Open => {
                self.add(current, token);
                self.outline.entries[current].open.get_or_insert(token.start);
                self.open.push(current);
                self.current = None;
            }
            Kind::Colon if self.tokens == 1 => {
                let name = before.map(|name| word(self.outline.text, name));
                self.outline.entries[current].name = name.unwrap_or_default();
                self.add(current, token);
            }
            _ => self.add(current, token),
        }
    }

    /// An entry has one more token.
    fn add(&mut self, index: usize, token: Token) {
        let entry = &mut self.outline.entries[index];
        entry.hash = fold(entry.hash, token.of(self.outline.text));
        entry.end = token.end;
        self.tokens = 2.min(self.tokens + 1);
    }

    /// The entry under way is over.
    fn finish(&mut self) {
        if let Some(index) = self.current.take() {
            let (parent, hash) = (self.outline.entries[index].parent, self.outline.entries[index].hash);
            self.outline.entries[parent].hash = fold(self.outline.entries[parent].hash, &hash);
        }
    }
}
