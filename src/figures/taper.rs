//! Taper: positive is larger at the head end. Published documents use at least five rules, and they do not
//! agree, so the rule is named in the table of limits and printed wherever the figure is.

use super::{Figure, Impossible, PartialFigure, ReadAt, largest, on_axis, range, smallest, worst};
use records::bore::{Bore, Scope};
use records::limits::schema::TaperRule;

/// The taper of a barrel under a rule, with its sign: positive is larger at the head end. The two rules that
/// take a range have no sign and are never negative. The top is the scope's first station, the bottom its
/// last; with fewer than two stations there is no taper.
///
/// Before everything is measured it is given where further readings can only enlarge its magnitude: under
/// the two rules that take a range, per axis for the axes whose ends are measured (the sign may still turn),
/// and largest top minus smallest bottom while it is not negative. An average is not given. Optional axes that
/// were read count under every rule but the averages.
///
/// # Examples
/// ```
/// use figures::taper::taper;
/// use quantities::length::{Style, Unit};
/// use records::bore::{Bore, Scope};
/// use records::limits::schema::TaperRule;
/// let bore = Bore::of_texts(&[&["5.1310", "5.1320"], &["5.1285", "5.1315"]], Unit::Inch).unwrap();
/// let scope = Scope { stations: &[0, 1], required_axes: &[0, 1] };
/// let by = |rule| taper(&bore, rule, &scope).known().unwrap().value.text(Style::usual(Unit::Inch));
/// assert_eq!(by(TaperRule::AxisAverages), "0.0015 in");
/// assert_eq!(by(TaperRule::LargestTopSmallestBottom), "0.0035 in");
/// ```
pub fn taper(bore: &Bore, rule: TaperRule, scope: &Scope<'_>) -> PartialFigure {
    let (Some(&top), Some(&bottom)) = (scope.stations.first(), scope.stations.last()) else {
        return PartialFigure::Impossible(Impossible::NothingToMeasure);
    };
    if top == bottom {
        return PartialFigure::Impossible(Impossible::OneStation);
    }
    let ends = [top, bottom];
    let at_ends = Scope { stations: &ends, ..scope.clone() };
    let axes = 0..bore.axes();
    let (figure, missing) = match rule {
        TaperRule::PerAxisRange => {
            (worst(axes.filter_map(|axis| range(on_axis(bore, scope.stations, axis)))), scope.missing(bore))
        }
        TaperRule::AllReadings => (range(scope.measured(bore)), scope.missing(bore)),
        TaperRule::AxisAverages => {
            let end = |station| Figure::average_over(bore, &Scope { stations: &[station], ..scope.clone() });
            let figure = end(top).zip(end(bottom)).map(|(high, low)| high.minus(low));
            (figure.map(|figure| figure.read(ReadAt::Stations(top, bottom))), at_ends.missing(bore))
        }
        TaperRule::PerAxisEnds => {
            let worse = |worst: Figure, taper: Figure| {
                if taper.value.abs() > worst.value.abs() { taper } else { worst }
            };
            let figure = axes.filter_map(|axis| end_to_end(bore, &ends, axis)).reduce(worse);
            (figure, at_ends.missing(bore))
        }
        TaperRule::LargestTopSmallestBottom => {
            let missing = at_ends.missing(bore);
            let counts_optional = !missing.is_empty() || counts_optional_axes(bore, &at_ends);
            let figure = largest_top_smallest_bottom(bore, &at_ends, counts_optional);
            // Before everything is measured a negative one is not given: further readings raise it.
            (figure.filter(|f| missing.is_empty() || !f.value.is_negative()), missing)
        }
    };
    PartialFigure::new(figure, missing, Impossible::NothingToMeasure)
}

/// Do the readings on optional axes count in largest top minus smallest bottom? They can only raise it. That makes
/// a negative one smaller in magnitude, and then they do not count: the larger magnitude does.
pub fn counts_optional_axes(bore: &Bore, scope: &Scope<'_>) -> bool {
    let magnitude =
        |optional| largest_top_smallest_bottom(bore, scope, optional).map(|figure| figure.value.abs());
    magnitude(true) >= magnitude(false)
}

