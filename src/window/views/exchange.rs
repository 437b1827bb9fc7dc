//! Readings from and for other programs: a file is named, what its columns are is shown and put right, every row that
//! would be refused is listed, and only then are the readings taken over.

use std::path::{Path, PathBuf};

use eframe::egui::{self, Button, ComboBox, Label, RichText, Role, ScrollArea, TextEdit, TextStyle, Ui};

use crate::browse::{Browse, Wanted};
use crate::cx::{Action, ViewCx};
use crate::dialogs::{browse_ui, entered, typed_path};
use crate::fields::{faint, named, occupied_ui, unit_words};
use crate::theme::{self, TEXT};
use records::diag::Diagnostic;
use records::store::{write_atomic, write_new};
use work::exchange::import::{self, Consent, Import, Obstacle, Unstated};
use work::exchange::mapping::{Field, Mapping};
use work::exchange::table::Grid;
use work::exchange::{self, Part, Source};
use work::seal::words;
use work::session::Command;

/// So many refused rows are listed before the rest is only counted.
const MOST_LISTED: usize = 200;

/// What is asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LockResult {
    /// To take readings in.
    In,
    /// To write an overhaul.
    Out,
}

/// A file that was read, and what its columns are.
#[derive(Debug)]
struct Opened {
    grid: Grid,
    mapping: Mapping,
    unstated: Unstated,
    consent: Consent,
    /// What it comes to, for a state and an overhaul of the record.
    read: Option<(u64, usize, Result<Import, Diagnostic>)>,
}

/// What the exchange keeps for itself.
#[derive(Debug, Default)]
pub struct ExchangeView {
    /// What is asked; none: nothing, and it is not to be seen.
    pub asked: Option<LockResult>,
    path: String,
    part: usize,
    opened: Option<Opened>,
    wrong: Option<Diagnostic>,
    /// A file that stands where the overhaul is to be written: it is overwritten when that is asked again.
    stands: Option<PathBuf>,
    fresh: bool,
    browse: Browse,
}

impl ExchangeView {
    /// Asks for a file.
    pub fn ask(&mut self, asked: LockResult, suggested: String) {
        *self = Self { asked: Some(asked), path: suggested, fresh: true, ..Self::default() };
    }

    /// The system's dialog named a file.
    fn chosen(&mut self, path: &Path) {
        self.path = path.display().to_string();
        self.stands = None;
        match self.asked {
            Some(LockResult::In) => self.read(),
            // The system has asked already whether it may be overwritten.
            Some(LockResult::Out) => self.stands = Some(path.to_owned()),
            None => {}
        }
    }

    fn read(&mut self) {
        self.opened = None;
        let Some(path) = typed_path(&self.path) else { return };
        match exchange::read(&path) {
            Ok(grid) => {
                self.wrong = None;
                let mapping = Mapping::of(&grid);
                let (unstated, consent) = (Unstated::default(), Consent::default());
                self.opened = Some(Opened { grid, mapping, unstated, consent, read: None });
            }
            Err(wrong) => self.wrong = Some(wrong),
        }
    }
}

/// Draws what is asked, over everything else.
pub(crate) fn exchange_ui(ctx: &egui::Context, cx: &mut ViewCx<'_>, view: &mut ExchangeView) {
    let Some(asked) = view.asked else { return };
    if let Some(chosen) = view.browse.chosen() {
        view.chosen(&chosen);
    }
    let modal = egui::Modal::new(egui::Id::unique("exchange")).show(ctx, |ui| {
        let room = ui.ctx().content_rect().size();
        ui.set_width((room.x - 80.0).clamp(240.0, 820.0));
        ui.heading(match asked {
            LockResult::In => "Take readings from a file",
            LockResult::Out => "Write this overhaul to a file",
        });
        let height = room.y - 120.0;
        ScrollArea::vertical().max_height(height).min_scrolled_height(height).show(ui, |ui| match asked {
            LockResult::In => in_ui(ui, cx, view),
            LockResult::Out => out_ui(ui, cx, view),
        });
    });
    view.fresh = false;
    if modal.should_close() {
        view.asked = None;
    }
    if view.asked.is_none() {
        // That it is gone is seen in the next frame; without a question there is none.
        ctx.request_repaint();
    }
}

