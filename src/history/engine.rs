//! The cylinders of one engine against each other: which one stands out, and along which axis or bank it wears.
//!
//! Rates are compared by the lines of all cylinders together ([`super::lines`]), each with its own intercept and
//! its own hours. Where none stands out, what they have in common leads for each; one that does stands alone, and
//! the others are compared without it. Latest wear is compared only among cylinders that have run equally long
//! since they were new or first measured: a barrel fitted later has worn less, and that says nothing. Plain words
//! come first, the numbers behind.

use std::collections::BTreeMap;

use super::compare::{self, Difference};
use super::figure::{self, Figure, amount};
use super::first::{First, first};
use super::follow::{Followed, History, Seen, Sighting};
use super::line::{FittedLine, NoLine};
use super::lines::{self, Against, Checked, Common, SlopeTest};
use super::pooled::Pooled;
use super::sheet::{EngineName, SurveySheet};
use super::trend::{self, Basis, Keys, Time, Trend};
use figures::certainty::outlier::{self, Grubbs, LEAST_VALUES, OutlierSide};
use quantities::length::Style;
use records::wording::{capitalised, chance_words};

/// A cylinder of the engine's latest survey.
#[derive(Clone, Debug, PartialEq)]
pub struct EngineCylinder {
    /// Its position.
    pub position: String,
    /// Its trend, by the line that leads.
    pub trend: Trend,
    /// Its wear at that survey, in millimetres, where known.
    pub wear_mm: Option<f64>,
    /// Mean diameter on the thrust axis minus that on the pin axis, in millimetres.
    pub thrust_over_pin_mm: Option<f64>,
    /// What it has in common with cylinders that have run equally long.
    run: String,
}

/// The latest wear of cylinders that have run equally long.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LatestWear {
    /// Which members.
    pub members: Vec<usize>,
    /// Grubbs' test for the one that has worn most; none below four, or if they hardly differ.
    pub grubbs: Option<Grubbs>,
    /// Left bank minus right bank, in millimetres.
    pub left_over_right: Option<Difference>,
    /// First half of the positions minus the second half, in millimetres.
    pub first_over_last: Option<Difference>,
}

/// What there is to say: in plain words, and the numbers behind them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Said {
    /// A sentence, or several.
    pub plain: String,
    /// Sentences with the numbers; empty if there are none.
    pub behind: String,
}

impl Said {
    fn plain(plain: String) -> Self {
        Self { plain, behind: String::new() }
    }

    /// Both, one after the other.
    pub fn text(&self) -> String {
        if self.behind.is_empty() { self.plain.clone() } else { format!("{} {}", self.plain, self.behind) }
    }
}

/// A rate that cylinders have in common.
#[derive(Clone, Debug, PartialEq)]
pub struct CommonRate {
    /// Which members.
    pub members: Vec<usize>,
    /// How many values it is from.
    pub n: usize,
    /// A line of that rate.
    pub line: FittedLine,
    /// It leads: their rates do not differ.
    pub leads: bool,
}

/// An engine's cylinders side by side.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison {
    /// The engine.
    pub engine: EngineName,
    /// The day of its latest survey.
    pub date: jiff::civil::Date,
    /// The figure that is followed.
    pub figure: Figure,
    /// What it is followed against.
    pub time: Time,
    /// How its readings were written.
    pub written: Style,
    /// How to show amounts.
    pub style: Style,
    /// The cylinders, in the order of the sheet.
    pub members: Vec<EngineCylinder>,
    /// How the surveys agree with the gauge's uncertainty budget; none without any line.
    pub checked: Option<Checked>,
    /// Whether the rates differ; none where that cannot be tested.
    pub test: Option<SlopeTest>,
    /// The rate that cylinders have in common: all that have a line, but for one that stands out.
    pub common: Option<CommonRate>,
    /// The member whose rate stands out.
    odd: Option<usize>,
    /// The latest wear.
    pub wear: LatestWear,
    /// Thrust axis minus pin axis over the cylinders, in millimetres.
    pub thrust_over_pin: Option<Difference>,
}

impl EngineCylinder {
    /// Its position, and its surveys with the line that leads.
    pub fn positioned(&self) -> (&str, &Trend) {
        (&self.position, &self.trend)
    }

