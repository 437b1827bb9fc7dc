//! Format 1 of the engine record, as it was used before the first release. Frozen: never edited.
//!
//! Each overhaul held the whole table of limits it was judged by. Format 2 holds each table once, and an
//! overhaul names it. Only what differs is written down here; the structs within have not changed since. If
//! one of them ever does, its old shape moves here first.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;
use serde::Deserialize;

use crate::diag::{Diagnostic, FieldPath, Told};
use crate::length::Unit;
use crate::limits::schema::TableOfLimits;

use super::schema::{
    self, Cylinder, Engine, Gauge, Inspector, SettingStandard, TableReference, Temperatures,
};

/// The number in `format`.
pub const FORMAT: u32 = 1;

/// The record of one engine in format 1.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EngineRecord {
    /// Version of this file layout; [`FORMAT`].
    pub format: u32,
    /// The engine.
    pub engine: Engine,
    /// Its overhauls, the earliest first.
    #[serde(default)]
    pub overhauls: Vec<Overhaul>,
    /// Anything else.
    #[serde(default)]
    pub remarks: String,
}

/// One overhaul in format 1.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Overhaul {
    /// The day of measuring.
    pub date: Date,
    /// Total time of the engine in hours.
    #[serde(default)]
    pub total_hours: Option<f64>,
    /// Hours since the overhaul before.
    #[serde(default)]
    pub hours_since_overhaul: Option<f64>,
    /// Who measured and signs.
    #[serde(default)]
    pub inspector: Inspector,
    /// The table that it is judged by.
    #[serde(default)]
    pub limits: Option<TableOfLimits>,
    /// The unit of every length that names none.
    #[serde(default)]
    pub unit: Unit,
    /// The setting standards used.
    #[serde(default)]
    pub standards: Vec<SettingStandard>,
    /// The gauges used.
    #[serde(default)]
    pub gauges: Vec<Gauge>,
    /// Temperatures while measuring.
    #[serde(default)]
    pub temperatures: Option<Temperatures>,
    /// The cylinders, in bank order.
    #[serde(default)]
    pub cylinders: Vec<Cylinder>,
    /// Anything else.
    #[serde(default)]
    pub remarks: String,
}

/// Hoists each table once and lets the overhauls refer to it.
///
/// Two different tables under one identity and revision are both kept, the later one under a revision text
/// of its own, and a note says so.
impl From<EngineRecord> for Told<schema::EngineRecord> {
    fn from(old: EngineRecord) -> Self {
        let EngineRecord { format: _, engine, overhauls, remarks } = old;
        let taken = overhauls.iter().filter_map(|overhaul| overhaul.limits.as_ref().map(key)).collect();
        let mut hoisted = Hoisted { taken, called: BTreeMap::new(), tables: Vec::new() };
        let mut diagnostics = vec![
            Diagnostic::note(format!(
                "This record was written in format 1 and has been read as format {}.",
                schema::FORMAT
            ))
            .remedy("Nothing is lost; saving it writes the new format."),
        ];
        let overhauls = overhauls
            .into_iter()
            .enumerate()
            .map(|(i, overhaul)| {
                let Overhaul {
                    date,
                    total_hours,
                    hours_since_overhaul,
                    inspector,
                    limits,
                    unit,
                    standards,
                    gauges,
                    temperatures,
                    cylinders,
                    remarks,
                } = overhaul;
                let limits = limits.map(|table| {
                    let written = reference(&table);
                    let kept = hoisted.add(table);
                    if kept.revision != written.revision {
                        let path = FieldPath::default().field("overhauls").element(i).field("limits");
                        diagnostics.push(
                            different_tables(&written, &kept).at(path).place(format!("overhaul of {date}")),
                        );
                    }
                    kept
                });
                schema::Overhaul {
                    date,
                    total_hours,
                    hours_since_overhaul,
                    inspector,
                    limits,
                    unit,
                    standards,
                    gauges,
                    temperatures,
                    cylinders,
                    remarks,
                    seal: None,
                }
            })
            .collect();
        let tables = hoisted.tables;
        let value = schema::EngineRecord { format: schema::FORMAT, engine, tables, overhauls, remarks };
        Self { value, diagnostics }
    }
}

fn reference(table: &TableOfLimits) -> TableReference {
    TableReference { identity: table.identity.clone(), revision: table.revision.clone() }
}

fn different_tables(written: &TableReference, kept: &TableReference) -> Diagnostic {
    Diagnostic::note(format!(
        "Two different tables are both called `{}` revision `{}`; the one used here is kept as revision `{}`.",
        written.identity, written.revision, kept.revision
    ))
    .remedy("Compare both with the manual, and correct the revision of the one that is wrong.")
}

/// An identity and a revision.
type Key = (String, String);

fn key(table: &TableOfLimits) -> Key {
    (table.identity.clone(), table.revision.clone())
}

/// The tables found so far.
struct Hoisted {
    /// Every identity and revision in use.
    taken: BTreeSet<Key>,
    /// Under each identity and revision as written: the different tables, and the revision each is kept under.
    called: BTreeMap<Key, Vec<(TableOfLimits, String)>>,
    /// The tables as they are kept.
    tables: Vec<TableOfLimits>,
}

impl Hoisted {
    /// Keeps a table, unless the very same is kept already, and says under which name.
    fn add(&mut self, table: TableOfLimits) -> TableReference {
        let named = self.called.entry(key(&table)).or_default();
        let identity = table.identity.clone();
        if let Some((_, revision)) = named.iter().find(|(written, _)| *written == table) {
            return TableReference { identity, revision: revision.clone() };
        }
        let mut kept = table.clone();
        let mut number = named.len();
        while !named.is_empty() && self.taken.contains(&key(&kept)) {
            number += 1;
            kept.revision = format!("{} ({number})", table.revision);
        }
        self.taken.insert(key(&kept));
        named.push((table, kept.revision.clone()));
        let revision = kept.revision.clone();
        self.tables.push(kept);
        TableReference { identity, revision }
    }
}
