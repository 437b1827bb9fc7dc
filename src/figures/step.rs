//! Step (ridge): half the difference between the diameter just below the top of ring travel and the unworn
//! bore above it, which is the height of the lip per side. The axis with the highest lip counts.

use super::{Figure, Impossible, PartialFigure, ReadAt, worst};
use records::bore::{Bore, Point, Scope};

/// The height of the lip per side. Further readings can only enlarge it.
///
/// `above` is the station over the rings' travel, `top` the one just below its top.
///
/// # Examples
/// ```
/// use figures::step::step;
/// use quantities::length::{Style, Unit};
/// use records::bore::Bore;
/// let bore = Bore::of_texts(&[&["5.1250", "5.1252"], &["5.1310", "5.1330"]], Unit::Inch).unwrap();
/// let lip = step(&bore, 0, 1, &[0, 1]).known().unwrap();
/// assert_eq!(lip.value.text(Style::usual(Unit::Inch)), "0.0039 in", "half of 5.1330 minus 5.1252");
/// ```
pub fn step(bore: &Bore, above: usize, top: usize, required_axes: &[usize]) -> PartialFigure {
    let scope = Scope { stations: &[above, top], required_axes };
    let figure = worst((0..bore.axes()).filter_map(|axis| {
        let [above, top] = [above, top].map(|station| Point::new(station, axis));
        let (unworn, worn) = (bore.mean(above)?, bore.mean(top)?);
        Some(Figure::between((top, worn), (above, unworn)).halved().read(ReadAt::Point(top)))
    }));
    PartialFigure::new(figure, scope.missing(bore), Impossible::NothingToMeasure)
}

#[cfg(test)]
mod tests {
    use super::super::tests::{bore, inches};
    use super::*;

    /// Grade D, from the definition: half the difference, per side; the axis with the highest lip counts.
    #[test]
    fn half_the_difference_of_the_worse_axis() {
        let bore = bore(&[&["5.1250", "5.1252"], &["5.1310", "5.1330"]]);
        let lip = step(&bore, 0, 1, &[0, 1]);
        let figure = lip.figure().unwrap();
        assert_eq!((inches(figure.value), figure.place()), ("0.0039".into(), Some(Point::new(1, 1))));
        assert_eq!(lip.missing(), []);
    }

    #[test]
    fn an_axis_without_its_unworn_reading_is_missing() {
        let bore = bore(&[&["5.1250", ""], &["5.1310", "5.1330"]]);
        let lip = step(&bore, 0, 1, &[0, 1]);
        assert_eq!((inches(lip.figure().unwrap().value), lip.missing().len()), ("0.0030".into(), 1));
        assert_eq!(
            step(&super::super::tests::bore(&[&["", ""], &["5.1310", ""]]), 0, 1, &[0, 1]).figure(),
            None
        );
    }
}
