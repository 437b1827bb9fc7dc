//! The gauge study: several people, several places, several times; typed, pasted or read from a table, worked
//! out by analysis of variance, and stored as the repeatability of a gauge of the record.

use std::path::PathBuf;

use eframe::egui::{self, ComboBox, Grid, Id, Key, RichText, ScrollArea, TextEdit, Ui};

use super::spread::spread_ui;
use super::{LessonCx, LessonView, faint, field, group, side_by_side, words};
use crate::browse::{Browse, Wanted};
use crate::cx::Action;
use crate::dialogs::{browse_ui, entered, typed_path};
use crate::fields::{named, pasted_block, unit_words};
use crate::reported::reported_ui;
use crate::theme::{self, TEXT};
use classroom::gauge::{Instrument, PracticeGauge};
use classroom::random::Random;
use classroom::study::{self, AnovaLine, Component, Reading, Study};
use quantities::length::{Length, Style, Unit};
use records::diag::{Diagnostic, WithDiagnostics};
use records::file;
use records::wording::capitalised;
use work::session::{Command, OverhaulEdit};

/// The most of anything that the grid holds; a longer study is read by the command line.
const MOST: usize = 30;
/// The most repeats that the grid holds.
const MOST_REPEATS: usize = 10;
/// Width of a cell in points.
const CELL: f32 = 88.0;
/// Decimals beyond the unit's usual ones, for standard deviations.
const FINER: usize = 2;

/// The grid of a study, as typed.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Entries {
    people: Vec<String>,
    parts: Vec<String>,
    repeats: usize,
    /// Part by part, within it person by person, within it repeat by repeat.
    cells: Vec<String>,
}

impl Default for Entries {
    fn default() -> Self {
        let mut entries = Self { people: Vec::new(), parts: Vec::new(), repeats: 2, cells: Vec::new() };
        entries.resize(3, 5, 2);
        entries
    }
}

impl Entries {
    fn index(&self, part: usize, person: usize, repeat: usize) -> usize {
        (part * self.people.len() + person) * self.repeats + repeat
    }

    fn cell(&self, part: usize, person: usize, repeat: usize) -> &str {
        self.cells.get(self.index(part, person, repeat)).map_or("", String::as_str)
    }

    fn set(&mut self, part: usize, person: usize, repeat: usize, text: &str) -> bool {
        if part >= self.parts.len() || person >= self.people.len() || repeat >= self.repeats {
            return false;
        }
        let index = self.index(part, person, repeat);
        self.cells.get_mut(index).is_some_and(|cell| {
            text.clone_into(cell);
            true
        })
    }

    /// Another number of people, parts or repeats; what is typed keeps its place.
    fn resize(&mut self, people: usize, parts: usize, repeats: usize) {
        let old = self.clone();
        self.people = (0..people).map(|i| old.people.get(i).cloned().unwrap_or_else(|| letter(i))).collect();
        self.parts =
            (0..parts).map(|i| old.parts.get(i).cloned().unwrap_or_else(|| (i + 1).to_string())).collect();
        self.repeats = repeats;
        self.cells = vec![String::new(); people * parts * repeats];
        for part in 0..old.parts.len() {
            for person in 0..old.people.len() {
                for repeat in 0..old.repeats {
                    self.set(part, person, repeat, old.cell(part, person, repeat));
                }
            }
        }
    }