fn largest_top_smallest_bottom(bore: &Bore, scope: &Scope<'_>, optional: bool) -> Option<Figure> {
    let cells = |station: Option<&usize>| {
        let counts = |axis| optional || scope.required_axes.contains(&axis);
        Some(bore.at_station(*station?).filter(move |(at, _)| counts(at.axis)))
    };
    let (at, high) = largest(cells(scope.stations.first())?)?;
    let (below, low) = smallest(cells(scope.stations.last())?)?;
    Some(Figure::between((at, high), (below, low)))
}

/// Top minus bottom on one axis.
pub fn end_to_end(bore: &Bore, ends: &[usize; 2], axis: usize) -> Option<Figure> {
    let mut cells = on_axis(bore, ends, axis);
    let (top, bottom) = (cells.next()?, cells.next()?);
    Some(Figure::between(top, bottom))
}

#[cfg(test)]
mod tests {
    use super::super::tests::{bore, inches, scope_of};
    use super::*;

    /// Value under each rule, in the order of [`TaperRule::ALL`], and how many cells are missing.
    fn tapers(bore: &Bore) -> Vec<(Option<String>, usize)> {
        let (stations, axes) = scope_of(bore);
        let scope = Scope { stations: &stations, required_axes: &axes };
        TaperRule::ALL
            .map(|rule| taper(bore, rule, &scope))
            .map(|taper| (taper.figure().map(|f| inches(f.value)), taper.missing().len()))
            .into()
    }

    fn complete(bore: &Bore) -> Vec<String> {
        tapers(bore).into_iter().map(|(value, missing)| value.filter(|_| missing == 0).unwrap()).collect()
    }

    /// W2: an engine maker's service instruction of 1967 on nitrided barrels. Taper by axis averages 0.0015
    /// (grade P), the rest derived from its four readings (grade D).
    #[test]
    fn w2_five_rules_disagree() {
        let bore = bore(&[&["5.1310", "5.1320"], &["5.1285", "5.1315"]]);
        assert_eq!(complete(&bore), ["0.0015", "0.0025", "0.0035", "0.0025", "0.0035"]);
        let by_axis = [0, 1].map(|axis| inches(end_to_end(&bore, &[0, 1], axis).unwrap().value));
        assert_eq!(by_axis, ["0.0025", "0.0005"]);
    }

    /// Grade D: the same barrel the other way up changes sign where a rule has one; the largest top,
    /// 5.1315, is above the smallest bottom, 5.1310, either way.
    #[test]
    fn larger_at_the_base_end_is_negative() {
        let bore = bore(&[&["5.1285", "5.1315"], &["5.1310", "5.1320"]]);
        assert_eq!(complete(&bore), ["\u{2212}0.0015", "\u{2212}0.0025", "0.0005", "0.0025", "0.0035"]);
    }

    /// Grade D: only the ranges see a middle station; the others look at the ends.
    #[test]
    fn a_belly_shows_only_in_the_ranges() {
        let bore = bore(&[&["5.1270", "5.1270"], &["5.1300", "5.1290"], &["5.1270", "5.1260"]]);
        assert_eq!(complete(&bore), ["0.0005", "0.0010", "0.0010", "0.0030", "0.0040"]);
    }

    /// W11 (US Army TM 9-6115-670-14&P, grade P): six diameters of a 67.000-67.019 mm bore; largest minus
    /// smallest beyond 0.15 mm is a replacement. Exactly 0.15 mm is not beyond.
    #[test]
    fn w11_largest_minus_smallest_of_six() {
        let beyond = |largest: &str| {
            let bore =
                bore(&[&[largest, "67.101 mm"], &["67.055 mm", "67.042 mm"], &["67.019 mm", "67.024 mm"]]);
            let scope = Scope { stations: &[0, 1, 2], required_axes: &[0, 1] };
            let range = taper(&bore, TaperRule::AllReadings, &scope);
            assert!(range.is_complete());
            range.known().unwrap().value
                > quantities::length::Length::parse("0.15 mm", Default::default()).unwrap().length
        };
        assert!(!beyond("67.169 mm"));
        assert!(beyond("67.170 mm"));
    }

