//! Signing, amending, and every way a signed overhaul can be tampered with.

use super::canonical::{bytes, content, digest, part_of};
use super::sign::{bases, changes, note_changes};
use super::*;
use records::file;
use records::record::schema::{EngineRecord, Overhaul};

/// An invented engine with two small overhauls, each with its own table.
const SMALL: &str = include_str!("../../../tests/golden/record_sealed.ron");

fn record() -> EngineRecord {
    let mut record = read(SMALL);
    for overhaul in &mut record.overhauls {
        overhaul.seal = None;
    }
    record
}

fn read(text: &str) -> EngineRecord {
    let reported = file::record_from_text(text, None);
    reported.value.unwrap_or_else(|| panic!("{:?}", reported.diagnostics))
}

fn by(name: &str) -> Signature {
    Signature {
        name: name.to_owned(),
        certificate: "invented 7".to_owned(),
        date: jiff::civil::date(2026, 5, 14),
    }
}

fn signed() -> EngineRecord {
    let mut record = record();
    sign(&mut record, 0, &by("Ada Invented")).expect("signed");
    record
}

/// Amends the first overhaul.
fn amended(record: &mut EngineRecord, why: &str, change: impl FnOnce(&mut Overhaul)) {
    amend(record, 0, &by("Ben Invented"), why).expect("opened");
    let before = bases(record);
    change(&mut record.overhauls[0]);
    note_changes(record, &before);
    assert!(close_amendment(record, 0).expect("closed"));
}

/// A signed record with two amendments of its first overhaul.
fn twice_amended() -> EngineRecord {
    let mut record = signed();
    amended(&mut record, "misread the dial", |o| o.cylinders[0].readings[1].entered[0] = "5.1262".into());
    amended(&mut record, "one repeat more, and the hours", |o| {
        o.cylinders[0].readings[1].entered.push("5.1263".into());
        o.total_hours = Some(1820.5);
    });
    record
}

fn verdict(record: &EngineRecord) -> Verdict {
    verify(record, 0).expect("signed")
}

#[test]
fn sha_256_gives_the_published_digests() {
    // FIPS 180-4 (Secure Hash Standard), example values published by NIST for SHA-256: one block, "abc", and two
    // blocks. Grade P.
    assert_eq!(digest(b"abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    assert_eq!(
        digest(b"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq"),
        "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1"
    );
}

#[test]
fn the_bytes_are_as_documented() {
    let leaves = content(&signed(), 0).expect("there");
    let text = String::from_utf8(bytes(&leaves)).expect("text");
    assert!(text.starts_with("borewright seal 1\nengine.model\t"), "{text}");
    for line in [
        "engine.serial\t4\tS-11\n",
        "overhaul.cylinders[]\t1\t2\n",
        "overhaul.cylinders[0].readings[0].entered[0]\t6\t5.1255\n",
        "overhaul.cylinders[0].tagged\t4\ttrue\n",
        "overhaul.total_hours\t6\t1820.4\n",
        "overhaul.date\t10\t2026-05-14\n",
        "overhaul.unit\t4\tInch\n",
        "table.bore[0].serviceable.At\t6\t5.1290\n",
        // Eighteen letters, and the mark of degrees is two bytes.
        "overhaul.cylinders[1].remarks\t19\tread at 21 °C once\n",
    ] {
        assert!(text.contains(line), "{line:?} in\n{text}");
    }
    assert!(!text.contains("owner") && !text.contains("seal."), "{text}");
}

#[test]
fn what_is_signed_holds_until_something_changes() {
    let mut record = signed();
    assert!(verdict(&record).holds());
    assert_eq!(verify(&record, 1), None, "the other one is not signed");
    record.overhauls[1].cylinders[0].readings.clear();
    record.engine.owner = "somebody else".into();
    record.remarks.push('x');
    assert!(verdict(&record).holds(), "nothing of the signed overhaul");
    record.overhauls[0].cylinders[1].readings[0].entered[0].push('0');
    assert_eq!(verdict(&record).broken, [Broken::Part("overhaul.cylinders[1]".into())]);
}

#[test]
fn each_part_is_named_when_it_is_changed() {
    let broken = |change: &dyn Fn(&mut EngineRecord)| {
        let mut record = signed();
        change(&mut record);
        verdict(&record).broken
    };
    let part = |name: &str| vec![Broken::Part(name.to_owned())];
    assert_eq!(broken(&|r| r.engine.serial.push('x')), part("engine"));
    assert_eq!(broken(&|r| r.overhauls[0].gauges[0].serial.push('x')), part("overhaul"));
    assert_eq!(broken(&|r| r.tables[0].remarks.push('x')), part("table"));
    assert_eq!(broken(&|r| r.overhauls[0].cylinders[0].disposition = None), part("overhaul.cylinders[0]"));
    let gone = broken(&|r| drop(r.overhauls[0].cylinders.pop()));
    assert_eq!(gone, [Broken::Part("overhaul".into()), Broken::Part("overhaul.cylinders[1]".into())]);
    assert_eq!(broken(&|r| drop(r.tables.remove(0))), part("table"));
    assert_eq!(broken(&|r| r.overhauls[0].seal.as_mut().unwrap().name.push('x')), [Broken::Signature]);
    assert_eq!(broken(&|r| r.overhauls[0].seal.as_mut().unwrap().form = 2), [Broken::Form(2)]);
    assert_eq!(part_of("overhaul.cylinders[]"), "overhaul");
}

#[test]
fn layout_comments_and_order_of_fields_change_nothing() {
    let record = signed();
    let text = file::to_ron(&record).expect("written");
    let flat: String = text.lines().map(str::trim_start).collect::<Vec<_>>().join(" ");
    let commented = text.replace(",\n", ", // said\n");
    let reordered = text.replacen("serial: \"C-1\",", "", 1).replacen(
        "tagged: true,",
        "tagged: true, serial: \"C-1\",",
        1,
    );
    assert_ne!(reordered, text);
    for other in [flat, commented, reordered] {
        let again = read(&other);
        assert!(verify(&again, 0).expect("signed").holds(), "{other}");
    }
}

/// Every byte of a text exchanged for a neighbour, one at a time: what each comes to.
fn flips(text: &str) -> impl Iterator<Item = (usize, Option<EngineRecord>)> + '_ {
    (0..text.len()).filter(|&at| text.as_bytes()[at].is_ascii()).map(|at| {
        let mut bytes = text.as_bytes().to_vec();
        bytes[at] ^= 1;
        let flipped = String::from_utf8(bytes).expect("one letter for another");
        (at, file::record_from_text(&flipped, None).value)
    })
}

