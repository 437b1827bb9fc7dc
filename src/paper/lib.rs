//! What is printed: the report of an overhaul, the blank check sheet, part tags. A shell over the core, as the
//! command line and the window are: it gathers, sets in type, and decides nothing.
//!
//! | file | what it does |
//! |---|---|
//! | `data` | the report's content as plain data, every number already in words |
//! | `sheet` | the content of a blank check sheet |
//! | `tags` | the content of part tags, and their codes |
//! | `templates` | how pages look: the built-in templates, or a shop's own |
//! | `apart` | a shop's own templates are set in a process that can be ended |
//! | `world` | what the setting may read: memory alone |
//!
//! A [`Document`] is content and pictures, a template's input; [`Document::set`] makes [`Pages`] of it, and those a
//! PDF or a picture for the screen; [`Document::pdf`] makes a PDF by any templates. The template reads `/data.json` and
//! the drawings under `/drawings/`. The same content with the same templates gives the same bytes: no clock, no system
//! type, no file.
//!
//! Sizes of pages are in points (1/72 in).

#![cfg(feature = "paper")]

pub mod apart;
pub mod data;
pub mod sheet;
pub mod tags;
mod templates;
mod world;

use std::path::Path;

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

pub use apart::Bounds;
pub use templates::{BUILT_IN, Templates, write_built_in};
use world::TypstWorld;

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

    /// Sets it in type by the built-in templates. Letters that no type has are told as a note.
    pub fn set(&self) -> WithDiagnostics<Option<Pages>> {
        self.set_contained(&Templates::default())
    }

    /// Sets it in type as a PDF. What a template gets wrong is told with its file, line and what to do. A shop's own
    /// templates are set in a process of their own, which is ended at the bounds; no other document is set by them
    /// then.
    pub fn pdf(&self, templates: &Templates, bounds: Bounds) -> WithDiagnostics<Option<Pdf>> {
        if !templates.has_own() {
            return self.pdf_here(templates);
        }
        let failed = |(what, remedy): (String, &'static str)| {
            let (value, diagnostics) = (None, vec![self.failed(templates, &what, remedy)]);
            WithDiagnostics { value, diagnostics }
        };
        if templates.are_given_up() {
            let remedy = "Correct them, and print again.";
            return failed(("is not tried again: it was ended before".to_owned(), remedy));
        }
        apart::set(self, templates, bounds).unwrap_or_else(|why| {
            templates.give_up();
            failed(why)
        })
    }

    /// Sets it in this process, whatever it takes.
    fn pdf_here(&self, templates: &Templates) -> WithDiagnostics<Option<Pdf>> {
        let WithDiagnostics { value, mut diagnostics } = self.set_contained(templates);
        let made = |pages: Pages| {
            let made = contained(|| pages.pdf())
                .unwrap_or_else(|panic| Err(self.panicked(templates, &panic)))
                .map(|bytes| Pdf { pages: pages.count(), bytes });
            made.map_err(|error| diagnostics.push(error)).ok()
        };
        WithDiagnostics { value: value.and_then(made), diagnostics }
    }

    fn failed(&self, templates: &Templates, what: &str, remedy: &str) -> Diagnostic {
        // Which one of a shop's it was is not known: the built-in ones use them.
        let place = templates.folder().map_or_else(|| templates.path_of(self.template), Path::to_owned);
        Diagnostic::error(format!("Setting pages by these templates {what}.")).remedy(remedy).in_file(&place)
    }

    fn panicked(&self, templates: &Templates, panic: &str) -> Diagnostic {
        let remedy = "Look in them for what was changed last, and take that back.";
        self.failed(templates, &format!("failed: {panic}"), remedy)
    }

    fn set_contained(&self, templates: &Templates) -> WithDiagnostics<Option<Pages>> {
        contained(|| self.set_here(templates)).unwrap_or_else(|panic| WithDiagnostics {
            value: None,
            diagnostics: vec![self.panicked(templates, &panic)],
        })
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

/// A document as a PDF with its type embedded; the same content by the same templates always gives the same bytes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pdf {
    /// How many pages it has.
    pub pages: usize,
    /// The file.
    pub bytes: Vec<u8>,
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

    #[test]
    fn what_is_printed_is_seen() {
        let text = "K\u{202e}1 \u{1b}[2J \\u001b \\ \\\u{8}\r\n\t\"−\"";
        let json = visible_in_json(&serde_json::to_string(&[text]).expect("JSON"));
        let read: [String; 1] = serde_json::from_str(&json).expect("JSON");
        assert_eq!(read[0], "K<U+202E>1 <U+001B>[2J \\u001b \\ \\<U+0008><U+000D>\n\t\"−\"");
    }
}
