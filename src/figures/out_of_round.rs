//! Out-of-round, on the diameter: twice the radial roundness of ISO 12181 for an oval.
//!
//! It is what the measured axes show. How much of an oval that is, and which way it lies, is told by
//! [`super::ovality`] where there are three axes or more.

use super::{Figure, Impossible, PartialFigure, ReadAt, largest, on_axis, range, smallest, worst};
use records::bore::{Bore, Point, Scope};
use records::limits::schema::OutOfRoundRule;

/// Out-of-round of one station: largest minus smallest of its axes; `None` with fewer than two axes.
pub fn at(bore: &Bore, station: usize) -> Option<Figure> {
    range(bore.at_station(station)).map(|figure| figure.read(ReadAt::Station(station)))
}

/// Out-of-round of the barrel under a rule. Further readings can only enlarge it.
///
/// It compares two axes: where the table asks for one, a second one is missing at every station.
///
/// # Examples
/// ```
/// use figures::out_of_round::out_of_round;
/// use quantities::length::{Style, Unit};
/// use records::bore::{Bore, Scope};
/// use records::limits::schema::OutOfRoundRule;
/// let bore = Bore::of_texts(&[&["5.1310", "5.1320"], &["5.1285", "5.1315"]], Unit::Inch).unwrap();
/// let scope = Scope { stations: &[0, 1], required_axes: &[0, 1] };
/// let figure = out_of_round(&bore, OutOfRoundRule::PerStation, &scope).known().unwrap();
/// assert_eq!(figure.value.text(Style::usual(Unit::Inch)), "0.0030 in");
/// ```
pub fn out_of_round(bore: &Bore, rule: OutOfRoundRule, scope: &Scope<'_>) -> PartialFigure {
    let figure = match rule {
        OutOfRoundRule::PerStation => per_station(bore, scope),
        OutOfRoundRule::AcrossStations => across_stations(bore, scope),
    };
    let why = if scope.stations.is_empty() { Impossible::NothingToMeasure } else { Impossible::OneAxis };
    if bore.axes() < 2 {
        return PartialFigure::Impossible(why);
    }
    PartialFigure::new(figure, missing(bore, scope), why)
}

/// The cells that it still needs: the axes that must be measured, and a second one where that is only one.
fn missing(bore: &Bore, scope: &Scope<'_>) -> Vec<Point> {
    let mut missing = scope.missing(bore);
    if let [only] = scope.required_axes {
        let seen = |station: usize| bore.at_station(station).any(|(at, _)| at.axis != *only);
        let second = usize::from(*only == 0);
        let unseen = scope.stations.iter().filter(|&&station| !seen(station));
        missing.extend(unseen.map(|&station| Point::new(station, second)));
        missing.sort_unstable_by_key(|at| scope.stations.iter().position(|&station| station == at.station));
    }
    missing
}

/// The first station with the greatest out-of-round.
fn per_station(bore: &Bore, scope: &Scope<'_>) -> Option<Figure> {
    // Values are compared first, so that one figure is made and not one for each station.
    let round = |&station: &usize| {
        let cells = || bore.at_station(station);
        Some((station, largest(cells())?.1 - smallest(cells())?.1))
    };
    let stations = scope.stations.iter().filter(|&&station| bore.at_station(station).nth(1).is_some());
    let worst = stations.filter_map(round).reduce(|worst, one| if one.1 > worst.1 { one } else { worst });
    at(bore, worst?.0)
}

/// One axis's largest minus another axis's smallest, whichever pair differs most.
fn across_stations(bore: &Bore, scope: &Scope<'_>) -> Option<Figure> {
    let axes = 0..bore.axes();
    worst(axes.clone().flat_map(|a| axes.clone().map(move |b| (a, b))).filter(|(a, b)| a != b).filter_map(
        |(a, b)| {
            let (high_at, high) = largest(on_axis(bore, scope.stations, a))?;
            let (low_at, low) = smallest(on_axis(bore, scope.stations, b))?;
            Some(Figure::between((high_at, high), (low_at, low)))
        },
    ))
}

#[cfg(test)]
mod tests {
    use super::super::tests::{bore, inches, scope_of};
    use super::*;

    fn rules(bore: &Bore) -> Vec<(Option<String>, usize)> {
        let (stations, axes) = scope_of(bore);
        let scope = Scope { stations: &stations, required_axes: &axes };
        OutOfRoundRule::ALL
            .map(|rule| out_of_round(bore, rule, &scope))
            .map(|round| (round.figure().map(|f| inches(f.value)), round.missing().len()))
            .into()
    }

    /// W2 (an engine maker's service instruction of 1967 on nitrided barrels, grade D from its readings):
    /// 0.0030 at the lower station, 0.0010 at the upper; across stations 5.1320 - 5.1285 = 0.0035.
    #[test]
    fn w2_both_rules() {
        let bore = bore(&[&["5.1310", "5.1320"], &["5.1285", "5.1315"]]);
        let at = [0, 1].map(|station| inches(at(&bore, station).unwrap().value));
        assert_eq!(at, ["0.0010", "0.0030"]);
        assert_eq!(rules(&bore), [(Some("0.0030".into()), 0), (Some("0.0035".into()), 0)]);
    }

    /// Grade D: a taper on one axis alone is no difference between axes at any station.
    #[test]
    fn only_the_rule_across_stations_sees_a_taper() {
        let bore = bore(&[&["5.1310", "5.1310"], &["5.1290", "5.1290"]]);
        assert_eq!(rules(&bore), [(Some("0.0000".into()), 0), (Some("0.0020".into()), 0)]);
    }

    #[test]
    fn before_everything_is_measured() {
        let half = bore(&[&["5.1310", ""], &["", "5.1290"], &["", ""]]);
        assert_eq!(rules(&half), [(None, 4), (Some("0.0020".into()), 4)]);
        let one = bore(&[&["5.1310", ""], &["5.1290", ""]]);
        assert_eq!(rules(&one), [(None, 2), (None, 2)]);
    }

    #[test]
    fn with_one_axis_there_is_none() {
        let one_axis = bore(&[&["5.1310"], &["5.1290"]]);
        let scope = Scope { stations: &[0, 1], required_axes: &[0] };
        for rule in OutOfRoundRule::ALL {
            let found = out_of_round(&one_axis, rule, &scope);
            assert_eq!(found, PartialFigure::Impossible(Impossible::OneAxis));
        }
    }

    /// Where the table asks for one axis only, the second one is needed at every station all the same.
    #[test]
    fn an_optional_second_axis_is_missing_where_it_was_not_read() {
        let scope = Scope { stations: &[0, 1], required_axes: &[1] };
        for rule in OutOfRoundRule::ALL {
            let none_read = out_of_round(&bore(&[&["", "5.1310"], &["", "5.1300"]]), rule, &scope);
            assert_eq!(none_read.missing(), [Point::new(0, 0), Point::new(1, 0)]);
            let half = out_of_round(&bore(&[&["5.1312", "5.1310"], &["", ""]]), rule, &scope);
            assert_eq!(half.missing(), [Point::new(1, 1), Point::new(1, 0)]);
            let all = out_of_round(&bore(&[&["5.1312", "5.1310"], &["5.1301", "5.1300"]]), rule, &scope);
            assert!(all.is_complete());
        }
    }

    #[test]
    fn equal_readings_are_two_cells_all_the_same() {
        let figure = at(&bore(&[&["5.1310", "5.1310", "5.1310"]]), 0).unwrap();
        let [high, low] = figure.terms[..] else { panic!("{figure:?}") };
        assert_ne!(high.at, low.at);
    }
}
