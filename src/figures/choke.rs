//! Choke: base-end average minus head-end average, for a barrel ground smaller at the head.
//!
//! A choked barrel that reads parallel when cold has lost its choke: that is wear, not health.

use super::{Figure, Impossible, PartialFigure, ReadAt};
use records::bore::{Bore, Scope};

/// The choke left in a barrel, negative if the head end has become the larger one.
///
/// # Examples
/// ```
/// use figures::choke::choke;
/// use quantities::length::{Style, Unit};
/// use records::bore::{Bore, Scope};
/// let bore = Bore::of_texts(&[&["5.7510", "5.7512"], &["5.7525", "5.7527"]], Unit::Inch).unwrap();
/// let [head, base] = [&[0], &[1]].map(|stations| Scope { stations, required_axes: &[0, 1] });
/// let left = choke(&bore, &head, &base).known().unwrap();
/// assert_eq!(left.value.text(Style::usual(Unit::Inch)), "0.0015 in");
/// ```
pub fn choke(bore: &Bore, head: &Scope<'_>, base: &Scope<'_>) -> PartialFigure {
    let mut missing = head.missing(bore);
    missing.extend(base.missing(bore));
    let figure = Figure::average_over(bore, base)
        .zip(Figure::average_over(bore, head))
        .map(|(base, head)| base.minus(head).read(ReadAt::BaseLessHead));
    PartialFigure::new(figure, missing, Impossible::NothingToMeasure)
}

#[cfg(test)]
mod tests {
    use super::super::tests::{bore, inches};
    use super::*;

    const HEAD: Scope<'_> = Scope { stations: &[0], required_axes: &[0, 1] };
    const BASE: Scope<'_> = Scope { stations: &[2, 3], required_axes: &[0, 1] };

    /// Grade D, from the definition: base-end average minus head-end average. US Army TM 9-2815-220-24, WP 0135
    /// replaces a barrel whose head-end average is above the flange-end average: the sign of the figure.
    #[test]
    fn smaller_at_the_head_is_positive() {
        let made = bore(&[&["5.7510", "5.7512"], &["", ""], &["5.7525", "5.7527"], &["5.7529", "5.7531"]]);
        let choke_left = choke(&made, &HEAD, &BASE);
        assert_eq!(inches(choke_left.figure().unwrap().value), "0.0017");
        assert_eq!(choke_left.missing(), []);
        let worn = bore(&[&["5.7550", "5.7552"], &["", ""], &["5.7525", "5.7527"], &["5.7529", "5.7531"]]);
        assert_eq!(inches(choke(&worn, &HEAD, &BASE).known().unwrap().value), "\u{2212}0.0023");
    }

    #[test]
    fn nothing_before_both_ends_are_measured() {
        let half = bore(&[&["5.7510", ""], &["", ""], &["5.7525", "5.7527"], &["5.7529", "5.7531"]]);
        let choke_left = choke(&half, &HEAD, &BASE);
        assert_eq!((choke_left.figure(), choke_left.missing().len()), (None, 1));
    }
}