    /// Is it the cylinder of this history? A serial number that is on several is told apart by the position.
    pub fn is(&self, history: &History) -> bool {
        let position = history.apart.as_ref().and_then(|apart| apart.position.as_ref());
        self.trend.serial == history.serial && position.is_none_or(|at| *at == self.position)
    }
}

impl Comparison {
    /// Shows its amounts in another style.
    pub fn restyle(&mut self, style: Style) {
        for member in &mut self.members {
            member.trend.restyle(style);
        }
        // A column has the same digits from top to bottom.
        let decimals =
            self.members.iter().map(|member| member.trend.style.decimals).fold(style.decimals, u8::max);
        self.style = Style { decimals, ..style };
        for member in &mut self.members {
            member.trend.style = self.style;
        }
    }

    /// The member whose rate stands out, if one does.
    pub fn odd_one(&self) -> Option<(&EngineCylinder, Against)> {
        let member = self.members.get(self.odd?)?;
        Some((member, member.trend.against?))
    }
}

/// Compares the cylinders of an engine's latest survey; none if the engine is not known.
pub fn stand(followed: &Followed, engine: &EngineName, figure: &Figure, time: Time) -> Option<Comparison> {
    stands(followed, engine, std::slice::from_ref(figure), time).pop()
}

/// [`stand`] in each of some figures; empty if the engine is not known.
pub fn stands(followed: &Followed, engine: &EngineName, figures: &[Figure], time: Time) -> Vec<Comparison> {
    let Some(compared) = Compared::of(followed, engine) else { return Vec::new() };
    // What no figure changes is worked out once.
    let at_survey: Vec<AtSurvey> = compared.here.iter().map(at_survey).collect();
    let complete = |figure| Comparison::fitted(&compared, figure, time).complete(&compared, &at_survey);
    figures.iter().map(complete).collect()
}

/// [`stand`] in that of some figures whose limit is reached first; none if no cylinder tells, or the engine is not known.
/// The other figures are not put into words.
pub fn stand_of_first(
    followed: &Followed,
    engine: &EngineName,
    figures: &[Figure],
    time: Time,
) -> Option<(Comparison, First)> {
    let compared = Compared::of(followed, engine)?;
    let mut stands: Vec<Comparison> =
        figures.iter().map(|figure| Comparison::fitted(&compared, figure, time)).collect();
    let members = stands.iter().flat_map(|stand| &stand.members);
    let found = first(members.map(EngineCylinder::positioned))?;
    let place = stands.iter().position(|stand| stand.figure == found.figure)?;
    let at_survey: Vec<AtSurvey> = compared.here.iter().map(at_survey).collect();
    Some((stands.swap_remove(place).complete(&compared, &at_survey), found))
}

/// The cylinders of an engine's latest survey.
struct Compared<'a> {
    latest: &'a SurveySheet,
    here: Vec<Seen<'a>>,
}

impl<'a> Compared<'a> {
    /// None if the engine is not known.
    fn of(followed: &'a Followed, engine: &EngineName) -> Option<Self> {
        let surveys = followed.engines.get(engine)?;
        // One at which nothing is measured yet has nothing to compare.
        let latest = surveys.iter().rfind(|sheet| sheet.is_measured()).or(surveys.last())?;
        let here = (0..latest.cylinders.len())
            .filter_map(|index| followed.at(latest, index))
            // One that has gone to another engine since is none of these any more.
            .filter(|seen| seen.history.latest().is_some_and(|latest| *latest.sheet.engine == *engine))
            .collect();
        Some(Self { latest, here })
    }
}

/// How many cylinders are compared at most. All lines are fitted at once, which takes time with the third power of their
/// number; no engine has so many.
const MOST_COMPARED: usize = 64;

