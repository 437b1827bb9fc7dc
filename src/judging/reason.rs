//! Why: the reasons of an outcome in order of weight, each with its row, place, reading, limit, margin and
//! place in the manual.
//!
//! A [`Reason`] points into the assessment; [`sentence`] puts it in words for whoever shows it. A margin is
//! always "left" or "over", never a bare sign.

use super::clean_up::CleanUp;
use super::evidence::Contradiction;
use super::finding::{self, Amount, CondemnedBy, Consequence};
use super::row::{Row, RowStatus};
use super::shown::oversize::option_words;
use super::shown::{Shown, clear_style, figure_style, limit_style};
use super::{Assessment, Need, Recommendation, words};
use figures::{Figure, ReadAt};
use quantities::area::Area;
use quantities::length::{Length, Mean, Style, Unit};
use records::bore::Point;
use records::limits::Limits;
use records::limits::resolved::{Bound, RowSource};
use records::limits::rows::Side;
use records::limits::schema::{FindingAnswer, WhenBeyond};
use records::survey::{Cylinder, point_words, points_words, station_words};
use records::wording::capitalised;

/// A reason, pointing into its [`Assessment`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Reason {
    /// What a finding asks for.
    Finding(usize),
    /// A row is beyond its limit.
    Beyond(usize),
    /// The oversize recommended, by its place in the ladder.
    Rebore(usize),
    /// A smaller oversize that will not do, by its place in the ladder.
    TooSmall(usize),
    /// No allowed oversize is certain to clean up.
    NoOversize,
    /// Something must be measured or confirmed first.
    Need(usize),
    /// A row is within its limits.
    Within(usize),
}

/// The share of its limit that a row has left: 1 as made, 0 on the limit, negative beyond it.
pub fn share_left(row: &Row) -> f64 {
    let (Some(margin), Some(limit)) = (row.margin, row.limit.as_ref()) else { return f64::INFINITY };
    let limit = limit.length.to_mm();
    let made = match row.side {
        Side::AtMost => row.new.0.as_ref(),
        Side::AtLeast => row.new.1.as_ref(),
        Side::Either => None,
    };
    let made = made.map_or(0.0, |bound| bound.length.to_mm());
    let band = (limit - made).abs();
    if band > 0.0 { margin.to_mm() / band } else { margin.to_mm().signum() }
}

/// The reasons of an assessment, the weightiest first.
pub(super) fn reasons(assessment: &Assessment) -> Vec<Reason> {
    let mut reasons = Vec::with_capacity(8);
    // What the evidence itself is in doubt about comes first.
    let confirms =
        |need: &Need| matches!(need, Need::Confirm(_) | Need::Contradiction(_) | Need::Unreadable(_));
    let needs = |wanted: bool| {
        let needs = assessment.needs.iter().enumerate();
        needs.filter(move |(_, need)| confirms(need) == wanted).map(|(i, _)| Reason::Need(i))
    };
    let findings = |consequence: Consequence| {
        let findings = assessment.findings.iter().enumerate();
        findings.filter(move |(_, answer)| answer.consequence == consequence).map(|(i, _)| Reason::Finding(i))
    };
    let mut rows: Vec<usize> = (0..assessment.rows.len()).collect();
    let share = |&row: &usize| assessment.rows.get(row).map_or(f64::INFINITY, share_left);
    rows.sort_by(|a, b| share(a).total_cmp(&share(b)));
    let beyond = |when: WhenBeyond| {
        let status = |&&i: &&usize| {
            assessment
                .rows
                .get(i)
                .is_some_and(|row| row.status == RowStatus::Beyond && row.when_beyond == when)
        };
        rows.iter().filter(status).map(|&i| Reason::Beyond(i)).collect::<Vec<_>>()
    };

    reasons.extend(needs(true));
    reasons.extend(findings(Consequence::Replace));
    reasons.extend(beyond(WhenBeyond::Replace));
    reasons.extend(beyond(WhenBeyond::Rebore));
    reasons.extend(findings(Consequence::NeedsRebore));
    let metal = reasons.iter().any(|reason| match *reason {
        Reason::Beyond(_) => true,
        Reason::Finding(i) => {
            assessment.findings.get(i).is_some_and(|answer| answer.consequence == Consequence::NeedsRebore)
        }
        _ => false,
    });
    let condemned =
        findings(Consequence::Replace).next().is_some() || !beyond(WhenBeyond::Replace).is_empty();
    if metal && !condemned {
        let chosen = match assessment.recommendation {
            Recommendation::Rebore(size) => Some(size),
            _ => assessment.minimum_oversize,
        };
        let option =
            chosen.and_then(|size| assessment.oversizes.iter().position(|option| option.size == size));
        match option {
            Some(option) => {
                reasons.push(Reason::Rebore(option));
                reasons.extend((0..option).map(Reason::TooSmall));
            }
            None if assessment.recommendation == Recommendation::Replace => {
                reasons.push(Reason::NoOversize);
                reasons.extend((0..assessment.oversizes.len()).map(Reason::TooSmall));
            }
            None => {}
        }
    }
    reasons.extend(needs(false));
    reasons.extend(rows.iter().filter_map(|&i| match assessment.rows.get(i)?.status {
        RowStatus::WithinNew | RowStatus::WithinServiceable => Some(Reason::Within(i)),
        RowStatus::Beyond | RowStatus::NotMeasured | RowStatus::NoLimitGiven => None,
    }));
    reasons.extend(findings(Consequence::Repair));
    reasons
}