/// A line to type a path in, and the way to the system's dialog. Gives whether Enter was pressed.
fn path_ui(ui: &mut Ui, view: &mut ExchangeView, asked: LockResult) -> bool {
    let label = ui.label("File path");
    let field =
        ui.add(TextEdit::singleline(&mut view.path).desired_width(f32::INFINITY)).labelled_by(label.id);
    let entered = entered(ui, &field);
    if view.fresh {
        field.request_focus();
    }
    if field.changed() {
        view.wrong = None;
        view.stands = None;
    }
    if browse_ui(ui, view.browse.is_open()) {
        let (kind, endings) = ("Readings", &["csv", "xlsx"]);
        let name = Path::new(&view.path).file_name().map(|name| name.to_string_lossy().into_owned());
        let wanted = match asked {
            LockResult::In => Wanted::File(kind, endings),
            LockResult::Out => Wanted::SaveAs(kind, endings, name.unwrap_or_default()),
        };
        view.browse.open(ui.ctx(), wanted);
    }
    entered
}

fn wrong_ui(ui: &mut Ui, cx: &ViewCx<'_>, wrong: Option<&Diagnostic>) {
    if let Some(wrong) = wrong {
        ui.add(Label::new(RichText::new(wrong.to_string()).color(cx.palette.beyond)).wrap());
    }
}

// ---- in

fn in_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, view: &mut ExchangeView) {
    if let Some(seal) = cx.session.closed() {
        ui.label(words::closed_words(seal));
        ui.label(words::HOW_TO_AMEND);
        if ui.button("Back to the record").clicked() {
            view.asked = None;
        }
        return;
    }
    ui.label(
        "CSV or a workbook (.xlsx), one reading in each row. Nothing is taken over before you have seen it.",
    );
    let entered = path_ui(ui, view, LockResult::In);
    if ui.button("Show what it holds").clicked() || entered {
        view.read();
    }
    wrong_ui(ui, cx, view.wrong.as_ref());
    let mut done = false;
    if let Some(opened) = &mut view.opened {
        ui.separator();
        done = opened_ui(ui, cx, opened);
    }
    ui.add_space(8.0);
    if ui.button("Cancel").clicked() || done {
        view.asked = None;
    }
}

/// The columns of a file and what its rows come to; says whether they were taken over.
fn opened_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, opened: &mut Opened) -> bool {
    let before = (opened.mapping.clone(), opened.unstated.clone());
    columns_ui(ui, opened);
    unit_ui(ui, cx, opened);
    gauge_ui(ui, cx, opened);
    if (&opened.mapping, &opened.unstated) != (&before.0, &before.1) {
        opened.read = None;
        // What was agreed to was something else.
        opened.consent = Consent::default();
    }
    let (state, index) = (cx.session.state(), cx.session.overhaul_index());
    let kept = opened.read.take().filter(|(s, i, _)| (*s, *i) == (state, index));
    let (_, _, read) = kept.unwrap_or_else(|| {
        let record = (cx.session.record(), index);
        let read =
            import::import(&opened.grid, &opened.mapping, &opened.unstated, record, cx.session.evaluation());
        (state, index, read)
    });
    let done = match &read {
        Err(wrong) => {
            wrong_ui(ui, cx, Some(wrong));
            false
        }
        Ok(import) => import_ui(ui, cx, import, &mut opened.consent),
    };
    opened.read = Some((state, index, read));
    done
}

