//! Text for people: paragraphs wrapped with an indent, tables with aligned decimal points, styles.
//!
//! Everything fits [`WIDTH`] columns. A style only ever repeats what a word says; it is stripped on the way
//! out where the output is no terminal. Texts from a file pass through here, and their hidden letters are made
//! visible, so that no file can command the terminal or look like what it is not.

use std::borrow::Cow;
use std::io::{self, Write};

use anstyle::{AnsiColor, Style};

use judging::Recommendation;
use judging::row::RowStatus;
use records::wording::{code, is_hidden, visible};

/// Columns of a line.
pub const WIDTH: usize = 100;

pub use judging::words::NONE;

/// Plain.
pub const PLAIN: Style = Style::new();
/// A heading.
pub const HEADING: Style = Style::new().bold();
/// What is there to be looked up, such as the names of columns.
pub const QUIET: Style = Style::new().dimmed();
/// What needs attention.
pub const ATTENTION: Style = AnsiColor::Yellow.on_default().bold();

/// The style of an outcome's word. No two of them are a red and green pair.
pub fn outcome_style(recommendation: Recommendation) -> Style {
    match recommendation {
        Recommendation::Serviceable => AnsiColor::Cyan.on_default().bold(),
        Recommendation::Rebore(_) => AnsiColor::Yellow.on_default().bold(),
        Recommendation::Replace => AnsiColor::Magenta.on_default().bold(),
        Recommendation::NotDecided => Style::new().underline(),
    }
}

/// The style of a row's status.
pub fn status_style(status: RowStatus) -> Style {
    match status {
        RowStatus::Beyond => AnsiColor::Magenta.on_default().bold(),
        RowStatus::NotMeasured | RowStatus::NoLimitGiven => Style::new().underline(),
        RowStatus::WithinNew | RowStatus::WithinServiceable => PLAIN,
    }
}

/// A text of one line whose hidden letters can be seen, with `↵` where its own lines ended.
pub fn clean(text: &str) -> Cow<'_, str> {
    let text = visible(text);
    if text.contains(['\n', '\t']) { text.replace('\n', "↵").replace('\t', " ").into() } else { text }
}

/// What everything for the terminal is written through: a hidden letter that no other place has made visible is made so
/// here, all but ends of lines and the styles of [`Page`]. In JSON it is escaped, and stays what it is.
pub struct Visible<W> {
    to: W,
    json: bool,
    /// The beginning of a letter or a style whose end is not written yet.
    rest: Vec<u8>,
}

impl<W: Write> Visible<W> {
    /// Over a writer of text, or of JSON.
    pub fn new(to: W, json: bool) -> Self {
        Self { to, json, rest: Vec::new() }
    }

    fn code(&self, letter: char) -> String {
        if self.json {
            letter.encode_utf16(&mut [0; 2]).iter().map(|unit| format!("\\u{unit:04x}")).collect()
        } else {
            code(letter)
        }
    }

    /// Everything of `bytes` as it is to be written, but what may go on later.
    fn shown(&mut self, bytes: &[u8], last: bool) -> String {
        let mut seen = String::with_capacity(bytes.len() + 16);
        let mut left = bytes;
        loop {
            let (text, behind) = match std::str::from_utf8(left) {
                Ok(text) => (text, None),
                Err(error) => {
                    let (valid, behind) = left.split_at(error.valid_up_to());
                    (std::str::from_utf8(valid).unwrap_or_default(), Some((behind, error.error_len())))
                }
            };
            let mut at = 0;
            while let Some(ahead) = text.get(at..).filter(|ahead| !ahead.is_empty()) {
                // Most of a text is plain, and is copied as it is.
                let plain = ahead.as_bytes().iter().take_while(|byte| is_plain(byte)).count();
                seen.push_str(ahead.get(..plain).unwrap_or_default());
                at += plain;
                let ahead = ahead.get(plain..).unwrap_or_default();
                let Some(letter) = ahead.chars().next() else { break };
                at += letter.len_utf8();
                if !is_hidden(letter) || letter == '\t' {
                    seen.push(letter);
                } else if letter == '\u{1b}' && !self.json {
                    match style(ahead) {
                        Some(long) => {
                            seen.push_str(ahead.get(..long).unwrap_or_default());
                            at += long - 1;
                        }
                        // One that is not written to its end yet.
                        None if !last && behind.is_none() && may_be_a_style(ahead) => {
                            self.rest = ahead.as_bytes().to_vec();
                            return seen;
                        }
                        None => seen.push_str(&self.code(letter)),
                    }
                } else {
                    seen.push_str(&self.code(letter));
                }
            }
            match behind {
                None => return seen,
                Some((behind, None)) if !last => {
                    self.rest = behind.to_vec();
                    return seen;
                }
                Some((behind, long)) => {
                    seen.push(char::REPLACEMENT_CHARACTER);
                    left = behind.get(long.unwrap_or(behind.len())..).unwrap_or_default();
                }
            }
        }
    }
}