/// A reason as a sentence, with lengths as they were written. `None` only if the reason belongs to another
/// assessment.
pub fn sentence(
    reason: Reason,
    assessment: &Assessment,
    cylinder: &Cylinder,
    limits: &Limits,
) -> Option<String> {
    sentence_in(None, reason, assessment, cylinder, limits)
}

/// A reason as a sentence with its lengths in a unit; in none, as they were written. What looks wrong in a
/// reading is told as it was typed.
pub fn sentence_in(
    unit: Option<Unit>,
    reason: Reason,
    assessment: &Assessment,
    cylinder: &Cylinder,
    limits: &Limits,
) -> Option<String> {
    Teller { assessment, cylinder, limits, unit }.sentence(reason)
}

/// Whose sentences, and in which unit.
#[derive(Clone, Copy)]
struct Teller<'a> {
    assessment: &'a Assessment,
    cylinder: &'a Cylinder,
    limits: &'a Limits,
    unit: Option<Unit>,
}

impl Teller<'_> {
    /// How a reading or what is worked out of readings is shown.
    fn style(self) -> Style {
        self.cylinder.style(self.limits).shown_in(self.unit)
    }

    /// A length as it was written, or with all its digits in the unit that was asked for.
    fn written(self, length: Length, own: Style) -> String {
        length.text(limit_style(length, own, own.shown_in(self.unit)))
    }

    fn bound(self, bound: &Bound) -> String {
        self.written(bound.length, bound.style)
    }

    fn sentence(self, reason: Reason) -> Option<String> {
        let Self { assessment, limits, .. } = self;
        Some(match reason {
            Reason::Finding(i) => self.finding(i)?,
            Reason::Beyond(i) | Reason::Within(i) => self.row(assessment.rows.get(i)?)?,
            Reason::Rebore(i) => self.rebore(i)?,
            Reason::TooSmall(i) => self.too_small(i)?,
            Reason::NoOversize => match (&limits.cut, assessment.oversizes.is_empty()) {
                (records::limits::resolved::CutLimit::NotAllowed, _) => {
                    "The table does not allow the wall to be cut.".to_owned()
                }
                (_, true) => "The table has no oversize larger than the present size.".to_owned(),
                (_, false) => "No oversize that the table allows is certain to clean up.".to_owned(),
            },
            Reason::Need(i) => self.need(assessment.needs.get(i)?)?,
        })
    }

    /// A limit of the table beside a figure, and as the table writes it where that is in the other unit.
    fn limit(self, limit: &Bound, beside: Shown) -> Option<String> {
        let text = beside.limit_text()?;
        let is_other = self.unit.is_none() && limit.style.unit != beside.style.unit;
        Some(if is_other { format!("{text} ({} in the table)", limit.text()) } else { text })
    }

    fn row(self, row: &Row) -> Option<String> {
        let limits = self.limits;
        let figure = row.figure.as_ref()?;
        let shown = shown(row, self.style())?;
        let value = self.at_20_c(row, shown.value, shown.style);
        let place = figure_place(figure, limits);
        let at_least = if row.missing.is_empty() { "" } else { "at least " };
        let head = format!("{}, {place}: {at_least}{value}", capitalised(row.kind.words()));
        let worst = row.worst_point.as_ref().map_or(String::new(), |worst| {
            let at = worst.place().map_or(String::new(), |at| format!(" at {}", point_words(limits, at)));
            format!(" The worst point reads {}{at}.", worst.value.text(shown.style))
        });
        let Some(limit) = &row.limit else {
            return Some(format!("{head}{}{worst}", self.without_limit(row, shown.style)));
        };
        let manual = reference(Some(&row.source), Some(limit));
        let margin = margin_words(row, self.style())?;
        let what = row.side.limit_words();
        let limit = self.limit(limit, shown)?;
        let sentence = match row.status {
            RowStatus::Beyond if row.in_guard_band => {
                let guard =
                    row.uncertainty.as_ref().map_or(Length::ZERO, |uncertainty| uncertainty.guard_band);
                format!(
                    "{head} is within the {what} {limit} with {margin}, but the table asks for a guard band of {}{manual}. A surer measurement may still show that it is within.",
                    guard.text(clear_style(guard.into(), Length::ZERO, shown.style)),
                )
            }
            RowStatus::Beyond => {
                let margin = margin.replace(" over", " over the").replace(" under", " under the");
                format!("{head} is {margin} {what} {limit}{manual}.")
            }
            _ => format!("{head}, {margin} to the {what} {limit}{manual}."),
        };
        Some(sentence + &worst)
    }

    /// A row's figure, and what it is as read where the digits shown tell the two apart.
    fn at_20_c(self, row: &Row, figure: Mean, style: Style) -> String {
        let value = figure.text(style);
        match row.as_read.map(|as_read| as_read.text(style)).filter(|as_read| *as_read != value) {
            Some(as_read) => format!("{value} at 20 °C ({as_read} as read)"),
            None => value,
        }
    }

    /// What follows a figure whose row has no serviceable limit: it is no pass unless it is as made.
    fn without_limit(self, row: &Row, style: Style) -> String {
        let text = |bound: &Bound| bound.length.text(limit_style(bound.length, bound.style, style));
        let as_made = match (&row.new, row.side) {
            ((Some(least), Some(most)), Side::AtLeast) => Some(format!("{} to {}", text(least), text(most))),
            ((_, Some(most)), _) => Some(text(most)),
            _ => None,
        };
        let manual = reference(Some(&row.source), row.new.1.as_ref());
        match (row.status, as_made) {
            (RowStatus::WithinNew, Some(as_made)) => format!(" is within the as-made {as_made}{manual}."),
            (RowStatus::NoLimitGiven, Some(as_made)) => format!(
                " is not within the as-made {as_made}, and the table gives no serviceable limit{manual}."
            ),
            (_, Some(as_made)) => {
                format!("; as made {as_made}, and the table gives no serviceable limit{manual}.")
            }
            (_, None) => format!("; the table gives no limit{manual}."),
        }
    }

    /// What was found, without a full stop.
    fn found(self, index: usize) -> Option<String> {
        let Self { cylinder, limits, unit, .. } = self;
        let finding = cylinder.findings.get(index)?;
        let mut words = capitalised(finding.kind.words());
        if !finding.place.is_empty() {
            words = format!("{words}, {}", finding.place);
        } else if let Some(station) = finding.station {
            words = format!("{words}, {}", station_words(limits, station));
        }
        if let Some((depth, style)) = finding.depth {
            words = format!("{words}, {} deep", depth.text(style.shown_in(unit)));
        }
        if let Some((size, style)) = finding.size {
            words = format!("{words}, {} long", size.text(style.shown_in(unit)));
        }
        if finding.fins > 1 {
            words = format!("{words}, on {} adjacent fins", finding.fins);
        }
        Some(words)
    }

    fn finding(self, index: usize) -> Option<String> {
        let Self { assessment, cylinder, limits, .. } = self;
        let finding = cylinder.findings.get(index)?;
        let answer = assessment.findings.get(index)?;
        let rule = limits.finding(finding.kind);
        let most = rule.repairable_to.as_ref().map_or(String::new(), |bound| self.bound(bound));
        let consequence = match (answer.consequence, answer.condemned_by) {
            (Consequence::Replace, None | Some(CondemnedBy::Kind)) => "replace the cylinder".to_owned(),
            (Consequence::Replace, Some(CondemnedBy::Size)) => {
                format!("more than the {most} that may be repaired; replace the cylinder")
            }
            (Consequence::Replace, Some(CondemnedBy::AdjacentFins)) => {
                let bound = rule.on_adjacent_fins.get(usize::from(finding.fins).checked_sub(2)?)?;
                format!(
                    "more than the {} that may be repaired on any {} adjacent fins; replace the cylinder",
                    self.bound(bound),
                    finding.fins
                )
            }
            (Consequence::Replace, Some(CondemnedBy::TooManyFins)) => format!(
                "more than the {} adjacent fins on which damage may be repaired; replace the cylinder",
                rule.on_adjacent_fins.len() + 1
            ),
            (Consequence::Replace, Some(CondemnedBy::TotalArea)) => {
                let area = |area: Area| area.text(self.style().unit);
                format!(
                    "all such findings take {} together, more than the {} that may be repaired; replace the cylinder",
                    area(finding::total_area(&cylinder.findings, finding.kind)),
                    area(rule.total_area?)
                )
            }
            (Consequence::NeedsRebore, _) => "the wall has to be cut to below it".to_owned(),
            (Consequence::Repair, _) => rule.remedy.clone(),
            (Consequence::Measure, _) => {
                let amounts: Option<Vec<_>> =
                    answer.missing().map(|amount| self.measure(amount, index)).collect();
                amounts?.join(", ")
            }
        };
        let manual = if rule.place.is_empty() { String::new() } else { format!(" ({})", rule.place) };
        let done = if finding.done.is_empty() { String::new() } else { format!(" Done: {}.", finding.done) };
        Some(format!("{}: {consequence}{manual}.{done}", self.found(index)?))
    }

    /// `measure its depth`, and why where the answer by itself does not ask for it.
    fn measure(self, amount: Amount, index: usize) -> Option<String> {
        let rule = self.limits.finding(self.cylinder.findings.get(index)?.kind);
        if amount == Amount::BoreThere {
            return Some("measure the bore at its station; the oversize depends on it".to_owned());
        }
        let for_the_rebore = amount == Amount::Depth && rule.answer != FindingAnswer::DepthDecides;
        let why = if for_the_rebore { "; a rebore has to reach below it" } else { "" };
        Some(format!("measure its {}{why}", amount.words()))
    }

    /// The claim that an oversize cleans up, and what it rests on.
    fn rebore(self, index: usize) -> Option<String> {
        let Self { assessment, cylinder, limits, .. } = self;
        let option = assessment.oversizes.get(index)?;
        let row = limits.sizes.get(option.size)?;
        let stock = option.least_stock()?;
        let comes_off = Shown::new(cylinder.bore.mean(stock.at)?, Some(&row.new.0), self.style());
        let what = match assessment.recommendation {
            Recommendation::Rebore(_) => format!("Rebore to {}", row.name),
            _ => format!("Needs {} at least", row.name),
        };
        Some(format!(
            "{what}: finished to {}, it {}.{} {} comes off on the diameter at {}, where it takes least{}.",
            self.limit(&row.new.0, comes_off)?,
            option_words(option, assessment),
            words::unseen_oval(cylinder, limits),
            comes_off.below_limit()?.text(comes_off.style),
            point_words(limits, stock.at),
            reference(Some(&row.source), None),
        ))
    }

    fn too_small(self, index: usize) -> Option<String> {
        let Self { assessment, cylinder, limits, .. } = self;
        let option = assessment.oversizes.get(index)?;
        let row = limits.sizes.get(option.size)?;
        let even = Shown::new(option.needs_if_even, Some(&row.new.0), self.style());
        let finished = self.limit(&row.new.0, even)?;
        let text = |mean: Mean| {
            let shown = Shown::new(mean, Some(&row.new.0), self.style());
            shown.value.text(shown.style)
        };
        let at = point_words(limits, option.too_small_at());
        Some(match option.clean_up {
            CleanUp::No => format!(
                "{} is too small: finished to {finished}, but {at} needs {} even if the wear is even.",
                row.name,
                text(option.needs_if_even)
            ),
            CleanUp::OnlyIfWornEvenly => {
                let from = match cylinder.finished_to {
                    Some((size, style)) => format!("{}, its last-finished size", self.written(size, style)),
                    None => {
                        let made = &limits.sizes.get(cylinder.size?)?.new.0;
                        format!("{}, the smallest as made", self.bound(made))
                    }
                };
                format!(
                    "{} is doubtful: finished to {finished}, it {} (needs {}). With all wear on one side, {at} needs {} (counted from {from}).",
                    row.name,
                    option_words(option, assessment),
                    text(option.needs_if_even),
                    text(option.needs_whichever_side)
                )
            }
            CleanUp::WhicheverSideWore => {
                format!(
                    "{} is not allowed: finished to {finished}, it {}.",
                    row.name,
                    option_words(option, assessment)
                )
            }
        })
    }

    fn contradiction(self, contradiction: Contradiction) -> Option<String> {
        let Self { cylinder, limits, .. } = self;
        let row = limits.sizes.get(cylinder.size?)?;
        let style = self.style();
        let amount = |by: Length| by.text(clear_style(by.into(), Length::ZERO, style));
        let fitting = |fits: Option<usize>, what: &str| match fits.and_then(|size| limits.sizes.get(size)) {
            Some(size) => format!(" {what} size {}.", size.name),
            None => String::new(),
        };
        let size = match row.oversize {
            Length::ZERO => "the standard size".to_owned(),
            _ => format!("size {}", row.name),
        };
        let reading = |at: Point| {
            let value = cylinder.bore.mean(at)?;
            let text = value.text(figure_style(value, style));
            Some(format!("{}: {text}", capitalised(&point_words(limits, at))))
        };
        let finished = || {
            let (finished, style) = cylinder.finished_to?;
            Some(self.written(finished, style))
        };
        Some(match contradiction {
            Contradiction::SmallerThanMade { at, by, fits } => format!(
                "{} is {} smaller than {size} is made ({}).{} Check the recorded size, the gauge and its setting.",
                reading(at)?,
                amount(by),
                self.bound(&row.new.0),
                fitting(fits, "The readings fit"),
            ),
            Contradiction::LargerThanWorn { at } => format!(
                "{} is far larger than any bore of this table wears to. Check the reading, its unit and the gauge.",
                reading(at)?,
            ),
            Contradiction::FitsAnotherSize(fits) => format!(
                "Every reading is beyond {size}.{} Correct the recorded size, or record the size it was last finished to.",
                fitting(Some(fits), "The readings fit"),
            ),
            Contradiction::FinishedToAnotherSize { fits } => format!(
                "The last-finished size {} does not belong to {size} ({} to {}).{} Correct one of them.",
                finished()?,
                self.bound(&row.new.0),
                self.bound(&row.new.1),
                fitting(fits, "It fits"),
            ),
            Contradiction::SmallerThanFinished { at, by } => format!(
                "{} is {} smaller than the last-finished size {}. A bore does not shrink: correct one of them.",
                reading(at)?,
                amount(by),
                finished()?,
            ),
        })
    }

    fn need(self, need: &Need) -> Option<String> {
        let Self { assessment, cylinder, limits, .. } = self;
        Some(match need {
            Need::Measure(points) => format!("Measure {}.", points_words(limits, points)),
            Need::LookOver => {
                "Look the cylinder over for cracks, a loose head, scores and pits, and record it.".to_owned()
            }
            Need::Amount(amount, i) => format!("{}: {}.", self.found(*i)?, self.measure(*amount, *i)?),
            Need::Limit(i) => {
                let row = assessment.rows.get(*i)?;
                let value = row.figure.as_ref()?.value.text(self.style());
                format!(
                    "The table gives no serviceable limit for {}, and {value} is not within the as-made ones: look it up in the manual{}.",
                    row.kind.words(),
                    reference(Some(&row.source), None),
                )
            }
            Need::SizeRow => {
                "The table of limits has no row for this cylinder's size: correct the size.".to_owned()
            }
            Need::Unreadable(what) => format!("Correct this first: {}.", what.trim_end_matches('.')),
            Need::Budget(i) => {
                let row = assessment.rows.get(*i)?;
                format!(
                    "The table asks for a guard band, and for {} this is not recorded: {}. Record it with the gauge.",
                    row.kind.words(),
                    row.uncertainty.as_ref()?.unknown.words(),
                )
            }
            Need::Contradiction(contradiction) => self.contradiction(*contradiction)?,
            Need::Impossible(i) => {
                let row = assessment.rows.get(*i)?;
                format!(
                    "{} cannot be worked out: {}{}.",
                    capitalised(row.kind.words()),
                    row.impossible?.words(),
                    reference(Some(&row.source), None),
                )
            }
            Need::Expansion { at_20_c, as_read } => format!(
                "Write how the barrel and the gauge expand, or measure at 20 °C. By the expansion of steel, which is \
                 only supposed, it is {} at 20 °C; as read it is {}.",
                at_20_c.words(limits),
                as_read.words(limits),
            ),
            Need::Confirm(i) => {
                let slip = assessment.slips.get(*i)?;
                format!("{} The outcome hangs on it.", slip.sentence(cylinder, limits))
            }
        })
    }
}

