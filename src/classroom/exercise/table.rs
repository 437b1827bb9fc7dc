//! The invented table of limits of the classroom.

use quantities::length::Unit;
use records::limits::schema::{
    Axis, BoreRow, Limit, MixedOversizes, OutOfRoundRow, OutOfRoundRule, Size, Source, Station, StationRole,
    StepRow, TableOfLimits, TaperRow, TaperRule, WhenBeyond,
};

/// The table of limits that exercises use where none is given: invented, for no real engine.
pub fn table() -> TableOfLimits {
    let station =
        |name: &str, depth: &str, role| Station { name: name.to_owned(), depth: depth.into(), role };
    let axis = |label: &str, degrees: f64| Axis {
        label: label.to_owned(),
        degrees,
        optional: degrees % 90.0 != 0.0,
    };
    let bore = |size: Size, reference: &str, new: (&str, &str), most: &str| BoreRow {
        size,
        reference: reference.to_owned(),
        new: (new.0.into(), new.1.into()),
        serviceable: Some(Limit::At(most.into())),
        place: "practice table, line 1".to_owned(),
    };
    let over = |text: &str| Size::Oversize(text.to_owned());
    let source =
        Source::Illustrative { remark: "Invented for the classroom. For no real engine.".to_owned() };
    TableOfLimits {
        engine: "Practice barrel (invented)".to_owned(),
        stations: vec![
            station("A", "0.400", StationRole::AboveRingTravel),
            station("B", "0.800", StationRole::TopOfRingTravel),
            station("C", "3.100", StationRole::RunningSurface),
            station("D", "5.400", StationRole::BaseEnd),
        ],
        axes: vec![axis("pin", 0.0), axis("45", 45.0), axis("thrust", 90.0), axis("135", 135.0)],
        ring_travel: Some(("0.600".into(), "5.600".into())),
        stroke: Some("4.250".into()),
        bore: vec![
            bore(Size::Standard, "1", ("5.1250", "5.1270"), "5.1295"),
            bore(over("0.010"), "2", ("5.1350", "5.1370"), "5.1395"),
            bore(over("0.015"), "3", ("5.1400", "5.1420"), "5.1445"),
            bore(over("0.020"), "4", ("5.1450", "5.1470"), "5.1495"),
        ],
        taper: Some(TaperRow {
            rule: TaperRule::AxisAverages,
            stations: Vec::new(),
            reference: "5".to_owned(),
            new: Some("0.0005".into()),
            serviceable: Some(Limit::At("0.0015".into())),
            when_beyond: WhenBeyond::Rebore,
            place: "practice table, line 2".to_owned(),
        }),
        out_of_round: Some(OutOfRoundRow {
            rule: OutOfRoundRule::PerStation,
            reference: "6".to_owned(),
            new: Some("0.0005".into()),
            serviceable: Some(Limit::At("0.0015".into())),
            when_beyond: WhenBeyond::Rebore,
            place: "practice table, line 3".to_owned(),
        }),
        step: Some(StepRow {
            reference: "7".to_owned(),
            serviceable: Some("0.0015".into()),
            when_beyond: WhenBeyond::Rebore,
            place: "practice table, line 4".to_owned(),
        }),
        clean_up_allowance: "0.0010".into(),
        mixed_oversizes: MixedOversizes::Allowed,
        remarks: "Invented.".to_owned(),
        ..TableOfLimits::blank("PRACTICE", "1", source, Unit::Inch)
    }
}
