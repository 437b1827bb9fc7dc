//! The program's own files: reading one safely, telling which kind it is, and writing it.
//!
//! A file is RON, in UTF-8, with the name of its kind at its top, such as `EngineRecord(`; the name may be left out
//! ([`crate::kind`]). How RON is read and written is settled here and nowhere else. Nothing that a file holds may panic, hang
//! or pass unseen: what is refused is told with its line and column and with what to do.
//!
//! `format` is read first. A newer format is refused whole, and so is one that no released program wrote; an older one is
//! read by frozen structs and turned into the current one ([`Document::from_format`]).

use std::fs;
use std::io::{self, Read as _};
use std::ops::RangeInclusive;
use std::path::Path;

use ron::error::{Error as RonError, SpannedError};
use ron::extensions::Extensions;
use serde::Serialize;
use serde::de::DeserializeOwned;

use crate::diag::{Diagnostic, FieldPath, TextPosition, WithDiagnostics, likely_intended};
use crate::disk::{self, Digest, Fingerprint};
use crate::kind::{self, Kind};
use crate::limits::schema::TableOfLimits;
use crate::record::schema::EngineRecord;
use crate::text_position::{self, BYTE_ORDER_MARK, Found};

/// The largest file that is read, in bytes: 100 MiB, a thousand times what a long-lived engine needs.
pub const LARGEST: u64 = 100 * 1024 * 1024;

/// How deep brackets may be nested; the deepest place of a record needs a quarter of it.
const DEEPEST: usize = 96;

/// What can be read from a file of its own, and written to one.
pub trait Document: Serialize + DeserializeOwned {
    /// The kind of document.
    const KIND: &'static Kind;

    /// Reads a text of the format named, one of those that its kind names. Whoever raises the format freezes the old
    /// structs and turns them into the new ones here.
    ///
    /// # Errors
    /// What the parser refuses.
    fn from_format(_format: u32, text: &str) -> Result<WithDiagnostics<Self>, SpannedError> {
        Ok(WithDiagnostics { value: parse(text)?, diagnostics: Vec::new() })
    }

    /// The documents within that have a format of their own: what stands there, their kind, and the way to it.
    fn formats_within(&self) -> Vec<(u32, &'static Kind, FieldPath)> {
        Vec::new()
    }
}

/// How RON is read and written: an optional value without `Some(...)`, and a bound on nesting.
fn options() -> ron::Options {
    ron::Options::default().with_default_extension(Extensions::IMPLICIT_SOME).with_recursion_limit(DEEPEST)
}

/// Reads a text as RON, without a word on what may be wrong with it.
///
/// # Errors
/// What the parser refuses.
pub fn parse<T: DeserializeOwned>(text: &str) -> Result<T, SpannedError> {
    options().from_str(text)
}

/// Writes a document as the text of its file, with the name at the top and a newline at the end. The comments of a file
/// that it takes the place of are put in by [`crate::comments::carry`].
///
/// # Errors
/// If it cannot be written as RON.
pub fn to_ron<D: Document>(document: &D) -> Result<String, Diagnostic> {
    let pretty = ron::ser::PrettyConfig::new().new_line("\n").indentor("    ");
    let body = options().to_string_pretty(document, pretty).map_err(|error| {
        Diagnostic::error(format!("{} cannot be written as text: {error}.", D::KIND.words))
    })?;
    Ok(format!("{}{body}\n", D::KIND.name()))
}

/// Reads a table of limits from a file.
pub fn load_limits(path: &Path) -> WithDiagnostics<Option<TableOfLimits>> {
    load(path)
}

/// Reads an engine record from a file.
pub fn load_record(path: &Path) -> WithDiagnostics<Option<EngineRecord>> {
    load(path)
}

/// Reads a table of limits from a text; `file` is the file it came from, for the diagnostics.
pub fn limits_from_text(text: &str, file: Option<&Path>) -> WithDiagnostics<Option<TableOfLimits>> {
    from_text(text, file)
}

/// Reads an engine record from a text; `file` is the file it came from, for the diagnostics.
pub fn record_from_text(text: &str, file: Option<&Path>) -> WithDiagnostics<Option<EngineRecord>> {
    from_text(text, file)
}

/// Reads a document from a file.
pub fn load<D: Document>(path: &Path) -> WithDiagnostics<Option<D>> {
    match read_text(path) {
        Ok(text) => from_text(&text, Some(path)),
        Err(diagnostic) => WithDiagnostics { value: None, diagnostics: vec![diagnostic] },
    }
}