/// Is it a letter of its own that everybody sees, or the end of a line?
fn is_plain(byte: &u8) -> bool {
    matches!(byte, b'\n' | b' '..=b'~')
}

/// The longest style, in bytes.
const LONGEST_STYLE: usize = 32;

/// The length of the style that a text begins with. Concealing is none.
fn style(text: &str) -> Option<usize> {
    let numbers = text.strip_prefix("\u{1b}[")?.split_once('m')?.0;
    let plain = numbers.len() < LONGEST_STYLE && numbers.bytes().all(|b| b.is_ascii_digit() || b == b';');
    (plain && !numbers.split(';').any(|number| number.trim_start_matches('0') == "8"))
        .then(|| numbers.len() + 3)
}

/// May a text become a style by what follows it?
fn may_be_a_style(text: &str) -> bool {
    text.len() < LONGEST_STYLE
        && ("\u{1b}[".starts_with(text)
            || text
                .strip_prefix("\u{1b}[")
                .is_some_and(|numbers| numbers.bytes().all(|b| b.is_ascii_digit() || b == b';')))
}

impl<W: Write> Write for Visible<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if self.rest.is_empty() && bytes.iter().all(is_plain) {
            return self.to.write(bytes);
        }
        let mut all = std::mem::take(&mut self.rest);
        all.extend_from_slice(bytes);
        let seen = self.shown(&all, false);
        self.to.write_all(seen.as_bytes())?;
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        let rest = std::mem::take(&mut self.rest);
        if !rest.is_empty() {
            let seen = self.shown(&rest, true);
            self.to.write_all(seen.as_bytes())?;
        }
        self.to.flush()
    }
}

/// Columns that a text takes.
fn width(text: &str) -> usize {
    text.chars().count()
}

/// At most `most` characters of a text, the last one `…` where something was cut off.
pub fn shortened(text: &str, most: usize) -> String {
    let text = clean(text);
    if width(&text) <= most {
        return text.into_owned();
    }
    text.chars().take(most.saturating_sub(1)).chain(['…']).collect()
}

pub use records::wording::counted;

/// Is a word the unit of the number before it, or the number of what is named before it? Then both stay on one line.
fn belong_together(before: &str, word: &str) -> bool {
    let last = before.rsplit('(').next().unwrap_or(before);
    let bare = || word.trim_end_matches([',', '.', ';', ':', ')']);
    if last.ends_with(|c: char| c.is_ascii_digit()) {
        matches!(bare(), "in" | "mm" | "%" | "h" | "g" | "L" | "T" | "cu")
    } else if last == "cu" {
        bare() == "in"
    } else {
        matches!(last, "ref." | "page" | "table" | "line" | "note" | "sheet" | "station") && bare().len() < 8
    }
}

/// The text in lines of at most `most` columns; a longer word is broken.
fn lines(text: &str, most: usize) -> Vec<String> {
    let most = most.max(10);
    let text = clean(text);
    let (mut lines, mut line, mut used) = (Vec::new(), String::new(), 0);
    let mut words = text.split(' ').filter(|word| !word.is_empty()).peekable();
    // Words that stay together.
    let mut group: Vec<&str> = Vec::new();
    while let Some(word) = words.next() {
        group.push(word);
        if words.peek().is_some_and(|next| belong_together(word, next)) {
            continue;
        }
        let mut long = group.iter().map(|word| width(word)).sum::<usize>() + group.len() - 1;
        if used > 0 && used + 1 + long > most {
            lines.push(std::mem::take(&mut line));
            used = 0;
        }
        if long <= most {
            for word in group.drain(..) {
                if !line.is_empty() {
                    line.push(' ');
                }
                line.push_str(word);
            }
            used += usize::from(used > 0) + long;
            continue;
        }
        let joined = group.join(" ");
        group.clear();
        let mut rest = joined.as_str();
        while long > most {
            let end = rest.char_indices().nth(most).map_or(rest.len(), |(end, _)| end);
            let (front, behind) = rest.split_at(end);
            lines.push(front.to_owned());
            (rest, long) = (behind, long - most);
        }
        line.push_str(rest);
        used = long;
    }
    lines.push(line);
    lines
}

