//! What is shown adds up: reading and what is left make the limit, in either unit, to the last digit.

use proptest::prelude::*;

use super::*;
use crate::reason::{Reason, margin_words, sentence, sentence_in, shown};
use crate::shown::{Shown, limit_style};
use quantities::length::Mean;
use records::limits::resolved::Bound;
use records::limits::rows::{RowKind, RowName};

const INCH: Style = Style { unit: Unit::Inch, decimals: 4 };
const MM: Style = Style { unit: Unit::Millimetre, decimals: 3 };

fn bound(text: &str) -> Bound {
    let entry = Length::parse(text, Unit::Inch).unwrap();
    Bound { length: entry.length, style: entry.style, place: String::new(), worked_out: None }
}

/// The number in front of a text, as a length of its unit.
fn number(text: &str, unit: Unit) -> Length {
    let number =
        text.split(' ').find(|word| word.starts_with(|c: char| c.is_ascii_digit() || c == '\u{2212}'));
    Length::parse(&number.unwrap().replace('\u{2212}', "-"), unit).unwrap().length
}

/// 5.1255 in and an allowance of 0.003 in are 5.1285 in; shown with the digits of the allowance it was 5.129.
#[test]
fn an_allowance_over_new_keeps_every_digit() {
    let over = |new: &str, allowance: &str| {
        let limits = limits(&format!(
            r#"bore: [(size: Standard, reference: "1", new: ("5.1250", "{new}"), serviceable: OverNew("{allowance}"))]"#
        ));
        limits.sizes[0].serviceable.as_ref().unwrap().text()
    };
    assert_eq!(over("5.1255", "0.003"), "5.1285 in");
    assert_eq!(
        over("5.125", "0.0030"),
        "5.128 in",
        "5.125 + 0.0030, in the digits of the size it is added to"
    );
    assert_eq!(over("5.1255", "0.00325"), "5.12875 in");
    // In inches the sum has no end.
    assert_eq!(over("5.1255", "0.05 mm"), "130.2377 mm");
    let limits = limits(
        r#"ring_travel: ("0.5", "4.5")
        taper: (rule: PerAxisRange, new: "0.0005", serviceable: OverNew("0.001"))
        out_of_round: (rule: PerStation, serviceable: PerBore("0.00015"))
        parts: [(reference: "201", description: "skirt", kind: Shaft, new: ("5.1105", "5.1120"), serviceable: OverNew("0.003"))]"#,
    );
    let text = |bound: &Option<Bound>| bound.as_ref().unwrap().text();
    assert_eq!(text(&limits.shape_row(RowName::Taper).unwrap().limit), "0.0015 in");
    assert_eq!(
        text(&limits.shape_row(RowName::OutOfRound).unwrap().limit),
        "0.000769 in",
        "0.00076875 takes eight digits"
    );
    assert_eq!(text(&limits.parts[0].limits.serviceable), "5.1075 in", "a shaft wears smaller");
}

#[test]
fn reading_and_what_is_left_make_the_limit() {
    let texts = |value: Mean, limit: &str, style| {
        let shown = Shown::new(value, Some(&bound(limit)), style);
        [shown.value.text(shown.style), shown.left_words().unwrap(), shown.limit_text().unwrap()]
    };
    let length = |text: &str| Mean::from(inches(text));
    assert_eq!(texts(length("5.1283"), "5.1290", INCH), ["5.1283 in", "0.0007 in left", "5.1290 in"]);
    // Each rounded for itself they would be 0.00028 and 0.00123.
    assert_eq!(texts(length("0.000275"), "0.0015", INCH), ["0.00028 in", "0.00122 in left", "0.0015 in"]);
    assert_eq!(texts(length("5.1294"), "5.129", INCH), ["5.1294 in", "0.0004 in over", "5.129 in"]);
    // A limit in inches has an end in millimetres, and is shown with it: 130.277 would be another one.
    assert_eq!(texts(length("5.1283"), "5.1290", MM), ["130.2588 mm", "0.0178 mm left", "130.2766 mm"]);
    // One in millimetres has none in inches; all are rounded alike.
    assert_eq!(texts(length("5.1255"), "130.25 mm", INCH), ["5.1255 in", "0.0025 in left", "5.1280 in"]);
    // As many digits as it takes to see the side it is on.
    assert_eq!(
        texts(length("130.2004 mm"), "130.2 mm", INCH),
        ["5.12600 in", "0.00002 in over", "5.12598 in"]
    );
}

