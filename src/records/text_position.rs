//! Where in a file's text a value stands: walks a RON text along a [`FieldPath`].
//!
//! This is no parser. It knows strings, characters, comments and brackets, and steps over everything else,
//! so it also works on a text that the parser refused. It reads the text from front to back and keeps no stack
//! but of the steps of a path, and any text at all is safe: what is not found ends at the deepest value on the way.

use std::collections::{BTreeMap, BTreeSet};

use crate::diag::{FieldPath, PathStep, TextPosition};

/// The mark that some editors put in front of a text; it is no part of it.
pub const BYTE_ORDER_MARK: char = '\u{feff}';

/// What a scanner tells apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    Open,
    Close,
    Comma,
    Colon,
    /// A comment; only a scanner [`Scanner::with_comments`] gives any. The end of its line is no part of it.
    Comment,
    /// A name, a number, or anything else that is written without quotes.
    Word,
    /// A string or a character.
    Quoted,
    /// A single other character, or a comment that is never closed.
    Other,
}

/// A piece of the text, as byte offsets.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Token {
    pub kind: Kind,
    pub start: usize,
    pub end: usize,
}

impl Token {
    /// What is written there.
    pub fn of(self, text: &str) -> &str {
        text.get(self.start..self.end).unwrap_or_default()
    }
}

/// Cuts a text into tokens, from front to back.
#[derive(Clone)]
pub(crate) struct Scanner<'a> {
    bytes: &'a [u8],
    at: usize,
    comments: bool,
}

impl<'a> Scanner<'a> {
    /// Over the values of a text: it steps over comments, and over `#![enable(...)]` at the top.
    pub fn new(text: &'a str) -> Self {
        let mut scanner = Self { comments: false, ..Self::with_comments(text) };
        scanner.skip_attributes();
        scanner
    }

    /// Over everything that is not blank.
    pub fn with_comments(text: &'a str) -> Self {
        let at = if text.starts_with(BYTE_ORDER_MARK) { BYTE_ORDER_MARK.len_utf8() } else { 0 };
        Self { bytes: text.as_bytes(), at, comments: true }
    }

    fn byte(&self, offset: usize) -> Option<u8> {
        self.bytes.get(self.at.checked_add(offset)?).copied()
    }

    /// Steps behind the next `end`, or to the end of the text.
    fn skip_behind(&mut self, end: &[u8]) {
        let rest = self.bytes.get(self.at..).unwrap_or_default();
        self.at = rest
            .windows(end.len())
            .position(|window| window == end)
            .map_or(self.bytes.len(), |found| self.at + found + end.len());
    }

    /// Steps over whitespace, and over comments unless they are wanted.
    fn skip_blank(&mut self) {
        while let Some(byte) = self.byte(0) {
            match byte {
                b' ' | b'\t' | b'\r' | b'\n' => self.at += 1,
                _ if !self.comments && self.skip_comment().is_some() => {}
                _ => break,
            }
        }
    }

    /// Steps over a comment, if one is here, and says if it is closed.
    fn skip_comment(&mut self) -> Option<bool> {
        match (self.byte(0)?, self.byte(1)?) {
            (b'/', b'/') => {
                self.skip_behind(b"\n");
                // The end of the line is whitespace again.
                if self.bytes.get(self.at.saturating_sub(1)) == Some(&b'\n') {
                    self.at -= 1;
                }
                Some(true)
            }
            (b'/', b'*') => Some(self.skip_block_comment()),
            _ => None,
        }
    }

    /// Block comments may be nested.
    fn skip_block_comment(&mut self) -> bool {
        let mut depth = 0_usize;
        while let Some(byte) = self.byte(0) {
            match (byte, self.byte(1)) {
                (b'/', Some(b'*')) => {
                    depth += 1;
                    self.at += 2;
                }
                (b'*', Some(b'/')) => {
                    depth = depth.saturating_sub(1);
                    self.at += 2;
                    if depth == 0 {
                        return true;
                    }
                }
                _ => self.at += 1,
            }
        }
        false
    }

