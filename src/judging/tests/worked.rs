//! Outcomes worked by hand.

use super::*;
use crate::clean_up::CleanUp;
use crate::finding::Amount;
use crate::reason::{Reason, sentence_in};
use crate::row::{RowStatus, point_guard, point_status};
use crate::words::{self, agrees, decision_of};
use crate::{Need, Recommendation, engine};
use quantities::length::Unit;
use quantities::mass::Mass;
use records::limits::rows::{RowKind, RowName};
use records::limits::schema::{FindingKind, JudgedOn, Size};
use records::record::schema::Decision;
use records::survey::Finding;

fn even(diameter: &'static str) -> [[&'static str; 2]; 4] {
    [["5.1255", "5.1255"], [diameter; 2], [diameter; 2], [diameter; 2]]
}

fn depth(text: &str) -> Option<(Length, Style)> {
    Some((inches(text), Style { unit: Unit::Inch, decimals: 4 }))
}

#[test]
fn on_the_limit_is_within_and_one_digit_beyond_is_not() {
    let limits = limits("");
    assert_eq!(
        judged(&limits, &cylinder(&limits, &even("5.1300"))).recommendation,
        Recommendation::Serviceable
    );
    let over = cylinder(&limits, &even("5.130001"));
    assert_eq!(judged(&limits, &over).recommendation, Recommendation::Rebore(2));
    assert!(first_reason(&limits, &over).contains("over the serviceable 5.1300 in (ref. 1, table 1)"));
}

#[test]
fn a_sum_that_binary_floats_get_wrong_is_on_the_limit() {
    // In an f64, 5.128 - 5.125 is more than 0.003.
    let limits = limits("taper:\nstep:\nout_of_round: (rule: PerStation, serviceable: At(\"0.0030\"))");
    let oval =
        cylinder(&limits, &[["5.125", "5.125"], ["5.125", "5.128"], ["5.125", "5.128"], ["5.125", "5.128"]]);
    let assessment = judged(&limits, &oval);
    let row = assessment.rows.iter().find(|row| matches!(row.kind, RowKind::OutOfRound(_))).unwrap();
    assert_eq!(row.status, RowStatus::WithinServiceable);
    assert_eq!(row.margin.unwrap(), Length::ZERO);
}

/// D8 (grade D, geometry): D0 5.1250, wear 0.0080 all on one side reads 5.1330 and needs 5.1410, so +0.010
/// cleans up only if it wore evenly, +0.015 fails as well, and +0.020 is the first that is certain.
#[test]
fn d8_one_sided_wear() {
    let limits = limits(
        r#"bore: [(size: Standard, new: ("5.1250", "5.1265"), serviceable: At("5.1300")), (size: Oversize("0.010"), new: ("5.1350", "5.1365"), serviceable: At("5.1400")), (size: Oversize("0.015"), new: ("5.1400", "5.1415"), serviceable: At("5.1450")), (size: Oversize("0.020"), new: ("5.1450", "5.1465"), serviceable: At("5.1500"))]
        clean_up_allowance: "0""#,
    );
    let mut worn = cylinder(&limits, &even("5.1330"));
    worn.finished_to = depth("5.1250");
    let assessment = judged(&limits, &worn);
    assert_eq!(assessment.recommendation, Recommendation::Rebore(3));
    let clean_up: Vec<CleanUp> = assessment.oversizes.iter().map(|option| option.clean_up).collect();
    assert_eq!(clean_up, [CleanUp::OnlyIfWornEvenly, CleanUp::OnlyIfWornEvenly, CleanUp::WhicheverSideWore]);
    assert_eq!(assessment.oversizes[0].needs_whichever_side, inches("5.1410"));
    assert_eq!(assessment.oversizes[0].needs_if_even, inches("5.1330"));
}

