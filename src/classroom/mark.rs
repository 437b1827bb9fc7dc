//! Marks: a filled exercise against its key, and what went wrong in the words of the trade.
//!
//! A diameter is right if it is within what its gauge could have known: [`KNOWN_WITHIN`] standard uncertainties of
//! its own budget, and never less than one graduation. So nobody is marked down for the scatter of a gauge. Where
//! it is not, the mark says what would read so: a gauge tilted or off centre and by how much, a turn, a sign,
//! swapped digits, exchanged axes, another station, the other unit, a gauge that was never set. That is a guess
//! from one number, and it says so by its "as".
//!
//! Nothing that a record or a key holds may panic: what cannot be read gets no points and is told.

use records::limits::rows::RowName;
use serde::Serialize;

use super::exercise::{ANSWER, answer_in};
use super::key::{Answer, Keyed, PlantedSlip, PracticeKey, SlipName, TrueDiameter, plain};
use figures::certainty::measured;
use figures::{Figure, taper};
use judging::slips::{chord_offset, tilt_degrees};
use quantities::length::{Length, Style};
use records::bore::{Bore, Point};
use records::diag::{Diagnostic, WithDiagnostics};
use records::limits::schema::{Size, TaperRule};
use records::limits::{Limits, value};
use records::record::resolve;
use records::record::schema::{self, Decision, EngineRecord};
use records::survey::{Cylinder, Survey, point_words};
use records::wording::capitalised;

/// Standard uncertainties within which a reading counts as right.
///
/// Of a class of thirty with eight readings each, three would mark somebody down for the scatter of the gauge in
/// one lesson of two; four do in one of sixty.
pub const KNOWN_WITHIN: f64 = 4.0;

/// No gauge is tilted by more degrees without its being seen.
const MOST_TILT: f64 = 6.0;

/// The mark of one task.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Mark {
    /// Position of the cylinder.
    pub position: String,
    /// Points.
    pub points: u32,
    /// Of how many.
    pub out_of: u32,
    /// What was right, what went wrong and how, one sentence each.
    pub words: Vec<String>,
}

impl Mark {
    fn new(position: &str, points: u32, out_of: u32, words: Vec<String>) -> Self {
        Self { position: position.to_owned(), points, out_of, words }
    }
}

/// All points of some marks, and of how many.
pub fn total(marks: &[Mark]) -> (u32, u32) {
    marks.iter().fold((0, 0), |(points, of), mark| (points + mark.points, of + mark.out_of))
}

/// Marks a filled exercise record by its key: one mark for each answer of the key.
///
/// The marks are empty if the record cannot be read as a survey; the diagnostics say why.
pub fn mark(record: &EngineRecord, key: &PracticeKey) -> WithDiagnostics<Vec<Mark>> {
    let reported = resolve::survey(record, 0, None);
    let mut diagnostics = reported.diagnostics;
    let (Some(survey), Some(overhaul)) = (reported.value, record.overhauls.first()) else {
        return WithDiagnostics { value: Vec::new(), diagnostics };
    };
    let serial = format!("PRACTICE-{}", key.seed);
    if record.engine.serial != serial {
        diagnostics.push(
            Diagnostic::error(format!(
                "the record is of `{}` and the key of `{serial}`",
                record.engine.serial
            ))
            .remedy("Mark each record by the key that was written with it."),
        );
        return WithDiagnostics { value: Vec::new(), diagnostics };
    }
    let marks = key
        .answers
        .iter()
        .map(|keyed| {
            let index = overhaul.cylinders.iter().position(|written| written.position == keyed.position);
            let found = index.and_then(|i| overhaul.cylinders.get(i).zip(survey.cylinders.get(i)));
            match found {
                Some((written, cylinder)) => Student { written, cylinder, survey: &survey, key }.mark(keyed),
                None => Mark::new(
                    &keyed.position,
                    0,
                    out_of(&keyed.answer),
                    vec!["This cylinder is no longer in the record.".to_owned()],
                ),
            }
        })
        .collect();
    WithDiagnostics { value: marks, diagnostics }
}