    /// Steps over `#![enable(...)]` at the top of a file.
    fn skip_attributes(&mut self) {
        loop {
            self.skip_blank();
            if (self.byte(0), self.byte(1)) != (Some(b'#'), Some(b'!')) {
                break;
            }
            self.skip_behind(b"]");
        }
    }

    /// Steps over a string with escapes; the quote in front is already behind.
    fn skip_string(&mut self) {
        while let Some(byte) = self.byte(0) {
            self.at += if byte == b'\\' { 2 } else { 1 };
            if byte == b'"' {
                break;
            }
        }
    }

    /// Steps over a character such as `'a'` or `'\''`; the quote in front is already behind.
    fn skip_char(&mut self) {
        if self.byte(0) == Some(b'\\') {
            self.at += 2;
        } else if self.byte(0).is_some() {
            self.at += 1;
        }
        while self.byte(0).is_some_and(|byte| byte != b'\'' && byte != b'\n') {
            self.at += 1;
        }
        if self.byte(0) == Some(b'\'') {
            self.at += 1;
        }
    }

    /// Steps over a string or character with or without a prefix, if one is here.
    fn skip_quoted(&mut self) -> bool {
        let rest = self.bytes.get(self.at..).unwrap_or_default();
        let prefix = if rest.starts_with(b"br") { 2 } else { usize::from(matches!(rest, [b'b' | b'r', ..])) };
        let raw = prefix == 2 || rest.first() == Some(&b'r');
        let hashes = if raw { rest.iter().skip(prefix).take_while(|byte| **byte == b'#').count() } else { 0 };
        match rest.get(prefix + hashes) {
            Some(b'"') => {
                self.at += prefix + hashes + 1;
                if raw {
                    let end: Vec<u8> =
                        std::iter::once(b'"').chain(std::iter::repeat_n(b'#', hashes)).collect();
                    self.skip_behind(&end);
                } else {
                    self.skip_string();
                }
                true
            }
            Some(b'\'') if !raw => {
                self.at += prefix + 1;
                self.skip_char();
                true
            }
            _ => false,
        }
    }

    fn is_word(byte: u8) -> bool {
        byte.is_ascii_alphanumeric() || matches!(byte, b'_' | b'.' | b'+' | b'-') || !byte.is_ascii()
    }
}

impl Iterator for Scanner<'_> {
    type Item = Token;

    fn next(&mut self) -> Option<Token> {
        self.skip_blank();
        let start = self.at;
        let byte = self.byte(0)?;
        let kind = match byte {
            b'(' | b'[' | b'{' => Kind::Open,
            b')' | b']' | b'}' => Kind::Close,
            b',' => Kind::Comma,
            b':' => Kind::Colon,
            b'/' if let Some(closed) = self.skip_comment() => {
                if closed {
                    Kind::Comment
                } else {
                    Kind::Other
                }
            }
            _ if self.skip_quoted() => Kind::Quoted,
            _ if Self::is_word(byte) => {
                if byte == b'r' && self.byte(1) == Some(b'#') {
                    self.at += 2;
                }
                while self.byte(0).is_some_and(Self::is_word) {
                    self.at += 1;
                }
                Kind::Word
            }
            _ => Kind::Other,
        };
        self.at = self.at.max(start + 1).min(self.bytes.len());
        Some(Token { kind, start, end: self.at })
    }
}

/// The text of a token, without the `r#` of a raw name.
pub(crate) fn word(text: &str, token: Token) -> &str {
    let word = token.of(text);
    word.strip_prefix("r#").unwrap_or(word)
}