/// Text under way: lines end in a newline and have nothing behind their last letter.
#[derive(Debug, Default)]
pub struct Page {
    text: String,
}

impl Page {
    /// The text.
    pub fn into_text(self) -> String {
        self.text
    }

    /// An empty line.
    pub fn gap(&mut self) {
        if !self.text.is_empty() && !self.text.ends_with("\n\n") {
            self.text.push('\n');
        }
    }

    fn styled(&mut self, style: Style, text: &str) {
        if style == PLAIN {
            self.text.push_str(text);
        } else {
            self.text.push_str(&format!("{style}{text}{style:#}"));
        }
    }

    /// A paragraph, indented, with `mark` in front of its first line.
    pub fn paragraph(&mut self, indent: usize, mark: &str, style: Style, text: &str) {
        let hang = indent + width(mark);
        for (i, line) in lines(text, WIDTH.saturating_sub(hang)).iter().enumerate() {
            if i == 0 {
                self.text.push_str(&" ".repeat(indent));
                self.text.push_str(mark);
            } else {
                self.text.push_str(&" ".repeat(hang));
            }
            self.styled(style, line);
            self.text.push('\n');
        }
    }

    /// A paragraph whose lines after the first are indented.
    pub fn hanging(&mut self, indent: usize, text: &str, style: Style) {
        for (i, line) in lines(text, WIDTH.saturating_sub(indent)).iter().enumerate() {
            if i > 0 {
                self.text.push_str(&" ".repeat(indent));
            }
            self.styled(style, line);
            self.text.push('\n');
        }
    }

    /// A paragraph of a plain text with a styled one behind it; both are broken as one.
    pub fn heading(&mut self, indent: usize, text: &str, word: &str, word_style: Style) {
        let (text, word) = (clean(text), clean(word));
        if indent + width(&text) + width(&word) > WIDTH {
            self.paragraph(indent, "", HEADING, &format!("{text}{word}"));
            return;
        }
        self.text.push_str(&" ".repeat(indent));
        self.styled(HEADING, &text);
        self.styled(word_style, &word);
        self.text.push('\n');
    }

    /// A table, indented.
    pub fn table(&mut self, indent: usize, table: &Table) {
        table.write(indent, self);
    }
}

/// How the cells of a column stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Align {
    /// At the left.
    Left,
    /// At the right.
    Right,
    /// Decimal points one below the other, the column's name at the right.
    Point,
    /// Decimal points one below the other, the column's name at the left: for numbers with words behind them.
    Words,
}

/// A cell of a table.
#[derive(Clone, Debug)]
pub struct TableCell {
    text: String,
    style: Style,
}

impl<T: Into<String>> From<T> for TableCell {
    fn from(text: T) -> Self {
        Self { text: clean(&text.into()).into_owned(), style: PLAIN }
    }
}

impl TableCell {
    /// A cell with a style.
    pub fn styled(text: impl Into<String>, style: Style) -> Self {
        Self { style, ..Self::from(text) }
    }

    /// Characters in front of the decimal point, or of the end.
    fn before_point(&self) -> usize {
        self.text.find('.').map_or_else(|| width(&self.text), |at| width(self.text.get(..at).unwrap_or("")))
    }
}

/// A table: names of columns, and rows. The last column is wrapped where it is too long for the line.
#[derive(Clone, Debug)]
pub struct Table {
    columns: Vec<(TableCell, Align)>,
    rows: Vec<Vec<TableCell>>,
}

/// Characters of a column.
#[derive(Clone, Copy, Debug)]
struct Widths {
    /// In front of the decimal points.
    before: usize,
    /// Of the cells, decimal points one below the other.
    numbers: usize,
    /// Of everything, the column's name too.
    all: usize,
}