/// The points that an answer can have.
fn out_of(answer: &Answer) -> u32 {
    match answer {
        Answer::Sheet { cells, .. } => {
            u32::try_from(cells.iter().filter(|cell| !cell.optional).count()).unwrap_or(u32::MAX)
        }
        Answer::Figures(_) => 1,
        Answer::Outcome(_) | Answer::Taper { .. } => 2,
        Answer::Slip(_) => 3,
    }
}

/// What a student handed in for one task.
struct Student<'a> {
    written: &'a schema::Cylinder,
    cylinder: &'a Cylinder,
    survey: &'a Survey,
    key: &'a PracticeKey,
}

/// A true diameter and what was read there.
struct Compared {
    at: Point,
    read: Length,
    truth: Length,
    /// What the gauge could have known.
    within: Length,
}

impl Compared {
    fn off(&self) -> Length {
        self.read - self.truth
    }

    fn is_right(&self) -> bool {
        self.off().abs() <= self.within
    }
}

impl Student<'_> {
    fn limits(&self) -> &Limits {
        &self.survey.limits
    }

    fn mark(&self, keyed: &Keyed) -> Mark {
        let of = out_of(&keyed.answer);
        let (points, words) = match &keyed.answer {
            Answer::Sheet { ring, cells } => self.sheet(ring, cells),
            Answer::Figures(names) => self.figures(names),
            Answer::Outcome(decision) => self.outcome(decision),
            Answer::Slip(slip) => self.slip(slip),
            Answer::Taper { rule, figure } => self.taper(*rule, figure),
        };
        Mark::new(&keyed.position, points.min(of), of, words)
    }

    fn answer(&self) -> Option<&str> {
        answer_in(&self.written.remarks)
    }

    fn length(&self, text: &str) -> Option<Length> {
        Length::parse(text, self.key.unit).ok().map(|entry| entry.length)
    }

    fn style(&self) -> Style {
        let style = self.cylinder.style(self.limits());
        Style { unit: style.unit, decimals: style.decimals.clamp(style.unit.usual_decimals(), 7) }
    }

    fn text(&self, length: Length) -> String {
        plain(&length.text(self.style()))
    }

    // The sheet.

    fn sheet(&self, ring: &str, cells: &[TrueDiameter]) -> (u32, Vec<String>) {
        let mut words = Vec::new();
        let mut compared = Vec::new();
        let mut missing = Vec::new();
        let mut required = Vec::new();
        for cell in cells {
            let limits = self.limits();
            let place = limits.station_index(&cell.station).zip(limits.axis_index(&cell.axis));
            let (Some((station, axis)), Some(truth)) = (place, self.length(&cell.diameter)) else {
                words.push(format!(
                    "The key's diameter at station {}, {} axis cannot be compared.",
                    cell.station, cell.axis
                ));
                continue;
            };
            let at = Point::new(station, axis);
            if !cell.optional {
                required.push(at);
            }
            match self.cylinder.bore.mean(at) {
                Some(mean) => {
                    compared.push(Compared {
                        at,
                        read: mean.nearest(),
                        truth,
                        within: self.known_within(at),
                    });
                }
                None if !cell.optional => missing.push(at),
                None => {}
            }
        }
        let right = |c: &&Compared| c.is_right() && required.contains(&c.at);
        let points = u32::try_from(compared.iter().filter(right).count()).unwrap_or(0);
        if compared.is_empty() {
            words.push("Nothing has been measured.".to_owned());
            return (0, words);
        }
        let wrong = compared.iter().filter(|c| !c.is_right()).count();
        if wrong == 0 {
            let within = compared.iter().map(|c| c.within).max().unwrap_or_default();
            words.push(format!(
                "Every reading is within what the gauge could have known, {} or better.",
                self.text(within)
            ));
        }
        let ring = self.length(ring);
        match self.common(&compared, ring) {
            Some((said, off)) => {
                words.push(said);
                // What stands out beside that is told as well.
                if let Some(off) = off {
                    let moved: Vec<Compared> =
                        compared.iter().map(|c| Compared { read: c.read - off, ..*c }).collect();
                    self.tell_each(&moved, ring, "Apart from that, ", &mut words);
                }
            }
            None => self.tell_each(&compared, ring, "", &mut words),
        }
        if !missing.is_empty() {
            let places: Vec<_> = missing.iter().map(|at| point_words(self.limits(), *at)).collect();
            words.push(format!("Not measured: {}.", places.join("; ")));
        }
        (points, words)
    }

    /// How far from the truth a reading may be.
    fn known_within(&self, at: Point) -> Length {
        let bore = &self.cylinder.bore;
        let value = bore.mean(at).unwrap_or_default();
        let figure = Figure::of_cell(at, value);
        let budget = measured::budget(self.survey.setup(), bore, &figure);
        let known = Length::from_mm(KNOWN_WITHIN * budget.u_mm).unwrap_or_default();
        known.max(self.graduation(at))
    }

    fn graduation(&self, at: Point) -> Length {
        let cell = self.cylinder.bore.cell(at);
        let gauge = cell.and_then(|cell| self.survey.gauges.get(cell.gauge));
        let written = || cell.map_or(self.style(), |cell| cell.style).last_digit();
        gauge.and_then(|gauge| gauge.graduation).unwrap_or_else(written)
    }

    fn turn(&self, at: Point) -> Option<Length> {
        let cell = self.cylinder.bore.cell(at)?;
        self.survey.gauges.get(cell.gauge)?.turn.filter(|turn| *turn > Length::ZERO)
    }

    /// What is wrong with all readings alike, and by how much if that is one amount.
    fn common(&self, compared: &[Compared], ring: Option<Length>) -> Option<(String, Option<Length>)> {
        let few = compared.len() < 3;
        let wrong = compared.iter().filter(|c| !c.is_right()).count();
        if few || wrong * 2 < compared.len() {
            return None;
        }
        let mirrored =
            |ring: Length| compared.iter().all(|c| (ring * 2 - c.truth - c.read).abs() <= c.within);
        if ring.is_some_and(mirrored) {
            let said = "Every reading has the wrong sign: check which way the dial turns for a larger bore.";
            return Some((said.to_owned(), None));
        }
        let mut offs: Vec<Length> = compared.iter().map(Compared::off).collect();
        offs.sort_unstable();
        let middle = *offs.get(offs.len() / 2)?;
        let alike = compared.iter().filter(|c| (c.off() - middle).abs() <= c.within).count();
        let all_within = compared.iter().all(|c| middle.abs() <= c.within);
        (!all_within && alike * 4 >= compared.len() * 3).then(|| {
            let said = format!(
                "Everything reads about {} {}: as if the gauge had not been set on its ring, or set to a wrong size.",
                self.text(middle.abs()),
                high_or_low(middle)
            );
            (said, Some(middle))
        })
    }

    fn tell_each(&self, compared: &[Compared], ring: Option<Length>, before: &str, words: &mut Vec<String>) {
        for c in compared.iter().filter(|c| !c.is_right()) {
            let place = point_words(self.limits(), c.at);
            let off = c.off();
            let place = if before.is_empty() { capitalised(&place) } else { place };
            words.push(format!(
                "{before}{place}: {} {}, {}.",
                self.text(off.abs()),
                high_or_low(off),
                self.guess(c, compared, ring)
            ));
        }
    }

    /// What would read so, as the end of a sentence. Where two things would, both are said.
    fn guess(&self, c: &Compared, all: &[Compared], ring: Option<Length>) -> String {
        let near = |a: Length, b: Length| (a - b).abs() <= c.within;
        let off = c.off();
        if self.turn(c.at).is_some_and(|turn| near(off.abs(), turn)) {
            return "as much as a whole turn of the dial or thimble".to_owned();
        }
        let other_axis = all.iter().find(|o| {
            o.at.station == c.at.station
                && o.at.axis != c.at.axis
                && near(c.read, o.truth)
                && near(o.read, c.truth)
        });
        if let Some(other) = other_axis {
            return format!(
                "as if the axis columns had been exchanged with {}",
                point_words(self.limits(), other.at)
            );
        }
        let mut guesses = Vec::new();
        if let Some(ring) = ring {
            let (read, truth) = ((c.read - ring).to_mm(), (c.truth - ring).to_mm());
            let within = c.within.to_mm();
            if near(c.read - ring, ring - c.truth) {
                guesses.push("as if the sign of the dial had been turned round".to_owned());
            } else if self.is_swapped(c, ring) {
                guesses.push("as if two digits had been swapped".to_owned());
            } else if (read - truth * 25.4).abs() <= 25.4 * within
                || (read - truth / 25.4).abs() <= within / 25.4
            {
                guesses.push("as if the other unit had been meant".to_owned());
            }
        }
        let diameter = c.truth.to_mm();
        let tilt = tilt_degrees(diameter, off.to_mm());
        let offset = chord_offset(diameter, -off.to_mm());
        if off > Length::ZERO && tilt <= MOST_TILT {
            guesses.push(format!("as a gauge does that is tilted about {}", degrees_words(tilt)));
        } else if off < Length::ZERO && offset <= diameter / 10.0 {
            let unit = self.style().unit;
            let style = Style { unit, decimals: unit.usual_decimals() - 2 };
            let offset = Length::from_mm(offset).unwrap_or_default().text(style);
            guesses.push(format!("as a gauge does that stands about {offset} off the centre"));
        }
        if guesses.is_empty() { "more than any usual slip makes".to_owned() } else { guesses.join(", or ") }
    }

    /// Would the truth read so with two neighbouring digits of its deviation exchanged?
    fn is_swapped(&self, c: &Compared, ring: Length) -> bool {
        let one = self.graduation(c.at).tenths_of_nm().max(1);
        let read = (c.read - ring).tenths_of_nm() / one;
        let truth = (c.truth - ring).tenths_of_nm() / one;
        (-1..=1).flat_map(|by| [1, 10, 100].map(|power| (truth + by, power))).any(|(intended, power)| {
            let (low, high) = (intended / power % 10, intended / power / 10 % 10);
            low != high && intended + (high - low) * power - (high - low) * power * 10 == read
        })
    }

    // The answers in words.

    fn figures(&self, names: &[String]) -> (u32, Vec<String>) {
        let right = if names.is_empty() {
            "No row is beyond its limit.".to_owned()
        } else {
            format!("Beyond its limit: {}.", names.join(", "))
        };
        let Some(answer) = self.answer() else {
            return (0, vec![not_answered(), right]);
        };
        let answer = answer.to_lowercase().replace(['-', '_'], " ");
        let is_said = |row: &RowName| {
            let words = row.other_words().iter().copied().chain([row.words()]);
            words.map(|word| word.replace('-', " ")).any(|word| answer.contains(&word))
        };
        let said: Vec<&str> = RowName::ALL.into_iter().filter(is_said).map(RowName::words).collect();
        let alike = said.len() == names.len() && said.iter().all(|name| names.iter().any(|n| n == name));
        let answered = !said.is_empty() || answer.contains("none") || answer.contains("nothing");
        if alike && answered {
            return (1, vec![format!("Right. {right}")]);
        }
        let said = if said.is_empty() { "none".to_owned() } else { said.join(", ") };
        (0, vec![format!("The answer was: {said}."), right])
    }

    fn outcome(&self, right: &Decision) -> (u32, Vec<String>) {
        let words = |decision: &Decision| match decision {
            Decision::Serviceable => "serviceable".to_owned(),
            Decision::Replace => "replace".to_owned(),
            Decision::Rebore(size) => format!("rebore to {}", self.size_words(size)),
        };
        let Some(chosen) = self.written.disposition.as_ref().map(|disposition| &disposition.decision) else {
            return (0, vec![not_answered(), format!("Right would be: {}.", words(right))]);
        };
        let said = format!("Chosen: {}; right is: {}.", words(chosen), words(right));
        match (chosen, right) {
            (Decision::Rebore(chosen), Decision::Rebore(right)) => {
                let over = |size: &Size| value::oversize(size, self.key.unit).ok();
                match over(chosen).zip(over(right)).map(|(chosen, right)| chosen.cmp(&right)) {
                    Some(std::cmp::Ordering::Equal) => (2, vec!["Right.".to_owned()]),
                    Some(std::cmp::Ordering::Less) => (1, vec![
                        said,
                        "So small an oversize is not certain to clean up: the wear may be all on one side, and then \
                         twice as much must come out."
                            .to_owned(),
                    ]),
                    Some(std::cmp::Ordering::Greater) => {
                        (1, vec![said, "A smaller oversize is certain to clean up already.".to_owned()])
                    }
                    None => (0, vec![said, "The oversize cannot be read; write it like \"0.010\".".to_owned()]),
                }
            }
            (chosen, right) if chosen == right => (2, vec!["Right.".to_owned()]),
            _ => (0, vec![said]),
        }
    }

    fn size_words(&self, size: &Size) -> String {
        match size {
            Size::Standard => "standard".to_owned(),
            Size::Oversize(text) => format!("+{text}"),
        }
    }

    fn slip(&self, slip: &PlantedSlip) -> (u32, Vec<String>) {
        let place = format!(
            "station {}, {} axis{}",
            slip.station,
            slip.axes.join(" and "),
            slip.repeat.map_or(String::new(), |repeat| format!(", repeat {repeat}"))
        );
        let right = format!("{}: {}.", capitalised(&place), slip.what.words());
        let Some(answer) = self.answer() else {
            return (0, vec![not_answered(), right]);
        };
        let limits = self.limits();
        let tokens: Vec<&str> = answer
            .split(|c: char| !c.is_alphanumeric() && c != '.')
            .filter(|token| !token.is_empty())
            .collect();
        let stations: Vec<&str> = limits
            .stations
            .iter()
            .map(|station| station.name.as_str())
            .filter(|name| names_station(&tokens, name))
            .collect();
        let lower = answer.to_lowercase();
        let axes: Vec<&str> = limits
            .axes
            .iter()
            .map(|axis| axis.label.as_str())
            .filter(|label| tokens.iter().any(|token| token.eq_ignore_ascii_case(label)))
            .collect();
        let kinds: Vec<SlipName> = SlipName::ALL
            .into_iter()
            .filter(|kind| kind.names().iter().any(|name| lower.contains(name)))
            .collect();
        let mut words = Vec::new();
        let mut points = 0;
        let mut part = |is_right: bool, what: &str| {
            points += u32::from(is_right);
            words.push(format!("{what}: {}.", if is_right { "right" } else { "not found" }));
        };
        part(stations == [slip.station.as_str()], "Station");
        let axis_found = !axes.is_empty() && axes.iter().all(|axis| slip.axes.iter().any(|a| a == axis));
        part(axis_found, "Axis");
        part(kinds == [slip.what], "What went wrong");
        if points < 3 {
            words.push(right);
        }
        (points, words)
    }

    fn taper(&self, rule: TaperRule, figure: &str) -> (u32, Vec<String>) {
        let right = format!("The manual asks for: {}. By it the taper is {figure}.", rule.words());
        let Some(answer) = self.answer() else {
            return (0, vec![not_answered(), right]);
        };
        let tokens: Vec<&str> = answer
            .split([' ', ',', ';', '(', ')', ':', '\t', '\n'])
            .filter(|token| !token.is_empty())
            .collect();
        let chosen = chosen_rule(&tokens);
        let given = tokens
            .iter()
            .filter(|token| token.contains(|c: char| c.is_ascii_digit()))
            .find_map(|token| Length::parse(token.trim_end_matches('.'), self.key.unit).ok());
        let mut words = Vec::new();
        let mut points = 0;
        match chosen {
            Some(chosen) if chosen == rule => {
                points += 1;
                words.push("Rule: right.".to_owned());
            }
            Some(chosen) => words.push(format!("Rule: chosen was {}.", chosen.words())),
            None => words.push("Rule: none was named.".to_owned()),
        }
        match (given, self.length(figure)) {
            (None, _) => words.push("Figure: none was given.".to_owned()),
            (Some(_), None) => words.push("Figure: the key's own cannot be read.".to_owned()),
            (Some(given), Some(truth)) => {
                let digit = given.style.last_digit().min(Style::usual(given.style.unit).last_digit());
                let is = |figure: Length| (given.length - figure).abs() * 2 <= digit;
                if is(truth) {
                    points += 1;
                    words.push("Figure: right.".to_owned());
                } else if is(-truth) {
                    words.push(
                        "Figure: the sign is the other way; positive is larger at the head end.".to_owned(),
                    );
                } else if let Some(other) = self.rule_of_figure(is) {
                    words.push(format!("Figure: that is the taper by another rule, {}.", other.words()));
                } else {
                    words.push("Figure: no rule gives that one.".to_owned());
                }
            }
        }
        if points < 2 {
            words.push(right);
        }
        (points, words)
    }

    /// The rule by which the sheet has a figure.
    fn rule_of_figure(&self, is: impl Fn(Length) -> bool) -> Option<TaperRule> {
        let limits = self.limits();
        let bore: &Bore = &self.cylinder.bore;
        let stations = limits.taper_stations();
        TaperRule::ALL.into_iter().find(|rule| {
            let figure = taper::taper(bore, *rule, &limits.scope(stations)).into_figure();
            figure.is_some_and(|figure| is(figure.value.nearest()))
        })
    }
}

