//! The report as a whole: the overhaul and its engine, what it was measured with, its signature, what its cylinders come
//! to together, how sure the figures are, and the wear since the overhauls before.

use super::cylinder::cylinder;
use super::limits::limits_table;
use super::{Cylinder, FORMAT, GaugeRow, History, HistoryRow, Identity, Report, Sealed, Signature, or_none};
use crate::{Document, Judged, Wish};
use drawings::Subject;
use history::engine::{self, Comparison, Said};
use history::figure::Figure as Followed;
use history::follow::{self, hours_text};
use history::sheet::EngineName;
use history::trend::Time;
use judging::engine::one_size_for_all;
use judging::{Assessment, Recommendation, words};
use quantities::length::Unit;
use records::limits::Limits;
use records::record::schema::{self, Amendment, EngineRecord, Overhaul, Reads};
use records::survey::Survey;
use records::wording::{CAUTIONS, counted};
use work::seal;

/// The report of an overhaul, or of one cylinder of it.
pub fn report(judged: Judged<'_>, wish: Wish) -> Document {
    let Judged { record, survey, assessments, .. } = judged;
    let limits: &Limits = &survey.limits;
    let overhaul = record.overhauls.get(judged.overhaul);
    let chosen: Vec<usize> = match wish.cylinder {
        Some(index) => vec![index],
        None => (0..survey.cylinders.len()).collect(),
    };
    let mut pictures = Vec::new();
    let cylinders: Vec<Cylinder> = chosen
        .iter()
        .filter_map(|&index| {
            let (barrel, assessment) = (survey.cylinders.get(index)?, assessments.get(index)?);
            let written = overhaul.and_then(|overhaul| Some((overhaul.cylinders.get(index)?, overhaul.unit)));
            Some(cylinder(Subject { survey, cylinder: barrel, assessment }, written, index, &mut pictures))
        })
        .collect();
    let identity = identity(judged, overhaul);
    let report = Report {
        format: FORMAT,
        program: format!("Borewright {}", env!("CARGO_PKG_VERSION")),
        paper: wish.page.name(),
        title: match (wish.cylinder, cylinders.first()) {
            (Some(_), Some(one)) => format!("Bore inspection report: {}", uncapitalised(&one.name)),
            _ => "Bore inspection report".to_owned(),
        },
        conditions: conditions(overhaul),
        gauges: overhaul.map_or_else(Vec::new, gauges),
        standards: overhaul.map_or_else(Vec::new, standards),
        illustrative: limits.illustrative.then_some(words::ILLUSTRATIVE),
        judged_by: words::judged_on(limits),
        counts: counts(&chosen, assessments),
        remarks: if wish.cylinder.is_none() { engine_remarks(survey, assessments) } else { Vec::new() },
        history: history(judged, &cylinders),
        uncertainty: uncertainty(judged, &chosen),
        limits: limits_table(record, limits),
        cautions: CAUTIONS.to_vec(),
        signature: Signature {
            name: identity.inspector.clone(),
            certificate: identity.certificate.clone(),
            date: identity.date.clone(),
            sealed: sealed(&judged),
        },
        identity,
        cylinders,
        who_decides: words::WHO_DECIDES,
    };
    Document::new("report.typ", &report, pictures)
}

fn uncapitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_lowercase().chain(letters).collect())
}

fn engine_remarks(survey: &Survey, assessments: &[Assessment]) -> Vec<String> {
    words::remarks(survey, one_size_for_all(&survey.limits, &survey.cylinders, assessments).as_ref())
}

fn counts(chosen: &[usize], assessments: &[Assessment]) -> String {
    let outcomes: Vec<_> =
        chosen.iter().filter_map(|&index| assessments.get(index)).map(|a| a.recommendation).collect();
    let number = |wanted: fn(Recommendation) -> bool, word: &str| {
        let count = outcomes.iter().filter(|outcome| wanted(**outcome)).count();
        (count > 0).then(|| format!("{count} {word}"))
    };
    let counts: Vec<String> = [
        number(|r| r == Recommendation::Serviceable, "serviceable"),
        number(|r| matches!(r, Recommendation::Rebore(_)), "rebore"),
        number(|r| r == Recommendation::Replace, "replace"),
        number(|r| r == Recommendation::NotDecided, "not decided"),
    ]
    .into_iter()
    .flatten()
    .collect();
    if counts.is_empty() {
        return "No cylinder is written down yet.".to_owned();
    }
    format!("{}: {}.", counted(outcomes.len(), "cylinder"), counts.join(", "))
}

