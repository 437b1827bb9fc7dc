//! Displacement from bore and stroke: pi/4 D² times stroke times cylinders.

/// Displacement in cubic millimetres.
pub fn cubic_mm(bore_mm: f64, stroke_mm: f64, cylinders: u16) -> f64 {
    std::f64::consts::FRAC_PI_4 * bore_mm * bore_mm * stroke_mm * f64::from(cylinders)
}
