//! The canonical form of what is signed: the same bytes however the file is laid out, and their digest.
//!
//! # Form 1, to be recomputed by anybody
//! What is signed is taken apart into *leaves*, each a path and a text:
//!
//! - A field adds `.name` to the path, an element of a list `[i]`, counted from 0; fields are called as in the
//!   file. A variant that holds something is a field of its own name, as `serviceable.At`.
//! - A text is itself, as typed. A whole number is written in decimal digits. Any other number is written as
//!   the shortest decimal that reads back as the same double, without an exponent. `true` and `false` are those
//!   words, a day is `2024-02-29`, a variant that holds nothing is its name.
//! - A list also gives the leaf `path[]`: how many elements it has.
//! - What is left out of the file gives no leaf: an optional value that is not there, an empty text or list
//!   that the program leaves out when it writes. Every other field is a leaf, though it stands in no file
//!   because it has its usual value (`overhaul.unit`, `table.datum`, a cylinder's `size` and the like).
//!
//! The leaves of an overhaul begin with `engine.` (only `engine.model` and `engine.serial`), `overhaul.` (all of
//! it but its `seal`) and `table.` (the whole table of limits that it is judged by, but its `format`). The bytes
//! are, in UTF-8:
//!
//! ```text
//! borewright seal 1 LF
//! path TAB bytes-of-the-text TAB text LF          for every leaf, sorted by the bytes of its path
//! ```
//!
//! with single TABs and LFs and no other blanks; the count of bytes is decimal. A digest is the SHA-256 of such
//! bytes (FIPS 180-4) in lower-case hexadecimal digits.
//!
//! A field that is added to the record or to the table later must be left out at its usual value, so that
//! seals made before it still hold.

use std::collections::BTreeMap;

use serde::Serialize;
use serde_json::Value;

use records::disk::Digest;
use records::record::resolve;
use records::record::schema::{Amendment, EngineRecord, Overhaul, Seal};

/// The number of the canonical form written here.
pub const FORM: u32 = 1;

/// What is signed, taken apart: a path for each text.
pub type Leaves = BTreeMap<String, String>;

/// What is signed of an overhaul; none if there is no such overhaul.
pub fn content(record: &EngineRecord, overhaul: usize) -> Option<Leaves> {
    let written = record.overhauls.get(overhaul)?;
    let mut leaves = Leaves::new();
    leaves.insert("engine.model".to_owned(), record.engine.model.clone());
    leaves.insert("engine.serial".to_owned(), record.engine.serial.clone());
    take_apart("overhaul", &Overhaul { seal: None, ..written.clone() }, &mut leaves);
    if let Some((_, table)) = resolve::table_of(record, written) {
        take_apart("table", table, &mut leaves);
        // The number of a file's layout is the program's, and is raised without anything being changed.
        leaves.remove("table.format");
    }
    Some(leaves)
}

/// Takes anything that can be written to a file apart.
fn take_apart(path: &str, value: &impl Serialize, leaves: &mut Leaves) {
    // Nothing in a record has keys that are no texts, which is all that could fail.
    if let Ok(value) = serde_json::to_value(value) {
        flatten(path, &value, leaves);
    }
}

fn flatten(path: &str, value: &Value, leaves: &mut Leaves) {
    let text = match value {
        Value::Null => return,
        Value::Bool(value) => value.to_string(),
        Value::Number(number) => number_text(number),
        Value::String(text) => text.clone(),
        Value::Array(elements) => {
            leaves.insert(format!("{path}[]"), elements.len().to_string());
            for (i, element) in elements.iter().enumerate() {
                flatten(&format!("{path}[{i}]"), element, leaves);
            }
            return;
        }
        Value::Object(fields) => {
            for (name, field) in fields {
                flatten(&format!("{path}.{name}"), field, leaves);
            }
            return;
        }
    };
    leaves.insert(path.to_owned(), text);
}

fn number_text(number: &serde_json::Number) -> String {
    match (number.as_u64(), number.as_i64(), number.as_f64()) {
        (Some(whole), ..) => whole.to_string(),
        (_, Some(whole), _) => whole.to_string(),
        // The shortest decimal that reads back as the same, and never an exponent.
        (_, _, Some(number)) => number.to_string(),
        _ => number.to_string(),
    }
}

/// The bytes that a digest is of.
pub fn bytes(leaves: &Leaves) -> Vec<u8> {
    let mut text = format!("borewright seal {FORM}\n");
    for (path, value) in leaves {
        text.push_str(&format!("{path}\t{}\t{value}\n", value.len()));
    }
    text.into_bytes()
}

/// SHA-256 in hexadecimal digits.
pub fn digest(bytes: &[u8]) -> String {
    Digest::of(bytes).to_string()
}

/// The digest of what was signed and of the signature itself.
///
/// Its leaves are the content and those of the seal, beginning with `seal.`, without its digest and without
/// what came after it.
pub fn seal_digest(content: &Leaves, seal: &Seal) -> String {
    let mut leaves = content.clone();
    let bare = Seal { digest: String::new(), amendments: Vec::new(), open: None, ..seal.clone() };
    take_apart("seal", &bare, &mut leaves);
    digest(&bytes(&leaves))
}

/// The digest of an amendment: of its leaves, beginning with `amendment.`, without its own digest, and of
/// `amendment.previous`, the digest before it.
pub fn amendment_digest(previous: &str, amendment: &Amendment) -> String {
    let mut leaves = Leaves::new();
    let bare = Amendment { digest: String::new(), ..amendment.clone() };
    take_apart("amendment", &bare, &mut leaves);
    leaves.insert("amendment.previous".to_owned(), previous.to_owned());
    digest(&bytes(&leaves))
}

/// The part of the content that a path is in: a cylinder, the engine, the table, or else the overhaul.
pub fn part_of(path: &str) -> &str {
    const CYLINDERS: &str = "overhaul.cylinders[";
    let of_cylinder = path.strip_prefix(CYLINDERS).and_then(|rest| rest.find(']'));
    match of_cylinder {
        // `overhaul.cylinders[]`, how many there are, belongs to the overhaul.
        Some(end) if end > 0 => path.get(..CYLINDERS.len() + end + 1).unwrap_or(path),
        _ => path.split('.').next().unwrap_or(path),
    }
}

/// The digest of each part, in the order of their names.
pub fn part_digests(content: &Leaves) -> BTreeMap<String, String> {
    let mut parts: BTreeMap<String, Leaves> = BTreeMap::new();
    for (path, text) in content {
        parts.entry(part_of(path).to_owned()).or_default().insert(path.clone(), text.clone());
    }
    parts.into_iter().map(|(part, leaves)| (part, digest(&bytes(&leaves)))).collect()
}
