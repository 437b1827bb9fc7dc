//! The same cylinders at the survey before, for whoever looks at what has changed since.
//!
//! An earlier survey is read by its own table of limits. What is compared is the same place in the barrel: the
//! same station at the same depth from the same end, and the same axis in the same direction. Where that is not
//! known nothing is compared; nothing is matched by its name alone.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::{Reader, Tools, limits_of};
use crate::bore::{Bore, Point};
use crate::diag::FieldPath;
use crate::limits::Limits;
use crate::record::schema::{EngineRecord, Overhaul};
use crate::survey::{Cylinder, Earlier, Survey};

/// How many overhauls back a cylinder's readings are looked for: more than any barrel lives through.
const FARTHEST_BACK: usize = 50;

/// Gives each cylinder of an overhaul its readings at the latest survey before that has any, if it has not been
/// cut since.
pub(super) fn find(record: &EngineRecord, overhaul: usize, survey: &mut Survey) {
    let (limits, cylinders) = (&survey.limits, &mut survey.cylinders);
    let mut open: Vec<usize> =
        by_serial(cylinders, |cylinder| &cylinder.serial).into_values().flatten().collect();
    // In the order of the cylinders.
    open.sort_unstable();
    for before in record.overhauls.iter().take(overhaul).rev().take(FARTHEST_BACK) {
        if open.is_empty() {
            break;
        }
        let then = by_serial(&before.cylinders, |cylinder| &cylinder.serial);
        let is_there =
            |i: &usize| cylinders.get(*i).is_some_and(|cylinder| then.contains_key(cylinder.serial.trim()));
        if !open.iter().any(is_there) {
            continue;
        }
        let Some(limits_then) = limits_at(record, before, limits) else { continue };
        let mut then = Then::of(before, then, &limits_then);
        open.retain(|&i| match cylinders.get_mut(i) {
            Some(cylinder) => then.is_still_open(cylinder, limits),
            None => false,
        });
    }
}

/// Where each serial number stands; none where it stands on several. Blank ones are left out.
fn by_serial<'a, T>(of: &'a [T], serial: impl Fn(&'a T) -> &'a str) -> BTreeMap<&'a str, Option<usize>> {
    let mut places = BTreeMap::new();
    for (i, one) in of.iter().enumerate() {
        let serial = serial(one).trim();
        if !serial.is_empty() {
            places.entry(serial).and_modify(|place| *place = None).or_insert(Some(i));
        }
    }
    places
}

/// The table that an earlier overhaul was judged by: the present one where it names no other, else the record's;
/// none if it is not at hand or holds an error, for then its depths are not known.
fn limits_at(record: &EngineRecord, then: &Overhaul, now: &Arc<Limits>) -> Option<Arc<Limits>> {
    let is_now = match &then.limits {
        Some(named) => (&named.identity, &named.revision) == (&now.identity, &now.revision),
        None => record.tables.is_empty(),
    };
    if is_now { Some(now.clone()) } else { limits_of(record, then, &FieldPath::default()).ok() }
}

/// An earlier overhaul, with what its readings were read with.
struct Then<'a> {
    overhaul: &'a Overhaul,
    /// Where each serial number stands in it; none where it stands on several.
    serials: BTreeMap<&'a str, Option<usize>>,
    limits: &'a Limits,
    reader: Reader<'a>,
    tools: Tools,
}

impl<'a> Then<'a> {
    fn of(overhaul: &'a Overhaul, serials: BTreeMap<&'a str, Option<usize>>, limits: &'a Limits) -> Self {
        // What is wrong in it is told where it is judged itself.
        let mut reader = Reader { limits, unit: overhaul.unit, diagnostics: Vec::new() };
        let tools = reader.tools(overhaul, &FieldPath::default());
        Self { overhaul, serials, limits, reader, tools }
    }

