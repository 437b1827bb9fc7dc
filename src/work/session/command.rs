//! Everything that can be done to a record: the only way anything in it changes.
//!
//! A [`Command`] speaks of the chosen overhaul, and of cells by their place in its table of limits. What a
//! person typed goes into the record as typed; nothing is read or judged here. `apply` changes the record, `plan` says
//! how undo names a change and which changes are one step, `next_overhaul` makes the overhaul that follows another.

mod apply;
mod next_overhaul;
mod plan;

use jiff::civil::Date;

use crate::exchange::import::Agreed;
use crate::seal::Signature;
use records::bore::Point;
use records::limits::schema::{Size, TableOfLimits};
use records::record::schema::{
    Cylinder, Disposition, Finding, Fit, Gauge, RingGap, SettingStandard, Temperatures,
};

pub use next_overhaul::empty_overhaul;
pub(super) use plan::Plan;

/// A step of a cylinder's way through the shop, ticked by hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Mark {
    /// Tagged with its position.
    Tagged,
    /// Cleaned.
    Cleaned,
    /// Looked over by eye.
    LookedOver,
}

impl Mark {
    /// All of them, in order of work.
    pub const ALL: [Self; 3] = [Self::Tagged, Self::Cleaned, Self::LookedOver];

    /// In a word or two.
    pub fn words(self) -> &'static str {
        match self {
            Self::Tagged => "tagged",
            Self::Cleaned => "cleaned",
            Self::LookedOver => "looked over",
        }
    }

    /// Is it set on a cylinder?
    pub fn is_set(self, cylinder: &Cylinder) -> bool {
        match self {
            Self::Tagged => cylinder.tagged,
            Self::Cleaned => cylinder.cleaned,
            Self::LookedOver => cylinder.looked_over,
        }
    }
}

/// A change to one cylinder.
#[derive(Clone, Debug, PartialEq)]
pub enum CylinderEdit {
    /// Its position on the engine.
    Position(String),
    /// Its serial number: another number is another cylinder in its place.
    Serial(String),
    /// Its current size.
    Size(Size),
    /// The size it was last finished to; none: not known.
    FinishedTo(Option<String>),
    /// Tick or untick a step of its way.
    Mark(Mark, bool),
    /// A reading as typed; an empty text takes the repeat away. A new cell gets the gauge, if one is named.
    Reading {
        /// The cell.
        at: Point,
        /// Which repeat, counted from 0; beyond the last it becomes the next one.
        repeat: usize,
        /// As typed.
        text: String,
        /// Name of the gauge for a cell that has no reading yet; none: the overhaul's first.
        gauge: Option<String>,
    },
    /// Many readings at once: cell, repeat, text.
    Readings {
        /// The readings.
        cells: Vec<(Point, usize, String)>,
        /// Name of the gauge for cells that have no reading yet.
        gauge: Option<String>,
    },
    /// The gauge that a cell was read with; none: the overhaul's first.
    ReadingGauge(Point, Option<String>),
    /// Why a reading that looks wrong stands all the same; empty: take that back.
    Confirm(Point, String),
    /// Another finding.
    AddFinding(Finding),
    /// A finding changed, by its index.
    EditFinding(usize, Finding),
    /// A finding taken away, by its index.
    RemoveFinding(usize),
    /// The measured pair of a row, by the row's reference; none: take it away.
    Fit(String, Option<Fit>),
    /// The measured gap of a row, by the row's reference; none: take it away.
    RingGap(String, Option<RingGap>),
    /// Its piston's weight as typed.
    PistonWeight(Option<String>),
    /// What a person decided; none: take it back.
    Decide(Option<Disposition>),
    /// Anything else.
    Remarks(String),
}

/// A change to the overhaul.
#[derive(Clone, Debug, PartialEq)]
pub enum OverhaulEdit {
    /// The day of measuring.
    Date(Date),
    /// Total time of the engine in hours.
    TotalHours(Option<f64>),
    /// Hours since the overhaul before.
    HoursSinceOverhaul(Option<f64>),
    /// The inspector's name.
    InspectorName(String),
    /// The inspector's certificate.
    InspectorCertificate(String),
    /// Setting standards.
    Standards(Vec<SettingStandard>),
    /// Gauges, the usual one first.
    Gauges(Vec<Gauge>),
    /// Temperatures.
    Temperatures(Option<Temperatures>),
    /// One more cylinder, at the end of the bank.
    AddCylinder(Box<Cylinder>),
    /// A cylinder taken away, by its index.
    RemoveCylinder(usize),
    /// Two cylinders change places on the engine; their positions stay where they are.
    ExchangePositions(usize, usize),
    /// Anything else.
    Remarks(String),
}

/// What is known of an overhaul when it is added.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NewOverhaul {
    /// The day of measuring.
    pub date: Date,
    /// Total time of the engine in hours.
    pub total_hours: Option<f64>,
    /// Hours since the overhaul before.
    pub hours_since_overhaul: Option<f64>,
}

impl NewOverhaul {
    /// One of which only the day is known yet.
    pub fn on(date: Date) -> Self {
        Self { date, total_hours: None, hours_since_overhaul: None }
    }
}

/// Everything that can be done to a record.
#[derive(Clone, Debug, PartialEq)]
pub enum Command {
    /// A change to one cylinder of the chosen overhaul, by its index.
    Cylinder(usize, CylinderEdit),
    /// A change to the chosen overhaul.
    Overhaul(OverhaulEdit),
    /// One more overhaul, with the cylinders, sizes and gauges of the one before.
    AddOverhaul(NewOverhaul),
    /// The chosen overhaul is judged by this table from now on; the record keeps the tables it had.
    SwapLimits(Box<TableOfLimits>),
    /// A table of the record is replaced by an edited one, by its index.
    EditLimits(usize, Box<TableOfLimits>),
    /// The engine's model.
    EngineModel(String),
    /// The engine's serial number.
    EngineSerial(String),
    /// Whose the engine is.
    EngineOwner(String),
    /// What the engine is in.
    EngineInstalledIn(String),
    /// Readings from another program, as a person agreed to them: each cell that they are for gets them in place of its
    /// own.
    Import(Box<Agreed>),
    /// The chosen overhaul is signed: from then on it is closed.
    Sign(Signature),
    /// An amendment of the chosen overhaul begins: who, and why.
    Amend(Signature, String),
    /// Values of the chosen overhaul, each by its path in the canonical form of [`crate::seal`].
    SetFields(Vec<(String, String)>),
    /// The open amendment of the chosen overhaul is closed; one that changed nothing is taken away.
    CloseAmendment,
}