impl Comparison {
    /// The cylinders with their lines, and nothing yet that takes words or is of another figure.
    fn fitted(compared: &Compared<'_>, figure: &Figure, time: Time) -> Self {
        let Compared { latest, here } = compared;
        let member = |seen: &Seen<'_>| EngineCylinder {
            trend: trend::unsaid(seen.history, seen.life, figure, time),
            position: seen.sighting.cylinder().position.clone(),
            wear_mm: None,
            thrust_over_pin_mm: None,
            run: String::new(),
        };
        let members: Vec<EngineCylinder> = here.iter().map(member).collect();
        let style = latest.scheme.style();
        let decimals = members.iter().map(|member| member.trend.written.decimals);
        let written = Style { decimals: decimals.fold(style.decimals, u8::max), ..style };
        let mut stand = Self {
            engine: EngineName::clone(&latest.engine),
            date: latest.date,
            figure: figure.clone(),
            time,
            written,
            style: written,
            checked: None,
            test: None,
            common: None,
            odd: None,
            wear: LatestWear::default(),
            thrust_over_pin: None,
            members,
        };
        stand.fit();
        stand
    }

    /// Adds what is said of each cylinder, and what there is beside the figure.
    fn complete(mut self, compared: &Compared<'_>, at_survey: &[AtSurvey]) -> Self {
        for ((member, seen), at_survey) in self.members.iter_mut().zip(&compared.here).zip(at_survey) {
            member.trend.say(seen.history, seen.life);
            member.wear_mm = at_survey.wear_mm;
            member.thrust_over_pin_mm = at_survey.thrust_over_pin_mm;
            member.run.clone_from(&at_survey.run);
        }
        let across: Vec<f64> = self.members.iter().filter_map(|member| member.thrust_over_pin_mm).collect();
        self.wear = latest_wear(&self.members, self.written);
        self.thrust_over_pin = compare::paired(&across);
        self.restyle(self.written);
        self
    }

    /// Fits all lines together, and gives each member the one that leads.
    fn fit(&mut self) {
        let mut keys = Keys::default();
        let (mut compared, mut observed, mut budget_dof) = (Vec::new(), Vec::new(), f64::INFINITY);
        let mut none = Vec::new();
        for (i, member) in self.members.iter().enumerate() {
            let observations = trend::observations(member.trend.steady(), &mut keys);
            match lines::is_line(&observations) {
                Ok(()) => {
                    compared.push(i);
                    observed.push(observations);
                    budget_dof = budget_dof.min(member.trend.budget_dof);
                }
                Err(why) => none.push((i, why)),
            }
        }
        if compared.len() > MOST_COMPARED {
            drop((observed, keys));
            for member in &mut self.members {
                let trend = &mut member.trend;
                let observations = trend::observations(trend.steady(), &mut Keys::default());
                match lines::fit_one(&observations, trend.budget_dof) {
                    Ok((line, checked)) => trend.settle(Ok(line), Basis::Own, Some(checked)),
                    Err(why) => trend.settle(Err(why), Basis::Own, None),
                }
            }
            return;
        }
        let observed: Vec<&[_]> = observed.iter().map(Vec::as_slice).collect();
        let fitted = if observed.is_empty() { None } else { lines::fit(&observed, budget_dof) };
        drop(keys);
        for (i, why) in none {
            self.settle(i, Err(why), Basis::Own);
        }
        let Some(fitted) = fitted else {
            compared.into_iter().for_each(|i| self.settle(i, Err(NoLine::NotANumber), Basis::Own));
            return;
        };
        self.checked = Some(fitted.checked);
        let all: Vec<usize> = (0..compared.len()).collect();
        let mut common = fitted.common(&all);
        self.test = common.as_ref().and_then(|common| common.test.clone());
        let odd = self.test.as_ref().and_then(SlopeTest::odd_one).map(|(odd, _)| odd);
        if let Some(odd) = odd {
            let others: Vec<usize> = all.into_iter().filter(|i| *i != odd).collect();
            common = fitted.common(&others);
            self.odd = compared.get(odd).copied();
        }
        let leads = |common: &Common| common.test.as_ref().is_some_and(|test| !test.differ());
        let leading = common.as_ref().filter(|common| leads(common));
        for (place, (&i, own)) in compared.iter().zip(&fitted.each).enumerate() {
            if let Some(member) = self.members.get_mut(i) {
                member.trend.against = self.test.as_ref().and_then(|test| test.each.get(place).copied());
            }
            let by_common = leading.and_then(|common| {
                let line = common.lines.get(common.members.iter().position(|member| *member == place)?)?;
                Some((*line, common.members.len()))
            });
            match by_common {
                Some((line, cylinders)) => {
                    self.settle(i, Ok(line), Basis::Common(cylinders));
                    if let Some(member) = self.members.get_mut(i) {
                        member.trend.set_beside(*own);
                    }
                }
                None => self.settle(i, Ok(*own), Basis::Own),
            }
        }
        self.common = common.as_ref().and_then(|common| {
            let members = common.members.iter().filter_map(|place| compared.get(*place).copied()).collect();
            Some(CommonRate { members, n: common.n, line: *common.lines.first()?, leads: leads(common) })
        });
    }

    fn settle(&mut self, i: usize, line: Result<FittedLine, NoLine>, basis: Basis) {
        let checked = self.checked.filter(|_| line.is_ok());
        if let Some(member) = self.members.get_mut(i) {
            member.trend.settle(line, basis, checked);
        }
    }
}