#[test]
fn every_byte_flipped_in_the_file_is_seen_and_none_outside_raises_an_alarm() {
    let record = twice_amended();
    let text = file::to_ron(&record).expect("written");
    // Without its indentation, of which nothing is to be learned.
    let text = text.lines().map(str::trim_start).collect::<Vec<_>>().join("\n");
    let start = text.find("overhauls: [").expect("there");
    // The second overhaul begins where the first one's seal has ended.
    let second = start + text[start..].find("date: \"2027").expect("there");
    let table = text.find("tables: [").expect("there");
    let other_table = table + text[table..].find("identity: \"SMALL-2\"").expect("there");
    let (mut seen, mut read) = (0, 0);
    for (at, flipped) in flips(&text) {
        let Some(flipped) = flipped else {
            seen += 1;
            continue;
        };
        read += 1;
        let holds = verify(&flipped, 0).is_some_and(|verdict| verdict.holds());
        let before = text[..at].rfind('\n').map_or(0, |at| at + 1);
        let line = text[before..].lines().next().unwrap_or_default();
        let inside = content(&flipped, 0) != content(&record, 0)
            || flipped.overhauls.first().map(|o| &o.seal) != record.overhauls.first().map(|o| &o.seal);
        // Whatever the record holds differently in what is signed is seen, and nothing else is.
        assert_eq!(holds, !inside, "byte {at}: {line}");
        let signed = (start..second - 30).contains(&at) || (table..other_table - 60).contains(&at);
        if signed && line.contains(|c: char| c.is_ascii_digit()) && text.as_bytes()[at].is_ascii_digit() {
            assert!(!holds, "a digit, byte {at}: {line}");
            seen += 1;
        }
    }
    assert!(seen > 500 && read > 1500, "{seen} seen, {read} read");
}

