//! What holds for any readings.

use proptest::prelude::*;

use super::*;
use crate::Recommendation;
use crate::engine::one_size_for_all;
use crate::row::RowStatus;
use quantities::area::Area;
use records::limits::schema::{DecisionRule, FindingKind};
use records::survey::Finding;

/// One ten-thousandth of an inch.
const STEP: i64 = 25_400;

fn rules() -> impl Strategy<Value = String> {
    let taper = prop::sample::select(vec![
        "AxisAverages",
        "PerAxisEnds",
        "LargestTopSmallestBottom",
        "PerAxisRange",
        "AllReadings",
    ]);
    let round = prop::sample::select(vec!["PerStation", "AcrossStations"]);
    let judged_on = prop::sample::select(vec!["EveryPoint", "Average"]);
    let decision = prop::sample::select(vec!["Simple", "Guarded"]);
    let cut = prop::sample::select(vec!["Allowed", "NotAllowed", r#"NoDeeperThan("0.006")"#]);
    (taper, round, judged_on, decision, cut).prop_map(|(taper, round, judged_on, decision, cut)| {
        format!(
            r#"taper: (rule: {taper}, serviceable: At("0.0030"))
            out_of_round: (rule: {round}, serviceable: At("0.0030"))
            bore_judged_on: {judged_on}
            decision: {decision}
            wall: (surface: Plain, cut: {cut})"#
        )
    })
}

/// Readings of 4 stations on 3 axes in ten-thousandths over 5.1250; `None` is not measured.
fn readings() -> impl Strategy<Value = Vec<Option<Vec<i64>>>> {
    let cell = prop::collection::vec(0..90_i64, 1..4);
    prop::collection::vec(prop::option::weighted(0.9, cell), 12)
}

fn barrel(limits: &Limits, readings: &[Option<Vec<i64>>], more: i64) -> Cylinder {
    let mut barrel = cylinder(limits, &[]);
    for (index, repeats) in readings.iter().enumerate() {
        let Some(repeats) = repeats else { continue };
        let base = inches("5.1250");
        let lengths: Vec<Length> =
            repeats.iter().map(|&r| base + Length::from_tenths_of_nm((r + more) * STEP)).collect();
        barrel.bore.set(Point::new(index / 3, index % 3), cell(&lengths));
    }
    barrel
}

fn outcome(limits: &Arc<Limits>, cylinder: &Cylinder) -> Recommendation {
    judged(limits, cylinder).recommendation
}

/// Not better: every decided outcome is at least as severe, and what was decided stays decided.
fn not_better(before: Recommendation, after: Recommendation) -> bool {
    match (before.severity(), after.severity()) {
        (Some(before), Some(after)) => after >= before,
        // Undecided for want of a reading: more wear may condemn, but never pass.
        (None, Some(after)) => after > 0,
        (Some(_), None) => false,
        (None, None) => true,
    }
}

/// The same, where so much wear may also be read as another size of bore: then nothing is decided.
fn not_better_or_doubted(before: Recommendation, after: &Assessment) -> bool {
    match after.is_contradicted() {
        true => after.recommendation == Recommendation::NotDecided,
        false => not_better(before, after.recommendation),
    }
}

/// Never better for something that is not known: decided only where it is at least as severe.
fn no_better_for_missing(known: Recommendation, missing: Recommendation) -> bool {
    match (known.severity(), missing.severity()) {
        (_, None) => true,
        (Some(known), Some(missing)) => missing >= known,
        (None, Some(_)) => missing == Recommendation::Replace,
    }
}

fn amount(steps: i64) -> Option<(Length, Style)> {
    Some((Length::from_tenths_of_nm(steps * STEP), Style::usual(Unit::Inch)))
}

/// Findings of the wall and of the fins, every amount of them written.
fn findings() -> impl Strategy<Value = Vec<Finding>> {
    let kind = prop::sample::select(vec![FindingKind::Pitted, FindingKind::Scored, FindingKind::FinDamaged]);
    let area = prop::sample::select(vec!["0.3 sq in", "0.6 sq in"]);
    let one = (kind, 0..40_i64, 0..3_i64, area, 1..5_u16, 0..4_usize).prop_map(
        |(kind, depth, size, area, fins, station)| Finding {
            depth: amount(depth),
            size: amount(size * 5_000),
            area: Area::parse(area).ok(),
            fins,
            station: Some(station),
            ..found(kind)
        },
    );
    prop::collection::vec(one, 1..4)
}

/// A table's own answers to those findings.
fn answers() -> impl Strategy<Value = String> {
    let answer = || prop::sample::select(vec!["Hone", "Repair", "DepthDecides", "Replace"]);
    let limit = || {
        prop::sample::select(vec![
            "",
            r#", repairable_to: "0.5""#,
            r#", total_area: "1 sq in""#,
            r#", repairable_to: "0.001", total_area: "0.5 sq in""#,
            r#", repairable_to: "1", on_adjacent_fins: ["0.5", "0.2"]"#,
        ])
    };
    (answer(), limit(), answer(), limit()).prop_map(|(pit, pit_limit, fin, fin_limit)| {
        format!("findings: [(kind: Pitted, answer: {pit}{pit_limit}), (kind: FinDamaged, answer: {fin}{fin_limit})]")
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn wear_that_grows_everywhere_alike_never_improves_the_outcome(
        rules in rules(), readings in readings(), more in 1..60_i64,
    ) {
        let limits = limits(&format!("{rules}\nstep: "));
        let before = outcome(&limits, &barrel(&limits, &readings, 0));
        let after = judged(&limits, &barrel(&limits, &readings, more));
        prop_assert!(not_better_or_doubted(before, &after), "{before:?} became {:?}", after.recommendation);
    }

    #[test]
    fn in_the_bore_row_a_larger_reading_anywhere_never_improves_the_outcome(
        readings in readings(), at in 0..12_usize, more in 1..60_i64,
    ) {
        let limits = limits("taper: \nout_of_round: \nstep: ");
        let before = outcome(&limits, &barrel(&limits, &readings, 0));
        let mut larger = readings.clone();
        if let Some(Some(repeats)) = larger.get_mut(at) {
            repeats.iter_mut().for_each(|repeat| *repeat += more);
        }
        let after = judged(&limits, &barrel(&limits, &larger, 0));
        prop_assert!(not_better_or_doubted(before, &after), "{before:?} became {:?}", after.recommendation);
    }

    #[test]
    fn a_deeper_pit_never_improves_the_outcome(
        rules in rules(), readings in readings(), station in 0..4_usize, depth in 0..50_i64, more in 1..50_i64,
    ) {
        let limits = limits(&rules);
        let mut pitted = barrel(&limits, &readings, 0);
        let pit = |depth| Finding { depth: amount(depth), station: Some(station), ..found(FindingKind::Pitted) };
        let sound = outcome(&limits, &pitted);
        pitted.findings = vec![pit(depth)];
        let before = outcome(&limits, &pitted);
        pitted.findings = vec![pit(depth + more)];
        let after = outcome(&limits, &pitted);
        prop_assert!(not_better(sound, before), "{sound:?} became {before:?}");
        prop_assert!(not_better(before, after), "{before:?} became {after:?}");
    }

    #[test]
    fn an_amount_that_nobody_wrote_down_never_improves_the_outcome(
        rules in rules(), answers in answers(), readings in readings(), findings in findings(), which in 0..3_usize,
    ) {
        let limits = limits(&format!("{rules}\n{answers}"));
        let mut found = barrel(&limits, &readings, 0);
        found.findings = findings;
        let known = outcome(&limits, &found);
        for i in 0..found.findings.len() {
            let mut unknown = found.clone();
            match which {
                0 => unknown.findings[i].depth = None,
                1 => unknown.findings[i].size = None,
                _ => unknown.findings[i].area = None,
            }
            let missing = outcome(&limits, &unknown);
            prop_assert!(no_better_for_missing(known, missing), "{known:?} became {missing:?}");
        }
    }

    #[test]
    fn one_more_finding_never_improves_the_outcome(
        rules in rules(), answers in answers(), readings in readings(), findings in findings(),
    ) {
        let limits = limits(&format!("{rules}\n{answers}"));
        let mut found = barrel(&limits, &readings, 0);
        let mut before = outcome(&limits, &found);
        for finding in findings {
            found.findings.push(finding);
            let after = outcome(&limits, &found);
            prop_assert!(not_better(before, after), "{before:?} became {after:?}");
            before = after;
        }
    }

    #[test]
    fn an_added_reading_never_turns_replace_into_anything_else(
        rules in rules(), readings in readings(), added in 0..90_i64,
    ) {
        let limits = limits(&rules);
        let before = outcome(&limits, &barrel(&limits, &readings, 0));
        for at in 0..12 {
            if readings[at].is_none() {
                let mut more = readings.clone();
                more[at] = Some(vec![added]);
                let after = outcome(&limits, &barrel(&limits, &more, 0));
                if before == Recommendation::Replace {
                    prop_assert_eq!(after, Recommendation::Replace);
                }
            }
        }
    }

    /// And so no row that is not beyond becomes so by a reading taken away. Under guarded acceptance the band
    /// depends on which readings the figure comes from.
    #[test]
    fn an_added_reading_never_takes_a_row_back_from_beyond(
        rules in rules(), readings in readings(), added in 0..90_i64,
    ) {
        let mut limits = limits(&rules);
        Arc::make_mut(&mut limits).decision = DecisionRule::Simple;
        let before = judged(&limits, &barrel(&limits, &readings, 0));
        for at in (0..12).filter(|&at| readings[at].is_none()) {
            let mut more = readings.clone();
            more[at] = Some(vec![added]);
            let after = judged(&limits, &barrel(&limits, &more, 0));
            for (before, after) in before.rows.iter().zip(&after.rows) {
                prop_assert!(before.status != RowStatus::Beyond || after.status == RowStatus::Beyond, "{before:?}");
            }
        }
    }

    /// Whatever engine: all that is not replaced is of the size for all, can be bored to it, or is named. And it is
    /// never said without "as far as measured" where a reading that counts is missing.
    #[test]
    fn one_size_for_all_is_one_that_each_can_have(
        rules in rules(), engine in prop::collection::vec((readings(), 0..3_usize), 2..5), away in (0..4_usize, 3..12_usize),
    ) {
        let limits = limits(&format!("{rules}\nmixed_oversizes: NotAllowed"));
        let more = |size: usize| [0, 100, 200][size];
        let mut cylinders: Vec<_> = engine
            .iter()
            .map(|(readings, size)| Cylinder { size: Some(*size), ..barrel(&limits, readings, more(*size)) })
            .collect();
        let one_size = |cylinders: &[Cylinder]| {
            let assessments: Vec<_> = cylinders.iter().map(|cylinder| judged(&limits, cylinder)).collect();
            (one_size_for_all(&limits, cylinders, &assessments), assessments)
        };
        let (one, assessments) = one_size(&cylinders);
        if let Some(one) = one {
            for (i, (cylinder, assessment)) in cylinders.iter().zip(&assessments).enumerate() {
                let can_be = assessment.recommendation == Recommendation::Replace
                    || cylinder.size == Some(one.size) && !matches!(assessment.recommendation, Recommendation::Rebore(_))
                    || assessment.oversizes.iter().any(|option| option.size == one.size && option.is_certain())
                    || one.undecided.contains(&i)
                    || one.cannot.iter().any(|(cannot, _)| *cannot == i);
                prop_assert!(can_be, "{i} of {one:?}: {assessment:?}");
            }
        }
        let (which, at) = (away.0 % cylinders.len(), Point::new(away.1 / 3, away.1 % 2));
        cylinders[which].bore.set(at, None);
        let (one, assessments) = one_size(&cylinders);
        if assessments[which].recommendation != Recommendation::Replace {
            prop_assert!(one.is_none_or(|one| one.undecided.contains(&which)));
        }
    }

    #[test]
    fn a_missing_reading_is_never_a_pass(rules in rules(), readings in readings()) {
        let limits = limits(&rules);
        let required_missing = (0..12).any(|i| i % 3 < 2 && readings[i].is_none());
        if required_missing {
            let outcome = outcome(&limits, &barrel(&limits, &readings, 0));
            prop_assert!(matches!(outcome, Recommendation::NotDecided | Recommendation::Replace), "{outcome:?}");
        }
    }

    #[test]
    fn the_order_of_repeats_and_of_entry_does_not_matter(rules in rules(), readings in readings()) {
        let limits = limits(&rules);
        let mut turned = readings.clone();
        turned.iter_mut().flatten().for_each(|repeats| repeats.reverse());
        let (a, mut b) = (barrel(&limits, &readings, 0), barrel(&limits, &turned, 0));
        // Entered from the last cell to the first.
        let mut entered = Bore::new(4, 3);
        let cells: Vec<_> = b.bore.measured().map(|(at, cell)| (at, cell.clone())).collect();
        for (at, cell) in cells.into_iter().rev() {
            entered.set(at, Some(cell));
        }
        b.bore = entered;
        prop_assert_eq!(outcome(&limits, &a), outcome(&limits, &b));
    }

    #[test]
    fn an_oversize_is_always_one_of_the_table_and_one_the_wall_allows(rules in rules(), readings in readings()) {
        let limits = limits(&rules);
        let assessment = judged(&limits, &barrel(&limits, &readings, 0));
        if let Recommendation::Rebore(size) = assessment.recommendation {
            let row = limits.sizes.get(size);
            prop_assert!(row.is_some_and(|row| row.wall_allows && row.oversize > Length::ZERO));
            prop_assert!(assessment.oversizes.iter().any(|option| option.size == size && option.is_certain()));
        }
    }

    #[test]
    fn every_reason_can_be_said(rules in rules(), readings in readings()) {
        let limits = limits(&rules);
        let barrel = barrel(&limits, &readings, 0);
        let assessment = judged(&limits, &barrel);
        prop_assert!(!assessment.reasons.is_empty());
        for &reason in &assessment.reasons {
            let sentence = crate::reason::sentence(reason, &assessment, &barrel, &limits);
            prop_assert!(sentence.is_some_and(|sentence| sentence.ends_with('.') && !sentence.contains("NaN")));
        }
    }
}

/// The same engine written in inches and in millimetres, table and readings alike.
#[test]
fn units_do_not_matter() {
    let inch = limits("");
    let in_mm = |text: &str| {
        let mut out = String::new();
        let mut rest = text;
        while let Some((before, after)) = rest.split_once('"') {
            let (quoted, tail) = after.split_once('"').unwrap();
            let mm = Length::parse(quoted, Unit::Inch)
                .map(|entry| quantities::length::Mean::from(entry.length).decimal_text(Unit::Millimetre).0);
            out += &format!("{before}\"{}\"", mm.unwrap_or_else(|_| quoted.to_owned()));
            rest = tail;
        }
        out + rest
    };
    let text = in_mm(&table("unit: Millimetre"));
    let reported = file::limits_from_text(&text, None);
    let metric = Arc::new(Limits::resolve(&reported.value.unwrap()).unwrap());
    let readings: Vec<Option<Vec<i64>>> = (0..12).map(|i| Some(vec![i * 4, i * 3 + 1])).collect();
    for more in [0, 10, 20, 30, 60, 150] {
        let (a, b) = (barrel(&inch, &readings, more), barrel(&metric, &readings, more));
        let (a, b) = (judged(&inch, &a), judged(&metric, &b));
        assert_eq!(a.recommendation, b.recommendation, "{more}");
        for (a, b) in a.rows.iter().zip(&b.rows) {
            assert_eq!((a.status, a.margin), (b.status, b.margin));
        }
    }
}