    /// The grid of some readings; those beyond what it holds are left out, and their number is said.
    fn of(readings: &[Reading], unit: Unit) -> (Self, usize) {
        let mut entries = Self { people: Vec::new(), parts: Vec::new(), repeats: 0, cells: Vec::new() };
        let mut placed: Vec<(usize, usize, usize, String)> = Vec::new();
        let mut outside = 0;
        let place = |names: &mut Vec<String>, name: &str| {
            let found = names.iter().position(|other| other == name);
            if found.is_none() && names.len() < MOST {
                names.push(name.to_owned());
                return Some(names.len() - 1);
            }
            found
        };
        for reading in readings {
            let part = place(&mut entries.parts, &reading.part);
            let person = place(&mut entries.people, &reading.operator);
            let (Some(part), Some(person)) = (part, person) else {
                outside += 1;
                continue;
            };
            let repeat = placed.iter().filter(|(p, o, ..)| (*p, *o) == (part, person)).count();
            if repeat >= MOST_REPEATS {
                outside += 1;
                continue;
            }
            entries.repeats = entries.repeats.max(repeat + 1);
            let style = Style { unit, decimals: reading.value.decimals(unit).max(unit.usual_decimals()) };
            let text = reading.value.number(style).replace('\u{2212}', "-");
            placed.push((part, person, repeat, text));
        }
        let Self { people, parts, repeats, .. } = &entries;
        entries.cells = vec![String::new(); people.len() * parts.len() * repeats];
        for (part, person, repeat, text) in placed {
            entries.set(part, person, repeat, &text);
        }
        (entries, outside)
    }

    /// The readings of the filled cells, and what is wrong with the others.
    fn readings(&self, unit: Unit) -> WithDiagnostics<Vec<Reading>> {
        let (mut readings, mut diagnostics) = (Vec::new(), Vec::new());
        for (part, part_name) in self.parts.iter().enumerate() {
            for (person, person_name) in self.people.iter().enumerate() {
                for repeat in 0..self.repeats {
                    let text = self.cell(part, person, repeat).trim();
                    if text.is_empty() {
                        continue;
                    }
                    match Length::parse(text, unit) {
                        Ok(entry) => readings.push(Reading {
                            part: part_name.clone(),
                            operator: person_name.clone(),
                            trial: (repeat + 1).to_string(),
                            value: entry.length,
                        }),
                        Err(error) => diagnostics.push(Diagnostic::error(format!(
                            "Part {part_name}, {person_name}, repeat {}: {error}.",
                            repeat + 1
                        ))),
                    }
                }
            }
        }
        WithDiagnostics { value: readings, diagnostics }
    }

    /// Fills a block from a spreadsheet in, its upper left corner at a cell. Says how many did not fit.
    fn paste(&mut self, block: &str, (part, column): (usize, usize)) -> usize {
        let mut outside = 0;
        for (down, line) in block.lines().enumerate() {
            for (right, text) in line.split(['\t', ';']).enumerate() {
                let column = column + right;
                let (person, repeat) = (column / self.repeats.max(1), column % self.repeats.max(1));
                if !text.trim().is_empty() && !self.set(part + down, person, repeat, text.trim()) {
                    outside += 1;
                }
            }
        }
        outside
    }
}

/// `A`, `B`, and so on.
fn letter(index: usize) -> String {
    let letter = u8::try_from(index % 26).map_or('?', |index| char::from(b'A' + index));
    if index < 26 { letter.to_string() } else { format!("{letter}{}", index / 26) }
}

/// What a study was worked out from, and what came of it.
#[derive(Debug)]
struct Worked {
    of: (Entries, Unit, String),
    study: Result<Study, Diagnostic>,
    wrong: Vec<Diagnostic>,
}

/// What the page keeps for itself.
#[derive(Debug, Default)]
pub(super) struct StudyView {
    entries: Entries,
    unit: Unit,
    tolerance: String,
    path: String,
    open: Option<PathBuf>,
    browse: Browse,
    worked: Option<Worked>,
    /// The gauge that the result is stored for.
    gauge: usize,
    /// What was left out of a paste or a table.
    outside: usize,
}

impl StudyView {
    /// Reads a table when the frame is drawn.
    fn open(&mut self, path: PathBuf) {
        self.path = path.display().to_string();
        self.open = Some(path);
    }

    /// Has nobody written anything into the grid?
    pub(super) fn is_blank(&self) -> bool {
        self.entries.cells.iter().all(|cell| cell.trim().is_empty())
    }