fn columns_ui(ui: &mut Ui, opened: &mut Opened) {
    ui.label(RichText::new("Which column is what").font(theme::bold(TEXT)));
    let mut put = None;
    egui::Grid::new("columns").num_columns(3).spacing([16.0, 4.0]).show(ui, |ui| {
        for (column, heading) in opened.grid.headings.iter().enumerate() {
            let field = opened.mapping.columns.get(column).copied().flatten();
            ui.label(if heading.is_empty() { "(no heading)" } else { heading });
            let shown = field.map_or("not used", Field::words);
            let combo = ComboBox::from_id_salt(("column", column)).width(220.0).selected_text(shown).show_ui(
                ui,
                |ui| {
                    if ui.selectable_label(field.is_none(), "not used").clicked() {
                        put = Some((column, None));
                    }
                    for known in Field::ALL {
                        if ui.selectable_label(field == Some(known), known.words()).clicked() {
                            put = Some((column, Some(known)));
                        }
                    }
                },
            );
            let name = format!("Column {heading} is");
            named(&combo.response, Role::ComboBox, &name, shown);
            let first = opened.grid.rows.first().and_then(|(_, cells)| cells.get(column));
            ui.label(RichText::new(first.map_or("", String::as_str)).weak());
            ui.end_row();
        }
    });
    if let Some((column, field)) = put {
        opened.mapping.put(column, field);
    }
}

/// The unit of what names none.
fn unit_ui(ui: &mut Ui, cx: &ViewCx<'_>, opened: &mut Opened) {
    let own = cx.session.unit();
    ui.horizontal_wrapped(|ui| {
        ui.label("A reading that names no unit is in");
        for unit in [own, own.other()] {
            let is = opened.unstated.unit.unwrap_or(own) == unit;
            if ui.radio(is, unit_words(unit)).clicked() {
                opened.unstated.unit = Some(unit);
            }
        }
    });
}

/// The gauge of rows that name none.
fn gauge_ui(ui: &mut Ui, cx: &ViewCx<'_>, opened: &mut Opened) {
    let gauges = cx.session.overhaul().map(|overhaul| overhaul.gauges.as_slice()).unwrap_or_default();
    if gauges.is_empty() {
        return;
    }
    ui.horizontal_wrapped(|ui| {
        let label = ui.label("Gauge of rows that name none");
        let shown = opened.unstated.gauge.clone().unwrap_or_else(|| "the only one that it can be".to_owned());
        let combo = ComboBox::from_id_salt("gauge").width(260.0).selected_text(&shown).show_ui(ui, |ui| {
            ui.selectable_value(&mut opened.unstated.gauge, None, "the only one that it can be");
            for gauge in gauges {
                ui.selectable_value(&mut opened.unstated.gauge, Some(gauge.name.clone()), &gauge.name);
            }
        });
        named(&combo.response, Role::ComboBox, "Gauge of rows that name none", &shown);
        combo.response.labelled_by(label.id);
    });
}

/// What would be taken over and what not, and what must be agreed to; says whether it was taken over.
fn import_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, import: &Import, consent: &mut Consent) -> bool {
    let Some(overhaul) = cx.session.overhaul() else { return false };
    ui.add_space(4.0);
    let summary = RichText::new(import.summary(overhaul, false)).font(theme::bold(TEXT));
    ui.add(Label::new(summary).wrap());
    for note in &import.notes {
        ui.add(Label::new(note).wrap());
    }
    let place = |taken: &import::Taken| {
        let cylinder =
            overhaul.cylinders.get(taken.cylinder).map_or("", |cylinder| cylinder.position.as_str());
        format!("cylinder {cylinder}, station {}, axis {}", taken.station, taken.axis)
    };
    let refused: Vec<String> = import.refused.iter().map(|refused| refused.words()).collect();
    let doubtful = import.implausible();
    let doubtful: Vec<String> = doubtful
        .map(|(taken, reading, why)| format!("Line {}, {}: not likely: {why}.", reading.line, place(taken)))
        .collect();
    let replaced = import.taken.iter().filter(|taken| !taken.replaces.is_empty());
    let replaced: Vec<String> = replaced
        .map(|taken| {
            let (before, after) = (taken.replaces.join(", "), taken.texts().join(", "));
            format!("{}: {before} would be replaced by {after}.", place(taken))
        })
        .collect();
    for list in [&refused, &doubtful, &replaced] {
        for words in list.iter().take(MOST_LISTED) {
            ui.add(Label::new(RichText::new(words).color(cx.palette.beyond)).wrap());
        }
        if let Some(more) = list.len().checked_sub(MOST_LISTED).filter(|more| *more > 0) {
            faint(ui, cx, format!("and {more} more"));
        }
    }
    rows_ui(ui, import, &place);
    ui.add_space(4.0);
    for obstacle in import.obstacles(Consent::default()) {
        let (agreed, words) = match obstacle {
            Obstacle::Refused(_) => (&mut consent.leave_out_refused, "Leave the refused rows out"),
            Obstacle::Implausible(_) => {
                (&mut consent.accept_implausible, "Take the values that are not likely")
            }
            Obstacle::Replaces(..) => (&mut consent.replace, "Replace what the record holds"),
        };
        ui.checkbox(agreed, format!("{words}: {}", obstacle.words()));
    }
    let agreed = import.agreed(*consent).ok().filter(|_| !import.is_empty());
    let take = ui.add_enabled(agreed.is_some(), Button::new("Take them over"));
    if let (true, Some(agreed)) = (take.clicked(), agreed) {
        cx.ask(Action::Do(Command::Import(Box::new(agreed))));
        return true;
    }
    false
}

