//! Part tags: what is tied to each cylinder as it comes off. Engine, position, serial, and a code that holds the
//! same as plain text, one item a line, so that any reader of codes can show it.

use qrcodegen::{QrCode, QrCodeEcc};
use serde::Serialize;

use super::{Document, PageSize, data};
use records::record::schema::{EngineRecord, Overhaul};

/// Part tags.
#[derive(Debug, Serialize)]
pub struct Tags {
    /// [`data::FORMAT`].
    pub format: u32,
    /// The program and its version.
    pub program: String,
    /// The paper's name: `a4` or `us-letter`.
    pub paper: &'static str,
    /// Engine model.
    pub model: String,
    /// Engine serial number.
    pub engine_serial: String,
    /// The day of measuring; may be empty.
    pub date: String,
    /// The tags.
    pub tags: Vec<Tag>,
}

/// A tag.
#[derive(Debug, Serialize)]
pub struct Tag {
    /// Position on the engine.
    pub position: String,
    /// Serial number.
    pub serial: String,
    /// The file of its code; empty if the words are too long for one.
    pub code: String,
    /// The text that the code holds.
    pub text: String,
}

/// Names longer than this are cut short in a code, in letters: a larger code does not print well on a tag.
const LONGEST: usize = 60;
/// White around a code, in modules (ISO/IEC 18004).
const QUIET: i32 = 4;

/// The tags of an overhaul's cylinders, or of the one with this index.
pub fn tags(record: &EngineRecord, overhaul: usize, chosen: Option<usize>, page: PageSize) -> Document {
    let written: Option<&Overhaul> = record.overhauls.get(overhaul);
    let date = written.map_or(String::new(), |overhaul| overhaul.date.to_string());
    let mut pictures = Vec::new();
    let cylinders = written.iter().flat_map(|overhaul| &overhaul.cylinders).enumerate();
    let tags = cylinders
        .filter(|(index, _)| chosen.is_none_or(|chosen| chosen == *index))
        .map(|(index, cylinder)| {
            let text = code_text(record, cylinder.position.as_str(), cylinder.serial.as_str(), &date);
            let code = code(&text).map_or(String::new(), |svg| {
                let name = format!("codes/{}.svg", index + 1);
                pictures.push((name.clone(), svg));
                format!("/{name}")
            });
            Tag { position: cylinder.position.clone(), serial: cylinder.serial.clone(), code, text }
        })
        .collect();
    let content = Tags {
        format: data::FORMAT,
        program: format!("Borewright {}", env!("CARGO_PKG_VERSION")),
        paper: page.name(),
        model: record.engine.model.clone(),
        engine_serial: record.engine.serial.clone(),
        date,
        tags,
    };
    Document::new("tags.typ", &content, pictures)
}

/// What a code holds: a line for each item that is known.
fn code_text(record: &EngineRecord, position: &str, serial: &str, date: &str) -> String {
    let items = [
        ("engine", record.engine.model.as_str()),
        ("engine serial", record.engine.serial.as_str()),
        ("position", position),
        ("cylinder serial", serial),
        ("overhaul", date),
    ];
    let line = |(name, text): (&str, &str)| {
        let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
        let text: String = text.chars().take(LONGEST).collect();
        (!text.is_empty()).then(|| format!("{name}: {text}"))
    };
    items.into_iter().filter_map(line).collect::<Vec<_>>().join("\n")
}

/// A text as a QR code in SVG, one module one point; none if it is too long.
fn code(text: &str) -> Option<String> {
    let code = QrCode::encode_text(text, QrCodeEcc::Medium).ok()?;
    let side = code.size() + 2 * QUIET;
    let mut path = String::new();
    for y in 0..code.size() {
        let mut x = 0;
        while x < code.size() {
            let from = x;
            while x < code.size() && code.get_module(x, y) {
                x += 1;
            }
            if x > from {
                // A whole run at once, so that no seam shows between modules.
                let (left, top, wide) = (from + QUIET, y + QUIET, x - from);
                path.push_str(&format!("M{left} {top}h{wide}v1h-{wide}z"));
            }
            x += 1;
        }
    }
    Some(format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{side}\" height=\"{side}\" viewBox=\"0 0 {side} {side}\">\
         <rect width=\"{side}\" height=\"{side}\" fill=\"#ffffff\"/><path fill=\"#000000\" shape-rendering=\"crispEdges\" \
         d=\"{path}\"/></svg>\n"
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_holds_what_is_known_and_nothing_else() {
        let mut record = records::file::record_from_text(include_str!("../../demo/wexcombe_six.ron"), None)
            .value
            .expect("the demo can be read");
        let text = code_text(&record, "3", "WX-0958", "2023-03-14");
        assert_eq!(
            text,
            "engine: Wexcombe Six (invented)\nengine serial: W6-0001\nposition: 3\ncylinder serial: WX-0958\n\
             overhaul: 2023-03-14"
        );
        record.engine.model = "x".repeat(10_000);
        let text = code_text(&record, "", "", "");
        assert_eq!(text, format!("engine: {}\nengine serial: W6-0001", "x".repeat(LONGEST)));
        assert!(code(&text).is_some());
    }

    /// A finder pattern (ISO/IEC 18004, 6.3.3: seven modules, dark, light, dark 3, light, dark) stands in the
    /// upper left corner (grade P).
    #[test]
    fn a_code_begins_with_a_finder_pattern() {
        let svg = code("position: 3").expect("a code");
        let path = svg.split("d=\"").nth(1).expect("a path");
        assert!(path.starts_with("M4 4h7v1h-7z"), "{path}");
        for run in ["M4 5h1", "M10 5h1", "M6 6h3", "M6 8h3", "M4 10h7"] {
            assert!(path.contains(run), "{run}");
        }
    }
}