    /// An invented study: three people, six places of one bore, three times each, with a gauge of usual scatter.
    pub(super) fn fill_example(&mut self) {
        let unit = Unit::Inch;
        let gauge = PracticeGauge::usual(Instrument::BoreGauge, unit);
        let step = gauge.graduation;
        let mut random = Random::new(11);
        let mut readings = Vec::new();
        let habits = [0, 1, -1];
        for part in 0..6_i64 {
            let true_size = step * (51_255 + 5 * part - part * part / 2);
            for (person, habit) in ["Ash", "Brook", "Cove"].iter().zip(habits) {
                for trial in 0..3 {
                    let value = true_size + step * habit + random.scatter(gauge.scatter * 2);
                    readings.push(Reading {
                        part: format!("place {}", part + 1),
                        operator: (*person).to_owned(),
                        trial: (trial + 1).to_string(),
                        value: gauge.nearest_graduation(value),
                    });
                }
            }
        }
        self.unit = unit;
        "0.0020".clone_into(&mut self.tolerance);
        (self.entries, self.outside) = Entries::of(&readings, unit);
    }

    /// Reads what is to be read, and works the study out if anything changed.
    pub(super) fn settle(&mut self, actions: &mut Vec<Action>) -> bool {
        let mut changed = false;
        if let Some(path) = self.open.take() {
            changed = true;
            match file::read_bytes(&path, file::LARGEST) {
                Ok((bytes, _)) => {
                    let reported = study::read_csv(bytes, self.unit);
                    let diagnostics =
                        reported.diagnostics.into_iter().map(|reported| reported.in_file(&path));
                    super::tell(actions, diagnostics);
                    if !reported.value.is_empty() {
                        (self.entries, self.outside) = Entries::of(&reported.value, self.unit);
                    }
                }
                Err(reported) => super::tell(actions, [reported]),
            }
        }
        if self.worked.as_ref().is_some_and(|worked| {
            worked.of.0 == self.entries && worked.of.1 == self.unit && worked.of.2 == self.tolerance
        }) {
            return changed;
        }
        let of = (self.entries.clone(), self.unit, self.tolerance.clone());
        let WithDiagnostics { value: readings, diagnostics: mut wrong } = self.entries.readings(self.unit);
        let mut tolerance = None;
        if !self.tolerance.trim().is_empty() {
            match Length::parse(&self.tolerance, self.unit) {
                Ok(entry) if entry.length > Length::ZERO => tolerance = Some(entry.length),
                Ok(_) => wrong.push(Diagnostic::error("The tolerance: it has a width above 0.")),
                Err(error) => wrong.push(Diagnostic::error(format!("The tolerance: {error}."))),
            }
        }
        let study = Study::of(&readings, tolerance);
        self.worked = Some(Worked { of, study, wrong });
        true
    }
}

/// Draws the part.
pub(super) fn study_ui(ui: &mut Ui, cx: &mut LessonCx<'_>, view: &mut LessonView) {
    ScrollArea::vertical().id_salt("study").auto_shrink(false).show(ui, |ui| {
        let study = &mut view.study;
        words(
            ui,
            "Several people measure several places several times with one gauge, without seeing each other's readings. \
             The study tells how much of the spread is the gauge, the people and the places.",
        );
        size_ui(ui, study);
        grid_ui(ui, cx, study);
        ui.add_space(6.0);
        let worked = study.worked.take();
        if let Some(worked) = &worked {
            worked_ui(ui, cx, study, worked);
        }
        study.worked = worked;
        ui.add_space(10.0);
    });
}

