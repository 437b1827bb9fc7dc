//! Displacement: the volume that the pistons sweep, pi/4 D² times stroke times cylinders (plane geometry:
//! area of a circle times height of a cylinder).
//!
//! In cubic millimetres; [`text`] shows it in the units of the trade.

use quantities::length::Unit;

/// Cubic millimetres in a cubic inch, exactly.
const PER_CUBIC_INCH: f64 = 25.4 * 25.4 * 25.4;

/// Displacement in cubic millimetres.
///
/// # Examples
/// ```
/// use figures::displacement::{cubic_mm, text};
/// use quantities::length::Unit;
/// let swept = cubic_mm(5.125 * 25.4, 4.375 * 25.4, 6);
/// assert_eq!(text(swept, Unit::Inch), "541.51 cu in");
/// ```
pub fn cubic_mm(bore_mm: f64, stroke_mm: f64, cylinders: u16) -> f64 {
    std::f64::consts::FRAC_PI_4 * bore_mm * bore_mm * stroke_mm * f64::from(cylinders)
}

/// A displacement in cubic inches.
pub fn cubic_inches(cubic_mm: f64) -> f64 {
    cubic_mm / PER_CUBIC_INCH
}

/// A displacement as the trade writes it: `541.51 cu in`, `149.5 cm³`, `8.874 litres` from a litre up.
pub fn text(cubic_mm: f64, unit: Unit) -> String {
    let cubic_cm = cubic_mm / 1e3;
    match unit {
        Unit::Inch => format!("{:.2} cu in", cubic_inches(cubic_mm)),
        // As rounded, so that 999.96 is not written as 1000.0 cm³.
        Unit::Millimetre if (cubic_cm * 10.0).round() < 10_000.0 => format!("{cubic_cm:.1} cm³"),
        Unit::Millimetre => format!("{:.3} litres", cubic_cm / 1e3),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// D11 (grade D): six cylinders, stroke 4.375 in, bore 5.125 to 5.135 in: 541.51 to 543.63 cu in.
    #[test]
    fn six_cylinders() {
        let of = |bore: f64| cubic_mm(bore * 25.4, 4.375 * 25.4, 6);
        assert_eq!(text(of(5.125), Unit::Inch), "541.51 cu in");
        assert_eq!(text(of(5.135), Unit::Inch), "543.63 cu in");
        assert_eq!(text(of(5.125), Unit::Millimetre), "8.874 litres");
    }

    /// A cubic inch is 2.54³ = 16.387064 cm³ (grade D).
    #[test]
    fn centimetres_below_a_litre() {
        assert_eq!(text(16_387.064, Unit::Millimetre), "16.4 cm³");
        assert_eq!(text(16_387.064, Unit::Inch), "1.00 cu in");
        assert_eq!(text(999_940.0, Unit::Millimetre), "999.9 cm³");
        assert_eq!(text(999_960.0, Unit::Millimetre), "1.000 litres");
    }
}