/// ` (ref. 17, table 2-1)`, or nothing.
fn reference(source: Option<&RowSource>, bound: Option<&Bound>) -> String {
    let words = source.map_or(String::new(), |source| source.words(bound));
    if words.is_empty() { words } else { format!(" ({words})") }
}

/// Where a figure was read, in words.
pub fn figure_place(figure: &Figure, limits: &Limits) -> String {
    match figure.read_at {
        ReadAt::Point(at) => point_words(limits, at),
        ReadAt::Station(station) => station_words(limits, station),
        ReadAt::Points(high, low) => {
            format!("{} minus {}", point_words(limits, high), point_words(limits, low))
        }
        ReadAt::Stations(high, low) => {
            format!("{} minus {}", station_words(limits, high), station_words(limits, low))
        }
        ReadAt::BaseLessHead => "base end minus head end".to_owned(),
        ReadAt::Everywhere => format!("average of {} places", figure.terms.len()),
    }
}

/// A row's figure beside its limit, as shown; `style` is how readings are written, in the unit to show.
pub fn shown(row: &Row, style: Style) -> Option<Shown> {
    Some(Shown::new(row.figure.as_ref()?.value, row.limit.as_ref(), style))
}

/// The number of what is left to a row's limit, without its unit, and `left`, `over`, or for choke `under`; `style` is
/// how readings are written, in the unit to show.
pub fn margin(row: &Row, style: Style) -> Option<(String, &'static str)> {
    let (shown, margin) = (shown(row, style)?, row.margin?);
    let number = shown.below_limit()?.abs().number(shown.style);
    Some((number, row.side.left_words(margin.is_negative())))
}

