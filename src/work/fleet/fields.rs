//! One row of a file, taken apart into its fields.

use records::wording::visible;

/// The most characters of a text that are kept or shown.
pub(super) const LONGEST_TEXT: usize = 100;

/// A field as text, at most so long as is worth showing, whose hidden letters can be seen.
pub(super) fn text(field: &[u8]) -> String {
    let field = field.trim_ascii();
    if field.len() <= LONGEST_TEXT && field.iter().all(|byte| (b' '..=b'~').contains(byte)) {
        return String::from_utf8_lossy(field).into_owned();
    }
    let long = field.get(..4 * LONGEST_TEXT).unwrap_or(field);
    visible(&String::from_utf8_lossy(long).chars().take(LONGEST_TEXT).collect::<String>()).into_owned()
}

/// A row taken apart into its fields (RFC 4180; blanks around a field are left to whoever reads it).
#[derive(Default)]
pub(super) struct Fields {
    /// The fields with one byte between each and the next.
    pub(super) text: Vec<u8>,
    /// Where each field ends in the text.
    pub(super) ends: Vec<u32>,
    /// Where each field begins in the file, counted from the row's first line and in characters from 1. Only
    /// for a row with quotation marks; in any other the text itself shows it.
    pub(super) places: Vec<(u32, u32)>,
}

/// Where a row with quotation marks has been read to.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Within {
    /// A field is about to begin.
    Start,
    /// A field, or what stands behind its closing mark.
    Plain,
    /// Between two marks.
    Quoted,
    /// Behind a mark that closes the field, unless another one follows.
    Closed,
}

impl Fields {
    /// How many there are.
    pub(super) fn len(&self) -> usize {
        self.ends.len()
    }

    /// One of them.
    pub(super) fn get(&self, index: usize) -> Option<&[u8]> {
        field(&self.text, &self.ends, index)
    }

    /// The text of the first `count` fields, with what parts them; `None` if there are none or not so many.
    pub(super) fn front(&self, count: usize) -> Option<&[u8]> {
        // Between quotation marks may stand what parts the fields elsewhere.
        if !self.places.is_empty() {
            return None;
        }
        let last = *self.ends.get(count.checked_sub(1)?)?;
        self.text.get(..last as usize)
    }

    pub(super) fn clear(&mut self) {
        self.text.clear();
        self.ends.clear();
        self.places.clear();
    }

    /// Takes a line without quotation marks apart.
    pub(super) fn plain(&mut self, line: &[u8], delimiter: u8) {
        self.clear();
        self.text.extend_from_slice(line);
        // A row is shorter than 64 KiB.
        let ends = line.iter().enumerate().filter(|&(_, &byte)| byte == delimiter);
        self.ends.extend(ends.map(|(end, _)| end as u32));
        self.ends.push(line.len() as u32);
    }

    /// Takes the next line of a row with quotation marks apart. The row ends with it, unless
    /// [`Within::Quoted`] is returned.
    pub(super) fn quoted(
        &mut self,
        line: &[u8],
        delimiter: u8,
        line_in_row: u32,
        mut within: Within,
    ) -> Within {
        let mut column = 0;
        for &byte in line {
            // Bytes that continue a character are none of their own.
            column += u32::from(byte & 0xc0 != 0x80);
            if within == Within::Start {
                self.places.push((line_in_row, column));
            }
            within = match (within, byte) {
                (Within::Start, b'"') | (Within::Closed, b'"') => {
                    if within == Within::Closed {
                        self.text.push(byte);
                    }
                    Within::Quoted
                }
                (Within::Quoted, b'"') => Within::Closed,
                (Within::Start | Within::Plain | Within::Closed, byte) if byte == delimiter => {
                    self.ends.push(self.text.len() as u32);
                    self.text.push(byte);
                    Within::Start
                }
                (Within::Quoted, _) => {
                    self.text.push(byte);
                    Within::Quoted
                }
                _ => {
                    self.text.push(byte);
                    Within::Plain
                }
            };
        }
        if within == Within::Quoted {
            self.text.push(b'\n');
            return within;
        }
        if within == Within::Start {
            self.places.push((line_in_row, column + 1));
        }
        self.ends.push(self.text.len() as u32);
        within
    }
}

/// A field of a text whose fields have one byte between each and the next.
pub(super) fn field<'a>(text: &'a [u8], ends: &[u32], index: usize) -> Option<&'a [u8]> {
    let end = *ends.get(index)? as usize;
    let start = match index.checked_sub(1) {
        Some(before) => *ends.get(before)? as usize + 1,
        None => 0,
    };
    text.get(start..end)
}