/// The trend of a cylinder's latest life: as the engine it was last seen on has it, else by its own surveys.
pub fn latest_trend(followed: &Followed, history: &History, figure: &Figure, time: Time) -> Option<Trend> {
    let of_engine = |engine: &EngineName| {
        let stand = stand(followed, engine, figure, time)?;
        // Reground since that survey, it has another life, of which the engine's other cylinders say nothing.
        let is_of_it = |sighting: &Sighting| sighting.sheet.date == stand.date;
        history.of(history.lives.last()?).iter().find(|sighting| is_of_it(sighting))?;
        stand.members.into_iter().find(|member| member.is(history)).map(|member| member.trend)
    };
    let engine = history.latest().map(|sighting| sighting.sheet.engine.as_ref());
    engine.and_then(of_engine).or_else(|| Some(trend::trend(history, history.lives.last()?, figure, time)))
}

/// What there is of a member beside its trend.
struct AtSurvey {
    wear_mm: Option<f64>,
    thrust_over_pin_mm: Option<f64>,
    run: String,
}

fn at_survey(seen: &Seen<'_>) -> AtSurvey {
    let Seen { history, life, sighting, hours } = *seen;
    let reading = |figure: &Figure| sighting.reading(figure).map(|reading| reading.mm());
    let scheme = &sighting.sheet.scheme;
    let axis =
        |hundredths: i32| scheme.axes.iter().find(|axis| axis.1 == hundredths).map(|axis| axis.0.as_str());
    let across = axis(0).zip(axis(9000)).and_then(|(pin, thrust)| {
        let stations = scheme.stations.iter().filter(|name| !scheme.unworn.contains(name));
        let differences: Option<Vec<f64>> = stations
            .map(|name| {
                let on = |axis: &str| reading(&Figure::Point(name.clone(), axis.to_owned()));
                Some(on(thrust)? - on(pin)?)
            })
            .collect();
        quantities::moments::mean(&differences?)
    });
    let first = history.of(life).first().map(|first| first.sheet.date.to_string()).unwrap_or_default();
    AtSurvey {
        wear_mm: reading(&Figure::Wear),
        thrust_over_pin_mm: across,
        run: match hours {
            Some(hours) => format!("{hours:.0} h since {}", life.since.words()),
            None => format!("measured since {first}"),
        },
    }
}

fn latest_wear(members: &[EngineCylinder], style: Style) -> LatestWear {
    let mut runs: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (i, member) in members.iter().enumerate().filter(|(_, member)| member.wear_mm.is_some()) {
        runs.entry(&member.run).or_default().push(i);
    }
    let members_of_run = runs.into_values().max_by_key(Vec::len).unwrap_or_default();
    let worn: Vec<(&str, f64)> = members_of_run
        .iter()
        .filter_map(|&i| members.get(i).and_then(|m| Some((m.position.as_str(), m.wear_mm?))))
        .collect();
    let values: Vec<f64> = worn.iter().map(|(_, mm)| *mm).collect();
    let spread =
        values.iter().copied().fold(f64::MIN, f64::max) - values.iter().copied().fold(f64::MAX, f64::min);
    let on = |wanted: Bank| -> Vec<f64> {
        worn.iter().filter(|(position, _)| bank(position) == Some(wanted)).map(|(_, mm)| *mm).collect()
    };
    let mut numbered: Vec<(u32, f64)> =
        worn.iter().filter_map(|(position, mm)| Some((number(position)?, *mm))).collect();
    numbered.sort_by_key(|(number, _)| *number);
    let half = numbered.len() / 2;
    let of =
        |part: Option<&[(u32, f64)]>| -> Vec<f64> { part.unwrap_or_default().iter().map(|n| n.1).collect() };
    LatestWear {
        // Values that differ by a digit or less always have one that stands out.
        grubbs: outlier::grubbs(&values, OutlierSide::High)
            .filter(|_| spread > 1.001 * style.last_digit().to_mm()),
        left_over_right: compare::two_groups(&on(Bank::Left), &on(Bank::Right)),
        first_over_last: compare::two_groups(
            &of(numbered.get(..half)),
            &of(numbered.get(numbered.len() - half..)),
        ),
        members: members_of_run,
    }
}