    /// Gives a cylinder what it read then; is there still a survey before to be looked for?
    fn is_still_open(&mut self, now: &mut Cylinder, limits: &Limits) -> bool {
        let Some(place) = self.serials.get(now.serial.trim()) else { return true };
        let Some(then) = place.and_then(|index| self.overhaul.cylinders.get(index)) else { return false };
        let then = self.reader.cylinder(then, &self.tools, &[], &FieldPath::default());
        if !now.is_uncut_since(limits, &then, self.limits) {
            return false;
        }
        let bore = on_the_places_of(limits, &then.bore, self.limits);
        let is_open = bore.is_empty();
        if !is_open {
            now.earlier = Some(Earlier { date: self.overhaul.date, bore });
        }
        is_open
    }
}

/// The readings of an earlier table's places at those of the present table that are the same.
fn on_the_places_of(limits: &Limits, then: &Bore, limits_then: &Limits) -> Bore {
    let mut bore = Bore::new(limits.stations.len(), limits.axes.len());
    for (at, cell) in then.measured() {
        let station = limits.same_station(limits_then, at.station);
        if let (Some(station), Some(axis)) = (station, limits.same_axis(limits_then, at.axis)) {
            bore.set(Point::new(station, axis), Some(cell.clone()));
        }
    }
    bore
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantities::length::{Length, Unit};

    fn table(revision: &str, depth: &str, datum: &str, axes: [f64; 2]) -> String {
        let [first, second] = axes;
        format!(
            r#"TableOfLimits(
                format: 1, identity: "T", revision: "{revision}", engine: "invented",
                source: Illustrative(remark: "invented"), unit: Inch, datum: {datum},
                stations: [
                    (name: "A", depth: "1.0", role: RunningSurface),
                    (name: "B", depth: "{depth}", role: RunningSurface),
                    (name: "C", depth: "5.0", role: RunningSurface),
                ],
                axes: [(label: "pin", degrees: {first:.1}), (label: "thrust", degrees: {second:.1})],
                bore: [(size: Standard, new: ("5.0000", "5.0010"), serviceable: At("5.0100"))],
                wall: (surface: Plain, cut: Allowed), clean_up_allowance: "0.0005", mixed_oversizes: Allowed,
            )"#
        )
    }

    /// An overhaul whose station B of each cylinder reads so much; `fields` are further ones of the cylinder.
    fn overhaul(date: &str, revision: &str, barrels: &[(&str, &str, &str)]) -> String {
        let mut cylinders = String::new();
        for (serial, fields, b) in barrels {
            let readings: String = [("A", "5.0020"), ("B", *b), ("C", "5.0020")]
                .into_iter()
                .filter(|(_, value)| !value.is_empty())
                .flat_map(|(station, value)| {
                    ["pin", "thrust"].map(|axis| {
                        format!(r#"(station: "{station}", axis: "{axis}", entered: ["{value}"]),"#)
                    })
                })
                .collect();
            let readings = if b.is_empty() { String::new() } else { readings };
            cylinders += &format!(
                r#"(position: "1", serial: "{serial}", {fields} looked_over: true, readings: [{readings}]),"#
            );
        }
        format!(
            r#"(date: "{date}", limits: (identity: "T", revision: "{revision}"), cylinders: [{cylinders}]),"#
        )
    }

    fn record(tables: &[String], overhauls: &[String]) -> EngineRecord {
        let text = format!(
            r#"EngineRecord(format: 2, engine: (model: "Test", serial: "E"), tables: [{}], overhauls: [{}])"#,
            tables.join(", "),
            overhauls.concat()
        );
        let reported = crate::file::record_from_text(&text, None);
        reported.value.unwrap_or_else(|| panic!("{:?}", reported.diagnostics))
    }

    /// The cylinders of the latest overhaul.
    fn latest(record: &EngineRecord) -> Vec<Cylinder> {
        let last = record.overhauls.len() - 1;
        super::super::survey(record, last, None).value.unwrap().cylinders
    }

    /// What the first cylinder of the latest overhaul read before, at station B on the pin axis.
    fn before(record: &EngineRecord) -> Option<Length> {
        Some(latest(record)[0].earlier.as_ref()?.bore.mean(Point::new(1, 0))?.nearest())
    }

    const AXES: [f64; 2] = [0.0, 90.0];

    #[test]
    fn a_station_at_another_depth_is_another_station() {
        let then = overhaul("2010-06-01", "A", &[("S", "", "5.0080")]);
        let now = overhaul("2014-06-01", "B", &[("S", "", "5.0030")]);
        let old = table("A", "3.0", "HeadEnd", AXES);
        let with = |new: String| record(&[old.clone(), new], &[then.clone(), now.clone()]);
        let same = with(table("B", "3.0", "HeadEnd", AXES));
        assert_eq!(before(&same), Length::parse("5.0080", Unit::Inch).ok().map(|entry| entry.length));
        for other in [
            table("B", "3.5", "HeadEnd", AXES),
            table("B", "3.0", "BaseEnd", AXES),
            table("B", "3.0", "HeadEnd", [90.0, 0.0]),
        ] {
            let moved = with(other);
            assert_eq!(before(&moved), None);
        }
        // What stayed where it was is compared still.
        let moved = with(table("B", "3.5", "HeadEnd", AXES));
        assert!(latest(&moved)[0].earlier.as_ref().unwrap().bore.mean(Point::new(0, 0)).is_some());
    }

    #[test]
    fn a_table_that_is_not_at_hand_is_not_taken_for_the_present_one() {
        let then = overhaul("2010-06-01", "A", &[("S", "", "5.0080")]);
        let now = overhaul("2014-06-01", "B", &[("S", "", "5.0030")]);
        assert_eq!(before(&record(&[table("B", "3.0", "HeadEnd", AXES)], &[then, now])), None);
    }

    #[test]
    fn a_survey_without_readings_is_passed_over_and_a_cut_is_not() {
        let tables = [table("A", "3.0", "HeadEnd", AXES)];
        let at = |date, fields, b| overhaul(date, "A", &[("S", fields, b)]);
        let old = at("2010-06-01", "", "5.0040");
        let now = at("2018-06-01", "", "5.0050");
        let empty = record(&tables, &[old.clone(), at("2014-06-01", "", ""), now.clone()]);
        assert_eq!(latest(&empty)[0].earlier.as_ref().unwrap().date, jiff::civil::date(2010, 6, 1));
        // Plated, and then back at the same size: what lies before is another wall.
        let cut =
            record(&tables, &[old.clone(), at("2014-06-01", "size: Oversize(\"0.010\"),", "5.0040"), now]);
        assert_eq!(latest(&cut)[0].earlier, None);
        let finished = "finished_to: \"5.0004\",";
        let ground = record(&tables, &[old, at("2018-06-01", finished, "5.0010")]);
        assert_eq!(latest(&ground)[0].earlier, None);
        // Not written again is not finished anew.
        let omitted =
            record(&tables, &[at("2010-06-01", finished, "5.0040"), at("2018-06-01", "", "5.0050")]);
        assert!(latest(&omitted)[0].earlier.is_some());
    }

    #[test]
    fn two_of_one_serial_number_are_not_taken_for_each_other() {
        let tables = [table("A", "3.0", "HeadEnd", AXES)];
        let one = overhaul("2010-06-01", "A", &[(" S ", "", "5.0040")]);
        let two = overhaul("2014-06-01", "A", &[("S", "", "5.0040"), ("S", "", "5.0080")]);
        let later = overhaul("2018-06-01", "A", &[("S", "", "5.0050")]);
        assert!(latest(&record(&tables, &[one.clone(), two.clone()])).iter().all(|c| c.earlier.is_none()));
        assert!(latest(&record(&tables, &[one.clone(), two, later.clone()]))[0].earlier.is_none());
        assert!(latest(&record(&tables, &[one, later]))[0].earlier.is_some(), "blanks do not matter");
        let nameless = [
            overhaul("2010-06-01", "A", &[("", "", "5.0040")]),
            overhaul("2014-06-01", "A", &[("", "", "5.0050")]),
        ];
        assert!(latest(&record(&tables, &nameless))[0].earlier.is_none());
    }
}