/// The place of a byte offset, counted from 1, columns in characters.
fn position(text: &str, offset: usize) -> TextPosition {
    let before = text.get(..offset).unwrap_or(text);
    let line_start = before.rfind('\n').map_or(0, |newline| newline + 1);
    let in_line = before.get(line_start..).unwrap_or_default();
    TextPosition {
        line: 1 + before.bytes().filter(|byte| *byte == b'\n').count(),
        column: 1 + in_line.chars().filter(|c| *c != BYTE_ORDER_MARK).count(),
    }
}

/// Steps into the brackets of the value ahead, through its name and any `Some(`; `None` if it has none.
fn enter(text: &str, scanner: &mut Scanner<'_>) -> Option<()> {
    loop {
        let first = scanner.next()?;
        match first.kind {
            Kind::Open => return Some(()),
            Kind::Word => {
                if scanner.next()?.kind != Kind::Open {
                    return None;
                }
                if word(text, first) != "Some" {
                    return Some(());
                }
            }
            _ => return None,
        }
    }
}

/// Steps behind the comma that ends the value ahead; `None` if the list ends with it.
fn skip_value(scanner: &mut Scanner<'_>) -> Option<()> {
    let mut depth = 0_usize;
    loop {
        match scanner.next()?.kind {
            Kind::Open => depth += 1,
            Kind::Close => depth = depth.checked_sub(1)?,
            Kind::Comma if depth == 0 => return Some(()),
            _ => {}
        }
    }
}

/// Steps to the value that each step names within the value ahead, and goes on from there: `at` gets the step and a
/// scanner in front of the value. Of two fields of one name the first one counts, as it does for a reader.
fn follow<'a>(
    text: &str,
    mut scanner: Scanner<'a>,
    steps: &Steps<'_>,
    at: &mut dyn FnMut(&PathStep, Scanner<'a>),
) {
    let Some(last) = steps.keys().next_back() else { return };
    if enter(text, &mut scanner).is_none() {
        return;
    }
    if let PathStep::Element(last) = last {
        let mut elements = scanner.clone();
        for index in 0..=*last {
            let step = PathStep::Element(index);
            if steps.contains_key(&step) {
                at(&step, elements.clone());
            }
            if index == *last || skip_value(&mut elements).is_none() {
                break;
            }
        }
    }
    // Fields come before elements in the order of steps.
    let named = || steps.keys().take_while(|step| matches!(step, PathStep::Field(_)));
    let mut fields = named().count();
    let mut seen = BTreeSet::new();
    while fields > 0 {
        let (Some(key), Some(colon)) = (scanner.next(), scanner.next()) else { break };
        if key.kind != Kind::Word {
            break;
        }
        let name = word(text, key);
        let step = named().find(|step| matches!(step, PathStep::Field(field) if *field == name));
        if colon.kind == Kind::Colon
            && let Some(step) = step.copied()
            && seen.insert(step)
        {
            at(step, scanner.clone());
            fields -= 1;
        }
        if skip_value(&mut scanner).is_none() {
            break;
        }
    }
}

/// Steps from one value, each with the indices of the paths that take it.
type Steps<'a> = BTreeMap<&'a PathStep, Vec<usize>>;

/// Finds the deepest values on the way of the paths `members`, which are the same as far as `depth`; the scanner is in
/// front of the value that they come to there.
fn descend(
    text: &str,
    scanner: &Scanner<'_>,
    paths: &[&FieldPath],
    members: &[usize],
    depth: usize,
    deepest: &mut [usize],
) {
    let mut steps = Steps::new();
    for &member in members {
        if let Some(step) = paths.get(member).and_then(|path| path.0.get(depth)) {
            steps.entry(step).or_default().push(member);
        }
    }
    follow(text, scanner.clone(), &steps, &mut |step, ahead| {
        let members = steps.get(step).map(Vec::as_slice).unwrap_or_default();
        match ahead.clone().next() {
            Some(token) if token.kind != Kind::Close => {
                for &member in members {
                    if let Some(place) = deepest.get_mut(member) {
                        *place = token.start;
                    }
                }
            }
            _ => return,
        }
        descend(text, &ahead, paths, members, depth + 1, deepest);
    });
}

