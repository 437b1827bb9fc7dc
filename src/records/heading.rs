//! What people call the columns of readings: the one home of their names, for a fleet and for a record's readings.
//!
//! A heading is compared without regard to capitals, blanks and signs. A unit at its end, as in `Reading (mm)` or
//! `diameter_in`, is told apart from its name.

use quantities::length::{Length, Unit};

/// Each column's own name, and what else it is called; all in the plain form of [`plain`].
const NAMES: [(&str, &[&str]); 18] = [
    ("engine", &["engine_serial", "engine_no", "engine_number", "esn"]),
    ("overhaul", &["survey", "inspection", "date", "day"]),
    (
        "cylinder",
        &[
            "serial",
            "serial_no",
            "serial_number",
            "cylinder_serial",
            "cylinder_serial_no",
            "cylinder_serial_number",
            "s_n",
            "barrel",
            "liner",
        ],
    ),
    ("position", &["pos", "cyl", "cylinder_position", "cylinder_no", "cylinder_number"]),
    ("size", &["bore_size", "oversize"]),
    ("station", &["level", "stn"]),
    ("axis", &["direction", "orientation"]),
    ("reading", &["value", "measured", "measurement", "as_typed", "entered"]),
    ("diameter", &["bore", "dia", "bore_diameter", "mean", "mean_diameter", "average", "average_diameter"]),
    ("hours", &["total_hours", "total_time"]),
    ("repeat", &["rep", "trial", "repetition"]),
    ("unit", &["units", "uom"]),
    ("gauge", &["gage", "instrument", "measured_with"]),
    ("finished_to", &["finished_size"]),
    ("looked_over", &["visual"]),
    ("confirmed", &["why_it_stands", "confirmation"]),
    ("barrel_c", &["barrel_temperature", "barrel_temperature_c", "barrel_temp", "barrel_temp_c"]),
    ("gauge_c", &["gauge_temperature", "gauge_temperature_c", "gauge_temp", "gauge_temp_c", "gage_temp_c"]),
];

/// A heading without capitals, blanks and signs, and the unit that it ends with.
///
/// A heading that is nothing but a unit keeps it as its name.
pub fn plain(heading: &str) -> (String, Option<Unit>) {
    let lower = heading.to_lowercase();
    let mut words: Vec<&str> =
        lower.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).collect();
    let unit = words.last().copied().and_then(unit_word).filter(|_| words.len() > 1);
    if unit.is_some() {
        words.pop();
    }
    (words.join("_"), unit)
}

/// A unit by a word for it.
pub fn unit_word(word: &str) -> Option<Unit> {
    match word.trim().trim_end_matches('.').to_lowercase().as_str() {
        "in" | "inch" | "inches" | "\"" => Some(Unit::Inch),
        "mm" | "millimetre" | "millimetres" | "millimeter" | "millimeters" => Some(Unit::Millimetre),
        _ => None,
    }
}

/// The word for a count of graduations, where a unit of length may stand.
pub const GRADUATIONS: &str = "graduations";

/// What a number counts, as a sheet says it beside the number or in a heading.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum StatedUnit {
    /// A length in this unit, as it is written behind a number: `in`, `mm`, `thou`.
    Length(String),
    /// Graduations of a dial.
    Graduations,
}

impl StatedUnit {
    /// By a word for it; none: it is no unit known here.
    pub fn of(word: &str) -> Option<Self> {
        let word = word.trim();
        if let Some(unit) = unit_word(word) {
            return Some(Self::Length(unit.symbol().to_owned()));
        }
        let lower = word.to_lowercase();
        if matches!(
            lower.as_str(),
            "graduation" | "graduations" | "grad" | "grads" | "div" | "divs" | "divisions"
        ) {
            return Some(Self::Graduations);
        }
        // What is known behind a number is known here.
        let alone = word.starts_with(char::is_alphabetic) || word.starts_with(['"', '\u{2033}', '\'']);
        (alone && Length::parse(&format!("1 {word}"), Unit::Inch).is_ok()).then_some(Self::Length(lower))
    }

    /// The unit that a heading ends with, such as `Dial (thou)`; a heading that is nothing else has none.
    pub fn of_heading(heading: &str) -> Option<Self> {
        let words = heading.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
        let words: Vec<&str> = words.collect();
        words.last().filter(|_| words.len() > 1).and_then(|last| Self::of(last))
    }

    /// Its word.
    pub fn word(&self) -> &str {
        match self {
            Self::Length(word) => word,
            Self::Graduations => GRADUATIONS,
        }
    }
}

/// The column's own name that a heading stands for, and its unit.
pub fn known(heading: &str) -> Option<(&'static str, Option<Unit>)> {
    let (plain, unit) = plain(heading);
    let (name, _) = NAMES.iter().find(|(name, others)| *name == plain || others.contains(&plain.as_str()))?;
    Some((name, unit))
}

