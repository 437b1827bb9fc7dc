//! The colour map of wear: pale to dark, straw to navy, even steps of lightness throughout.
//!
//! The colours run through equal steps of lightness (CIE L*, from 96 to 22) with the hue going from yellow to blue, the pair
//! that all common kinds of colour blindness keep apart; lightness alone already orders them, so that a
//! black-and-white print reads the same. Both are tested.

#![expect(clippy::indexing_slicing, reason = "the place is kept within the table two lines before")]

/// Colours at equal steps from least to most, sRGB.
const TABLE: [[u8; 3]; 9] = [
    [255, 243, 193],
    [230, 217, 171],
    [201, 192, 155],
    [171, 167, 145],
    [141, 143, 138],
    [110, 119, 133],
    [77, 96, 128],
    [38, 74, 122],
    [0, 54, 113],
];

/// The colour of a value between 0, the least, and 1, the most; what is no number counts as 0.
pub fn colour(value: f64) -> [u8; 3] {
    let value = if value.is_finite() { value.clamp(0.0, 1.0) } else { 0.0 };
    let place = value * (TABLE.len() - 1) as f64;
    let index = (place.floor() as usize).min(TABLE.len() - 2);
    let part = place - index as f64;
    let (low, high) = (TABLE[index], TABLE[index + 1]);
    [0, 1, 2].map(|i| (f64::from(low[i]) * (1.0 - part) + f64::from(high[i]) * part).round() as u8)
}

#[cfg(test)]
mod tests {
    use super::{TABLE, colour};

    fn linear(channel: u8) -> f64 {
        let c = f64::from(channel) / 255.0;
        if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
    }

    /// CIE 1976 lightness of a linear luminance (D; formula of CIE 15, from memory: M).
    fn lightness(luminance: f64) -> f64 {
        if luminance > 0.008856 { 116.0 * luminance.cbrt() - 16.0 } else { 903.3 * luminance }
    }

    fn luminance(rgb: [f64; 3]) -> f64 {
        0.2126 * rgb[0] + 0.7152 * rgb[1] + 0.0722 * rgb[2]
    }

    #[test]
    fn lightness_falls_in_even_steps() {
        let steps: Vec<f64> = TABLE.iter().map(|c| lightness(luminance(c.map(linear)))).collect();
        let mean = (steps[0] - steps[8]) / 8.0;
        assert!(mean > 7.0, "{steps:?}");
        for pair in steps.windows(2) {
            let step = pair[0] - pair[1];
            assert!((step - mean).abs() < 0.25 * mean, "{step} of {mean}: {steps:?}");
        }
    }

    /// Seen without the long or the medium cones (matrices of Viénot, Brettel and Mollon 1999 in their usual
    /// linear sRGB form; M), neighbouring steps still fall in lightness.
    #[test]
    fn order_survives_colour_blindness() {
        let protan = [[0.11238, 0.88762, 0.0], [0.11238, 0.88762, 0.0], [0.00401, -0.00401, 1.0]];
        let deutan = [[0.29275, 0.70725, 0.0], [0.29275, 0.70725, 0.0], [-0.02234, 0.02234, 1.0]];
        for matrix in [protan, deutan] {
            let seen = TABLE.map(|c| {
                let c = c.map(linear);
                let rgb = matrix.map(|row| row[0] * c[0] + row[1] * c[1] + row[2] * c[2]);
                lightness(luminance(rgb))
            });
            for pair in seen.windows(2) {
                assert!(pair[0] - pair[1] > 4.0, "{seen:?}");
            }
        }
    }

    #[test]
    fn ends_and_nonsense() {
        assert_eq!(colour(0.0), TABLE[0]);
        assert_eq!(colour(1.0), TABLE[8]);
        assert_eq!(colour(9.0), TABLE[8]);
        assert_eq!(colour(f64::NAN), TABLE[0]);
    }
}
