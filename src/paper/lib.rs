//! What is printed: the report of an overhaul, the blank check sheet, part tags. A shell over the core, as the
//! command line and the window are: it gathers, sets in type, and decides nothing.
//!
//! | file | what it does |
//! |---|---|
//! | `data` | the report's content as plain data, every number already in words |
//! | `sheet` | the content of a blank check sheet |
//! | `tags` | the content of part tags, and their codes |
//! | `templates` | how pages look: the built-in templates, or a shop's own |
//! | `world` | what the setting may read: memory alone |
//!
//! A [`Document`] is content and pictures, a template's input; [`Document::set`] makes [`Pages`] of it, and those a
//! PDF or a picture for the screen. The template reads `/data.json` and the drawings under `/drawings/`. The same
//! content with the same templates gives the same bytes: no clock, no system type, no file.
//!
//! Sizes of pages are in points (1/72 in).

#![cfg(feature = "paper")]

pub mod data;
pub mod sheet;
pub mod tags;
mod templates;
mod world;

use std::sync::mpsc::{RecvTimeoutError, channel};
use std::time::{Duration, Instant};

use serde::{Deserialize, Serialize};
use typst::diag::SourceDiagnostic;
use typst::foundations::Smart;
use typst::utils::Scalar;
use typst_layout::PagedDocument;
use typst_pdf::PdfOptions;
use typst_render::RenderOptions;

use judging::Assessment;
use records::contained::contained;
use records::diag::{Diagnostic, WithDiagnostics};
use records::record::schema::EngineRecord;
use records::survey::Survey;
use records::wording::{code, counted, is_hidden, visible};

pub use templates::{BUILT_IN, Templates, write_built_in};
use world::TypstWorld;

/// What setting pages by a shop's own template may take.
#[derive(Clone, Copy)]
struct Most {
    /// How long it is waited for.
    time: Duration,
    /// How much the program may grow meanwhile, in bytes.
    memory: u64,
}

const MOST: Most = Most { time: Duration::from_secs(60), memory: 2 << 30 };

/// The memory that the program takes now, in bytes; 0 where that cannot be told.
fn memory() -> u64 {
    // Pages of 4 KiB: total, resident, and others.
    let about = std::fs::read_to_string("/proc/self/statm").unwrap_or_default();
    about.split(' ').nth(1).and_then(|pages| pages.parse::<u64>().ok()).unwrap_or(0).saturating_mul(4096)
}

/// The paper.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum PageSize {
    /// A4, 210 mm by 297 mm (ISO 216).
    #[default]
    A4,
    /// US Letter, 8.5 in by 11 in (ANSI/ASME Y14.1).
    Letter,
}

impl PageSize {
    /// Both.
    pub const ALL: [Self; 2] = [Self::A4, Self::Letter];

    /// Its name for people.
    pub fn words(self) -> &'static str {
        match self {
            Self::A4 => "A4",
            Self::Letter => "US Letter",
        }
    }

    /// Its name in a template.
    fn name(self) -> &'static str {
        match self {
            Self::A4 => "a4",
            Self::Letter => "us-letter",
        }
    }
}

/// An overhaul that was judged, with the record it stands in.
#[derive(Clone, Copy, Debug)]
pub struct Judged<'a> {
    /// The record.
    pub record: &'a EngineRecord,
    /// Index of the overhaul in it.
    pub overhaul: usize,
    /// The overhaul, every text read.
    pub survey: &'a Survey,
    /// What each of the survey's cylinders comes to.
    pub assessments: &'a [Assessment],
}

/// What is to be printed of it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Wish {
    /// The paper.
    pub page: PageSize,
    /// Index of the one cylinder to print; none: the whole engine.
    pub cylinder: Option<usize>,
}

/// Content to be set in type by a template.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Document {
    /// The template's name.
    template: &'static str,
    /// What the template reads as `/data.json`.
    json: String,
    /// Pictures as SVG, by the name the template reads them under.
    pictures: Vec<(String, String)>,
}

impl Document {
    /// Content for a template.
    fn new(template: &'static str, data: &impl Serialize, pictures: Vec<(String, String)>) -> Self {
        // Plain data with text for keys always becomes JSON.
        let json = visible_in_json(&serde_json::to_string_pretty(data).unwrap_or_default());
        Self { template, json, pictures }
    }

    /// The content that the template reads, as JSON.
    pub fn json(&self) -> &str {
        &self.json
    }

    /// Sets it in type. What a template gets wrong is told with its file, line and what to do; letters that no
    /// type has are told as a note. A shop's own template is not waited for longer than a minute, and given up if
    /// the program grows by more than 2 GiB meanwhile. It is not stopped then: it goes on until it ends by itself, or
    /// the program does. Therefore no other document is set by the same templates.
    pub fn set(&self, templates: &Templates) -> WithDiagnostics<Option<Pages>> {
        self.set_within(templates, MOST)
    }

