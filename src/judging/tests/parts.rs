//! Single parts against their own rows.

use super::*;
use crate::fit::part_status;
use crate::row::RowStatus;

const PARTS: &str = r#"parts: [(reference: "10", description: "skirt", kind: Shaft, size: Standard, new: ("5.1120", "5.1130"), serviceable: At("5.1110")), (reference: "10", description: "skirt", kind: Shaft, size: Oversize("0.010"), new: ("5.1220", "5.1230")), (reference: "13", description: "bushing", kind: Hole, new: ("1.1253", "1.1258"), serviceable: At("1.1268"))]"#;

#[test]
fn a_shaft_has_a_smallest_and_a_hole_a_largest() {
    let limits = limits(PARTS);
    let (skirt, bushing) = (&limits.parts[0], &limits.parts[2]);
    let table = [
        (skirt, "5.1131", RowStatus::WithinNew, Some("0.0021")),
        (skirt, "5.1120", RowStatus::WithinNew, Some("0.0010")),
        (skirt, "5.1110", RowStatus::WithinServiceable, Some("0")),
        (skirt, "5.1109", RowStatus::Beyond, Some("-0.0001")),
        (bushing, "1.1258", RowStatus::WithinNew, Some("0.0010")),
        (bushing, "1.1268", RowStatus::WithinServiceable, Some("0")),
        (bushing, "1.1270", RowStatus::Beyond, Some("-0.0002")),
        (&limits.parts[1], "5.1219", RowStatus::NoLimitGiven, None),
    ];
    for (part, size, status, margin) in table {
        assert_eq!(part_status(inches(size), part), (status, margin.map(inches)), "{size}");
    }
}

#[test]
fn a_source_is_its_number_and_the_place_of_the_bound_else_its_own() {
    let limits = limits("");
    let mut bound = limits.sizes[0].serviceable.clone().unwrap();
    let mut source = records::limits::resolved::RowSource::default();
    assert_eq!(source.words(None), "");
    source.place = "table 1".to_owned();
    assert_eq!(source.words(None), "table 1");
    source.reference = "7".to_owned();
    assert_eq!(source.words(Some(&bound)), "ref. 7, table 1");
    bound.place = "note 3".to_owned();
    assert_eq!(source.words(Some(&bound)), "ref. 7, note 3");
    source.place.clear();
    assert_eq!(source.words(None), "ref. 7");
}

#[test]
fn a_part_that_comes_in_oversizes_is_judged_by_the_row_of_the_bore() {
    let limits = limits(PARTS);
    let mut barrel = cylinder(&limits, &[["5.1255"; 2]; 4]);
    assert_eq!(limits.part_row(0, barrel.size), Some(&limits.parts[0]));
    barrel.size = Some(1);
    assert_eq!(limits.part_row(0, barrel.size), Some(&limits.parts[1]));
    assert_eq!(limits.part_row(2, barrel.size), Some(&limits.parts[2]));
    // The same size in other words is the same size.
    let reworded = super::limits(&PARTS.replace("0.010", "0.01"));
    assert_eq!(reworded.part_row(0, barrel.size), Some(&reworded.parts[1]));
    // A size that the part is not made in has no row.
    barrel.size = Some(2);
    assert_eq!(limits.part_row(0, barrel.size), None);
}