/// A bank of cylinders, where the position names it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Bank {
    Left,
    Right,
}

/// The bank of a position such as `2L` or `R3`; none if it names none.
fn bank(position: &str) -> Option<Bank> {
    let letters: String = position.chars().filter(|c| c.is_alphabetic()).collect();
    match letters.to_lowercase().as_str() {
        "l" | "left" => Some(Bank::Left),
        "r" | "right" => Some(Bank::Right),
        _ => None,
    }
}

/// The number in a position.
fn number(position: &str) -> Option<u32> {
    let digits: String = position.chars().filter(char::is_ascii_digit).collect();
    digits.parse().ok()
}

impl Comparison {
    /// What it comes to.
    pub fn said(&self) -> Vec<Said> {
        let mut said = Vec::new();
        self.rate_words(&mut said);
        self.wear_words(&mut said);
        if let Some(difference) = &self.thrust_over_pin {
            said.push(self.difference_words("the thrust axis", "the pin axis", difference, "cylinders"));
        }
        said
    }

    fn rate_words(&self, said: &mut Vec<Said>) {
        let figure = self.figure.words();
        let per = |mm: f64| {
            format!("{} per {}", amount(mm * self.time.per(), self.style, 1), self.time.per_words())
        };
        let own_lines = self.members.iter().filter(|member| member.trend.own_line().is_some()).count();
        if own_lines > MOST_COMPARED {
            said.push(Said::plain(format!(
                "More than {MOST_COMPARED} cylinders are not compared: each counts alone. Is this one engine?"
            )));
            return;
        }
        let Some(common) = &self.common else {
            said.push(Said::plain(format!(
                "Too few surveys to compare how fast {figure} changes: it takes two cylinders with two surveys each."
            )));
            return;
        };
        let together = {
            let bare = |mm: f64| figure::number(mm * self.time.per(), self.style, 1);
            let interval = common
                .line
                .slope_interval_95()
                .map(|(low, high)| format!(" (95 %: {} to {})", bare(low), bare(high)));
            format!("{}{}", per(common.line.slope), interval.unwrap_or_default())
        };
        let cylinders = common.members.len();
        let by_luck = |test: &SlopeTest| {
            format!(
                "Differences as large come about by luck with a chance of {} (F {:.2} with {} and {} degrees of freedom).",
                chance_words(test.p),
                test.f,
                test.dof.0,
                test.dof.1
            )
        };
        let values = format!("The common rate is from {} values.", common.n);
        let (plain, behind) = match (&self.test, self.odd_one()) {
            (Some(test), Some((member, against))) => {
                let how = if against.slope.abs() > against.others.abs() { "faster" } else { "slower" };
                let others = match common.leads {
                    true => format!(
                        "The common rate of the other {cylinders} counts for each of them: {together}."
                    ),
                    false => "The others do not all change alike either: each counts alone.".to_owned(),
                };
                (
                    format!(
                        "{} (position {}) changes {how} than the others: {} against {}. {others}",
                        member.trend.serial,
                        member.position,
                        per(against.slope),
                        per(against.others)
                    ),
                    format!(
                        "The chance of such a difference by luck is {} (t {:.2}, times {} cylinders). {} {values}",
                        chance_words(against.p),
                        against.t,
                        test.each.len(),
                        by_luck(test)
                    ),
                )
            }
            (Some(test), None) if test.differ() => (
                match cylinders {
                    2 => "The two cylinders do not change alike: each counts alone.",
                    _ => "The cylinders do not all change alike, but no single one stands out: each counts alone.",
                }
                .to_owned(),
                format!("{} All {cylinders} together: {together}, from {} values.", by_luck(test), common.n),
            ),
            (Some(test), None) => (
                format!(
                    "No cylinder's rate stands out. The common rate of all {cylinders} counts for each: {together}."
                ),
                format!("{} {values}", by_luck(test)),
            ),
            (None, _) => (
                "Two surveys each cannot show whether one of them changes faster: each counts alone."
                    .to_owned(),
                format!("All {cylinders} together: {together}, from {} values.", common.n),
            ),
        };
        said.push(Said { plain, behind });
        if let Some(checked) = &self.checked
            && let Some(plain) = trend::checked_words(checked)
        {
            said.push(Said { plain: plain.to_owned(), behind: checked_numbers(checked) });
        }
        let left: Vec<_> = self
            .members
            .iter()
            .filter(|member| member.trend.line.is_err())
            .map(|member| member.trend.serial.as_str())
            .collect();
        if !left.is_empty() {
            said.push(Said::plain(format!("Not compared, without a rate of its own: {}.", left.join(", "))));
        }
    }