/// What identifies an engine and an overhaul of it.
pub(crate) fn identity(judged: Judged<'_>, overhaul: Option<&Overhaul>) -> Identity {
    let engine = &judged.record.engine;
    let of = |text: fn(&Overhaul) -> String| overhaul.map_or(String::new(), text);
    Identity {
        model: engine.model.clone(),
        serial: engine.serial.clone(),
        owner: engine.owner.clone(),
        installed_in: engine.installed_in.clone(),
        overhaul: format!("Overhaul {} of {}", judged.overhaul + 1, judged.record.overhauls.len()),
        date: of(|overhaul| overhaul.date.to_string()),
        total_time: of(|overhaul| hours(overhaul.total_hours)),
        since_overhaul: of(|overhaul| hours(overhaul.hours_since_overhaul)),
        inspector: of(|overhaul| overhaul.inspector.name.clone()),
        certificate: of(|overhaul| overhaul.inspector.certificate.clone()),
        remarks: of(|overhaul| overhaul.remarks.clone()),
    }
}

/// Hours with their unit.
fn hours(hours: Option<f64>) -> String {
    hours.filter(|hours| hours.is_finite()).map_or(String::new(), |hours| format!("{} h", hours_text(hours)))
}

fn conditions(overhaul: Option<&Overhaul>) -> Vec<(String, String)> {
    let Some(temperatures) = overhaul.and_then(|overhaul| overhaul.temperatures.as_ref()) else {
        return vec![("Temperatures".to_owned(), "not recorded".to_owned())];
    };
    let within = temperatures.within.map_or(String::new(), |k| format!(", known within ± {k} K"));
    vec![
        ("Barrel".to_owned(), format!("{} °C", temperatures.barrel)),
        ("Gauge or standard".to_owned(), format!("{} °C{within}", temperatures.gauge)),
        ("Correction".to_owned(), "every figure brought to 20 °C (ISO 1)".to_owned()),
    ]
}

fn gauges(overhaul: &Overhaul) -> Vec<GaugeRow> {
    let row = |gauge: &schema::Gauge| {
        let reads = match gauge.reads {
            Reads::Diameter => "the diameter",
            Reads::Deviation => "a deviation",
            Reads::Graduations => "graduations of deviation",
        };
        let on = gauge.zeroed_on.as_ref().map_or(String::new(), |on| format!(", set on {on}"));
        let plus = match gauge.plus_means {
            schema::PlusMeans::Smaller if gauge.reads != Reads::Diameter => ", plus is smaller",
            _ => "",
        };
        let serial =
            if gauge.serial.is_empty() { String::new() } else { format!(", serial {}", gauge.serial) };
        GaugeRow {
            name: format!("{}{serial}", gauge.name),
            reads: format!("{reads}{on}{plus}"),
            graduation: or_none(gauge.graduation.as_ref().map(|text| typed(text, overhaul.unit))),
            calibration: calibration(gauge.calibration.as_ref(), overhaul.unit),
        }
    };
    overhaul.gauges.iter().map(row).collect()
}

fn standards(overhaul: &Overhaul) -> Vec<[String; 3]> {
    let row = |standard: &schema::SettingStandard| {
        [
            standard.name.clone(),
            typed(&standard.size, overhaul.unit),
            calibration(standard.calibration.as_ref(), overhaul.unit),
        ]
    };
    overhaul.standards.iter().map(row).collect()
}

fn calibration(calibration: Option<&schema::Calibration>, unit: Unit) -> String {
    let Some(calibration) = calibration else { return "none stated".to_owned() };
    let mut words = format!("± {} (k {})", typed(&calibration.expanded_uncertainty, unit), calibration.k);
    if !calibration.certificate.is_empty() {
        words = format!("{words}, certificate {}", calibration.certificate);
    }
    match calibration.due {
        Some(due) => format!("{words}, due {due}"),
        None => words,
    }
}

/// A length as it was typed, with the unit that was meant.
pub(super) fn typed(text: &str, unit: Unit) -> String {
    let text = text.trim();
    let is_bare = text.ends_with(|c: char| c.is_ascii_digit() || c == '.');
    if is_bare { format!("{text} {unit}") } else { text.to_owned() }
}