fn size_ui(ui: &mut Ui, view: &mut StudyView) {
    if let Some(path) = view.browse.chosen() {
        view.open(path);
    }
    ui.horizontal_wrapped(|ui| {
        let Entries { people, parts, repeats, .. } = &view.entries;
        let before = (people.len(), parts.len(), *repeats);
        let (mut people, mut parts, mut repeats) = before;
        let mut count = |name: &str, value: &mut usize, least: usize, most: usize| {
            let label = ui.label(name);
            ui.add(egui::DragValue::new(value).range(least..=most).speed(0.05).update_while_editing(false))
                .labelled_by(label.id);
        };
        count("People", &mut people, 1, MOST);
        count("Places", &mut parts, 2, MOST);
        count("Times each", &mut repeats, 2, MOST_REPEATS);
        if (people, parts, repeats) != before {
            view.entries.resize(people, parts, repeats);
        }
        let label = ui.label("in");
        let combo =
            ComboBox::from_id_salt("study unit").selected_text(unit_words(view.unit)).show_ui(ui, |ui| {
                for unit in [Unit::Inch, Unit::Millimetre] {
                    ui.selectable_value(&mut view.unit, unit, unit_words(unit));
                }
            });
        combo.response.labelled_by(label.id);
        field(ui, "Width of the tolerance", &mut view.tolerance, 90.0);
    });
    ui.horizontal_wrapped(|ui| {
        let line = field(ui, "From a table (.csv)", &mut view.path, 280.0);
        let enter = entered(ui, &line);
        if (ui.button("Read the table").clicked() || enter)
            && let Some(path) = typed_path(&view.path)
        {
            view.open = Some(path);
        }
        if browse_ui(ui, view.browse.is_open()) {
            view.browse.open(ui.ctx(), Wanted::File("Table", &["csv", "tsv", "txt"]));
        }
        if ui.button("An invented example").clicked() {
            view.fill_example();
        }
        if ui.button("Empty the grid").clicked() {
            view.entries.cells.iter_mut().for_each(String::clear);
            view.outside = 0;
        }
    });
}

fn cell_id(part: usize, column: usize) -> Id {
    Id::unique(("study cell", part, column))
}

fn grid_ui(ui: &mut Ui, cx: &LessonCx<'_>, view: &mut StudyView) {
    let columns = view.entries.people.len() * view.entries.repeats;
    let rows = view.entries.parts.len();
    take_pasted(ui, view, rows, columns);
    let mut next = None;
    ScrollArea::horizontal().id_salt("study grid").show(ui, |ui| {
        Grid::new("study grid").spacing([4.0, 4.0]).min_col_width(CELL).show(ui, |ui| {
            let repeats = view.entries.repeats;
            ui.label(RichText::new("place").color(cx.palette.faint_ink));
            for (index, person) in view.entries.people.iter_mut().enumerate() {
                let line = ui.add(
                    TextEdit::singleline(person)
                        .desired_width(CELL)
                        .align(egui::Align2::LEFT_CENTER)
                        .min_size(egui::vec2(0.0, 30.0)),
                );
                named(&line, egui::Role::TextInput, &format!("Name of person {}", index + 1), person);
                for _ in 1..repeats {
                    ui.label("");
                }
            }
            ui.end_row();
            for part in 0..rows {
                if let Some(name) = view.entries.parts.get_mut(part) {
                    let line = ui.add(
                        TextEdit::singleline(name)
                            .desired_width(CELL)
                            .align(egui::Align2::LEFT_CENTER)
                            .min_size(egui::vec2(0.0, 30.0)),
                    );
                    named(&line, egui::Role::TextInput, &format!("Name of place {}", part + 1), name);
                }
                for column in 0..columns {
                    let (person, repeat) = (column / repeats, column % repeats);
                    let index = view.entries.index(part, person, repeat);
                    let whose = view.entries.people.get(person).cloned().unwrap_or_default();
                    let place = view.entries.parts.get(part).cloned().unwrap_or_default();
                    let Some(text) = view.entries.cells.get_mut(index) else { continue };
                    let line = TextEdit::singleline(text)
                        .id(cell_id(part, column))
                        .desired_width(CELL)
                        .align(egui::Align2::LEFT_CENTER)
                        .min_size(egui::vec2(0.0, 30.0));
                    let line = ui.add(line);
                    if entered(ui, &line) {
                        // Down the column, as one person measures; then on to the next repeat.
                        let down = (part + 1) % rows;
                        next = Some((down, if down == 0 { (column + 1) % columns } else { column }));
                    }
                    let name = format!("Place {place}, {whose}, repeat {}", repeat + 1);
                    named(&line, egui::Role::TextInput, &name, text);
                }
                ui.end_row();
            }
        });
    });
    if let Some((part, column)) = next {
        ui.memory_mut(|memory| memory.request_focus(cell_id(part, column)));
    }
    faint(
        ui,
        &cx.palette,
        "Enter goes down the column. A block from a spreadsheet can be pasted into its upper left cell.",
    );
    if view.outside > 0 {
        ui.label(
            RichText::new(format!("{} values had no place in the grid and were left out.", view.outside))
                .color(cx.palette.beyond),
        );
    }
}