/// Every reading that would be taken: its line, place, gauge, unit and diameter. Only the lines in sight are drawn.
fn rows_ui(ui: &mut Ui, import: &Import, place: &dyn Fn(&import::Taken) -> String) {
    let rows: Vec<_> = import
        .taken
        .iter()
        .flat_map(|taken| taken.entered.iter().map(move |reading| (taken, reading)))
        .collect();
    if rows.is_empty() {
        return;
    }
    ui.label(RichText::new("Readings, with the diameter that each makes").font(theme::bold(TEXT)));
    let height = ui.text_style_height(&TextStyle::Body);
    let area = ScrollArea::vertical().id_salt("readings").max_height(10.0 * height);
    area.auto_shrink([false, true]).show_rows(ui, height, rows.len(), |ui, shown| {
        for (taken, reading) in rows.get(shown).unwrap_or_default() {
            let text = format!(
                "Line {}, {}: {} {}, {} on {}",
                reading.line,
                place(taken),
                reading.text,
                if reading.text.ends_with(reading.unit.as_str()) { "" } else { reading.unit.as_str() },
                reading.diameter.text(reading.style),
                taken.gauge_words
            );
            ui.add(Label::new(text).truncate());
        }
    });
}

// ---- out

fn out_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, view: &mut ExchangeView) {
    ui.label("A workbook (.xlsx) has readings, figures and outcomes on sheets of their own; a CSV file has one of them.");
    let entered = path_ui(ui, view, LockResult::Out);
    ui.horizontal_wrapped(|ui| {
        ui.label("In a CSV file");
        for (index, part) in Part::ALL.into_iter().enumerate() {
            if ui.radio(view.part == index, part.words()).clicked() {
                view.part = index;
            }
        }
    });
    wrong_ui(ui, cx, view.wrong.as_ref());
    let path = typed_path(&view.path);
    let occupied = path.as_ref().is_some_and(|path| path.exists() && view.stands.as_ref() == Some(path));
    if occupied {
        occupied_ui(ui, cx);
    }
    ui.horizontal_wrapped(|ui| {
        let words = if occupied { "Overwrite it" } else { "Write it" };
        if (ui.button(words).clicked() || entered)
            && let Some(path) = path
        {
            if path.exists() && view.stands.as_ref() != Some(&path) {
                view.stands = Some(path);
            } else {
                write(cx, view, &path, occupied);
            }
        }
        if ui.button("Cancel").clicked() {
            view.asked = None;
        }
    });
}

fn write(cx: &mut ViewCx<'_>, view: &mut ExchangeView, path: &Path, over: bool) {
    let Some(overhaul) = cx.session.overhaul() else { return };
    let source = Source { record: cx.session.record(), overhaul, evaluation: cx.session.evaluation() };
    let part = Part::ALL.get(view.part).copied().unwrap_or_default();
    // Not over a file that comes meanwhile either.
    let write = if over { write_atomic } else { write_new };
    let written = exchange::written(path, part, source).and_then(|bytes| write(path, &bytes));
    match written {
        Ok(()) => {
            cx.ask(Action::Tell(Diagnostic::note("The overhaul is written.").in_file(path)));
            view.asked = None;
        }
        Err(wrong) => view.wrong = Some(wrong),
    }
}