#[test]
fn every_byte_of_the_canonical_form_counts() {
    let record = signed();
    let leaves = content(&record, 0).expect("there");
    let form = bytes(&leaves);
    let whole = digest(&form);
    for at in 0..form.len() {
        let mut other = form.clone();
        other[at] ^= 1;
        assert_ne!(digest(&other), whole, "byte {at}");
    }
    // No two contents have the same bytes: lengths keep a text from passing for two leaves.
    let mut other = leaves.clone();
    other.insert("a".into(), "1\nb\t1\t2".into());
    let mut two = leaves.clone();
    two.insert("a".into(), "1".into());
    two.insert("b".into(), "2".into());
    assert_ne!(bytes(&other), bytes(&two));
}

#[test]
fn amendments_keep_what_stood_before_and_can_be_taken_back() {
    let record = twice_amended();
    assert_eq!(verdict(&record), Verdict { broken: vec![], amendments: 2, open: false });
    let seal = record.overhauls[0].seal.as_ref().expect("signed");
    let first = &seal.amendments[0];
    assert_eq!((first.name.as_str(), first.why.as_str()), ("Ben Invented", "misread the dial"));
    assert_eq!(first.changes.len(), 1);
    let change = &first.changes[0];
    assert_eq!(change.field, "overhaul.cylinders[0].readings[1].entered[0]");
    assert_eq!((change.before.as_deref(), change.after.as_deref()), (Some("5.1260"), Some("5.1262")));
    assert_eq!(
        words::change_words(change, &record.overhauls[0]),
        "cylinder 1, station A, thrust axis, repeat 1: “5.1260” before, “5.1262” now"
    );
    let fields: Vec<&str> = seal.amendments[1].changes.iter().map(|c| c.field.as_str()).collect();
    assert_eq!(
        fields,
        [
            "overhaul.cylinders[0].readings[1].entered[1]",
            "overhaul.cylinders[0].readings[1].entered[]",
            "overhaul.total_hours"
        ]
    );
    // Written and read, it still holds.
    assert!(verdict(&read(&file::to_ron(&record).expect("written"))).holds());
}

#[test]
fn amendments_tampered_with_are_seen() {
    let broken = |change: &dyn Fn(&mut Seal)| {
        let mut record = twice_amended();
        change(record.overhauls[0].seal.as_mut().expect("signed"));
        verdict(&record).broken
    };
    assert!(broken(&|_| ()).is_empty());
    assert_eq!(broken(&|seal| seal.amendments[0].why.push('x')), [Broken::Link(1)]);
    assert_eq!(broken(&|seal| seal.amendments[1].date = jiff::civil::date(2026, 5, 15)), [Broken::Link(2)]);
    let reordered = broken(&|seal| seal.amendments.swap(0, 1));
    assert!(reordered.contains(&Broken::Link(1)) && reordered.contains(&Broken::Link(2)), "{reordered:?}");
    let first_gone = broken(&|seal| drop(seal.amendments.remove(0)));
    assert!(first_gone.contains(&Broken::Link(1)), "{first_gone:?}");
    let last_gone = broken(&|seal| drop(seal.amendments.pop()));
    assert!(!last_gone.is_empty(), "what it changed stands without it");
    let all_gone = broken(&|seal| seal.amendments.clear());
    assert!(!all_gone.is_empty());
    let before = broken(&|seal| seal.amendments[0].changes[0].before = Some("5.1259".into()));
    assert!(before.contains(&Broken::Link(1)), "{before:?}");
    let invented = broken(&|seal| {
        let mut more = seal.amendments[1].clone();
        more.why = "never happened".into();
        seal.amendments.push(more);
    });
    assert!(invented.contains(&Broken::Link(3)), "{invented:?}");
    // What was changed by hand after an amendment.
    let mut record = twice_amended();
    record.overhauls[0].total_hours = Some(1820.6);
    assert!(
        matches!(&verdict(&record).broken[0], Broken::Value { amendment: Some(2), found: Some(found), .. } if found == "1820.6")
    );
}

#[test]
fn an_amendment_that_changed_nothing_is_none() {
    let mut record = signed();
    let before = record.clone();
    amend(&mut record, 0, &by("Ben"), "to look").expect("opened");
    assert!(verdict(&record).open);
    assert!(!close_amendment(&mut record, 0).expect("closed"));
    assert_eq!(record, before);
}

#[test]
fn changes_of_an_open_amendment_by_other_hands_are_seen() {
    let mut record = signed();
    amend(&mut record, 0, &by("Ben"), "hours").expect("opened");
    let base = bases(&record);
    record.overhauls[0].total_hours = Some(1.0);
    note_changes(&mut record, &base);
    assert!(verdict(&record).holds(), "written down with the amendment");
    record.overhauls[0].hours_since_overhaul = Some(2.0);
    assert!(!verdict(&record).holds());
}