/// Reads a document from a text; `file` is the file it came from, for the diagnostics.
pub fn from_text<D: Document>(text: &str, file: Option<&Path>) -> WithDiagnostics<Option<D>> {
    // The mark is no part of the text, and the parser counts it as a column.
    let text = text.strip_prefix(BYTE_ORDER_MARK).unwrap_or(text);
    let (value, mut diagnostics) = match read(text) {
        Ok(WithDiagnostics { value, diagnostics }) => (Some(value), diagnostics),
        Err(diagnostic) => (None, vec![diagnostic]),
    };
    place(&mut diagnostics, text, file);
    WithDiagnostics { value, diagnostics }
}

/// Gives diagnostics their file, and their line and column where they have none yet.
pub fn place(diagnostics: &mut [Diagnostic], text: &str, file: Option<&Path>) {
    let unplaced = |d: &Diagnostic| d.position.is_none() && !d.path.0.is_empty();
    let paths: Vec<&FieldPath> = diagnostics.iter().filter(|d| unplaced(d)).map(|d| &d.path).collect();
    let found = if paths.is_empty() { None } else { text_position::locate(text, &paths) };
    let mut found = found.unwrap_or_default().into_iter();
    for diagnostic in diagnostics {
        if unplaced(diagnostic) {
            diagnostic.position = found.next();
        }
        if diagnostic.file.is_none() {
            diagnostic.file = file.map(Path::to_owned);
        }
    }
}

/// Reads a file's text, without its byte-order mark.
///
/// # Errors
/// If it cannot be opened, is no ordinary file, is larger than [`LARGEST`], or is not UTF-8.
pub fn read_text(path: &Path) -> Result<String, Diagnostic> {
    text_in(read_bytes(path, LARGEST)?.0, path)
}

/// As [`read_text`], with the fingerprint of the very bytes that were read, for whoever writes the file again.
///
/// # Errors
/// As for [`read_text`].
pub fn read_to_change(path: &Path) -> Result<(String, Fingerprint), Diagnostic> {
    let (bytes, about) = read_bytes(path, LARGEST)?;
    let print = Fingerprint::new(Digest::of(&bytes), &about);
    Ok((text_in(bytes, path)?, print))
}

/// Opens a file that is to be read, and tells what the file system says of it. Whatever is no regular file is refused and
/// never waited for: a pipe may never be written to, and a device never end.
///
/// # Errors
/// If it cannot be opened, or is no regular file.
pub fn open(path: &Path) -> Result<(fs::File, fs::Metadata), Diagnostic> {
    let refused = |error: io::Error| cannot_be_read(&error).in_file(path);
    // Asked before it is opened, to say what it is.
    let about = fs::metadata(path).map_err(refused)?;
    if !about.is_file() {
        return Err(Diagnostic::error(format!("This is {}, not a file.", disk::kind_in_words(&about)))
            .remedy("Give the name of a file; save what comes from elsewhere as a file first.")
            .in_file(path));
    }
    let file = disk::open_regular(path).map_err(refused)?;
    let about = file.metadata().map_err(refused)?;
    Ok((file, about))
}

/// Reads a whole file, and tells what the file system said of it before it was read.
///
/// # Errors
/// As for [`open`], and if it has more than `most` bytes.
pub fn read_bytes(path: &Path, most: u64) -> Result<(Vec<u8>, fs::Metadata), Diagnostic> {
    let (file, about) = open(path)?;
    if about.len() > most {
        return Err(too_large(about.len(), most).in_file(path));
    }
    let mut bytes = Vec::new();
    // A file may grow while it is read.
    file.take(most.saturating_add(1))
        .read_to_end(&mut bytes)
        .map_err(|error| cannot_be_read(&error).in_file(path))?;
    if bytes.len() as u64 > most {
        return Err(too_large(bytes.len() as u64, most).in_file(path));
    }
    Ok((bytes, about))
}

fn text_in(bytes: Vec<u8>, path: &Path) -> Result<String, Diagnostic> {
    let text = text_of(bytes).map_err(|diagnostic| diagnostic.in_file(path))?;
    Ok(text.strip_prefix(BYTE_ORDER_MARK).map(str::to_owned).unwrap_or(text))
}

fn cannot_be_read(error: &io::Error) -> Diagnostic {
    match error.kind() {
        io::ErrorKind::NotFound => Diagnostic::error("There is no such file.")
            .remedy("Check the name and the folder; names may differ in capital letters."),
        io::ErrorKind::PermissionDenied => Diagnostic::error("You are not allowed to read this file.")
            .remedy("Ask its owner for the permission, or read a copy of it."),
        _ => Diagnostic::error(format!("This file cannot be read: {error}."))
            .remedy("Check that the disk or the network drive is there, and read it again."),
    }
}