proptest! {
    #[test]
    fn whatever_is_shown_adds_up(
        value in prop::collection::vec(1_000_000_000..1_400_000_000_i64, 1..4),
        limit in 1_000_000_000..1_400_000_000_i64,
        grain in prop::sample::select(vec![1_i64, 254, 1_000, 25_400, 100_000]),
        own in prop::sample::select(vec![INCH, MM]),
        style in prop::sample::select(vec![INCH, MM, Style { decimals: 2, ..MM }]),
    ) {
        let whole = |tenths: i64| Length::from_tenths_of_nm(tenths / grain * grain);
        let length = whole(limit);
        let own = Style { decimals: length.exact_decimals(own.unit).unwrap_or(own.decimals), ..own };
        let bound = Bound { length, style: own, place: String::new(), worked_out: None };
        let value = Mean::of_lengths(value.into_iter().map(whole)).unwrap();
        let shown = Shown::new(value, Some(&bound), style);
        let unit = shown.style.unit;
        // A seventh digit of an inch is finer than what a length can hold, and so cannot be read back.
        prop_assume!(unit == Unit::Millimetre || shown.style.decimals <= 6);
        let (left, side) = shown.left().unwrap();
        let left = number(&left, unit);
        let left = if side == "over" { -left } else { left };
        let limit = number(&shown.limit_number().unwrap(), unit);
        // A digit of an inch may be less than a tenth of a nanometre: both ends are rounded to it.
        let apart = (number(&shown.value.number(shown.style), unit) + left - limit).tenths_of_nm();
        prop_assert!(apart.abs() <= 1, "{shown:?}");
        // And on the side of the limit that it is judged to be on.
        if value > bound.length {
            prop_assert_eq!(side, "over");
        } else {
            prop_assert_eq!(side, "left");
        }
    }
}

/// Typed in one unit and judged by a table in the other: the limit is told in the unit of the reading, and as the
/// table has it.
#[test]
fn a_limit_of_the_other_unit_is_told_in_both() {
    let limits = limits("step:");
    let mut barrel = cylinder(&limits, &[]);
    for (station, axis) in (0..4).flat_map(|station| [(station, 0), (station, 1)]) {
        let reading = Length::parse("130.300", Unit::Millimetre).unwrap();
        barrel.bore.set(Point::new(station, axis), Cell::new(vec![reading.length], MM, 0));
    }
    let assessment = judged(&limits, &barrel);
    let bore = assessment.rows.iter().position(|row| matches!(row.kind, RowKind::Bore(_))).unwrap();
    assert_eq!(
        sentence(Reason::Within(bore), &assessment, &barrel, &limits).unwrap(),
        "Bore, station B, pin axis: 130.300 mm, 0.002 mm left to the serviceable 130.302 mm (5.1300 in in the table) \
         (ref. 1, table 1)."
    );
    assert_eq!(
        sentence_in(Some(Unit::Inch), Reason::Within(bore), &assessment, &barrel, &limits).unwrap(),
        "Bore, station B, pin axis: 5.12992 in, 0.00008 in left to the serviceable 5.1300 in (ref. 1, table 1)."
    );
    // The table of rows says the same.
    let row = &assessment.rows[bore];
    let beside = shown(row, MM).unwrap();
    assert_eq!(
        (beside.value.number(beside.style), beside.limit_number()),
        ("130.300".into(), Some("130.302".into()))
    );
    assert_eq!(margin_words(row, MM).unwrap(), "0.002 mm left");
}

#[test]
fn a_limit_in_its_own_unit_is_shown_as_the_table_writes_it() {
    let style = |text: &str, figures| {
        let bound = bound(text);
        limit_style(bound.length, bound.style, figures)
    };
    assert_eq!(style("5.13", INCH), Style { decimals: 2, ..INCH });
    assert_eq!(style("5.13", MM), Style { decimals: 3, ..MM });
    assert_eq!(style("5.1291", MM), Style { decimals: 5, ..MM }, "130.27914 mm");
}

/// A row that the table gives no serviceable limit: within what is as made, or no pass. It was said to be within
/// whatever it read.
#[test]
fn a_row_without_a_serviceable_limit_is_within_as_made_only_where_it_is() {
    let limits = limits(
        r#"bore: [(size: Standard, reference: "1", new: ("5.1250", "5.1265"))]
        taper: (rule: PerAxisRange, reference: "4", new: "0.0005")
        step: (reference: "6")"#,
    );
    let reported = |station: &str, missing: bool| {
        let mut barrel = cylinder(&limits, &[["5.1250"; 2], [station; 2], ["5.1256"; 2], ["5.1256"; 2]]);
        if missing {
            barrel.bore.set(Point::new(3, 1), None);
        }
        let assessment = judged(&limits, &barrel);
        let reported = |i| sentence(Reason::Within(i), &assessment, &barrel, &limits).unwrap();
        [reported(0), reported(1), reported(assessment.rows.len() - 1)]
    };
    let [bore, taper, step] = reported("5.1260", false);
    assert_eq!(bore, "Bore, station B, pin axis: 5.1260 in is within the as-made 5.1265 in (ref. 1).");
    assert!(taper.contains("0.0004 in is within the as-made 0.0005 in (ref. 4)."), "{taper}");
    assert_eq!(step, "Step, station B, pin axis: 0.0005 in; the table gives no limit (ref. 6).");
    let [bore, taper, _] = reported("5.1270", false);
    assert_eq!(
        bore,
        "Bore, station B, pin axis: 5.1270 in is not within the as-made 5.1265 in, and the table gives no serviceable \
         limit (ref. 1)."
    );
    assert!(taper.contains("0.0014 in is not within the as-made 0.0005 in"), "{taper}");
    let [bore, ..] = reported("5.1260", true);
    assert_eq!(
        bore,
        "Bore, station B, pin axis: at least 5.1260 in; as made 5.1265 in, and the table gives no serviceable limit \
         (ref. 1)."
    );
}