/// Where the values of `paths` stand in a RON text, or the deepest values on the way that are there.
///
/// However many paths there are, the text is read once for each step of the longest. `None` only for a text without any
/// value.
pub fn locate(text: &str, paths: &[&FieldPath]) -> Option<Vec<TextPosition>> {
    let scanner = Scanner::new(text);
    let first = scanner.clone().next()?.start;
    let mut offsets = vec![first; paths.len()];
    let members: Vec<usize> = (0..paths.len()).collect();
    descend(text, &scanner, paths, &members, 0, &mut offsets);
    Some(positions(text, &offsets))
}

/// The places of byte offsets, in their order.
fn positions(text: &str, offsets: &[usize]) -> Vec<TextPosition> {
    let mut in_order: Vec<usize> = (0..offsets.len()).collect();
    in_order.sort_by_key(|&index| offsets.get(index));
    let mut positions = vec![TextPosition { line: 1, column: 1 }; offsets.len()];
    let (mut at, mut here) = (0, TextPosition { line: 1, column: 1 });
    for index in in_order {
        let Some((&offset, position)) = offsets.get(index).zip(positions.get_mut(index)) else { continue };
        for letter in text.get(at..offset).unwrap_or_default().chars() {
            match letter {
                '\n' => here = TextPosition { line: here.line + 1, column: 1 },
                BYTE_ORDER_MARK => {}
                _ => here.column += 1,
            }
        }
        at = offset;
        *position = here;
    }
    positions
}

/// What can be told of a file's top without parsing it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Top<'a> {
    /// The name in front of the outermost bracket, and where it stands.
    pub name: Option<(&'a str, TextPosition)>,
    /// The names of the outermost fields, in order, where there is no such name.
    pub fields: Vec<&'a str>,
    /// The text of the field `format` and where it stands.
    pub format: Option<(&'a str, TextPosition)>,
}

/// Reads the name of a RON text and its `format`, or its outermost fields where it has no name, as far as it goes. A text
/// that begins with its name and its format is read no further.
pub(crate) fn top(text: &str) -> Top<'_> {
    let mut scanner = Scanner::new(text);
    let mut top = Top::default();
    if let Some(first) = scanner.clone().next()
        && first.kind == Kind::Word
    {
        top.name = Some((word(text, first), position(text, first.start)));
    }
    if enter(text, &mut scanner).is_none() {
        return top;
    }
    while let (Some(key), Some(colon)) = (scanner.next(), scanner.next()) {
        // A bracket taken for a key or a colon would leave the depth wrong: this is no struct.
        if (key.kind, colon.kind) != (Kind::Word, Kind::Colon) {
            break;
        }
        let field = word(text, key);
        if field == "format"
            && top.format.is_none()
            && let Some(value) = scanner.clone().next()
        {
            top.format = Some((word(text, value), position(text, value.start)));
        }
        if top.name.is_none() {
            top.fields.push(field);
        } else if top.format.is_some() {
            break;
        }
        if skip_value(&mut scanner).is_none() {
            break;
        }
    }
    top
}

/// What stands at a place in a text.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Found<'a> {
    /// What stands at the place or follows it, as written; empty at the end of the text.
    pub written: &'a str,
    /// Is it a string or a character in quotes?
    pub quoted: bool,
    /// Where it stands.
    pub position: Option<TextPosition>,
    /// The last field named in front of it; may be empty.
    pub field: &'a str,
}