    fn set_within(&self, templates: &Templates, most: Most) -> WithDiagnostics<Option<Pages>> {
        if !templates.has_own() {
            return self.set_contained(templates);
        }
        if templates.are_given_up() {
            return self.given_up(templates, "is not tried again: it was given up before");
        }
        let (document, own) = (self.clone(), templates.clone());
        let (sender, receiver) = channel();
        // Who waits may be gone when it is done.
        std::thread::spawn(move || sender.send(document.set_contained(&own)).ok());
        let (begun, before) = (Instant::now(), memory());
        let what = loop {
            match receiver.recv_timeout(Duration::from_millis(20)) {
                Ok(reported) => return reported,
                Err(RecvTimeoutError::Disconnected) => break "ended without a result".to_owned(),
                Err(RecvTimeoutError::Timeout) if begun.elapsed() > most.time => {
                    break format!("takes more than {} seconds", most.time.as_secs_f64());
                }
                Err(RecvTimeoutError::Timeout) if memory() > before.saturating_add(most.memory) => {
                    break format!("takes more than {} MiB of memory", most.memory >> 20);
                }
                Err(RecvTimeoutError::Timeout) => {}
            }
        };
        templates.give_up();
        self.given_up(templates, &what)
    }

    fn given_up(&self, templates: &Templates, what: &str) -> WithDiagnostics<Option<Pages>> {
        let error = Diagnostic::error(format!("Setting pages by this template {what}."))
            .remedy("Look in it for a loop that goes on too long, or leave it out.")
            .in_file(&templates.path_of(self.template));
        WithDiagnostics { value: None, diagnostics: vec![error] }
    }

    fn set_contained(&self, templates: &Templates) -> WithDiagnostics<Option<Pages>> {
        contained(|| self.set_here(templates))
            .unwrap_or_else(|panic| self.given_up(templates, &format!("failed: {panic}")))
    }

    fn set_here(&self, templates: &Templates) -> WithDiagnostics<Option<Pages>> {
        let mut notes: Vec<Diagnostic> = self.missing_letters().into_iter().collect();
        let pictures = self.pictures.iter().map(|(name, svg)| (name.clone(), svg.clone().into_bytes()));
        let data = ("data.json".to_owned(), self.json.clone().into_bytes());
        let Some(typst_world) = TypstWorld::new(self.template, templates, pictures.chain([data])) else {
            return WithDiagnostics { value: None, diagnostics: notes };
        };
        let set = typst::compile::<PagedDocument>(&typst_world);
        notes.extend(set.warnings.iter().map(|warning| typst_world.reported(warning)));
        let reported = match set.output {
            Ok(document) => WithDiagnostics { value: Some(Pages { document }), diagnostics: notes },
            Err(errors) => {
                let errors = errors.iter().map(|error: &SourceDiagnostic| typst_world.reported(error));
                WithDiagnostics { value: None, diagnostics: errors.chain(notes).collect() }
            }
        };
        // What is kept for the next document is let go once one was set without it, so that memory does not grow
        // with the number of documents.
        typst::comemo::evict(1);
        reported
    }

    fn missing_letters(&self) -> Option<Diagnostic> {
        let missing = world::missing_letters(&self.json);
        let named: Vec<String> =
            missing.iter().take(8).map(|&c| format!("{c} (U+{:04X})", u32::from(c))).collect();
        let more = missing.len().saturating_sub(named.len());
        let more = if more > 0 { format!(" and {more} more") } else { String::new() };
        (!named.is_empty()).then(|| {
            let what = counted(missing.len(), "letter");
            Diagnostic::note(format!(
                "The type for printing lacks {what}, shown as an empty box: {}{more}.",
                named.join(", ")
            ))
            .remedy(
                "It has Latin, Greek and Cyrillic, and some others; write the words in one of these as well.",
            )
        })
    }
}

/// JSON whose texts have no hidden letters but can show them; ends of lines and tabs stay. JSON itself has none.
fn visible_in_json(json: &str) -> String {
    let json = visible(json);
    let mut seen = String::with_capacity(json.len());
    let mut pieces = json.split('\\');
    seen.push_str(pieces.next().unwrap_or_default());
    while let Some(piece) = pieces.next() {
        // A letter below the blank is written as an escape.
        let hidden = match piece.chars().next() {
            Some('u') => piece.get(1..5).and_then(|digits| u32::from_str_radix(digits, 16).ok()),
            Some('b') => Some(8),
            Some('f') => Some(12),
            Some('r') => Some(13),
            _ => None,
        };
        let long = if piece.starts_with('u') { 5 } else { 1 };
        match (hidden.and_then(char::from_u32).filter(|letter| is_hidden(*letter)), piece.get(long..)) {
            (Some(letter), Some(behind)) => {
                seen.push_str(&code(letter));
                seen.push_str(behind);
            }
            _ => {
                seen.push('\\');
                seen.push_str(piece);
            }
        }
        // An escaped backslash: what follows it is plain.
        if piece.is_empty()
            && let Some(plain) = pieces.next()
        {
            seen.push('\\');
            seen.push_str(plain);
        }
    }
    seen
}