/// The signature that an overhaul carries in the record.
fn sealed(judged: &Judged<'_>) -> Option<Sealed> {
    let overhaul = judged.record.overhauls.get(judged.overhaul)?;
    let signature = overhaul.seal.as_ref()?;
    let verdict = seal::verify(judged.record, judged.overhaul)?;
    let broken = verdict.broken.iter().map(|broken| seal::words::broken_words(broken, overhaul)).collect();
    let changes = |amendment: &Amendment| {
        amendment.changes.iter().map(|change| seal::words::change_words(change, overhaul)).collect()
    };
    let latest = signature.amendments.last().map_or(&signature.digest, |amendment| &amendment.digest);
    Some(Sealed {
        stands: seal::words::verdict_words(signature, &verdict),
        broken,
        digest: latest.clone(),
        amendments: signature
            .amendments
            .iter()
            .map(|amendment| (seal::words::who_words(amendment), changes(amendment)))
            .collect(),
        what_it_shows: seal::words::WHAT_IT_SHOWS,
    })
}

/// The statement of uncertainty and the decision rule.
fn uncertainty(judged: Judged<'_>, chosen: &[usize]) -> Vec<String> {
    let survey = judged.survey;
    let mut sources: Vec<String> = Vec::new();
    let budgets = chosen.iter().filter_map(|&index| survey.cylinders.get(index));
    for budget in budgets.filter_map(|cylinder| words::diameter_and_difference(cylinder, survey).0) {
        for line in budget.lines {
            let source = line.source.into_owned();
            if !sources.contains(&source) {
                sources.push(source);
            }
        }
    }
    let from = if sources.is_empty() {
        "Nothing is measured, so nothing is said about how sure it is.".to_owned()
    } else {
        format!(
            "Sources of uncertainty that were counted: {}. A source not named here was not known and is not in it.",
            sources.join("; ")
        )
    };
    let rows = chosen
        .iter()
        .filter_map(|&index| judged.assessments.get(index))
        .flat_map(|assessment| &assessment.rows);
    let left_out = words::left_out(rows).map_or(String::new(), |text| format!(" {text}"));
    vec![
        "A figure is given with its expanded uncertainty for a coverage of 95 %, by the method of JCGM 100 with Student's \
         t-distribution and effective degrees of freedom by Welch and Satterthwaite, or by the shape of the one or two \
         sources that outweigh the rest. What is common to two readings drops \
         out of their difference."
            .to_owned(),
        from,
        format!(
            "Decision rule: {}. The chance is the probability that the true value is within the limit (JCGM 106), as far \
             as the uncertainty is known; it decides nothing by itself.{left_out}",
            survey.limits.decision.words().trim_end_matches('.'),
        ),
        "Diameters are taken between two points: an odd number of lobes cannot be seen so.".to_owned(),
    ]
}

/// The wear of an engine's cylinders up to this overhaul; none with fewer than two overhauls.
fn history(judged: Judged<'_>, shown: &[Cylinder]) -> Option<History> {
    let date = judged.record.overhauls.get(judged.overhaul)?.date;
    let mut record: EngineRecord = judged.record.clone();
    record.overhauls.retain(|overhaul| overhaul.date <= date);
    if record.overhauls.len() < 2 {
        return None;
    }
    let followed = follow::follow(&history::sheet::sheets(&record, None).sheets);
    let engine = EngineName::of(&record.engine, None);
    let stand: Comparison = engine::stand(&followed, &engine, &Followed::LargestBore, Time::Hours)?;
    if stand.date != date {
        return None;
    }
    let cylinders: Vec<HistoryRow> = stand
        .members
        .iter()
        .filter(|member| shown.iter().any(|cylinder| cylinder.serial.trim() == member.trend.serial))
        .map(|member| HistoryRow {
            position: member.position.clone(),
            serial: member.trend.serial.clone(),
            surveys: member.trend.points.len(),
            words: member
                .trend
                .sentences()
                .into_iter()
                .chain(member.trend.said.clone())
                .collect::<Vec<_>>()
                .join(" "),
        })
        .collect();
    if cylinders.is_empty() {
        return None;
    }
    let is_whole = shown.len() == judged.survey.cylinders.len();
    Some(History {
        figure: Followed::LargestBore.words(),
        per: Time::Hours.per_words(),
        unit: stand.style.unit.symbol(),
        cylinders,
        said: if is_whole { stand.said().iter().map(Said::text).collect() } else { Vec::new() },
    })
}