/// Why it is recommended, in about five words: the first reason, for a line beside the recommendation. `style` is how
/// readings are written, in the unit to show. None where nothing is judged yet.
pub fn brief(assessment: &Assessment, cylinder: &Cylinder, limits: &Limits, style: Style) -> Option<String> {
    let row = |i: usize| assessment.rows.get(i).map(|row| row.kind.words());
    let first = *assessment.reasons.first()?;
    Some(match first {
        Reason::Finding(i) => cylinder.findings.get(i)?.kind.words().to_owned(),
        Reason::Beyond(i) | Reason::Within(i) => {
            let row = assessment.rows.get(i)?;
            format!("{} {}", row.kind.words(), margin_words(row, style)?)
        }
        Reason::Rebore(_) | Reason::TooSmall(_) => "metal to remove".to_owned(),
        Reason::NoOversize => "no oversize cleans up".to_owned(),
        Reason::Need(i) => match assessment.needs.get(i)? {
            Need::Measure(points) => format!("measure {}", point_words(limits, *points.first()?)),
            Need::LookOver => "visual inspection first".to_owned(),
            Need::Amount(amount, _) => match amount {
                Amount::Depth => "measure a finding's depth".to_owned(),
                Amount::Size => "measure a finding's length".to_owned(),
                Amount::Area => "measure a finding's area".to_owned(),
                Amount::BoreThere => "measure the bore at a finding".to_owned(),
            },
            Need::Limit(i) => format!("no limit given: {}", row(*i)?),
            Need::SizeRow => "size not in the table".to_owned(),
            Need::Unreadable(_) => "an entry to correct".to_owned(),
            Need::Contradiction(_) => "readings contradict the size".to_owned(),
            Need::Impossible(i) => format!("no figure possible: {}", row(*i)?),
            Need::Budget(i) => format!("uncertainty not recorded: {}", row(*i)?),
            Need::Confirm(i) => match assessment.slips.get(*i)?.at {
                Some(at) => format!("check a reading: {}", point_words(limits, at)),
                None => "check the readings".to_owned(),
            },
            Need::Expansion { .. } => "expansion not recorded".to_owned(),
        },
    })
}

/// A row's figure and what is left, at a glance: `taper 0.0013 in, 0.0007 in left`; none without a figure.
pub fn glance(row: &Row, style: Style) -> Option<String> {
    let shown = shown(row, style)?;
    let margin = margin_words(row, style).map_or(String::new(), |margin| format!(", {margin}"));
    Some(format!("{} {}{margin}", row.kind.words(), shown.value.text(shown.style)))
}

/// `0.0007 in left` or `0.0003 in over`; for choke `under`.
pub fn margin_words(row: &Row, style: Style) -> Option<String> {
    let (number, side) = margin(row, style)?;
    Some(format!("{number} {} {side}", style.unit))
}
