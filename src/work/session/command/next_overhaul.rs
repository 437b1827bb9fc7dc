//! An overhaul that is added to a record: what it takes over from the one before.

use jiff::civil::Date;

use super::NewOverhaul;
use records::diag::{Diagnostic, FieldPath};
use records::limits::schema::Size;
use records::record::check;
use records::record::schema::{Cylinder, EngineRecord, Overhaul};

impl NewOverhaul {
    /// The error that its hours would be in a record; none if there is nothing against them.
    pub fn wrong_hours(self, record: &EngineRecord) -> Option<Diagnostic> {
        let (mut record, index) = (record.clone(), record.overhauls.len());
        self.add_to(&mut record);
        let path = FieldPath::default().field("overhauls").element(index);
        let fields = ["total_hours", "hours_since_overhaul"].map(|field| path.field(field));
        check::check(&record)
            .into_iter()
            .find(|reported| reported.is_error() && fields.contains(&reported.path))
    }

    pub(super) fn add_to(self, record: &mut EngineRecord) {
        let next = record.overhauls.last().map_or_else(|| empty_overhaul(self.date), |o| after(o, self.date));
        let hours = (self.total_hours, self.hours_since_overhaul);
        record.overhauls.push(Overhaul { total_hours: hours.0, hours_since_overhaul: hours.1, ..next });
    }
}

/// An overhaul of which nothing but the day is known.
pub fn empty_overhaul(date: Date) -> Overhaul {
    Overhaul {
        date,
        total_hours: None,
        hours_since_overhaul: None,
        inspector: Default::default(),
        limits: None,
        unit: Default::default(),
        standards: Vec::new(),
        gauges: Vec::new(),
        temperatures: None,
        cylinders: Vec::new(),
        remarks: String::new(),
        seal: None,
    }
}

/// The overhaul after another: the same cylinders, sizes, gauges and table, nothing measured yet.
///
/// A cylinder that a person decided to rebore has its new size; one replaced has no serial yet.
fn after(before: &Overhaul, date: Date) -> Overhaul {
    use records::record::schema::Decision;
    let cylinder = |cylinder: &Cylinder| {
        let decision = cylinder.disposition.as_ref().map(|disposition| &disposition.decision);
        let (serial, size) = match decision {
            Some(Decision::Rebore(size)) => (cylinder.serial.clone(), size.clone()),
            Some(Decision::Replace) => (String::new(), Size::Standard),
            _ => (cylinder.serial.clone(), cylinder.size.clone()),
        };
        let uncut = size == cylinder.size && !matches!(decision, Some(Decision::Replace));
        Cylinder {
            position: cylinder.position.clone(),
            serial,
            size,
            finished_to: cylinder.finished_to.clone().filter(|_| uncut),
            ..Cylinder::default()
        }
    };
    Overhaul {
        inspector: before.inspector.clone(),
        limits: before.limits.clone(),
        unit: before.unit,
        standards: before.standards.clone(),
        gauges: before.gauges.clone(),
        cylinders: before.cylinders.iter().map(cylinder).collect(),
        ..empty_overhaul(date)
    }
}