/// Columns between two columns.
const GUTTER: usize = 2;

impl Table {
    /// A table without rows.
    pub fn new<N: Into<String>>(columns: impl IntoIterator<Item = (N, Align)>) -> Self {
        let columns =
            columns.into_iter().map(|(name, align)| (TableCell::styled(name, QUIET), align)).collect();
        Self { columns, rows: Vec::new() }
    }

    /// Adds a row.
    pub fn row(&mut self, cells: impl IntoIterator<Item = TableCell>) {
        self.rows.push(cells.into_iter().collect());
    }

    /// No rows?
    pub fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    fn widths(&self) -> Vec<Widths> {
        let of = |(i, (name, align)): (usize, &(TableCell, Align))| {
            let cells = || self.rows.iter().filter_map(move |row| row.get(i));
            let before = cells().map(TableCell::before_point).max().unwrap_or(0);
            let behind = cells().map(|cell| width(&cell.text) - cell.before_point()).max().unwrap_or(0);
            let all = match align {
                Align::Point | Align::Words => before + behind,
                Align::Left | Align::Right => cells().map(|cell| width(&cell.text)).max().unwrap_or(0),
            };
            Widths { before, numbers: before + behind, all: all.max(width(&name.text)) }
        };
        self.columns.iter().enumerate().map(of).collect()
    }

    fn write(&self, indent: usize, page: &mut Page) {
        let widths = self.widths();
        let names: Vec<&TableCell> = self.columns.iter().map(|(name, _)| name).collect();
        if names.iter().any(|name| !name.text.is_empty()) {
            self.write_row(indent, &widths, &names, true, page);
        }
        for row in &self.rows {
            self.write_row(indent, &widths, &row.iter().collect::<Vec<_>>(), false, page);
        }
    }