/// W1 (grade P, FAA-H-8083-32, cylinder grinding): standard 3.875 and an oversize of 0.015 finish to 3.890,
/// within 0.0005 either way; the finished size is the standard plus the oversize, never the worn size plus it.
#[test]
fn w1_finished_size() {
    let limits = limits(
        r#"bore: [(size: Standard, new: ("3.8745", "3.8755"), serviceable: At("3.8800")), (size: Oversize("0.015"), new: ("3.8895", "3.8905"), serviceable: At("3.8950"))]
        step:
        clean_up_allowance: "0""#,
    );
    let worn =
        cylinder(&limits, &[["", ""], ["3.8810", "3.8810"], ["3.8810", "3.8810"], ["3.8810", "3.8810"]]);
    let assessment = judged(&limits, &worn);
    assert_eq!(assessment.recommendation, Recommendation::Rebore(1));
    let row = &limits.sizes[1];
    assert_eq!(row.new.0.length + inches("0.0005"), inches("3.890"));
    assert_eq!(row.new.1.length - inches("0.0005"), inches("3.890"));
    assert_eq!(
        assessment.oversizes[0].finished,
        inches("3.8895"),
        "counted at the least it may be finished to"
    );
}

#[test]
fn a_pit_asks_for_twice_its_depth_at_its_own_station() {
    let limits = limits("");
    let mut pitted = cylinder(&limits, &even("5.1270"));
    let pit = |text, station| Finding { depth: depth(text), station, ..found(FindingKind::Pitted) };
    // Even: 5.1270 + 2 x 0.0030 + 0.0010 = 5.1340; on one side 5.1290 + 0.0070 = 5.1360.
    pitted.findings = vec![pit("0.0030", Some(2))];
    let assessment = judged(&limits, &pitted);
    assert_eq!(assessment.recommendation, Recommendation::Rebore(2));
    assert_eq!(assessment.oversizes[0].clean_up, CleanUp::OnlyIfWornEvenly);
    assert_eq!(assessment.oversizes[0].needs_if_even, inches("5.1340"));
    assert_eq!(assessment.oversizes[0].needs_whichever_side, inches("5.1360"));
    assert_eq!(assessment.oversizes[0].governed_by.station, 2);
    // A pit that nobody placed is taken to be where the bore is largest.
    pitted.findings = vec![pit("0.0030", None)];
    assert_eq!(judged(&limits, &pitted).oversizes[0].needs_whichever_side, inches("5.1360"));
    // A pit with no depth decides nothing yet.
    pitted.findings = vec![Finding { depth: None, ..pit("0", Some(2)) }];
    let assessment = judged(&limits, &pitted);
    assert_eq!(assessment.recommendation, Recommendation::NotDecided);
    assert_eq!(assessment.needs, [Need::Amount(Amount::Depth, 0)]);
    // Too deep for any oversize.
    pitted.findings = vec![pit("0.0100", Some(2))];
    assert_eq!(judged(&limits, &pitted).recommendation, Recommendation::Replace);
}

/// B needs 5.1310 if even and 5.1360 on one side; D, read smaller but pitted, 5.1354 and 5.1358.
#[test]
fn each_need_names_its_own_place() {
    let limits = limits("");
    let bore = [["5.1255"; 2], ["5.1300", "5.1299"], ["5.1254"; 2], ["5.1254"; 2]];
    let mut pitted = cylinder(&limits, &bore);
    pitted.findings =
        vec![Finding { depth: depth("0.0045"), station: Some(3), ..found(FindingKind::Pitted) }];
    let assessment = judged(&limits, &pitted);
    let option = &assessment.oversizes[0];
    assert_eq!(
        (option.needs_if_even, option.needs_whichever_side),
        (inches("5.1354").into(), inches("5.1360").into())
    );
    let reported = |reason| sentence_in(None, reason, &assessment, &pitted, &limits).unwrap();
    assert_eq!(
        reported(Reason::TooSmall(0)),
        "+0.010 in is too small: finished to 5.1350 in, but station D, pin axis needs 5.1354 in even if the wear is even."
    );
    assert_eq!((option.governed_if_even.station, option.governed_by.station), (3, 1));
}

