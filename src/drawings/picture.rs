//! A drawing as a picture file: SVG as it is, PNG made from that same SVG, so that neither can differ from the
//! other or from the printed report, and neither depends on the size or the theme of the window.
//!
//! A PNG needs the feature `picture`; SVG needs none.

use std::path::Path;
#[cfg(feature = "picture")]
use std::sync::Arc;

#[cfg(feature = "picture")]
use resvg::tiny_skia::{Pixmap, Transform};
#[cfg(feature = "picture")]
use resvg::usvg::{Options, Tree, fontdb::Database};

use crate::layout::DrawingSheet;
use crate::svg::svg;
#[cfg(feature = "picture")]
use crate::typeface::Face;
use records::diag::Diagnostic;
use records::store::{NotWritten, Replace, write};

/// How many pixels a point has in a PNG.
#[cfg(feature = "picture")]
const SCALE: f32 = 2.0;

/// Writes a sheet as SVG or PNG, as the ending of the path says.
///
/// # Errors
/// What went wrong and what to do, in words.
pub fn save(sheet: &DrawingSheet, path: &Path, replace: Replace<'_>) -> Result<(), NotWritten> {
    let ending = path.extension().and_then(|ending| ending.to_str()).map(str::to_ascii_lowercase);
    let text = svg(sheet);
    let bytes = match ending.as_deref() {
        Some("svg") => text.into_bytes(),
        Some("png") => png(&text).map_err(|error| error.in_file(path))?,
        _ => {
            let wrong = Diagnostic::error("A picture is saved as SVG or PNG.").in_file(path);
            return Err(wrong.remedy("End the name in .svg or .png.").into());
        }
    };
    write(path, &bytes, replace).map(drop)
}

/// What a build without pictures says.
///
/// # Errors
/// Always.
#[cfg(not(feature = "picture"))]
pub fn png(_: &str) -> Result<Vec<u8>, Diagnostic> {
    Err(Diagnostic::error("This program was built without PNG (feature `picture`).")
        .remedy("Save it as SVG."))
}

/// The picture of an SVG text as the bytes of a PNG file.
///
/// # Errors
/// If the text is no picture, or too large for one.
#[cfg(feature = "picture")]
pub fn png(text: &str) -> Result<Vec<u8>, Diagnostic> {
    let failed = |what: &dyn std::fmt::Display| {
        Diagnostic::error(format!("The picture cannot be made: {what}.")).remedy("Save it as SVG.")
    };
    let mut fonts = Database::new();
    for face in [Face::Plain, Face::Bold] {
        fonts.load_font_data(face.bytes().to_vec());
    }
    let options = Options { fontdb: Arc::new(fonts), ..Options::default() };
    let tree = Tree::from_str(text, &options).map_err(|error| failed(&error))?;
    let size = tree.size().to_int_size().scale_by(SCALE).ok_or_else(|| failed(&"it has no size"))?;
    let mut pixels = Pixmap::new(size.width(), size.height()).ok_or_else(|| failed(&"it is too large"))?;
    resvg::render(&tree, Transform::from_scale(SCALE, SCALE), &mut pixels.as_mut());
    pixels.encode_png().map_err(|error| failed(&error))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::layout::{Paper, lay_out};
    use crate::{Options, Subject, View};
    use records::file;
    use records::record;

    fn sheet() -> DrawingSheet {
        let text = include_str!("../../demo/wexcombe_six.ron");
        let record = file::record_from_text(text, None).value.expect("the demo can be read");
        let survey = record::resolve::survey(&record, 2, None).value.expect("the demo can be judged");
        let cylinder = &survey.cylinders[3];
        let assessment = judging::assess(cylinder, &survey);
        let subject = Subject { survey: &survey, cylinder, assessment: &assessment };
        lay_out(&View::Profile.draw(subject, &Options::default()), Paper::default(), None)
    }

    #[cfg(feature = "picture")]
    #[test]
    fn a_png_is_twice_the_sheet_and_has_words_on_it() {
        let sheet = sheet();
        let bytes = png(&svg(&sheet)).expect("a picture");
        let picture = Pixmap::decode_png(&bytes).expect("a PNG");
        assert_eq!((picture.width(), picture.height()), (1440, 1120));
        // The title is dark ink on paper: without a font its place would be empty.
        let title = (20..400).flat_map(|x| (14..40).map(move |y| (x, y)));
        let dark = title.filter(|&(x, y)| picture.pixel(x, y).is_some_and(|p| p.red() < 80)).count();
        assert!(dark > 500, "{dark}");
    }

    #[test]
    fn the_ending_says_what_is_written() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("profile.svg");
        save(&sheet(), &path, Replace::Nothing).expect("saved");
        assert!(std::fs::read_to_string(&path).expect("there").starts_with("<svg"));
        let refused = |name: &str| {
            let error = save(&sheet(), &folder.path().join(name), Replace::Nothing).expect_err("refused");
            Diagnostic::from(error).to_string()
        };
        assert!(refused("profile.bmp").contains(".svg or .png"));
        assert!(refused("profile.svg").contains("There is a file of this name already"));
    }
}