fn not_answered() -> String {
    format!(
        "Not answered. In the file an answer stands behind `{ANSWER}` in the cylinder's remarks, an outcome under \
         disposition."
    )
}

fn high_or_low(off: Length) -> &'static str {
    if off > Length::ZERO { "high" } else { "low" }
}

/// `2 degrees`, to the nearest half.
fn degrees_words(degrees: f64) -> String {
    let halves = (degrees * 2.0).round().max(1.0);
    let decimals = usize::from(halves % 2.0 != 0.0);
    let plural = if (halves - 2.0).abs() < 0.5 { "" } else { "s" };
    format!("{:.decimals$} degree{plural}", halves / 2.0)
}

/// Does an answer name a station? Behind the word "station" if that is there; a single letter as it is written.
fn names_station(tokens: &[&str], name: &str) -> bool {
    let parts: Vec<&str> = name.split_whitespace().collect();
    let alike = |token: &str, part: &str| {
        if part.chars().count() == 1 { token == part } else { token.eq_ignore_ascii_case(part) }
    };
    let begins = |from: &[&str], loose: bool| {
        from.len() >= parts.len()
            && from
                .iter()
                .zip(&parts)
                .all(|(token, part)| alike(token, part) || (loose && token.eq_ignore_ascii_case(part)))
    };
    if parts.is_empty() {
        return false;
    }
    let mut behind =
        tokens.iter().enumerate().filter(|(_, token)| token.eq_ignore_ascii_case("station")).peekable();
    if behind.peek().is_some() {
        return behind.any(|(i, _)| tokens.get(i + 1..).is_some_and(|from| begins(from, true)));
    }
    (0..tokens.len()).any(|i| tokens.get(i..).is_some_and(|from| begins(from, false)))
}

/// The rule that an answer names: by its letter, or by its name in a table of limits.
fn chosen_rule(tokens: &[&str]) -> Option<TaperRule> {
    let by_letter = tokens.iter().find_map(|token| {
        let letter =
            ["a", "b", "c", "d", "e"].iter().position(|letter| token.eq_ignore_ascii_case(letter))?;
        TaperRule::ALL.get(letter).copied()
    });
    let by_name = || {
        TaperRule::ALL
            .into_iter()
            .find(|rule| tokens.iter().any(|token| token.eq_ignore_ascii_case(&format!("{rule:?}"))))
    };
    by_letter.or_else(by_name)
}

#[cfg(test)]
mod tests;