/// Tells what stands at a place given in lines and columns.
pub(crate) fn found_at(text: &str, at: TextPosition) -> Found<'_> {
    let line_start: usize = text.split_inclusive('\n').take(at.line.saturating_sub(1)).map(str::len).sum();
    let line = text.get(line_start..).unwrap_or_default();
    let offset =
        line.char_indices().nth(at.column.saturating_sub(1)).map_or(text.len(), |(i, _)| line_start + i);
    let (mut field, mut last_word) = ("", "");
    for token in Scanner::new(text) {
        if token.end > offset {
            let written = token.of(text);
            let quoted = token.kind == Kind::Quoted;
            return Found { written, quoted, position: Some(position(text, token.start)), field };
        }
        match token.kind {
            Kind::Word => last_word = word(text, token),
            Kind::Colon => field = last_word,
            _ => {}
        }
    }
    Found { field, ..Found::default() }
}

/// A number in a text that is no finite number.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct NotFinite<'a> {
    /// As written.
    pub written: &'a str,
    /// The field it stands in.
    pub field: &'a str,
    /// Where.
    pub position: TextPosition,
}

/// Is this word read as a number that is not finite?
fn is_not_finite(word: &str) -> bool {
    let unsigned = word.trim_start_matches(['+', '-']);
    let plain = ["f32", "f64"].iter().find_map(|end| unsigned.strip_suffix(end)).unwrap_or(unsigned);
    // Only what begins like a number or is spelt exactly so: `f64::from_str` would take "Infinity", too.
    matches!(plain, "inf" | "NaN")
        || (plain.starts_with(|c: char| c.is_ascii_digit() || c == '.')
            && plain.parse::<f64>().is_ok_and(|number| !number.is_finite()))
}

/// Might a text hold a word that [`is_not_finite`]? One that is spelt so, a number with an exponent, or one of more than
/// 308 digits. Most texts hold none of them, which is soon seen.
fn may_be_not_finite(text: &str) -> bool {
    /// A row of 309 digits has so many in any division of the text into pieces of that length.
    const PIECE: usize = 128;
    let is_exponent = |pair: &[u8]| matches!(pair, [b'0'..=b'9' | b'.', b'e' | b'E']);
    text.contains("inf")
        || text.contains("NaN")
        || text.as_bytes().windows(2).any(is_exponent)
        || text.as_bytes().chunks(PIECE).any(|piece| piece.iter().all(u8::is_ascii_digit))
}