    fn wear_words(&self, said: &mut Vec<Said>) {
        let wear = &self.wear;
        let n = wear.members.len();
        match &wear.grubbs {
            Some(grubbs) => {
                let member = wear.members.get(grubbs.index).and_then(|&i| self.members.get(i));
                let Some(member) = member else { return };
                let (serial, worn) =
                    (&member.trend.serial, amount(member.wear_mm.unwrap_or(0.0), self.style, 0));
                said.push(Said {
                    plain: if grubbs.stands_out() {
                        format!(
                            "{serial} (position {}) has worn more than the others: {worn}.",
                            member.position
                        )
                    } else {
                        format!("No latest wear stands out; the most is {worn}, {serial}.")
                    },
                    behind: format!(
                        "Grubbs: G {:.2}, critical {:.2}, n = {n}, 5 %.",
                        grubbs.g, grubbs.critical
                    ),
                });
            }
            None if n < LEAST_VALUES => said.push(Said::plain(format!(
                "Latest wear is known of {n} cylinders that have run equally long: too few to compare."
            ))),
            None => {
                said.push(Said::plain(format!("The latest wear of {n} cylinders is the same to a digit.")))
            }
        }
        if let Some(difference) = &wear.left_over_right {
            said.push(self.difference_words("the left bank", "the right bank", difference, "and"));
        }
        if let Some(difference) = &wear.first_over_last {
            let (lower, upper) = ("the lower half of the position numbers", "the upper half");
            said.push(self.difference_words(lower, upper, difference, "and"));
        }
    }

    fn difference_words(&self, a: &str, b: &str, difference: &Difference, n: &str) -> Said {
        let (low, high) = difference.interval_95;
        let text = |mm: f64| amount(mm, self.style, 1);
        let n = if n == "and" {
            format!("n = {} and {}", difference.n.0, difference.n.1)
        } else {
            format!("n = {} {n}", difference.n.0)
        };
        let more = if difference.difference > 0.0 { "more" } else { "less" };
        let plain = if difference.is_sure() {
            format!("{} has worn {more} than {b}.", capitalised(a))
        } else {
            format!("{} and {b}: no clear difference.", capitalised(a))
        };
        let behind = format!(
            "Difference {} (95 %: {} to {}, {n}).",
            text(difference.difference),
            text(low),
            text(high)
        );
        Said { plain, behind }
    }
}

/// How far the surveys lie off, in numbers.
fn checked_numbers(checked: &Checked) -> String {
    let text = |what: &str, pooled: &Pooled| {
        let Pooled { chi_squared, observed_dof, ratio, .. } = pooled;
        format!(
            "{what}: chi-squared {chi_squared:.1} on {observed_dof} degrees of freedom, variance times {ratio:.2}."
        )
    };
    match &checked.readings {
        Some(readings) => {
            format!("{} {}", text("Readings", readings), text("Surveys as a whole", &checked.surveys))
        }
        None if checked.surveys.observed_dof > 0.0 => text("Surveys", &checked.surveys),
        None => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn positions_name_their_bank() {
        let table = [
            ("1L", Some(Bank::Left)),
            ("R3", Some(Bank::Right)),
            ("2 right", Some(Bank::Right)),
            ("4", None),
            ("", None),
            ("LR", None),
        ];
        for (position, expected) in table {
            assert_eq!(bank(position), expected, "{position}");
        }
        assert_eq!(
            (number("2L"), number("R12"), number("front"), number("99999999999")),
            (Some(2), Some(12), None, None)
        );
    }
}