fn too_large(bytes: u64, most: u64) -> Diagnostic {
    let mib = |bytes: u64| bytes.div_ceil(1024 * 1024);
    Diagnostic::error(format!(
        "This file has {} MiB; the largest of its kind that is read has {} MiB.",
        mib(bytes),
        mib(most)
    ))
    .remedy("It is hardly the file that is meant: check the name.")
}

/// Why bytes at the beginning of a file are no text that is read here.
pub(crate) fn no_text(bytes: &[u8]) -> Option<Diagnostic> {
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        return Some(
            Diagnostic::error("This file is written in UTF-16.")
                .remedy("Open it in a text editor and save it as UTF-8."),
        );
    }
    bytes.iter().position(|byte| *byte == 0).map(|at| {
        let line = line_of(bytes, at);
        Diagnostic::error(format!("This is no text file: line {line} holds what no text has.")).remedy(
            "Give a record, a table of limits or a table of readings; all are text files. If it is one, take it from a \
             copy.",
        )
    })
}

/// Turns bytes into a text, or says at which byte they are none.
fn text_of(bytes: Vec<u8>) -> Result<String, Diagnostic> {
    if let Some(refused) = no_text(&bytes) {
        return Err(refused);
    }
    String::from_utf8(bytes).map_err(|error| {
        let valid = error.utf8_error().valid_up_to();
        let before = error.as_bytes().get(..valid).unwrap_or_default();
        let line = line_of(before, valid);
        let in_line = before.rsplit(|byte| *byte == b'\n').next().unwrap_or_default();
        let column = 1 + String::from_utf8_lossy(in_line).chars().count();
        Diagnostic::error(format!(
            "This file is not written in UTF-8: the letter at column {column} of line {line} cannot be read."
        ))
        .remedy("Open it in a text editor and save it as UTF-8.")
        .on(Some(TextPosition { line, column }))
    })
}

/// The line that a byte stands on, counted from 1.
fn line_of(bytes: &[u8], at: usize) -> usize {
    1 + bytes.iter().take(at).filter(|byte| **byte == b'\n').count()
}

fn read<D: Document>(text: &str) -> Result<WithDiagnostics<D>, Diagnostic> {
    if text.len() as u64 > LARGEST {
        return Err(too_large(text.len() as u64, LARGEST));
    }
    if text.trim().is_empty() {
        return Err(Diagnostic::error("This file is empty.")
            .remedy(format!("Give the name of a file that holds {}.", D::KIND.words)));
    }
    let top = text_position::top(text);
    let found = kind::of_top(&top, Some(D::KIND));
    if let Some(other) = found.or_else(|| kind::of_table(text)).and_then(|kind| kind.instead_of(D::KIND)) {
        return Err(other);
    }
    if let (None, Some(name)) = (found, top.name) {
        return Err(kind::unknown_name(name, D::KIND));
    }
    let (oldest, newest) = D::KIND.formats();
    let format = match top.format {
        Some((written, position)) => {
            known_format(written, oldest..=newest).map_err(|diagnostic| diagnostic.on(Some(position)))?
        }
        None => newest,
    };
    let reported = D::from_format(format, text).map_err(|error| match error.code {
        RonError::MissingStructField { field: "format", .. } if top.format.is_none() => {
            missing_format(newest)
        }
        _ => explain(&error, text),
    })?;
    if let Some(number) = text_position::not_finite(text) {
        return Err(Diagnostic::error(format!(
            "`{}` is not a number that can be worked with.",
            number.written
        ))
        .place(format!("`{}`", number.field))
        .remedy("Write a finite number, or leave the field out.")
        .on(Some(number.position)));
    }
    for (format, kind, path) in reported.value.formats_within() {
        let (oldest, newest) = kind.formats();
        known_format(&format.to_string(), oldest..=newest).map_err(|diagnostic| diagnostic.at(path))?;
    }
    Ok(reported)
}

fn missing_format(newest: u32) -> Diagnostic {
    Diagnostic::error("`format` is missing: it is unclear how this file is to be read.")
        .remedy(format!("Write `format: {newest},` as its first field."))
}

