//! A slip planted in a filled sheet: what went wrong, where it can be told, and what the reading would be without it.

use super::sheet::DialSheet;
use super::tasks::TRIES;
use super::{Class, Drawn, Task};
use crate::key::{Answer, PlantedSlip, SlipName};
use crate::random::Random;
use crate::shape::Shape;
use quantities::length::Length;
use records::bore::Point;

impl Class<'_> {
    pub(super) fn spot_slip(&self, random: &mut Random) -> Drawn {
        // An oval that can be told from its like on the other axis.
        let mut shape = self.worn((10, 60), (10, 60), (60, 90), random);
        shape.oval.amount = shape.oval.amount.max(self.step() * 10);
        let clean = self.sheet(&shape, 3, self.gauge.scatter, random);
        let what = random.pick(&SlipName::ALL).copied().unwrap_or(SlipName::Turn);
        let mut planted = None;
        for attempt in 0..TRIES {
            // A sheet in which this kind cannot be told gets the one that always can.
            let what = if attempt < TRIES / 2 { what } else { SlipName::Turn };
            let mut sheet = clean.clone();
            if let Some(slip) = self.plant(what, &shape, &mut sheet, random) {
                planted = Some((sheet, slip));
                break;
            }
        }
        // Only a table without a station in ring travel gets so far.
        let (sheet, slip) = planted.unwrap_or_else(|| (clean, self.no_slip()));
        let kinds: Vec<_> = SlipName::ALL.iter().map(|kind| kind.words()).collect();
        let question = format!(
            "Task: {}. One thing went wrong in this sheet. Write the station, the axis, the repeat, and which it is: {}.",
            Task::SpotSlip.words(),
            kinds.join("; ")
        );
        let mut working = vec![format!(
            "Station {}, {} axis{}: {}.",
            slip.station,
            slip.axes.join(" and "),
            slip.repeat.map_or(String::new(), |repeat| format!(", repeat {repeat}")),
            slip.what.words()
        )];
        working.push(format!("It reads {} and would read {} without it.", slip.reads, slip.intended));
        Drawn { shape, sheet: Some(sheet), question, answer: Answer::Slip(slip), working }
    }

    /// Puts a slip in at a random place; `None` if it could not be told there.
    fn plant(
        &self,
        what: SlipName,
        shape: &Shape,
        sheet: &mut DialSheet,
        random: &mut Random,
    ) -> Option<PlantedSlip> {
        let station = *random.pick(&self.limits.bore_stations)?;
        let axis = *random.pick(&self.limits.required_axes)?;
        let repeat = usize::try_from(random.below(3)).ok()?;
        let place = |axis: usize| sheet.iter().position(|(at, _)| *at == Point::new(station, axis));
        let here = place(axis)?;
        let right = *sheet.get(here)?.1.get(repeat)?;
        let least = self.step() * 8;
        let mut axes = vec![axis];
        let wrong = match what {
            SlipName::Turn => right + if random.coin() { self.gauge.turn } else { -self.gauge.turn },
            SlipName::SwappedDigits => self.with_digits_swapped(right, random)?,
            SlipName::WrongSign => -right,
            SlipName::Tilted => {
                let diameter = self.gauge.diameter(right, self.ring).to_mm();
                let tilt = random.between(12, 24) as f64 / 10.0;
                let high = crate::gauge::tilted(diameter, tilt) - diameter;
                self.gauge.nearest_graduation(right + Length::from_mm(high)?)
            }
            SlipName::OffCentre => {
                let diameter = self.gauge.diameter(right, self.ring).to_mm();
                let off = diameter * random.between(10, 20) as f64 / 1000.0;
                let low = diameter - crate::gauge::chord(diameter, off);
                self.gauge.nearest_graduation(right - Length::from_mm(low)?)
            }
            SlipName::WrongAxis => {
                let turned = |other: &&usize| {
                    let degrees = |axis: usize| self.limits.axes.get(axis).map_or(0.0, |axis| axis.degrees);
                    ((degrees(**other) - degrees(axis)).abs() - 90.0).abs() < 1.0
                };
                let other = *self.limits.required_axes.iter().find(turned)?;
                let there = place(other)?;
                let (ours, theirs) = (sheet.get(here)?.1.clone(), sheet.get(there)?.1.clone());
                let wrong = *theirs.get(repeat)?;
                sheet.get_mut(here)?.1 = theirs;
                sheet.get_mut(there)?.1 = ours;
                axes.push(other);
                wrong
            }
        };
        // Where wear is none, an exchange cannot be told from the bore itself.
        let depth = shape.frame.depth_of(self.limits, station)?;
        if (wrong - right).abs() < least || !shape.is_worn_at(depth) {
            return None;
        }
        let whole_cell = what == SlipName::WrongAxis;
        if !whole_cell {
            *sheet.get_mut(here)?.1.get_mut(repeat)? = wrong;
        }
        let label = |axis: &usize| self.limits.axes.get(*axis).map(|axis| axis.label.clone());
        Some(PlantedSlip {
            what,
            station: self.limits.stations.get(station)?.name.clone(),
            axes: axes.iter().filter_map(label).collect(),
            repeat: (!whole_cell).then_some(repeat + 1),
            reads: self.text(self.gauge.diameter(wrong, self.ring)),
            intended: self.text(self.gauge.diameter(right, self.ring)),
        })
    }

    /// Two neighbouring digits of a deviation exchanged; `None` if they are alike.
    fn with_digits_swapped(&self, shown: Length, random: &mut Random) -> Option<Length> {
        let graduations = shown.tenths_of_nm() / self.step().tenths_of_nm().max(1);
        let power = if random.coin() { 10 } else { 1 };
        let (low, high) = (graduations / power % 10, graduations / power / 10 % 10);
        let swapped = graduations + (high - low) * power - (high - low) * power * 10;
        (low != high).then(|| self.step() * swapped)
    }

    fn no_slip(&self) -> PlantedSlip {
        PlantedSlip {
            what: SlipName::Turn,
            station: String::new(),
            axes: Vec::new(),
            repeat: None,
            reads: String::new(),
            intended: String::new(),
        }
    }
}