    fn write_row(
        &self,
        indent: usize,
        widths: &[Widths],
        cells: &[&TableCell],
        names: bool,
        page: &mut Page,
    ) {
        let mut line = indent;
        // Spaces are held back until something follows them.
        let mut spaces = indent;
        let last = cells.len().saturating_sub(1);
        for (i, cell) in cells.iter().enumerate() {
            let (Some(&Widths { before, numbers, all }), Some((_, align))) =
                (widths.get(i), self.columns.get(i))
            else {
                continue;
            };
            let long = width(&cell.text);
            let to_point = before.saturating_sub(cell.before_point());
            let pad = match align {
                Align::Left => 0,
                Align::Words if names => 0,
                Align::Words => to_point,
                // What is narrower than its name stands under the name's end.
                Align::Point if !names => to_point + all.saturating_sub(numbers),
                Align::Point | Align::Right => all.saturating_sub(long),
            };
            if !cell.text.is_empty() {
                page.text.push_str(&" ".repeat(spaces + pad));
                let room = WIDTH.saturating_sub(line + pad);
                if i == last && long > room {
                    for (n, part) in lines(&cell.text, room).iter().enumerate() {
                        if n > 0 {
                            page.text.push('\n');
                            page.text.push_str(&" ".repeat(line + pad));
                        }
                        page.styled(cell.style, part);
                    }
                } else {
                    page.styled(cell.style, &cell.text);
                }
                spaces = GUTTER + all.saturating_sub(pad + long);
            } else {
                spaces += all + GUTTER;
            }
            line += all + GUTTER;
        }
        page.text.push('\n');
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plain(table: &Table, indent: usize) -> String {
        let mut page = Page::default();
        page.table(indent, table);
        anstream::adapter::strip_str(&page.into_text()).to_string()
    }

    #[test]
    fn decimal_points_stand_below_each_other() {
        let mut table = Table::new([("row", Align::Left), ("in", Align::Point), ("", Align::Left)]);
        table.row(["bore", "5.1287", "within"].map(TableCell::from));
        table.row(["taper", "−0.00025", "within"].map(TableCell::from));
        table.row(["choke", NONE, "not measured"].map(TableCell::from));
        let expected = [
            "  row          in",
            "  bore    5.1287   within",
            "  taper  −0.00025  within",
            "  choke   –        not measured",
            "",
        ];
        assert_eq!(plain(&table, 2), expected.join("\n"));
    }

    #[test]
    fn paragraphs_are_wrapped_with_a_hanging_indent() {
        let mut page = Page::default();
        page.paragraph(2, "- ", PLAIN, &"bore ".repeat(40));
        let text = page.into_text();
        assert!(text.starts_with("  - bore bore"), "{text}");
        assert!(text.lines().skip(1).all(|line| line.starts_with("    bore")), "{text}");
        assert!(text.lines().all(|line| width(line) <= WIDTH && !line.ends_with(' ')), "{text}");
        assert_eq!(text.matches("bore").count(), 40);
    }

    #[test]
    fn a_word_longer_than_a_line_is_broken() {
        let mut page = Page::default();
        page.paragraph(4, "", PLAIN, &"x".repeat(250));
        let text = page.into_text();
        assert_eq!(text.matches('x').count(), 250);
        assert!(text.lines().all(|line| width(line) <= WIDTH));
    }

    /// In a time that grows with its length: counted anew for every line, a megabyte would take minutes.
    #[test]
    fn a_word_of_megabytes_is_broken_too() {
        for word in ["é".repeat(1_000_000), "5 in ".repeat(200_000), "page ".repeat(200_000)] {
            let begun = std::time::Instant::now();
            let broken = lines(&word, 96);
            assert!(begun.elapsed().as_secs() < 20);
            assert!(broken.iter().all(|line| width(line) <= 96));
            assert_eq!(broken.concat().replace(' ', ""), word.replace(' ', ""));
        }
    }

    #[test]
    fn no_text_commands_the_terminal() {
        let mut page = Page::default();
        page.paragraph(0, "", PLAIN, "\u{1b}[31mred\u{7}");
        let mut table = Table::new([("", Align::Left)]);
        table.row(["\u{1b}[2J".into()]);
        page.table(0, &table);
        page.heading(0, "\u{1b}c", "\u{9b}", PLAIN);
        let text = page.into_text();
        let styles = format!("{HEADING}{HEADING:#}");
        let own = text.chars().filter(|c| c.is_control() && *c != '\n').count();
        assert_eq!(own, styles.chars().filter(|c| c.is_control()).count(), "{text:?}");
    }

    #[test]
    fn whatever_is_written_is_seen() {
        let through = |json: bool, pieces: &[&[u8]]| {
            let mut to = Vec::new();
            let mut visible = Visible::new(&mut to, json);
            for piece in pieces {
                visible.write_all(piece).expect("written");
            }
            visible.flush().expect("written");
            drop(visible);
            String::from_utf8(to).expect("text")
        };
        let text = "plain − é\n\u{1b}[1m\u{1b}[33mwarning\u{1b}[0m K\u{202e}1\u{1b}[2J\u{1b}[8mx\u{9b}";
        let seen = "plain − é\n\u{1b}[1m\u{1b}[33mwarning\u{1b}[0m K<U+202E>1<U+001B>[2J<U+001B>[8mx<U+009B>";
        assert_eq!(through(false, &[text.as_bytes()]), seen);
        // Wherever it is cut in two.
        for at in 0..text.len() {
            let (front, back) = text.as_bytes().split_at(at);
            assert_eq!(through(false, &[front, back]), seen, "{at}");
        }
        let bytes: Vec<&[u8]> = text.as_bytes().chunks(1).collect();
        assert_eq!(through(false, &bytes), seen);
        assert_eq!(through(false, &[b"a\xffb\xe2", b"c"]), "a\u{fffd}b\u{fffd}c");
        assert_eq!(through(false, &["\u{1b}[1".as_bytes()]), "<U+001B>[1");
        // JSON stays what it is.
        let json = serde_json::to_string("K\u{202e}1\u{e0041}\u{7f}−").expect("JSON");
        let seen = through(true, &[json.as_bytes()]);
        assert_eq!(seen, "\"K\\u202e1\\udb40\\udc41\\u007f−\"");
        assert_eq!(serde_json::from_str::<String>(&seen).ok().as_deref(), Some("K\u{202e}1\u{e0041}\u{7f}−"));
    }

    #[test]
    fn short_and_long() {
        assert_eq!(shortened("K-117", 5), "K-117");
        assert_eq!(shortened("K-1174", 5), "K-11…");
        assert_eq!(counted(1, "note"), "1 note");
        assert_eq!(counted(0, "note"), "0 notes");
    }
}