/// Takes a pasted block before the cell that has the focus sees it.
fn take_pasted(ui: &Ui, view: &mut StudyView, rows: usize, columns: usize) {
    let Some(focused) = ui.memory(|memory| memory.focused()) else { return };
    let cells = (0..rows).flat_map(|part| (0..columns).map(move |column| (part, column)));
    let Some(at) = cells.into_iter().find(|(part, column)| cell_id(*part, *column) == focused) else {
        return;
    };
    if let Some(block) = pasted_block(ui.ctx()) {
        view.outside = view.entries.paste(&block, at);
    }
    // A cell is left by Enter alone, and not by the arrows that move the cursor in it.
    if ui.input(|input| input.key_pressed(Key::Escape)) {
        ui.memory_mut(|memory| memory.surrender_focus(focused));
    }
}

// ---- what came of it

fn worked_ui(ui: &mut Ui, cx: &mut LessonCx<'_>, view: &mut StudyView, worked: &Worked) {
    reported_ui(ui, &cx.palette, &worked.wrong);
    let study = match &worked.study {
        Ok(study) => study,
        Err(reported) => {
            group(ui, "The result stands here");
            words(ui, format!("{} {}", reported.message, reported.remedy));
            return;
        }
    };
    group(ui, "In words");
    for said in in_words(study, view.unit) {
        words(ui, said);
    }
    ui.add_space(4.0);
    let wide = ui.available_width() > 900.0;
    // The two tables take more room than the two plots.
    if ui.available_width() > 1240.0 {
        side_by_side(ui, |ui| numbers_ui(ui, cx, study, view.unit), |ui| anova_ui(ui, cx, study));
    } else {
        numbers_ui(ui, cx, study, view.unit);
        anova_ui(ui, cx, study);
    }
    store_ui(ui, cx, view, study);
    ui.add_space(6.0);
    if wide {
        side_by_side(
            ui,
            |ui| spread_ui(ui, &cx.palette, "By person", &study.by_operator, view.unit),
            |ui| spread_ui(ui, &cx.palette, "By place", &study.by_part, view.unit),
        );
    } else {
        spread_ui(ui, &cx.palette, "By person", &study.by_operator, view.unit);
        spread_ui(ui, &cx.palette, "By place", &study.by_part, view.unit);
    }
}

fn number(mm: f64, unit: Unit) -> String {
    let decimals = usize::from(unit.usual_decimals()) + FINER;
    format!("{:.decimals$}", unit.from_mm(mm))
}

fn percent(share: f64) -> String {
    format!("{:.1} %", share * 100.0)
}

