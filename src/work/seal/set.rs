//! Setting values by the paths of the canonical form, for amending without a window.
//!
//! A path is what `check` and the list of amendments print, such as
//! `overhaul.cylinders[2].readings[4].entered[0]`. The element behind the last one of a list adds to it; an empty
//! text takes an optional value or an element away.

use serde::Deserialize as _;
use serde_json::{Map, Value};

use super::typed::AsTyped;

use records::diag::Diagnostic;
use records::record::schema::{EngineRecord, Overhaul};

/// One step of a path.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Step {
    Field(String),
    Element(usize),
}

/// Sets values of an overhaul, each by its path.
///
/// # Errors
/// A path that leads nowhere, or values that do not make an overhaul; nothing is changed then.
pub fn set(
    record: &mut EngineRecord,
    overhaul: usize,
    values: &[(String, String)],
) -> Result<(), Diagnostic> {
    let Some(written) = record.overhauls.get(overhaul) else { return Ok(()) };
    let seal = written.seal.clone();
    let bare = Overhaul { seal: None, ..written.clone() };
    let mut whole = serde_json::to_value(&bare).map_err(|error| wrong(&error.to_string()))?;
    for (path, text) in values {
        put(&mut whole, &steps(path)?, text).map_err(|why| wrong(&why).place(format!("`{path}`")))?;
    }
    let read = Overhaul::deserialize(AsTyped(whole)).map_err(|error| wrong(&error.to_string()))?;
    if let Some(written) = record.overhauls.get_mut(overhaul) {
        *written = Overhaul { seal, ..read };
    }
    Ok(())
}

fn wrong(why: &str) -> Diagnostic {
    Diagnostic::error(format!("This cannot be set: {}.", why.trim_end_matches('.'))).remedy(
        "Write the field as the record has it, such as overhaul.cylinders[0].readings[1].entered[0]; \
         cylinders, readings and repeats are counted from 0.",
    )
}

/// The steps of a path behind `overhaul`.
fn steps(path: &str) -> Result<Vec<Step>, Diagnostic> {
    if path.starts_with("table.") {
        return Err(Diagnostic::error(
            "A table of limits is not amended: other overhauls may be judged by it.",
        )
        .remedy("Give the corrected table a revision of its own, and set overhaul.limits.revision to it."));
    }
    if path.starts_with("engine.") {
        return Err(Diagnostic::error(
            "The engine belongs to every overhaul, and is not amended at one of them.",
        )
        .remedy(
            "Use the window: with an amendment open at each signed overhaul, the engine can be corrected.",
        ));
    }
    let bad = || wrong(&format!("`{path}` leads nowhere"));
    let rest = path.strip_prefix("overhaul.").ok_or_else(bad)?;
    if rest == "seal" || rest.starts_with("seal.") {
        return Err(wrong("a signature is not amended"));
    }
    let mut steps = Vec::new();
    for part in rest.split('.') {
        let (name, mut elements) = part.split_at(part.find('[').unwrap_or(part.len()));
        if name.is_empty() {
            return Err(bad());
        }
        steps.push(Step::Field(name.to_owned()));
        while !elements.is_empty() {
            let (number, after) =
                elements.strip_prefix('[').and_then(|inner| inner.split_once(']')).ok_or_else(bad)?;
            steps.push(Step::Element(number.parse().map_err(|_| bad())?));
            elements = after;
        }
    }
    Ok(steps)
}