/// What the columns of a file are, from the left: the column's own name goes before its other names, and of several
/// with the same meaning the first one counts.
pub fn columns<'a>(headings: impl IntoIterator<Item = &'a str>) -> Vec<Option<(&'static str, Option<Unit>)>> {
    let headings: Vec<(String, _)> = headings.into_iter().map(|text| (plain(text).0, known(text))).collect();
    let mut columns = vec![None; headings.len()];
    // There are only so many names, however many columns a file has.
    let mut taken: Vec<&str> = Vec::new();
    for own in [true, false] {
        for (i, (plain, known)) in headings.iter().enumerate() {
            let Some((name, unit)) = known.filter(|(name, _)| (name == plain) == own) else { continue };
            if let Some(column) = columns.get_mut(i).filter(|_| !taken.contains(&name)) {
                *column = Some((name, unit));
                taken.push(name);
            }
        }
    }
    columns
}

/// What parts the columns of a line of headings: the sign it has most of; a comma where it has none.
pub fn delimiter(line: &[u8]) -> u8 {
    let count = |delimiter: u8| line.iter().filter(|&&byte| byte == delimiter).count();
    [b'\t', b';', b','].into_iter().max_by_key(|&delimiter| count(delimiter)).unwrap_or(b',')
}

/// The line that a row begins on, counted from 1.
///
/// The reader tells where it stood before the row: in front of the end of the line before (the LF of a CRLF), of empty
/// lines, and of lines that begin with `comment`.
pub fn row_line(text: &str, at: Option<&csv::Position>, comment: Option<u8>) -> usize {
    let Some(at) = at else { return 1 };
    let from = usize::try_from(at.byte()).unwrap_or(usize::MAX);
    let mut line = usize::try_from(at.line()).unwrap_or(usize::MAX);
    let mut passed_over = false;
    for byte in text.as_bytes().get(from..).unwrap_or_default() {
        match byte {
            b'\n' => {
                line = line.saturating_add(1);
                passed_over = false;
            }
            b'\r' => {}
            _ if passed_over => {}
            byte if Some(*byte) == comment => passed_over = true,
            _ => break,
        }
    }
    line
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_is_told_by_the_line_it_begins_on() {
        for ending in ["\n", "\r\n"] {
            let text = ["a,b", "1,2", "", "", "# said,of it", "3,\"4", "5\"", "6,7", ""].join(ending);
            let mut reader = csv::ReaderBuilder::new();
            let mut reader =
                reader.has_headers(false).flexible(true).comment(Some(b'#')).from_reader(text.as_bytes());
            let rows: Vec<_> = reader.records().map(|row| row.expect("UTF-8")).collect();
            let lines: Vec<_> = rows.iter().map(|row| row_line(&text, row.position(), Some(b'#'))).collect();
            assert_eq!(lines, [1, 2, 6, 8], "{ending:?}");
        }
    }

    #[test]
    fn headings_are_known_however_they_are_written() {
        for (heading, name, unit) in [
            ("Reading (mm)", "reading", Some(Unit::Millimetre)),
            ("diameter_in", "diameter", Some(Unit::Inch)),
            ("  CYLINDER  Serial No. ", "cylinder", None),
            ("Finished-to", "finished_to", None),
            ("Barrel temperature, °C", "barrel_c", None),
            ("value [inches]", "reading", Some(Unit::Inch)),
            ("S/N", "cylinder", None),
        ] {
            assert_eq!(known(heading), Some((name, unit)), "{heading}");
        }
        for heading in ["", "in", "colour", "reading of what"] {
            assert_eq!(known(heading), None, "{heading}");
        }
    }

    #[test]
    fn a_unit_is_what_a_number_may_carry() {
        for (word, known) in [
            ("in", Some("in")),
            ("Inches", Some("in")),
            ("mm.", Some("mm")),
            ("thou", Some("thou")),
            ("µm", Some("µm")),
            ("um", Some("um")),
            ("Div", Some("graduations")),
            ("graduations", Some("graduations")),
            ("furlong", None),
            ("5", None),
            ("", None),
            ("+", None),
        ] {
            assert_eq!(StatedUnit::of(word).as_ref().map(StatedUnit::word), known, "{word}");
        }
        assert_eq!(StatedUnit::of_heading("Dial, thou").as_ref().map(StatedUnit::word), Some("thou"));
        assert_eq!(StatedUnit::of_heading("mm"), None);
    }

    #[test]
    fn a_columns_own_name_goes_before_its_other_names() {
        let names = |headings: &[&str]| -> Vec<_> {
            columns(headings.iter().copied()).into_iter().map(|column| column.map(|(name, _)| name)).collect()
        };
        assert_eq!(names(&["date", "Overhaul", "serial"]), [None, Some("overhaul"), Some("cylinder")]);
        assert_eq!(names(&["value", "measured"]), [Some("reading"), None]);
        assert_eq!(names(&["cylinder", "cylinder"]), [Some("cylinder"), None]);
    }

    #[test]
    fn no_name_stands_for_two_columns() {
        let all: Vec<&str> = NAMES
            .iter()
            .flat_map(|(name, others)| std::iter::once(*name).chain(others.iter().copied()))
            .collect();
        for (i, name) in all.iter().enumerate() {
            assert!(!all[..i].contains(name), "{name}");
            assert_eq!(plain(name), ((*name).to_owned(), None), "{name} is in its plain form");
        }
    }

    #[test]
    fn columns_are_parted_by_what_there_is_most_of() {
        assert_eq!(delimiter(b"a;b;c,d"), b';');
        assert_eq!(delimiter(b"a"), b',');
        assert_eq!(delimiter(b"a\tb"), b'\t');
    }
}