#[test]
fn a_wall_that_may_not_be_cut_is_never_cut() {
    let worn = |limits: &Arc<Limits>| judged(limits, &cylinder(limits, &even("5.1310")));
    assert_eq!(worn(&limits("")).recommendation, Recommendation::Rebore(2));
    let shallow = limits(r#"wall: (surface: Nitrided, cut: NoDeeperThan("0.005"))"#);
    let assessment = worn(&shallow);
    assert_eq!(assessment.recommendation, Recommendation::Replace, "+0.020 cuts 0.010 per side");
    assert!(!assessment.oversizes[1].wall_allows);
    let never = limits("wall: (surface: ChromiumPlated, cut: NotAllowed)");
    assert_eq!(worn(&never).recommendation, Recommendation::Replace);
    assert!(worn(&never).oversizes.iter().all(|option| !option.wall_allows));
}

#[test]
fn what_condemns_is_said_before_the_measuring_is_finished() {
    let limits = limits("");
    let mut cracked = cylinder(&limits, &[["", ""], ["5.1270", ""]]);
    assert_eq!(judged(&limits, &cracked).recommendation, Recommendation::NotDecided);
    cracked.findings = vec![found(FindingKind::CrackInHead)];
    cracked.looked_over = false;
    assert_eq!(judged(&limits, &cracked).recommendation, Recommendation::Replace);
    assert!(first_reason(&limits, &cracked).starts_with("Crack in the head: replace the cylinder."));
    // Metal is asked for already, and some oversize may still do: said, but not decided.
    let worn = judged(&limits, &cylinder(&limits, &[["", ""], ["5.1310", ""]]));
    assert_eq!((worn.recommendation, worn.minimum_oversize), (Recommendation::NotDecided, Some(2)));
    // Nothing left to go to: said at once.
    let worn_out = judged(&limits, &cylinder(&limits, &[["", ""], ["5.1510", ""]]));
    assert_eq!(worn_out.recommendation, Recommendation::Replace);
}

/// Of a place written twice only the first counts, and without a readable `finished_to` the most wear is supposed:
/// no oversize may seem to do where one does.
#[test]
fn no_oversize_is_said_only_once_every_entry_can_be_read() {
    let limits = limits("");
    let mut worn_out = cylinder(&limits, &even("5.1510"));
    assert_eq!(judged(&limits, &worn_out).recommendation, Recommendation::Replace);
    worn_out.unreadable = vec!["station B, axis pin: this station and axis are written twice".to_owned()];
    let assessment = judged(&limits, &worn_out);
    assert_eq!((assessment.recommendation, assessment.minimum_oversize), (Recommendation::NotDecided, None));
    assert!(matches!(assessment.needs.as_slice(), [Need::Unreadable(_)]));
    // That it cannot stay as it is, is said at once.
    assert!(assessment.reasons.contains(&Reason::Beyond(0)));
    assert!(!assessment.reasons.contains(&Reason::NoOversize));
    worn_out.findings = vec![found(FindingKind::CrackInBarrel)];
    assert_eq!(judged(&limits, &worn_out).recommendation, Recommendation::Replace, "whatever was measured");
}

#[test]
fn nobody_has_looked_is_no_pass() {
    let limits = limits("");
    let mut unseen = cylinder(&limits, &even("5.1270"));
    unseen.looked_over = false;
    let assessment = judged(&limits, &unseen);
    assert_eq!(
        (assessment.recommendation, assessment.needs),
        (Recommendation::NotDecided, vec![Need::LookOver])
    );
}

#[test]
fn a_blank_limit_is_no_pass_but_within_new_is() {
    let limits = limits(
        r#"bore: [(size: Standard, new: ("5.1250", "5.1265"))]
        taper: (rule: PerAxisRange)"#,
    );
    let assessment = judged(&limits, &cylinder(&limits, &even("5.1265")));
    let status: Vec<RowStatus> = assessment.rows.iter().take(2).map(|row| row.status).collect();
    assert_eq!(status, [RowStatus::WithinNew, RowStatus::NoLimitGiven]);
    assert_eq!(assessment.recommendation, Recommendation::NotDecided);
}

#[test]
fn lost_choke_is_wear_and_the_table_says_what_follows() {
    let choked = |when: &str| {
        limits(&format!(
            r#"step:
            stations: [(name: "A", depth: "0.5", role: HeadEnd), (name: "B", depth: "5", role: BaseEnd)]
            choke: (new: ("0.0020", "0.0040"), least: "0.0005"{when})"#
        ))
    };
    let rebore = choked("");
    let bore = |head| [[head; 2], ["5.1265"; 2]];
    let at = |limits: &Arc<Limits>, head| judged(limits, &cylinder(limits, &bore(head))).recommendation;
    assert_eq!(at(&rebore, "5.1260"), Recommendation::Serviceable, "exactly the least that may remain");
    assert_eq!(at(&rebore, "5.1261"), Recommendation::Rebore(1));
    assert_eq!(at(&choked(", when_beyond: Replace"), "5.1261"), Recommendation::Replace);
    assert!(
        first_reason(&rebore, &cylinder(&rebore, &bore("5.1266")))
            .contains("\u{2212}0.0001 in is 0.0006 in under")
    );
}

#[test]
fn the_row_nearest_its_limit_is_one_that_is_measured_right_through() {
    let limits = limits(r#"step: (reference: "6", serviceable: "0.0100")"#);
    let kind =
        |bore: &[[&str; 2]]| judged(&limits, &cylinder(&limits, bore)).tightest_row().map(|row| row.kind);
    // The bore has a fifth of its band left so far, but C and D may yet read larger; the step has all it needs.
    assert_eq!(kind(&[["5.1255"; 2], ["5.1290"; 2]]), Some(RowKind::Step));
    // What is beyond already counts, whatever is still to be measured.
    assert_eq!(kind(&[["5.1255"; 2], ["5.1310"; 2]]), Some(RowKind::Bore(JudgedOn::EveryPoint)));
    assert_eq!(kind(&[["", ""], ["5.1290"; 2]]), None);
}

#[test]
fn an_average_waits_for_every_reading_and_shows_the_worst_point() {
    let limits = limits("bore_judged_on: Average\ntaper: \nout_of_round: \nstep: ");
    let stations = [["", ""], ["5.1310", "5.1300"], ["5.1300", "5.1290"], ["5.1290", "5.1290"]];
    let assessment = judged(&limits, &cylinder(&limits, &stations));
    assert_eq!(assessment.recommendation, Recommendation::Serviceable, "the average is 5.129 667");
    assert_eq!(assessment.rows[0].worst_point.as_ref().unwrap().value, inches("5.1310"));
    let partial = judged(&limits, &cylinder(&limits, &stations[..3]));
    assert_eq!(partial.rows[0].status, RowStatus::NotMeasured);
}

#[test]
fn allowances_and_limits_per_inch_become_absolute() {
    let limits = limits(
        r#"bore: [(size: Standard, new: ("5.0000", "5.0010"), serviceable: OverNew("0.0040")), (size: Oversize("0.010"), new: ("5.0100", "5.0110"), serviceable: PerBore("0.001"))]
        ring_travel: ("0.5", "4.5")
        out_of_round: (rule: PerStation, serviceable: PerBore("0.0005"))
        taper: (rule: PerAxisRange, serviceable: PerTravel("0.0005"))"#,
    );
    let serviceable = |bound: &Option<records::limits::resolved::Bound>| bound.as_ref().unwrap().length;
    assert_eq!(serviceable(&limits.sizes[0].serviceable), inches("5.0050"));
    assert_eq!(serviceable(&limits.sizes[1].serviceable), inches("5.0160"), "5.0110 and 0.001 x 5.0000");
    assert_eq!(serviceable(&limits.shape_row(RowName::OutOfRound).unwrap().limit), inches("0.0025"));
    assert_eq!(serviceable(&limits.shape_row(RowName::Taper).unwrap().limit), inches("0.0020"));
}

/// ISO 14253-1:2017: under guarded acceptance a bore must lie so far within its limit that 95 % of its distribution do.
#[test]
fn guarded_acceptance_asks_for_more_than_the_limit() {
    let simple = limits("");
    let guarded = limits("decision: Guarded");
    // Resolution alone, anywhere within 0.00005 in: 95 % of it lie below 0.9 of that, 0.000045 in.
    let at =
        |limits: &Arc<Limits>, diameter| judged(limits, &cylinder(limits, &even(diameter))).rows[0].clone();
    assert_eq!(at(&simple, "5.1300").status, RowStatus::WithinServiceable);
    let row = at(&guarded, "5.1300");
    assert_eq!((row.status, row.in_guard_band), (RowStatus::Beyond, true));
    assert_eq!(at(&guarded, "5.1299").status, RowStatus::WithinServiceable);
    let guard = at(&guarded, "5.1299").uncertainty.unwrap().guard_band.to_mm();
    assert!((guard - 0.9 * 0.00005 * 25.4).abs() < 1e-7, "{guard}");
    // A place on the sheet says the same as the row that is judged on every place.
    for (limits, diameter) in
        [(&simple, "5.1300"), (&simple, "5.1301"), (&guarded, "5.1300"), (&guarded, "5.1299")]
    {
        let barrel = cylinder(limits, &even(diameter));
        let survey = survey(limits);
        let place = Point::new(1, 0);
        let guard = point_guard(&barrel, place, limits, survey.setup());
        let row = &limits.sizes[barrel.size.unwrap()];
        assert_eq!(
            point_status(barrel.bore.mean(place).unwrap(), row, guard),
            at(limits, diameter).status,
            "{diameter}"
        );
    }
}

/// A limit on a magnitude counts on both sides of zero: JCGM 106:2012, 9.5.4, resistors of 1500 ohm, u 0.12, within
/// 0.2 of it: conformance probability 0.904 (published digits), here as a taper of zero.
#[test]
fn jcgm106_9_5_4_through_the_taper_row() {
    let limits = limits("step:\nout_of_round:\ntaper: (rule: PerAxisEnds, serviceable: At(\"0.2 mm\"))");
    let barrel = cylinder(&limits, &even("5.1260"));
    let mut survey = survey(&limits);
    // Two readings: their calibration drops out, and what is left of each is 0.12 / root 2.
    let u = 0.12 / 2_f64.sqrt();
    let known = |u| Some(records::survey::Uncertainty::new(u, f64::INFINITY));
    survey.gauges[0].repeatability = known(u);
    survey.gauges[0].calibration = known(1.0);
    survey.gauges[0].graduation = Some(Length::from_tenths_of_nm(1));
    let assessment = super::judge(&barrel, &limits, survey.setup());
    let row = assessment.rows.iter().find(|row| matches!(row.kind, RowKind::Taper(_))).unwrap();
    let uncertainty = row.uncertainty.as_ref().unwrap();
    assert_eq!(row.figure.as_ref().unwrap().value, Length::ZERO);
    assert!((uncertainty.probability_within.unwrap() - 0.904).abs() < 0.000_5, "{uncertainty:?}");
    assert!(!uncertainty.unknown.any());
}

/// A chance that leaves calibration or repeatability out says so beside it, wherever it is shown.
#[test]
fn a_chance_from_half_a_budget_has_a_star() {
    let limits = limits("step:\ntaper:\nout_of_round:");
    let known = Some(records::survey::Uncertainty::new(0.001, f64::INFINITY));
    for (calibration, repeatability, starred) in
        [(known, known, false), (None, known, true), (known, None, true), (None, None, true)]
    {
        let mut survey = survey(&limits);
        survey.gauges[0].calibration = calibration;
        survey.gauges[0].repeatability = repeatability;
        let rows = super::judge(&cylinder(&limits, &even("5.1290")), &limits, survey.setup()).rows;
        assert_eq!(
            words::within_words(&rows[0]).ends_with(" %*"),
            starred,
            "{:?}",
            words::within_words(&rows[0])
        );
        assert_eq!(words::left_out(&rows), starred.then_some(words::LEFT_OUT));
    }
}

/// A budget that leaves calibration or repeatability out supports no guarded acceptance; what is beyond stays beyond.
#[test]
fn a_guard_band_needs_a_whole_budget() {
    let guarded = limits("decision: Guarded\nstep:\ntaper:\nout_of_round:");
    let known = Some(records::survey::Uncertainty::new(0.000_1, f64::INFINITY));
    let judged = |calibration, repeatability, diameter| {
        let mut survey = survey(&guarded);
        survey.gauges[0].calibration = calibration;
        survey.gauges[0].repeatability = repeatability;
        super::judge(&cylinder(&guarded, &even(diameter)), &guarded, survey.setup())
    };
    assert_eq!(judged(known, known, "5.1290").recommendation, Recommendation::Serviceable);
    for (calibration, repeatability, words) in [
        (None, known, "calibration."),
        (known, None, "repeatability."),
        (None, None, "calibration and repeatability."),
    ] {
        let assessment = judged(calibration, repeatability, "5.1290");
        assert_eq!(assessment.recommendation, Recommendation::NotDecided);
        assert_eq!(assessment.needs, [Need::Budget(0)]);
        let survey = survey(&guarded);
        let barrel = cylinder(&guarded, &even("5.1290"));
        let reason = Reason::Need(0);
        let sentence = sentence_in(None, reason, &assessment, &barrel, &survey.limits).unwrap();
        assert!(sentence.contains(words), "{sentence}");
        assert_eq!(judged(calibration, repeatability, "5.1301").recommendation, Recommendation::Rebore(2));
    }
}

/// Lengths of a reason in the other unit: 25.4 mm to the inch exactly (international yard and pound, P).
#[test]
fn reasons_can_be_told_in_the_other_unit() {
    let limits = limits("");
    let barrel = cylinder(&limits, &even("5.1302"));
    let assessment = judged(&limits, &barrel);
    let reported = |unit| sentence_in(unit, Reason::Beyond(0), &assessment, &barrel, &limits).unwrap();
    assert!(
        reported(None).contains("5.1302 in is 0.0002 in over the serviceable 5.1300 in"),
        "{}",
        reported(None)
    );
    let reported = reported(Some(Unit::Millimetre));
    assert!(reported.contains("130.3071 mm is 0.0051 mm over the serviceable 130.3020 mm"), "{reported}");
}

#[test]
fn a_decided_size_is_found_by_its_length_in_the_unit_of_the_overhaul() {
    let limits = limits("");
    let rebore = |text: &str| Decision::Rebore(Size::Oversize(text.to_owned()));
    let outcome = Recommendation::Rebore(1);
    for (text, unit) in [
        ("0.010", Unit::Inch),
        ("0.01", Unit::Inch),
        ("0.254 mm", Unit::Inch),
        ("0.254", Unit::Millimetre),
        ("0.010 in", Unit::Millimetre),
    ] {
        let decision = rebore(text);
        assert_eq!(decision_of(&decision, &limits, unit), "rebore to +0.010 in", "{text} {unit}");
        assert!(agrees(&decision, outcome, &limits, unit), "{text} {unit}");
    }
    // Hundredths of a millimetre are another size, which the table does not have.
    assert_eq!(decision_of(&rebore("0.010"), &limits, Unit::Millimetre), "rebore to +0.010");
    assert!(!agrees(&rebore("0.010"), outcome, &limits, Unit::Millimetre));
    assert!(!agrees(&rebore("0.020"), outcome, &limits, Unit::Inch));
    // What is written for an overhaul is read back as the same size, in the table's own text where that will do.
    for (row, unit) in limits.sizes.iter().flat_map(|row| [(row, Unit::Inch), (row, Unit::Millimetre)]) {
        assert_eq!(limits.size_row(&row.written_in(unit), unit), Some(row), "{unit}");
        assert!(unit != limits.unit || row.written_in(unit) == row.size);
    }
}

#[test]
fn piston_weights_are_judged_together() {
    let limits = limits(r#"piston_weight_spread: (most: "0.50 oz")"#);
    let mut survey = survey(&limits);
    for weight in ["1540 g", "1554.17 g", "1550 g"] {
        let mut cylinder = cylinder(&limits, &[]);
        cylinder.piston_weight = Some(Mass::parse(weight).unwrap());
        cylinder.position = weight.to_owned();
        survey.cylinders.push(cylinder);
    }
    let weights = engine::weights(&survey).unwrap();
    assert!(weights.within, "14.17 g is within 0.50 oz = 14.1747615625 g");
    survey.cylinders[1].piston_weight = Some(Mass::parse("1554.18 g").unwrap());
    let weights = engine::weights(&survey).unwrap();
    assert!(!weights.within);
    assert_eq!(weights.between, ("1540 g".to_owned(), "1554.17 g".to_owned()));
}

#[test]
fn clearances_and_gaps_against_their_rows() {
    use records::survey::{MeasuredFit, MeasuredGap};
    let limits = limits(
        r#"fits: [(reference: "31", description: "skirt in bore", kind: SkirtInBore, new: ("0.0100 L", "0.0130 L"), serviceable: At("0.0160 L")), (reference: "33", description: "pin in piston", kind: PinInPiston, new: ("0.0003 T", "0.0002 L"))]
        ring_gaps: [(reference: "41", description: "top ring", new: ("0.020", "0.030"), serviceable: At("0.035"))]"#,
    );
    let part = |text: &str| Some((inches(text), Style { unit: Unit::Inch, decimals: 4 }));
    let fit = |row, hole, shaft| MeasuredFit { row, hole, shaft, clearance: None, unusable: None };
    let mut barrel = cylinder(&limits, &even("5.1290"));
    barrel.fits = vec![fit(0, None, part("5.1150")), fit(1, part("1.2500"), part("1.2502"))];
    // At station A the gap is 0.0241; 0.0035 in more bore below makes pi times as much more gap.
    barrel.ring_gaps =
        vec![MeasuredGap { row: 0, gap: inches("0.0241"), style: Style::usual(Unit::Inch), station: 0 }];
    let rows = judged(&limits, &barrel).fits;
    assert_eq!(rows[0].largest, Some(inches("0.0140").into()));
    assert_eq!(rows[0].status, RowStatus::WithinServiceable);
    assert_eq!(rows[1].largest, Some((-inches("0.0002")).into()), "an interference");
    assert_eq!(crate::fit::clearance_text(rows[1].largest.unwrap(), rows[1].style), "0.0002 in T");
    assert_eq!(rows[1].status, RowStatus::WithinNew);
    let gap = rows[2].largest.unwrap().to_mm() / 25.4;
    assert!((gap - (0.0241 + std::f64::consts::PI * 0.0035)).abs() < 1e-8, "{gap}");
    assert_eq!(rows[2].status, RowStatus::Beyond, "0.0350 in, and a little");
    // A skirt too large for the smallest bore may seize.
    barrel.fits = vec![fit(0, None, part("5.1195"))];
    let tight = &judged(&limits, &barrel).fits[0];
    assert!(tight.too_tight && tight.status == RowStatus::Beyond);
    // Before the bore is measured right through, a clearance is no pass.
    barrel.fits = vec![fit(0, None, part("5.1150"))];
    barrel.bore.set(Point::new(3, 1), None);
    let rows = judged(&limits, &barrel).fits;
    assert_eq!((rows[0].status, rows[2].status), (RowStatus::NotMeasured, RowStatus::Beyond));
}