/// The first number of a RON text that is no finite number.
pub(crate) fn not_finite(text: &str) -> Option<NotFinite<'_>> {
    if !may_be_not_finite(text) {
        return None;
    }
    let (mut field, mut last_word) = ("", "");
    for token in Scanner::new(text) {
        match token.kind {
            Kind::Word => {
                last_word = word(text, token);
                if is_not_finite(last_word) {
                    return Some(NotFinite {
                        written: last_word,
                        field,
                        position: position(text, token.start),
                    });
                }
            }
            Kind::Colon => field = last_word,
            _ => {}
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const TEXT: &str = r##"#![enable(implicit_some)]
/* a /* nested */ comment: ( */
EngineRecord(
    format: 2, // remark (
    engine: (model: "A \" ) b", serial: r#"x"y)"#),
    mark: '(',
    overhauls: [
        (date: "2024-05-01"),
        Some((
            cylinders: [(position: "1"), (position: "é", serial: "K", fits: ["a", "b"])],
            limits: Some(At("5.130")),
            travel: ("1.0", "4.0"),
        )),
    ],
)
"##;

    fn one(text: &str, path: &FieldPath) -> Option<TextPosition> {
        locate(text, &[path]).and_then(|found| found.first().copied())
    }

    fn at(path: &[PathStep]) -> (usize, usize) {
        let found = one(TEXT, &FieldPath(path.to_vec())).unwrap();
        (found.line, found.column)
    }

    #[test]
    fn a_path_leads_to_its_value() {
        use PathStep::{Element as E, Field as F};
        assert_eq!(at(&[]), (3, 1));
        assert_eq!(at(&[F("format")]), (4, 13));
        assert_eq!(at(&[F("engine"), F("serial")]), (5, 41));
        assert_eq!(at(&[F("overhauls"), E(0), F("date")]), (8, 16));
        assert_eq!(at(&[F("overhauls"), E(1)]), (9, 9));
        let cylinder = [F("overhauls"), E(1), F("cylinders"), E(1)];
        assert_eq!(at(&cylinder), (10, 42));
        // Columns count characters: the é in front is one.
        assert_eq!(at(&[&cylinder[..], &[F("serial")]].concat()), (10, 66));
        assert_eq!(at(&[&cylinder[..], &[F("fits"), E(1)]].concat()), (10, 83));
        assert_eq!(at(&[F("overhauls"), E(1), F("travel"), E(1)]), (12, 29));
    }

    #[test]
    fn a_value_that_is_not_there_falls_back_to_what_holds_it() {
        use PathStep::{Element as E, Field as F};
        assert_eq!(at(&[F("tables"), E(0)]), (3, 1));
        assert_eq!(at(&[F("engine"), F("owner")]), (5, 13));
        assert_eq!(at(&[F("overhauls"), E(7), F("date")]), (7, 16));
        assert_eq!(one("", &FieldPath::default()), None);
        assert_eq!(one(" // only a remark", &FieldPath::default()), None);
        let unfinished = one("(a: [(b: 1), (b:", &FieldPath(vec![F("a"), E(1), F("b")])).unwrap();
        assert_eq!((unfinished.line, unfinished.column), (1, 14));
    }

    /// Each is found as it is found alone, in whatever order they are asked for.
    #[test]
    fn many_paths_are_found_together() {
        use PathStep::{Element as E, Field as F};
        let paths: Vec<FieldPath> = [
            vec![F("overhauls"), E(1), F("travel"), E(1)],
            vec![F("engine"), F("serial")],
            vec![F("overhauls"), E(1), F("cylinders"), E(1), F("fits"), E(1)],
            vec![F("overhauls"), E(1), F("cylinders"), E(1)],
            vec![F("overhauls"), E(1), F("cylinders"), E(9), F("fits")],
            vec![F("overhauls"), E(0), F("date")],
            vec![F("overhauls"), F("date")],
            vec![F("tables"), E(0)],
            vec![E(0), F("format")],
            vec![F("engine"), F("serial")],
            vec![],
        ]
        .map(FieldPath)
        .into();
        let alone: Vec<_> = paths.iter().filter_map(|path| one(TEXT, path)).collect();
        assert_eq!(locate(TEXT, &paths.iter().collect::<Vec<_>>()), Some(alone.clone()));
        let backwards: Vec<_> = paths.iter().rev().collect();
        assert_eq!(locate(TEXT, &backwards), Some(alone.into_iter().rev().collect()));
    }

    /// 100,000 places in a text of 2 MB; found one by one from the front they would take hours.
    #[test]
    fn a_hundred_thousand_places_are_found_in_one_pass() {
        let text = format!("(a: [{}])", "(b: \"x\", c: \"y\"),\n".repeat(100_000));
        let path = |i| FieldPath(vec![PathStep::Field("a"), PathStep::Element(i), PathStep::Field("c")]);
        let paths: Vec<FieldPath> = (0..100_000).map(path).collect();
        let begun = std::time::Instant::now();
        let found = locate(&text, &paths.iter().collect::<Vec<_>>()).unwrap();
        assert!(begun.elapsed().as_secs() < 30);
        assert_eq!(found[1], TextPosition { line: 2, column: 13 });
        assert_eq!(found[99_999], TextPosition { line: 100_000, column: 13 });
    }

    #[test]
    fn a_byte_order_mark_is_not_counted() {
        let found = one("\u{feff}(a: 1)", &FieldPath(vec![PathStep::Field("a")])).unwrap();
        assert_eq!((found.line, found.column), (1, 5));
    }

    #[test]
    fn a_text_is_looked_through_wherever_a_number_might_not_be_finite() {
        let digits = "9".repeat(309);
        let long = format!("{}.{digits}", "0".repeat(100));
        for word in ["inf", "-inf", "+NaN", "inff64", "1e999", "2.E400f32", "-.1e309", &digits, &long] {
            for blanks in 0..130 {
                let text = format!("(a: \"x\",{}b: {word})", " ".repeat(blanks));
                assert!(!is_not_finite(word) || may_be_not_finite(&text), "{word}");
                assert_eq!(not_finite(&text).is_some(), is_not_finite(word), "{word}");
            }
        }
        assert!(is_not_finite(&digits) && is_not_finite("1e999") && is_not_finite("2.E400f32"));
        assert!(!may_be_not_finite("(format: 2, total_hours: 1412.6, entered: [\"-36\", \"+0.0021\"])"));
    }

    #[test]
    fn the_top_tells_name_and_fields() {
        let found = top(TEXT);
        assert_eq!(found.name.map(|(name, _)| name), Some("EngineRecord"));
        assert_eq!(found.fields, Vec::<&str>::new(), "the name tells enough");
        assert_eq!(found.format, Some(("2", TextPosition { line: 4, column: 13 })));
        assert_eq!(top("(bore: [1, 2], axes: x)").fields, ["bore", "axes"]);
        assert_eq!(top("(\"no struct\")").fields, Vec::<&str>::new());
        assert_eq!(top(""), Top::default());
    }

    #[test]
    fn a_place_tells_what_stands_there() {
        let found = found_at(TEXT, TextPosition { line: 4, column: 12 });
        assert_eq!((found.written, found.quoted, found.field), ("2", false, "format"));
        let found = found_at(TEXT, TextPosition { line: 10, column: 66 });
        assert_eq!((found.written, found.quoted, found.field), ("\"K\"", true, "serial"));
        // Within a string it is the string.
        assert_eq!(found_at(TEXT, TextPosition { line: 10, column: 67 }), found);
        assert_eq!(found_at(TEXT, TextPosition { line: 90, column: 1 }).position, None);
    }

    #[test]
    fn a_number_that_is_not_finite_is_found_with_its_field() {
        let found = not_finite("(a: \"inf\", b: [1.0, // NaN\n -inf])").unwrap();
        assert_eq!((found.written, found.field, found.position.line), ("-inf", "b", 2));
        for word in ["inf", "NaN", "+inf", "NaNf32", "inff64", "1e999", "-1e999"] {
            assert!(not_finite(&format!("(a: {word})")).is_some(), "{word}");
        }
        for word in ["1e9", "info", "nanometre", "\"NaN\"", "Infinity", "12.5"] {
            assert_eq!(not_finite(&format!("(a: {word})")), None, "{word}");
        }
    }

    #[test]
    fn deep_and_long_texts_take_no_stack_and_little_time() {
        let path = FieldPath(vec![PathStep::Element(0); 50]);
        for text in ["(".repeat(2_000_000), "[(/*\"".repeat(400_000), "r#\"".repeat(400_000)] {
            one(&text, &path);
            top(&text);
            not_finite(&text);
        }
    }

    proptest! {
        #[test]
        fn any_text_is_safe(text in "\\PC{0,60}|[\\[\\]{}()a:,\"'r#b/*\\\\\n !é]{0,200}", steps in 0_usize..6) {
            let path = FieldPath((0..steps).map(|i| if i % 2 == 0 { PathStep::Field("a") } else { PathStep::Element(i) }).collect());
            if let Some(found) = one(&text, &path) {
                prop_assert!(found.line >= 1 && found.column >= 1);
                prop_assert!(found.line <= 1 + text.matches('\n').count());
            }
            top(&text);
            not_finite(&text);
        }

        #[test]
        fn any_bytes_are_safe(bytes in proptest::collection::vec(any::<u8>(), 0..200)) {
            let text = String::from_utf8_lossy(&bytes);
            one(&text, &FieldPath(vec![PathStep::Field("a"), PathStep::Element(1)]));
        }
    }
}