fn in_words(study: &Study, unit: Unit) -> Vec<String> {
    let mut said = Vec::new();
    let s = |component: &Component| format!("{} {unit}", number(component.deviation_mm, unit));
    said.push(format!(
        "The same person on the same place scatters with a standard deviation of {}.",
        s(&study.repeatability)
    ));
    if let Some(people) = &study.reproducibility {
        let more = if people.deviation_mm > study.repeatability.deviation_mm {
            "more than the gauge itself: agree on how it is held"
        } else {
            "no more than the gauge itself"
        };
        said.push(format!("Between people it is {}, {more}.", s(people)));
    }
    let share = percent(study.both.of_total);
    let verdict = match study.both.of_tolerance {
        Some(share) if share <= 0.10 => Some("good enough for this tolerance"),
        Some(share) if share <= 0.30 => Some("good enough for some work on this tolerance"),
        Some(_) => Some("not good enough for this tolerance"),
        None => None,
    };
    said.push(format!("Gauge and people together are {share} of the total variation."));
    if let (Some(of), Some(verdict)) = (study.both.of_tolerance, verdict) {
        said.push(format!(
            "Six of their standard deviations are {} of the tolerance: {verdict} (10 and 30 % are the usual bounds, AIAG).",
            percent(of)
        ));
    }
    said.push(study.categories_words());
    said.push(study.interaction_words());
    said
}

fn right(ui: &mut Ui, text: String) {
    ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| ui.label(text));
}

fn numbers_ui(ui: &mut Ui, cx: &LessonCx<'_>, study: &Study, unit: Unit) {
    Grid::new("components").striped(true).spacing([14.0, 4.0]).show(ui, |ui| {
        let of_tolerance = study.both.of_tolerance.is_some();
        let deviation = format!("standard deviation, {unit}");
        let mut heads = vec!["source", &deviation, "of total", "of variance"];
        if of_tolerance {
            heads.push("of tolerance");
        }
        for head in heads {
            ui.label(RichText::new(head).color(cx.palette.faint_ink));
        }
        ui.end_row();
        for (name, component) in [
            ("the gauge (repeatability)", Some(&study.repeatability)),
            ("the people (reproducibility)", study.reproducibility.as_ref()),
            ("both", Some(&study.both)),
            ("the places", Some(&study.part)),
            ("total", Some(&study.total)),
        ] {
            ui.label(name);
            match component {
                Some(c) => {
                    right(ui, number(c.deviation_mm, unit));
                    right(ui, percent(c.of_total));
                    right(ui, percent(c.of_variance));
                    if let Some(share) = c.of_tolerance {
                        right(ui, percent(share));
                    }
                }
                None => {
                    ui.label("\u{2013}");
                }
            }
            ui.end_row();
        }
    });
}

fn anova_ui(ui: &mut Ui, cx: &LessonCx<'_>, study: &Study) {
    Grid::new("anova").striped(true).spacing([14.0, 4.0]).show(ui, |ui| {
        for head in ["analysis of variance", "dof", "mean square, µm²", "F", "p"] {
            ui.label(RichText::new(head).color(cx.palette.faint_ink));
        }
        ui.end_row();
        let anova = &study.anova;
        let or_none = |value: Option<f64>| value.map_or("\u{2013}".to_owned(), |value| format!("{value:.3}"));
        let chance = |p: Option<f64>| match p {
            Some(p) if p < 0.001 => "under 0.001".to_owned(),
            p => or_none(p),
        };
        let mut row = |name: &str, line: Option<&AnovaLine>| {
            let Some(line) = line else { return };
            ui.label(name);
            right(ui, format!("{:.0}", line.dof));
            right(ui, format!("{:.3}", line.mean_square * 1e6));
            right(ui, or_none(line.f));
            right(ui, chance(line.p));
            ui.end_row();
        };
        row("places", Some(&anova.parts));
        row("people", anova.operators.as_ref());
        row("places by people", anova.interaction.as_ref());
        row("repeats", Some(&anova.repeats));
        if anova.pooled {
            row("repeats, pooled", Some(&anova.error));
        }
    });
}

