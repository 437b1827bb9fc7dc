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

pub mod data;
pub mod sheet;
pub mod tags;
mod templates;
mod world;

use serde::{Deserialize, Serialize};
use typst::diag::SourceDiagnostic;
use typst::foundations::Smart;
use typst::utils::Scalar;
use typst_layout::PagedDocument;
use typst_pdf::PdfOptions;
use typst_render::RenderOptions;

use crate::diag::{Diagnostic, Told};
use crate::judge::Assessment;
use crate::record::schema::EngineRecord;
use crate::survey::Survey;
use crate::wording::counted;

pub use templates::{BUILT_IN, Templates, write_built_in};
use world::Desk;

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
        let json = serde_json::to_string_pretty(data).unwrap_or_default();
        Self { template, json, pictures }
    }

    /// The content that the template reads, as JSON.
    pub fn json(&self) -> &str {
        &self.json
    }

    /// Sets it in type. What a template gets wrong is told with its file, line and what to do; letters that no
    /// type has are told as a note.
    pub fn set(&self, templates: &Templates) -> Told<Option<Pages>> {
        let mut notes: Vec<Diagnostic> = self.missing_letters().into_iter().collect();
        let pictures = self.pictures.iter().map(|(name, svg)| (name.clone(), svg.clone().into_bytes()));
        let data = ("data.json".to_owned(), self.json.clone().into_bytes());
        let Some(desk) = Desk::new(self.template, templates, pictures.chain([data])) else {
            return Told { value: None, diagnostics: notes };
        };
        let set = typst::compile::<PagedDocument>(&desk);
        notes.extend(set.warnings.iter().map(|warning| desk.told(warning)));
        let told = match set.output {
            Ok(document) => Told { value: Some(Pages { document }), diagnostics: notes },
            Err(errors) => {
                let errors = errors.iter().map(|error: &SourceDiagnostic| desk.told(error));
                Told { value: None, diagnostics: errors.chain(notes).collect() }
            }
        };
        // What is kept for the next document is let go once one was set without it, so that memory does not grow
        // with the number of documents.
        typst::comemo::evict(1);
        told
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
