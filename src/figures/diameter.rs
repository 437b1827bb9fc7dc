//! Largest, smallest and average diameter of a barrel, and where.

use super::{Figure, Impossible, PartialFigure, largest, smallest};
use records::bore::{Bore, Scope};

/// The largest mean diameter. Further readings can only enlarge it.
///
/// # Examples
/// ```
/// use figures::diameter::largest_diameter;
/// use quantities::length::{Style, Unit};
/// use records::bore::{Bore, Point, Scope};
/// let bore = Bore::of_texts(&[&["5.1310", "5.1320"], &["5.1285", ""]], Unit::Inch).unwrap();
/// let scope = Scope { stations: &[0, 1], required_axes: &[0, 1] };
/// let largest = largest_diameter(&bore, &scope);
/// assert_eq!(largest.figure().unwrap().value.text(Style::usual(Unit::Inch)), "5.1320 in");
/// assert_eq!(largest.missing(), [Point::new(1, 1)], "it may yet be larger");
/// ```
pub fn largest_diameter(bore: &Bore, scope: &Scope<'_>) -> PartialFigure {
    let figure = largest(scope.measured(bore)).map(|(at, mean)| Figure::of_cell(at, mean));
    PartialFigure::new(figure, scope.missing(bore), Impossible::NothingToMeasure)
}

/// The smallest mean diameter. Further readings can only lower it.
pub fn smallest_diameter(bore: &Bore, scope: &Scope<'_>) -> PartialFigure {
    let figure = smallest(scope.measured(bore)).map(|(at, mean)| Figure::of_cell(at, mean));
    PartialFigure::new(figure, scope.missing(bore), Impossible::NothingToMeasure)
}

/// The average diameter over the required cells; none until all of them are measured.
pub fn average_diameter(bore: &Bore, scope: &Scope<'_>) -> PartialFigure {
    PartialFigure::new(Figure::average_over(bore, scope), scope.missing(bore), Impossible::NothingToMeasure)
}

#[cfg(test)]
mod tests {
    use super::super::tests::{bore, inches};
    use super::*;
    use records::bore::Point;

    /// W2 (an engine maker's service instruction of 1967 on nitrided barrels, grade P): averages 5.1315 at the
    /// upper station and 5.1300 at the lower.
    #[test]
    fn w2_averages() {
        let bore = bore(&[&["5.1310", "5.1320"], &["5.1285", "5.1315"]]);
        let average = |stations: &[usize]| {
            let average = average_diameter(&bore, &Scope { stations, required_axes: &[0, 1] });
            inches(average.known().unwrap().value)
        };
        assert_eq!((average(&[0]), average(&[1])), ("5.1315".into(), "5.1300".into()));
        assert_eq!(average(&[0, 1]), "5.1308", "5.13075 is shown half away from zero");
        let scope = Scope { stations: &[0, 1], required_axes: &[0, 1] };
        let largest = largest_diameter(&bore, &scope).known().unwrap();
        assert_eq!((inches(largest.value), largest.place()), ("5.1320".into(), Some(Point::new(0, 1))));
        let smallest = smallest_diameter(&bore, &scope).known().unwrap();
        assert_eq!((inches(smallest.value), smallest.place()), ("5.1285".into(), Some(Point::new(1, 0))));
    }

    #[test]
    fn an_axis_that_may_be_left_out_counts_for_the_largest_and_not_for_the_average() {
        let bore = bore(&[&["5.1300", "5.1310", "5.1400"]]);
        let scope = Scope { stations: &[0], required_axes: &[0, 1] };
        assert_eq!(inches(largest_diameter(&bore, &scope).known().unwrap().value), "5.1400");
        assert_eq!(inches(average_diameter(&bore, &scope).known().unwrap().value), "5.1305");
    }

    #[test]
    fn before_everything_is_measured() {
        let bore = bore(&[&["5.1300", ""], &["", "5.1250"]]);
        let scope = Scope { stations: &[0, 1], required_axes: &[0, 1] };
        let missing = vec![Point::new(0, 1), Point::new(1, 0)];
        let largest = largest_diameter(&bore, &scope);
        assert!(largest.figure().is_some() && !largest.is_complete());
        assert_eq!(largest.missing(), missing);
        assert_eq!(
            average_diameter(&bore, &scope),
            PartialFigure::new(None, missing, Impossible::NothingToMeasure)
        );
    }
}