#[test]
fn who_signs_must_be_named_and_something_must_be_measured() {
    let mut record = record();
    let nobody = Signature { name: " ".into(), ..by("") };
    assert!(sign(&mut record, 0, &nobody).unwrap_err().message.contains("name"));
    let no_certificate = Signature { certificate: String::new(), ..by("Ada") };
    assert!(sign(&mut record, 0, &no_certificate).unwrap_err().message.contains("certificate"));
    for cylinder in &mut record.overhauls[0].cylinders {
        cylinder.readings.clear();
    }
    assert!(sign(&mut record, 0, &by("Ada")).unwrap_err().message.contains("Nothing at all"));
    assert!(sign(&mut record, 9, &by("Ada")).is_err());
    assert!(amend(&mut record, 0, &by("Ada"), "why").is_err(), "not signed");
    let mut record = signed();
    assert!(sign(&mut record, 0, &by("Eve")).unwrap_err().message.contains("signed already, by Ada"));
    assert!(amend(&mut record, 0, &by("Ben"), "  ").is_err());
    assert!(close_amendment(&mut record, 0).is_err());
}

#[test]
fn an_overhaul_that_names_no_table_is_bound_to_the_one_it_is_judged_by() {
    let mut record = record();
    record.tables.truncate(1);
    record.overhauls[0].limits = None;
    sign(&mut record, 0, &by("Ada")).expect("signed");
    let other = records::limits::schema::TableOfLimits { revision: "Z".into(), ..record.tables[0].clone() };
    record.tables.insert(0, other);
    assert!(verdict(&record).holds());
}

#[test]
fn the_seal_of_the_first_release_still_holds() {
    // Written once, never edited: a seal made then must hold in every version after.
    let record = read(SMALL);
    let verdict = verdict(&record);
    assert!(verdict.holds(), "{verdict:?}");
    assert_eq!((verdict.amendments, verdict.open), (1, false));
    let seal = record.overhauls[0].seal.as_ref().expect("signed");
    assert_eq!(seal.digest.len(), 64);
}

#[test]
fn changes_are_found_whatever_is_added_or_gone() {
    let mut before = content(&record(), 0).expect("there");
    let after = before.clone();
    assert!(changes(&before, &after).is_empty());
    before.remove("overhaul.total_hours");
    before.insert("overhaul.zzz".into(), "1".into());
    let found: Vec<_> = changes(&before, &after).into_iter().map(|c| (c.field, c.before, c.after)).collect();
    assert_eq!(
        found,
        [
            ("overhaul.total_hours".into(), None, Some("1820.4".into())),
            ("overhaul.zzz".into(), Some("1".into()), None)
        ]
    );
}

#[test]
fn what_stands_open_is_told() {
    let text = include_str!("../../../demo/wexcombe_six.ron");
    let record = read(text);
    let evaluation = crate::evaluation::Evaluation::of(&record, 2, None);
    let open = Unresolved::of(
        &record.overhauls[2],
        evaluation.survey.as_ref(),
        &evaluation.assessments,
        &evaluation.diagnostics,
    );
    assert!(!open.nothing_measured);
    for part in [
        "Cylinder 1 (WX-0411): no person has decided on it.",
        "Cylinder 6 (WX-0416): not decided, neither by the program nor by a person.",
        "Cylinder 6 (WX-0416): station C, thrust axis looks wrong",
    ] {
        assert!(open.items.iter().any(|item| item.starts_with(part)), "{part}: {:#?}", open.items);
    }
}

#[test]
fn fields_are_named_in_the_words_of_the_trade() {
    let record = record();
    let words = |path: &str| words::field_words(path, &record.overhauls[0]);
    assert_eq!(words("overhaul.cylinders[1].finished_to"), "cylinder 2, finished to");
    assert_eq!(words("overhaul.cylinders[7].serial"), "cylinder number 8, serial");
    assert_eq!(words("overhaul.cylinders[0].readings[9].gauge"), "cylinder 1, reading number 10, gauge");
    assert_eq!(words("table.bore[0].new[1]"), "table of limits, bore[0], new[1]");
    assert_eq!(words("overhaul.total_hours"), "total hours");
    assert_eq!(words("]["), "][");
}
