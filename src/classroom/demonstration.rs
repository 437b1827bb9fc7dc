//! An invented bore shown: its readings without scatter, and everything that the product says of them.
//!
//! Nothing here is the classroom's own: figures, judging and what other rules would say are those of a real
//! survey. A perfect gauge at 20 °C takes the readings, so each figure is the part that was put in, to the
//! last digit; a warm barrel reads large and is brought to 20 °C, and a score is found by eye.

use std::sync::Arc;

use super::gauge::{Instrument, Placing, PracticeGauge};
use super::shape::Shape;
use figures::summary::Figures;
use judging::Assessment;
use judging::what_if::{Alternative, what_if};
use quantities::length::{Length, Style};
use records::bore::{Bore, Cell, Point};
use records::limits::Limits;
use records::limits::schema::FindingKind;
use records::survey::{Cylinder, Finding, Gauge, REFERENCE_C, Survey};

/// What stands for the serial of the bore: `cylinder of the lesson`.
const SERIAL: &str = "of the lesson";

/// An invented bore and what is said of it.
#[derive(Clone, Debug)]
pub struct Demonstration {
    /// The survey; its one cylinder is the bore.
    pub survey: Survey,
    /// The bore as a cylinder, the survey's.
    pub cylinder: Cylinder,
    /// The recommendation and its reasons.
    pub assessment: Assessment,
    /// Every figure under every rule.
    pub figures: Figures,
    /// What would be recommended by other rules.
    pub alternatives: Vec<Alternative>,
    /// The smallest finished bore that leaves no wear, whatever a gauge could see of it.
    pub cleans_up_at: Length,
}

impl Demonstration {
    /// Shows a bore by a table of limits: on all its axes, or only on those that must be measured.
    pub fn of(shape: &Shape, limits: &Arc<Limits>, all_axes: bool) -> Self {
        let mut cylinder = Cylinder { size: Some(0), ..Cylinder::of_bore(readings(shape, limits, all_axes)) };
        cylinder.serial = SERIAL.to_owned();
        cylinder.findings = scored(shape, limits).into_iter().collect();
        let survey = Survey {
            limits: Arc::clone(limits),
            standards: Vec::new(),
            gauges: vec![Gauge { name: "perfect gauge".to_owned(), ..Gauge::default() }],
            conditions: (shape.barrel_c != REFERENCE_C).then(|| shape.conditions(REFERENCE_C)),
            cylinders: vec![cylinder.clone()],
        };
        Self {
            assessment: judging::assess(&cylinder, &survey),
            figures: Figures::of(&cylinder, limits),
            alternatives: what_if(&cylinder, &survey),
            cleans_up_at: shape.cleans_up_at(),
            cylinder,
            survey,
        }
    }
}

/// The exact readings, as a gauge without scatter takes them at the barrel's own temperature, brought to 20 °C.
fn readings(shape: &Shape, limits: &Limits, all_axes: bool) -> Bore {
    let gauge = PracticeGauge::usual(Instrument::InsideMicrometer, limits.unit);
    let factor = gauge.factor_to_20_c(shape);
    let style = Style::usual(limits.unit);
    let mut bore = Bore::new(limits.stations.len(), limits.axes.len());
    for station in 0..limits.stations.len() {
        let Some(depth) = shape.frame.depth_of(limits, station) else { continue };
        for (axis, direction) in limits.axes.iter().enumerate() {
            if direction.optional && !all_axes {
                continue;
            }
            let placing = Placing { depth, degrees: direction.degrees, ..Placing::default() };
            let reading = gauge.measures(shape, placing);
            bore.set(Point::new(station, axis), Cell::at_20_c(vec![reading], factor, style, 0));
        }
    }
    bore
}

/// The score as somebody finds it by eye.
fn scored(shape: &Shape, limits: &Limits) -> Option<Finding> {
    let score = shape.score;
    if score.depth <= Length::ZERO {
        return None;
    }
    let style = Style::usual(limits.unit);
    let station = (0..limits.stations.len()).find(|station| {
        let depth = shape.frame.depth_of(limits, *station);
        depth.is_some_and(|depth| (score.between.0..=score.between.1).contains(&depth))
    });
    Some(Finding {
        kind: FindingKind::Scored,
        place: "along the barrel".to_owned(),
        station,
        degrees: Some(score.degrees),
        size: None,
        depth: Some((score.depth, style)),
        fins: 0,
        area: None,
        done: String::new(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::exercise;
    use crate::shape::{Frame, Oval, Score};
    use quantities::length::{Mean, Unit};
    use records::limits::rows::{RowKind, RowName};
    use records::limits::schema::TaperRule;

    fn inch(text: &str) -> Length {
        Length::parse(text, Unit::Inch).unwrap().length
    }

    fn limits() -> Arc<Limits> {
        Arc::new(Limits::resolve(&exercise::table()).unwrap())
    }

    #[test]
    fn what_is_said_is_what_was_put_in() {
        let limits = limits();
        let shape = Shape { taper: inch("0.0017"), ..Shape::new(inch("5.1255"), Frame::of(&limits)) };
        let shown = Demonstration::of(&shape, &limits, false);
        let taper =
            shown.figures.row(RowKind::Taper(TaperRule::AxisAverages)).unwrap().figure().unwrap().value;
        assert_eq!(taper, Mean::from(inch("0.0017")));
        assert_eq!(shown.alternatives.len(), 5, "another decision rule and four taper rules");
        assert_eq!(shown.cleans_up_at, inch("5.1272"));
    }

    #[test]
    fn an_oval_between_the_axes_is_seen_on_four_of_them_only() {
        let limits = limits();
        let oval = Oval { amount: inch("0.0020"), degrees: 45.0 };
        let shape = Shape { oval, ..Shape::new(inch("5.1255"), Frame::of(&limits)) };
        let most = |all_axes| {
            let figures = Demonstration::of(&shape, &limits, all_axes).figures;
            figures.by_rule(RowName::OutOfRound).next().unwrap().figure.figure().unwrap().value
        };
        assert_eq!((most(false), most(true)), (Mean::from(Length::ZERO), Mean::from(inch("0.0020"))));
    }

    #[test]
    fn a_score_is_found_by_eye_and_asks_for_metal() {
        let limits = limits();
        let new = Shape::new(inch("5.1255"), Frame::of(&limits));
        let between = (inch("1"), inch("4"));
        let score = Score { depth: inch("0.0030"), degrees: 20.0, width: inch("0.01"), between };
        let shown = Demonstration::of(&Shape { score, ..new }, &limits, true);
        assert_eq!(shown.assessment.recommendation.severity(), Some(1), "{:?}", shown.assessment.reasons);
        assert_eq!(shown.cylinder.findings.first().unwrap().station, Some(2));
        let clean = Demonstration::of(&new, &limits, true);
        assert!(clean.cylinder.findings.is_empty());
    }
}