/// The number of a format that can be read.
fn known_format(written: &str, known: RangeInclusive<u32>) -> Result<u32, Diagnostic> {
    let newest = *known.end();
    let write = || format!("Write `format: {newest}` and what belongs to it.");
    match written.parse::<u64>() {
        Ok(format) if format < u64::from(*known.start()) => {
            Err(Diagnostic::error(format!("No Borewright that was released wrote format {format}: nothing was read."))
                .remedy(write()))
        }
        Ok(format) if format > u64::from(newest) => Err(Diagnostic::error(format!(
            "Written by a newer Borewright (format {format}; this one reads up to {newest}): nothing was read."
        ))
        .remedy("Use the newer program.")),
        Ok(format) => Ok(u32::try_from(format).unwrap_or(newest)),
        Err(_) => Err(Diagnostic::error(format!("`{written}` is no format: it is a whole number."))
            .remedy(write())),
    }
}

/// Names in backquotes, with commas.
fn listed(names: &[&str]) -> String {
    names.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ")
}

/// What to write instead of an unknown name.
fn known_names(found: &str, known: &[&'static str]) -> String {
    match likely_intended(found, known.iter().copied()) {
        Some(intended) => format!("Write `{intended}` if that is meant; known here: {}.", listed(known)),
        None => format!("Known here: {}.", listed(known)),
    }
}

/// Turns an error of the parser into one that a person can act on.
fn explain(error: &SpannedError, text: &str) -> Diagnostic {
    let mut start = TextPosition { line: error.span.start.line, column: error.span.start.col };
    if error.code == RonError::UnclosedBlockComment {
        // The parser is already behind the two characters that open it.
        start.column = start.column.saturating_sub(2).max(1);
    }
    let found = text_position::found_at(text, start);
    let (message, remedy) = in_words(&error.code, &found, text);
    let names_its_field = matches!(
        error.code,
        RonError::NoSuchStructField { .. }
            | RonError::MissingStructField { .. }
            | RonError::DuplicateStructField { .. }
            | RonError::TrailingCharacters
    );
    let place = if names_its_field || found.field.is_empty() || found.position.is_none() {
        String::new()
    } else {
        format!("`{}`", found.field)
    };
    Diagnostic::error(message).remedy(remedy).place(place).on(found.position.or(Some(start)))
}

/// Is the text at the place a bare number?
fn is_number(found: &Found<'_>) -> bool {
    !found.quoted && found.written.parse::<f64>().is_ok()
}

/// A name of the program's own in plain words, `out of round row` for `OutOfRoundRow`; as it is where the file itself has
/// it.
fn plain_name(name: &str, text: &str) -> String {
    if text.contains(&format!("{name}(")) {
        return format!("`{name}`");
    }
    let mut words = String::from("the");
    for letter in name.chars() {
        if letter.is_uppercase() {
            words.push(' ');
        }
        words.extend(letter.to_lowercase());
    }
    words
}

/// What the reader of a field expects, in plain words. Fields of the program's own kinds say it themselves.
fn plain_expected(expected: &str) -> &str {
    match expected {
        "a string" | "string" | "a character" => "a text in quotes",
        "a boolean" => "`true` or `false`",
        "a sequence" => "a list in square brackets",
        "f64" | "f32" | "a float" => "a number without quotes, such as 12.5",
        "u8" | "u16" | "u32" | "u64" | "usize" | "i8" | "i16" | "i32" | "i64" => {
            "a whole number without quotes"
        }
        _ if ["struct", "tuple", "map", "enum"].iter().any(|word| expected.contains(word)) => {
            "fields in brackets, as a file that can be read has them"
        }
        _ => expected,
    }
}

/// The message and the remedy for an error of the parser.
fn in_words(code: &RonError, found: &Found<'_>, text: &str) -> (String, String) {
    use RonError as E;
    let written = found.written;
    let at_end = found.position.is_none();
    let what = |word: &str, outer: &Option<String>| {
        outer.as_ref().map(|name| format!(" {word} {}", plain_name(name, text))).unwrap_or_default()
    };
    let of = |outer: &Option<String>| what("of", outer);
    match code {
        E::ExpectedStringEnd => (
            "A quote that opens here is never closed.".into(),
            "Put a quote behind the text; write a quote within it as \\\".".into(),
        ),
        E::UnclosedBlockComment => (
            "A comment that opens with /* is never closed.".into(),
            "Close it with */, or begin each of its lines with //.".into(),
        ),
        E::ExceededRecursionLimit => (
            "Brackets are nested too deeply here.".into(),
            "No file of this program nests so deeply: check that it is the right one, and undamaged.".into(),
        ),
        _ if matches!(code, E::Eof) || (at_end && !matches!(code, E::MissingStructField { .. })) => (
            "The file ends too early.".into(),
            "Something behind its last line is missing: close every bracket, or take the file from a copy."
                .into(),
        ),
        E::ExpectedString | E::InvalidValueForType { .. } if is_number(found) => (
            format!("The number `{written}` is written without quotes."),
            format!("Write it in quotes so that every digit is kept: \"{written}\"."),
        ),
        E::ExpectedString => (
            format!("A text in quotes is expected here, not `{written}`."),
            format!("Write it in quotes: \"{}\".", written.trim_matches('\'')),
        ),
        E::InvalidValueForType { expected, .. } => {
            (format!("`{written}` does not fit here."), format!("Write {}.", plain_expected(expected)))
        }
        E::NoSuchStructField { expected, found: name, outer } => {
            (format!("There is no field `{name}`{}.", what("in", outer)), known_names(name, expected))
        }
        E::NoSuchEnumVariant { expected, found: name, .. } => {
            (format!("`{name}` is not known here."), known_names(name, expected))
        }
        E::MissingStructField { field, outer } => (
            format!("The field `{field}`{} is missing.", of(outer)),
            format!("Write `{field}: ...` before the bracket that closes here."),
        ),
        E::DuplicateStructField { field, outer } => {
            (format!("The field `{field}`{} is given twice.", of(outer)), "Keep only one of them.".into())
        }
        E::ExpectedDifferentStructName { found: name, .. } => (
            format!("`{name}` is not what belongs here."),
            "Leave the name in front of the bracket out.".into(),
        ),
        E::ExpectedStructLike | E::ExpectedNamedStructLike(_) => (
            format!("An opening bracket is expected here, not `{written}`."),
            "Write two values as (\"5.125\", \"5.127\"), or fields as (name: \"A\", depth: \"1.0\").".into(),
        ),
        E::ExpectedIdentifier => (
            format!("A name without quotes is expected here, not `{written}`."),
            "Write it like HeadEnd; a limit needs its kind in front, such as At(\"5.130\").".into(),
        ),
        E::ExpectedInteger | E::IntegerOutOfBounds | E::InvalidIntegerDigit { .. } => (
            format!("A whole number is expected here, not `{written}`."),
            "Write it without quotes, without a sign and without decimals.".into(),
        ),
        E::ExpectedFloat | E::FloatUnderscore | E::UnderscoreAtBeginning => (
            format!("A number is expected here, not `{written}`."),
            "Write it without quotes, such as 12.5.".into(),
        ),
        E::ExpectedBoolean => {
            (format!("`true` or `false` is expected here, not `{written}`."), "Write one of the two.".into())
        }
        E::ExpectedComma => (
            format!("A comma is missing before `{written}`."),
            "Put a comma between two values and between two fields.".into(),
        ),
        E::ExpectedMapColon => (
            format!("A colon is missing before `{written}`."),
            "Put a colon between a field's name and its value.".into(),
        ),
        E::ExpectedArray => (
            format!("An opening square bracket is expected here, not `{written}`."),
            "Write a list in square brackets, with commas between its elements.".into(),
        ),
        E::ExpectedArrayEnd | E::ExpectedStructLikeEnd | E::ExpectedOptionEnd | E::ExpectedMapEnd => (
            format!("A closing bracket is expected here, not `{written}`."),
            "Close the bracket, put a comma in front, or delete what is too many.".into(),
        ),
        E::ExpectedDifferentLength { expected, found: count } => {
            let digits = |c: char| !c.is_ascii_digit();
            let number = expected.split(digits).find(|part| !part.is_empty());
            let is = if *count == 1 { "is 1 value".to_owned() } else { format!("are {count} values") };
            (
                format!("There {is} here, not {}.", number.unwrap_or("as many as belong here")),
                "Write exactly as many as belong here, with commas between them.".into(),
            )
        }
        E::TrailingCharacters => (
            "Something follows behind the bracket that closes the file.".into(),
            "A file holds one record or one table: delete the rest, or put it into a file of its own.".into(),
        ),
        E::InvalidEscape(_) => (
            "A backslash in this text stands before a character that it cannot escape.".into(),
            "Write a backslash as \\\\.".into(),
        ),
        // The only texts that refuse themselves are dates.
        E::Message(_) if found.quoted => (
            format!("{written} is not a date."),
            "Write a day that exists, as year-month-day, such as \"2024-02-29\".".into(),
        ),
        _ => (
            format!("`{written}` cannot be read here."),
            "Something is missing in front of it, or it is too much: compare the place with a file that can be read."
                .into(),
        ),
    }
}

#[cfg(test)]
mod tests;