/// Puts a text where the steps lead.
fn put(value: &mut Value, steps: &[Step], text: &str) -> Result<(), String> {
    let Some((step, rest)) = steps.split_first() else {
        if value.is_array() || value.is_object() {
            return Err("more than one value stands there: name the one that is meant".to_owned());
        }
        *value = text.into();
        return Ok(());
    };
    let take_away = rest.is_empty() && text.is_empty();
    match step {
        Step::Field(name) => {
            if !value.is_object() {
                *value = Value::Object(Map::new());
            }
            let Value::Object(fields) = value else { return Ok(()) };
            if take_away {
                fields.remove(name);
                return Ok(());
            }
            put(fields.entry(name.clone()).or_insert(Value::Null), rest, text)
        }
        Step::Element(index) => {
            if value.is_null() {
                *value = Value::Array(Vec::new());
            }
            let Value::Array(elements) = value else { return Err("there is no list".to_owned()) };
            if take_away && *index < elements.len() {
                elements.remove(*index);
                return Ok(());
            }
            if *index == elements.len() {
                elements.push(Value::Null);
            }
            let count = elements.len();
            let element = elements.get_mut(*index);
            put(element.ok_or_else(|| format!("the list has {count} elements"))?, rest, text)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use records::file;

    fn record() -> EngineRecord {
        file::record_from_text(include_str!("../../../tests/golden/record_sealed.ron"), None)
            .value
            .expect("read")
    }

    fn set_all(values: &[(&str, &str)]) -> Result<EngineRecord, Diagnostic> {
        let mut record = record();
        let owned: Vec<_> = values.iter().map(|(a, b)| ((*a).to_owned(), (*b).to_owned())).collect();
        set(&mut record, 0, &owned).map(|()| record)
    }

    #[test]
    fn values_are_set_added_and_taken_away() {
        let after = set_all(&[
            ("overhaul.cylinders[0].readings[0].entered[0]", "5.1256"),
            ("overhaul.cylinders[0].readings[0].entered[1]", "5.1257"),
            ("overhaul.cylinders[1].readings[1].entered[0]", ""),
            ("overhaul.cylinders[1].readings[2].station", "B"),
            ("overhaul.cylinders[1].readings[2].axis", "pin"),
            ("overhaul.cylinders[1].readings[2].entered[0]", "5.1270"),
            ("overhaul.total_hours", "1821"),
            ("overhaul.hours_since_overhaul", "12.5"),
            ("overhaul.cylinders[1].tagged", "true"),
            ("overhaul.cylinders[0].disposition.decision.Rebore.Oversize", "0.010"),
            ("overhaul.cylinders[0].findings[0].area", ""),
            // A gauge that is a name, though it looks like a number, and one that is a temperature.
            ("overhaul.cylinders[0].readings[1].gauge", "7"),
            ("overhaul.temperatures.barrel", "21"),
            ("overhaul.temperatures.gauge", "20.5"),
        ])
        .expect("set");
        let overhaul = &after.overhauls[0];
        assert_eq!(overhaul.cylinders[0].readings[0].entered, ["5.1256", "5.1257"]);
        assert_eq!(overhaul.cylinders[1].readings[1].entered, ["5.1282"]);
        assert_eq!(overhaul.cylinders[1].readings[2].station, "B");
        assert_eq!((overhaul.total_hours, overhaul.hours_since_overhaul), (Some(1821.0), Some(12.5)));
        assert!(overhaul.cylinders[1].tagged && overhaul.seal.is_some());
        assert_eq!(overhaul.cylinders[0].findings[0].area, None);
        assert_eq!(overhaul.cylinders[0].readings[1].gauge.as_deref(), Some("7"));
        let degrees = overhaul.temperatures.as_ref().map(|taken| (taken.barrel, taken.gauge));
        assert_eq!(degrees, Some((21.0, 20.5)));
        use records::limits::schema::Size;
        use records::record::schema::Decision;
        let decision = overhaul.cylinders[0].disposition.as_ref().map(|d| d.decision.clone());
        assert_eq!(decision, Some(Decision::Rebore(Size::Oversize("0.010".into()))));
    }

    #[test]
    fn what_leads_nowhere_is_told_and_changes_nothing() {
        for (path, text, part) in [
            ("cylinders[0].serial", "x", "leads nowhere"),
            ("overhaul.cylinders[9].serial", "x", "has 2 elements"),
            ("overhaul.cylinders[0].colour", "x", "unknown field"),
            ("overhaul.cylinders[0]", "x", "more than one value"),
            ("overhaul.total_hours", "many", "`many` is no number"),
            ("overhaul.total_hours", "inf", "`inf` is no number"),
            ("overhaul.temperatures.gauge", "bore gauge", "`bore gauge` is no number"),
            ("overhaul.cylinders[0].tagged", "perhaps", "`perhaps` is neither true nor false"),
            ("overhaul.date", "2026-02-30", "cannot be set"),
            ("overhaul.seal.name", "x", "not amended"),
            ("table.bore[0].reference", "x", "not amended"),
            ("engine.serial", "x", "not amended"),
            ("overhaul.cylinders[x]", "1", "leads nowhere"),
            ("overhaul..", "1", "leads nowhere"),
        ] {
            let error = set_all(&[(path, text)]).expect_err(path);
            assert!(error.to_string().contains(part), "{path}: {error}");
        }
    }
}
