//! The type that drawings are set in: its two faces, which the program carries, and how wide words are in them.
//!
//! A width is the sum of the advance widths that the face itself gives for its letters (table `hmtx` of an
//! OpenType font). Pairs that are set closer (kerning) are not looked for: words come out narrower by it, hardly ever
//! wider, and never by more than 0.08 of their size a pair.

use std::sync::LazyLock;

use records::wording::visible;

/// A face of the type.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Face {
    /// For most words.
    Plain,
    /// For titles and for what is chosen.
    Bold,
}

/// The width of a letter that the face lacks, as a share of the size: a full square, as Chinese and Japanese have it.
/// Where it is drawn, another face stands in for it or an empty box; hardly any writing has wider letters.
const OF_OTHER_FACES: f64 = 1.0;

/// What a face says of its letters.
struct Advances {
    /// Those of ASCII, nearly every letter of a drawing, as shares of the size.
    ascii: [f64; 128],
    /// For the others; none would mean that the face cannot be read.
    face: Option<ttf_parser::Face<'static>>,
}

static PLAIN: LazyLock<Advances> = LazyLock::new(|| Advances::of(Face::Plain));
static BOLD: LazyLock<Advances> = LazyLock::new(|| Advances::of(Face::Bold));

impl Face {
    /// The face that words are set in.
    pub fn of(bold: bool) -> Self {
        if bold { Self::Bold } else { Self::Plain }
    }

    /// The font file, TrueType.
    pub fn bytes(self) -> &'static [u8] {
        match self {
            Self::Plain => include_bytes!("assets/DejaVuSans.ttf"),
            Self::Bold => include_bytes!("assets/DejaVuSans-Bold.ttf"),
        }
    }

    /// How wide words are in type of a size, in the unit of the size (points). Hidden letters count as they are shown.
    pub fn width(self, text: &str, size: f64) -> f64 {
        let advances = match self {
            Self::Plain => &*PLAIN,
            Self::Bold => &*BOLD,
        };
        size * visible(text).chars().map(|letter| advances.letter(letter)).sum::<f64>()
    }
}

impl Advances {
    fn of(face: Face) -> Self {
        let face = ttf_parser::Face::parse(face.bytes(), 0).ok();
        let mut advances = Self { ascii: [OF_OTHER_FACES; 128], face };
        for letter in '\0'..='\x7f' {
            let width = advances.look_up(letter);
            if let Some(slot) = advances.ascii.get_mut(letter as usize) {
                *slot = width;
            }
        }
        advances
    }

    fn letter(&self, letter: char) -> f64 {
        self.ascii.get(letter as usize).copied().unwrap_or_else(|| self.look_up(letter))
    }

    fn look_up(&self, letter: char) -> f64 {
        let advance = self.face.as_ref().and_then(|face| {
            let glyph = face.glyph_index(letter)?;
            Some(f64::from(face.glyph_hor_advance(glyph)?) / f64::from(face.units_per_em()))
        });
        advance.unwrap_or(OF_OTHER_FACES)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Sums of the advance widths of `hmtx` in units of 1/2048 of the size, as fontTools 4 (Python) reads them from
    /// the same files; letter by letter for the first: 1303 for each of five digits, 651 for the point and for the
    /// space, 569 and 1298.
    #[test]
    fn words_are_as_wide_as_the_font_says() {
        for (text, plain, bold) in [
            ("0.0012 in", 9684, 10776),
            ("Wexcombe Six", 15163, 16790),
            ("\u{2212}0.0014 mm ±", 15890, 17029),
            ("Größe … 20 °C", 15293, 16524),
        ] {
            for (face, units) in [(Face::Plain, plain), (Face::Bold, bold)] {
                let expected = 12.0 * f64::from(units) / 2048.0;
                let width = face.width(text, 12.0);
                assert!((width - expected).abs() < 1e-9, "{text} {face:?}: {width}, not {expected}");
            }
        }
    }

    #[test]
    fn a_letter_that_the_face_lacks_is_as_wide_as_it_is_high() {
        assert_eq!(Face::Plain.width("\u{4e2d}", 12.0), 12.0);
        assert_eq!(Face::Bold.width("\u{4e2d}\u{4e2d}", 12.0), 24.0);
        assert_eq!(Face::Plain.width("", 12.0), 0.0);
    }

    /// `U+202E` turns what follows round; it is drawn as `<U+202E>`.
    #[test]
    fn a_hidden_letter_is_as_wide_as_what_is_shown_of_it() {
        assert_eq!(Face::Plain.width("a\u{202e}", 10.0), Face::Plain.width("a<U+202E>", 10.0));
    }
}
