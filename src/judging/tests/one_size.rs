//! One size for all, where the table does not allow different ones. Oversizes of the table: +0.010 and +0.020.

use super::*;
use crate::engine::{OneSize, one_size_for_all};
use crate::words::remarks;

const STANDARD: usize = 0;
const TEN: usize = 1;
const TWENTY: usize = 2;

fn not_mixed(more: &str) -> Arc<Limits> {
    limits(&format!("mixed_oversizes: NotAllowed\n{more}"))
}

/// A barrel of a size that reads so many ten-thousandths over its smallest as made.
fn of_size(limits: &Limits, position: &str, size: usize, tenths: i64) -> Cylinder {
    let least = limits.sizes[size].new.0.length;
    let mut barrel = cylinder(limits, &[]);
    for (station, axis) in (0..4).flat_map(|station| [(station, 0), (station, 1)]) {
        let over = if station == 0 { 0 } else { tenths };
        barrel.bore.set(Point::new(station, axis), cell(&[least + Length::from_tenths_of_nm(over * 25_400)]));
    }
    Cylinder { position: position.to_owned(), serial: String::new(), size: Some(size), ..barrel }
}

fn reported(limits: &Arc<Limits>, cylinders: &[Cylinder]) -> (Option<OneSize>, Vec<String>) {
    let assessments: Vec<_> = cylinders.iter().map(|cylinder| judged(limits, cylinder)).collect();
    let survey = Survey { cylinders: cylinders.to_vec(), ..survey(limits) };
    let one_size = one_size_for_all(limits, cylinders, &assessments);
    let remarks = remarks(&survey, one_size.as_ref());
    (one_size, remarks)
}

#[test]
fn the_largest_that_any_needs_is_for_all() {
    let limits = not_mixed("");
    let sound = of_size(&limits, "1", STANDARD, 15);
    let worn = of_size(&limits, "2", STANDARD, 52);
    let (one, remarks) = reported(&limits, &[sound.clone(), worn.clone()]);
    assert_eq!(one.map(|one| (one.size, one.cannot)), Some((TWENTY, vec![])));
    assert_eq!(
        remarks,
        ["The table does not allow cylinders of different sizes: all of them have to be +0.020 in."]
    );
    assert_eq!(reported(&limits, std::slice::from_ref(&sound)), (None, vec![]));
    let mixed = super::limits("mixed_oversizes: Allowed");
    assert_eq!(reported(&mixed, &[sound, worn]).0, None);
}

#[test]
fn what_replaces_a_cylinder_is_had_in_any_size() {
    let limits = not_mixed("");
    let mut cracked = of_size(&limits, "1", TWENTY, 15);
    cracked.findings = vec![found(FindingKind::CrackInHead)];
    assert_eq!(reported(&limits, &[cracked, of_size(&limits, "2", STANDARD, 15)]).0, None);
}

#[test]
fn a_cylinder_that_is_not_decided_counts_with_what_is_known_of_it() {
    let limits = not_mixed("");
    let sound = of_size(&limits, "1", STANDARD, 15);
    let mut partial = of_size(&limits, "2", STANDARD, 52);
    partial.bore.set(Point::new(3, 1), None);
    let (one, remarks) = reported(&limits, &[sound.clone(), partial.clone()]);
    let one = one.unwrap();
    assert_eq!((one.size, one.undecided), (TWENTY, vec![1]));
    assert_eq!(
        remarks,
        [
            "The table does not allow cylinders of different sizes: as far as measured, all of them have to be +0.020 in \
             at least. Not decided: cylinder 2."
        ]
    );
    // The other way round: the one that has to follow is not known right through.
    let mut unseen = sound.clone();
    unseen.looked_over = false;
    let (one, _) = reported(&limits, &[unseen, of_size(&limits, "2", STANDARD, 52)]);
    assert_eq!(one.map(|one| (one.size, one.is_measured)), Some((TWENTY, false)));
    // Sound as it is, and honed; bored for the others' sake its depth counts.
    let mut pitted = sound;
    pitted.findings = vec![found(FindingKind::Pitted)];
    let honed = not_mixed("findings: [(kind: Pitted, answer: Hone)]");
    let (one, remarks) = reported(&honed, &[pitted, of_size(&limits, "2", STANDARD, 52)]);
    assert_eq!(one.map(|one| (one.size, one.is_measured, one.undecided)), Some((TWENTY, false, vec![])));
    assert!(
        remarks[0].ends_with("as far as measured, all of them have to be +0.020 in at least."),
        "{remarks:?}"
    );
}

#[test]
fn a_wall_that_may_not_be_cut_makes_it_impossible() {
    let limits = not_mixed(r#"wall: (surface: Nitrided, cut: NoDeeperThan("0.005"))"#);
    let cylinders = [
        of_size(&limits, "1", STANDARD, 15),
        of_size(&limits, "2", STANDARD, 15),
        of_size(&limits, "3", TWENTY, 15),
    ];
    let (one, remarks) = reported(&limits, &cylinders);
    assert_eq!(
        one.map(|one| (one.size, one.needed_by, one.cannot)),
        Some((TWENTY, vec![2], vec![(0, true), (1, true)]))
    );
    assert_eq!(
        remarks,
        [
            "The table does not allow cylinders of different sizes: one size for all is not possible. Cylinder 3 needs \
             +0.020 in. Cylinder 1, cylinder 2: the wall may not be cut so far."
        ]
    );
}

#[test]
fn a_cylinder_that_does_not_clean_up_takes_all_to_the_next_size() {
    let limits = not_mixed("");
    // The second would be sound, but at +0.010 in it is not certain to clean up: 5.1250 + 2 x 0.0047 + 0.0010.
    let cylinders = [of_size(&limits, "1", TEN, 15), of_size(&limits, "2", STANDARD, 47)];
    let (one, _) = reported(&limits, &cylinders);
    assert_eq!(one.map(|one| (one.size, one.cannot)), Some((TWENTY, vec![])));
    let shallow = not_mixed(r#"wall: (surface: Plain, cut: NoDeeperThan("0.005"))"#);
    let (one, remarks) = reported(&shallow, &cylinders);
    assert_eq!(one.map(|one| (one.size, one.cannot)), Some((TEN, vec![(1, false)])));
    assert!(
        remarks[0].ends_with("Cylinder 1 needs +0.010 in. Cylinder 2: it is not certain to clean up."),
        "{remarks:?}"
    );
}