    #[test]
    fn before_everything_is_measured() {
        let none = None;
        let some = |text: &str| Some(text.to_owned());
        // One axis of two: what its ends show is the least there is; an average is not given.
        let first = bore(&[&["5.1310", ""], &["5.1300", ""], &["5.1285", ""]]);
        assert_eq!(
            tapers(&first),
            [
                (none.clone(), 2),
                (some("0.0025"), 2),
                (some("0.0025"), 2),
                (some("0.0025"), 3),
                (some("0.0025"), 3)
            ]
        );
        // A negative one could still shrink, so it waits.
        let upside_down = bore(&[&["5.1285", ""], &["5.1310", ""]]);
        assert_eq!(tapers(&upside_down)[2], (none.clone(), 2));
        // The two rules that need only the ends do not wait for the middle.
        let ends = bore(&[&["5.1310", "5.1320"], &["", ""], &["5.1285", "5.1315"]]);
        assert_eq!(tapers(&ends)[..3], [(some("0.0015"), 0), (some("0.0025"), 0), (some("0.0035"), 0)]);
        assert_eq!(tapers(&ends)[3], (some("0.0025"), 2));
        // Nothing on both ends of any axis.
        let crossed = bore(&[&["5.1310", ""], &["", "5.1315"]]);
        assert_eq!(tapers(&crossed)[1], (none.clone(), 2));
        assert_eq!(tapers(&crossed)[3], (none, 2));
    }

    /// Grade D. Two required axes and an optional one, at the top and at the bottom.
    #[test]
    fn largest_top_minus_smallest_bottom_counts_optional_axes_that_were_read() {
        let taper = |cells: &[&[&str]]| {
            let scope = Scope { stations: &[0, 1], required_axes: &[0, 1] };
            let gathered = taper(&bore(cells), TaperRule::LargestTopSmallestBottom, &scope);
            (gathered.figure().map(|figure| inches(figure.value)), gathered.missing().len())
        };
        let some = |text: &str| Some(text.to_owned());
        assert_eq!(taper(&[&["5.1262", "5.1264", ""], &["5.1260", "5.1261", ""]]), (some("0.0004"), 0));
        assert_eq!(
            taper(&[&["5.1262", "5.1264", "5.1285"], &["5.1260", "5.1261", "5.1255"]]),
            (some("0.0030"), 0)
        );
        // One end is enough, whichever it is.
        assert_eq!(taper(&[&["5.1262", "5.1264", ""], &["5.1260", "5.1261", "5.1255"]]), (some("0.0009"), 0));
        // Negative without the optional axis, and smaller in magnitude with it: it stays what it was.
        let negative = [&["5.1260", "5.1261", ""][..], &["5.1290", "5.1291", ""]];
        assert_eq!(taper(&negative), (some("\u{2212}0.0029"), 0));
        assert_eq!(taper(&[&["5.1260", "5.1261", "5.1285"], negative[1]]), (some("\u{2212}0.0029"), 0));
        // Turned to the other side, and farther than before.
        assert_eq!(taper(&[&["5.1260", "5.1261", "5.1325"], negative[1]]), (some("0.0035"), 0));
        // A required axis is still to be measured: what the optional one shows is the least there is.
        assert_eq!(taper(&[&["5.1262", "", "5.1285"], &["5.1260", "", "5.1255"]]), (some("0.0030"), 2));
        assert_eq!(taper(&[&["", "", "5.1285"], &["", "", "5.1290"]]), (None, 4));
    }

    #[test]
    fn one_station_has_no_taper() {
        let bore = bore(&[&["5.1310", "5.1320"]]);
        assert!(tapers(&bore).iter().all(|(value, missing)| value.is_none() && *missing == 0));
        let nowhere = Scope { stations: &[], required_axes: &[0, 1] };
        let one = Scope { stations: &[0], required_axes: &[0, 1] };
        for rule in TaperRule::ALL {
            assert_eq!(taper(&bore, rule, &one), PartialFigure::Impossible(Impossible::OneStation));
            let nothing = PartialFigure::Impossible(Impossible::NothingToMeasure);
            assert_eq!(taper(&bore, rule, &nowhere), nothing);
        }
    }
}