/// A page as a picture, row by row from the top.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    /// Width in pixels.
    pub width: usize,
    /// Height in pixels.
    pub height: usize,
    /// Red, green, blue, alpha of each pixel, opaque.
    pub rgba: Vec<u8>,
}

/// A document set in type.
#[derive(Debug)]
pub struct Pages {
    document: PagedDocument,
}

impl Pages {
    /// How many pages.
    pub fn count(&self) -> usize {
        self.document.pages().len()
    }

    /// Width and height of a page in points; none if there is no such page.
    pub fn size(&self, page: usize) -> Option<(f64, f64)> {
        let size = self.document.pages().get(page)?.frame.size();
        Some((size.x.to_pt(), size.y.to_pt()))
    }

    /// The pages as a PDF with its type embedded; the same pages always give the same bytes.
    ///
    /// # Errors
    /// If the pages hold what a PDF cannot.
    pub fn pdf(&self) -> Result<Vec<u8>, Diagnostic> {
        let options = PdfOptions {
            creator: Smart::Custom(Some(format!("Borewright {}", env!("CARGO_PKG_VERSION")))),
            // There is no clock: what is printed says when it was measured.
            timestamp: None,
            ..PdfOptions::default()
        };
        typst_pdf::pdf(&self.document, &options).map_err(|errors| {
            let what = errors.first().map_or(String::new(), |error| format!(": {}", error.message));
            Diagnostic::error(format!("These pages cannot be written as PDF{what}."))
                .remedy("Leave out what the template adds, and try again.")
        })
    }

    /// A page as a picture; none if there is no such page or it would be absurdly large.
    pub fn picture(&self, page: usize, pixels_per_point: f64) -> Option<Picture> {
        const MOST: f64 = 12_000.0;
        let (width, height) = self.size(page)?;
        let scale = if pixels_per_point.is_finite() { pixels_per_point.max(0.05) } else { return None };
        if width.max(height) * scale > MOST {
            return None;
        }
        let options = RenderOptions { pixel_per_pt: Scalar::new(scale), render_bleed: false };
        let pixels = typst_render::render(self.document.pages().get(page)?, &options);
        Some(Picture {
            width: usize::try_from(pixels.width()).ok()?,
            height: usize::try_from(pixels.height()).ok()?,
            // The page's ground is opaque, so that nothing is premultiplied.
            rgba: pixels.data().to_vec(),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn own(template: &str) -> Templates {
        let folder = tempfile::tempdir().expect("a folder");
        std::fs::write(folder.path().join("sheet.typ"), template).expect("written");
        Templates::from_folder(folder.path()).expect("read")
    }

    /// What is told of pages that are to be set.
    fn set_by(own: &Templates, most: Most) -> Vec<String> {
        let reported = Document::new("sheet.typ", &(), Vec::new()).set_within(own, most);
        assert_eq!(reported.value.is_none(), reported.diagnostics.iter().any(Diagnostic::is_error));
        reported.diagnostics.iter().map(ToString::to_string).collect()
    }

    const AN_HOUR: &str = "#for a in range(100000) { for b in range(100000) { let c = a * b } }";

    #[test]
    fn a_template_that_goes_on_too_long_is_given_up() {
        let most = Most { time: Duration::from_millis(500), ..MOST };
        let endless = own(AN_HOUR);
        let reported = set_by(&endless, most);
        let [reported] = reported.as_slice() else { panic!("{reported:?}") };
        assert!(
            reported
                .contains("sheet.typ: error: Setting pages by this template takes more than 0.5 seconds.")
        );
        assert!(reported.contains("Look in it for a loop that goes on too long"), "{reported}");
        // It is not begun once more, and another one is set all the same.
        let again = set_by(&endless, MOST);
        assert!(again.iter().any(|reported| reported.contains("not tried again")), "{again:?}");
        assert_eq!(set_by(&own("Set"), MOST), [""; 0]);
    }

    /// Elsewhere it cannot be told how much memory the program takes.
    #[cfg(target_os = "linux")]
    #[test]
    fn a_template_that_takes_too_much_memory_is_given_up() {
        let most = Most { memory: 64 << 20, ..MOST };
        let hoard = "#let all = ()\n#for i in range(300) { all.push(str(i) + \"x\" * 1000000) }\n";
        let reported = set_by(&own(&format!("{hoard}{AN_HOUR}")), most);
        assert!(
            reported.iter().any(|reported| reported.contains("takes more than 64 MiB of memory.")),
            "{reported:?}"
        );
    }

    #[test]
    fn what_is_printed_is_seen() {
        let text = "K\u{202e}1 \u{1b}[2J \\u001b \\ \\\u{8}\r\n\t\"−\"";
        let json = visible_in_json(&serde_json::to_string(&[text]).expect("JSON"));
        let read: [String; 1] = serde_json::from_str(&json).expect("JSON");
        assert_eq!(read[0], "K<U+202E>1 <U+001B>[2J \\u001b \\ \\<U+0008><U+000D>\n\t\"−\"");
    }
}
