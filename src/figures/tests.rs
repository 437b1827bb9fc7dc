//! What the tests of the figures share, and the checks that belong to no single figure.

use super::*;
use quantities::length::{Length, Style, Unit};
use records::bore::Cell;
use records::survey::{Conditions, Expansion};

const IN4: Style = Style { unit: Unit::Inch, decimals: 4 };

/// A length written in inches.
pub(super) fn inch(text: &str) -> Length {
    Length::parse(text, Unit::Inch).unwrap().length
}

/// A figure in inches to four decimals.
pub(super) fn inches(value: Mean) -> String {
    value.number(IN4)
}

/// A barrel from the texts of its cells, station by station from the head end, in inches unless a text says
/// otherwise; repeats are separated by a blank, and a cell without text is not measured.
pub(super) fn bore(rows: &[&[&str]]) -> Bore {
    let mut bore = Bore::new(rows.len(), rows.first().map_or(0, |row| row.len()));
    for (station, row) in rows.iter().enumerate() {
        for (axis, text) in row.iter().enumerate() {
            let texts: Vec<&str> =
                if text.ends_with("mm") { vec![text] } else { text.split_whitespace().collect() };
            let entries: Vec<_> = texts.iter().map(|text| Length::parse(text, Unit::Inch).unwrap()).collect();
            let style = entries.first().map_or(IN4, |entry| entry.style);
            let cell = Cell::new(entries.iter().map(|entry| entry.length).collect(), style, 0);
            bore.set(Point::new(station, axis), cell);
        }
    }
    bore
}

/// All stations and all axes of a barrel.
pub(super) fn scope_of(bore: &Bore) -> (Vec<usize>, Vec<usize>) {
    ((0..bore.stations()).collect(), (0..bore.axes()).collect())
}

/// W10 (National Physical Laboratory, UK, length FAQ, grade P): steel of 11.7 ppm/K that reads 500.035 mm at
/// 23.7 degrees Celsius is 500.013 mm at 20.
#[test]
fn w10_a_reading_corrected_to_20_c() {
    let conditions = Conditions {
        barrel_c: 23.7,
        gauge_c: 20.0,
        barrel: Expansion { per_k: 11.7e-6, supposed: false },
        difference: None,
        expansion_difference: None,
        suppose_steel: false,
    };
    let steel = Expansion { per_k: 11.7e-6, supposed: false };
    let corrected = inch("500.035 mm").scaled(conditions.factor_to_20_c(steel));
    assert_eq!(corrected.text(Style { unit: Unit::Millimetre, decimals: 3 }), "500.013 mm");
    // A gauge of the same steel at the same temperature grows along, and nothing is left to correct.
    let together = Conditions { gauge_c: 23.7, ..conditions };
    assert_eq!(together.factor_to_20_c(steel), 1.0);
}

/// Three repeats whose mean is no whole number of tenths of a nanometre stay exact through a figure.
#[test]
fn a_mean_of_three_repeats_is_compared_exactly() {
    let bore = bore(&[&["5.1250 5.1250 5.1251", "5.1230"]]);
    let figure = out_of_round::at(&bore, 0).unwrap();
    assert!(figure.value > inch("0.0020"));
    assert_eq!(figure.value * 3, inch("0.0061"));
}

#[test]
fn weights_make_the_figure() {
    let bore = bore(&[&["5.1310", "5.1320"], &["5.1285", "5.1315"]]);
    let (stations, axes) = scope_of(&bore);
    let scope = Scope { stations: &stations, required_axes: &axes };
    let figures = records::limits::schema::TaperRule::ALL
        .map(|rule| taper::taper(&bore, rule, &scope))
        .into_iter()
        .chain([step::step(&bore, 1, 0, &axes), diameter::average_diameter(&bore, &scope)]);
    for figure in figures.map(|figure| figure.known().unwrap()) {
        for figure in [figure.clone(), Figure { value: -figure.value, ..figure.clone() }.magnitude()] {
            let sum: f64 =
                figure.terms.iter().map(|term| term.weight * bore.mean(term.at).unwrap().to_mm()).sum();
            assert!((sum.abs() - figure.value.to_mm().abs()).abs() < 1e-9, "{figure:?}");
        }
    }
}