/// The way of the result into the record: its gauge's repeatability, for the budget of uncertainty.
fn store_ui(ui: &mut Ui, cx: &mut LessonCx<'_>, view: &mut StudyView, study: &Study) {
    group(ui, "For the budget of uncertainty");
    let Some(repeatability) = study.for_gauge() else {
        words(
            ui,
            "Every repeat reads the same: the graduation is too coarse to tell, and nothing is stored.",
        );
        return;
    };
    let gauges = cx.session.and_then(|session| session.overhaul()).map(|overhaul| overhaul.gauges.clone());
    let Some(mut gauges) = gauges.filter(|gauges| !gauges.is_empty()) else {
        words(
            ui,
            "It can be stored for a gauge of a record: open the record, give its overhaul the gauge (Ctrl+G), and come \
             back; what is typed here stays.",
        );
        return;
    };
    view.gauge = view.gauge.min(gauges.len().saturating_sub(1));
    ui.horizontal_wrapped(|ui| {
        let name = |index: usize| gauges.get(index).map_or("", |gauge| gauge.name.as_str());
        let label = ui.label("Gauge of the record");
        let combo = ComboBox::from_id_salt("study gauge")
            .width(190.0)
            .selected_text(name(view.gauge))
            .show_ui(ui, |ui| {
                for index in 0..gauges.len() {
                    ui.selectable_value(&mut view.gauge, index, name(index));
                }
            });
        combo.response.labelled_by(label.id);
        let stored =
            gauges.get(view.gauge).is_some_and(|gauge| gauge.repeatability.as_ref() == Some(&repeatability));
        if stored {
            ui.label(RichText::new("Stored as this gauge's repeatability.").font(theme::bold(TEXT)));
        } else if ui.button("Store as this gauge's repeatability").clicked()
            && let Some(gauge) = gauges.get_mut(view.gauge)
        {
            gauge.repeatability = Some(repeatability.clone());
            cx.actions.push(Action::Do(Command::Overhaul(OverhaulEdit::Gauges(gauges))));
        }
    });
    let said =
        format!("{}, with {:.0} degrees of freedom.", repeatability.standard_deviation, repeatability.dof);
    faint(ui, &cx.palette, capitalised(&said));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_block_fills_the_cells_from_its_corner() {
        let mut entries = Entries::default();
        let outside = entries.paste("1\t2\t3\n4\t5\t6\n\n9", (3, 4));
        assert_eq!((entries.cell(3, 2, 0), entries.cell(3, 2, 1), entries.cell(4, 2, 0)), ("1", "2", "4"));
        assert_eq!(outside, 3, "two beside the grid, one below it");
    }

    #[test]
    fn another_size_keeps_what_is_typed_in_its_place() {
        let mut entries = Entries::default();
        entries.set(1, 2, 1, "5.1253");
        entries.resize(4, 8, 3);
        assert_eq!(entries.cell(1, 2, 1), "5.1253");
        assert_eq!(entries.people, ["A", "B", "C", "D"]);
    }

    /// The grid of a table is the table: the same study comes of it.
    #[test]
    fn a_table_read_into_the_grid_gives_the_same_study() {
        let mut view = StudyView::default();
        view.fill_example();
        let reported = view.entries.readings(Unit::Inch);
        assert_eq!(reported.diagnostics, []);
        let study = Study::of(&reported.value, None).expect("it is balanced");
        assert_eq!((study.operators.len(), study.parts.len(), study.trials), (3, 6, 3));
        let (again, outside) = Entries::of(&reported.value, Unit::Inch);
        assert_eq!((again, outside), (view.entries, 0));
    }

    #[test]
    fn more_than_the_grid_holds_is_left_out_and_counted() {
        let reading = |part: usize| Reading {
            part: part.to_string(),
            operator: "A".to_owned(),
            trial: "1".to_owned(),
            value: Length::ZERO,
        };
        let many: Vec<Reading> = (0..MOST + 5).map(reading).collect();
        let (entries, outside) = Entries::of(&many, Unit::Inch);
        assert_eq!((entries.parts.len(), outside), (MOST, 5));
    }
}
