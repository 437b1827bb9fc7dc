//! The Life: the chosen cylinder across overhauls, beside its fellows, and what to do about it.
//!
//! A cylinder is followed by its serial number through the record that is open and through any others that are
//! added. Everything is worked out behind (`behind`); a frame only shows what is ready. The sentences are
//! the core's: nothing here may look surer than they say.

mod behind;
mod cylinder;
mod others;
mod plate;
mod profiles;
mod side_by_side;
mod table;

use std::sync::Arc;

use eframe::egui::{self, ComboBox, RichText, ScrollArea, Ui};

use crate::cx::ViewCx;
use crate::fields::{self, Drafts};
use crate::theme::{self, HEADING};
use history::across::Across;
use history::figure::Figure;
use history::first::First;
use history::follow::History;
use history::trend::{CLOSING, Time};
use records::wording::capitalised;

/// Not more than so many sentences about a whole folder are laid out.
const MOST_SAID: usize = 100;

/// From so many other records on, following them anew takes long enough to be said.
const MANY: usize = 100;

/// What part of it is in sight.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum Page {
    #[default]
    Cylinder,
    SideBySide,
    Profiles,
    Table,
}

impl Page {
    const ALL: [Self; 4] = [Self::Cylinder, Self::SideBySide, Self::Profiles, Self::Table];

    fn words(self) -> &'static str {
        match self {
            Self::Cylinder => "This cylinder",
            Self::SideBySide => "Side by side",
            Self::Profiles => "Profiles",
            Self::Table => "Table",
        }
    }
}

/// What the life keeps for itself.
#[derive(Debug, Default)]
pub struct LifeView {
    page: Page,
    figure: Option<Figure>,
    by_date: bool,
    /// How long it is to run on after the latest survey, in hours and in years; none: as between the last two.
    planned: [Option<f64>; 2],
    drafts: Drafts,
    gatherer: behind::Gatherer,
    follower: behind::Follower,
    others: others::Others,
    cylinder: cylinder::CylinderPage,
    side_by_side: side_by_side::SideBySide,
    profiles: profiles::Profiles,
    table: table::Table,
}

/// What all pages are about.
struct Subject<'a> {
    /// Number of the result.
    number: u64,
    across: &'a Across,
    figure: Figure,
    time: Time,
    planned: f64,
}

impl LifeView {
    fn time(&self) -> Time {
        if self.by_date { Time::Years } else { Time::Hours }
    }

    fn planned(&self, across: &Across) -> f64 {
        let [hours, years] = self.planned;
        match self.time() {
            Time::Hours => hours.unwrap_or_else(|| usual(across, Time::Hours)),
            Time::Years => years.unwrap_or_else(|| usual(across, Time::Years)),
        }
    }

    fn plan(&mut self, planned: f64) {
        let [hours, years] = &mut self.planned;
        let place = if self.by_date { years } else { hours };
        *place = Some(planned);
    }
}

/// How long the engine ran between its last two surveys, rounded; else 500 h or a year.
fn usual(across: &Across, time: Time) -> f64 {
    let sheets = across.engine.as_ref().and_then(|engine| across.followed.engines.get(engine));
    let span = match sheets.map(Vec::as_slice) {
        Some([.., a, b]) => match time {
            Time::Hours => a.total_hours.zip(b.total_hours).map(|(a, b)| ((b - a) / 10.0).round() * 10.0),
            Time::Years => Some((f64::from((b.date - a.date).get_days()) / 36.525).round() / 10.0),
        },
        _ => None,
    };
    let otherwise = if time == Time::Hours { 500.0 } else { 1.0 };
    span.filter(|span| *span > 0.0).unwrap_or(otherwise)
}

/// Draws the life.
pub(crate) fn life_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, view: &mut LifeView) {
    view.gatherer.poll();
    let latest = view.follower.latest(ui.ctx(), cx, &view.gatherer);
    let figures = latest.as_ref().map(|(_, across)| across.figures.clone()).unwrap_or_default();
    let chosen = view.figure.clone().filter(|figure| figures.contains(figure));
    let first = latest.as_ref().filter(|_| chosen.is_none()).and_then(|(_, across)| first(cx, view, across));
    let (first, why) = first.map_or((Figure::LargestBore, String::new()), |first| (first.figure, first.why));
    let figure = chosen.unwrap_or(first);
    bar_ui(ui, view, &figures, &figure);
    others::others_ui(ui, cx, &mut view.others, &mut view.gatherer);
    ui.separator();
    let Some((number, across)) = latest else {
        ui.label("The overhauls of this record are being followed\u{2026}");
        return;
    };
    if !why.is_empty() && view.page != Page::Profiles {
        ui.label(RichText::new(why).color(cx.palette.faint_ink));
    }
    if view.follower.is_working() && view.gatherer.gathered.held >= MANY {
        ui.label("What follows is from before the last change; it is being worked out anew\u{2026}");
    }
    let subject =
        Subject { number, across: &across, figure, time: view.time(), planned: view.planned(&across) };
    if across.followed.engines.is_empty() {
        ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
            ui.heading("Nothing to follow yet");
            ui.label("How fast each cylinder wears belongs here. It takes at least one overhaul with a table of limits; with two there is a rate, with three or more it is checked how sure that is.");
            reported_ui(ui, cx, &across);
        });
        return;
    }
    match view.page {
        Page::Cylinder => {
            if let Some(history) = history_ui(ui, cx, &across) {
                cylinder::cylinder_ui(ui, cx, view, &subject, history);
            }
        }
        Page::SideBySide => side_by_side::side_by_side_ui(ui, cx, &mut view.side_by_side, &subject),
        Page::Profiles => {
            if let Some(history) = history_ui(ui, cx, &across) {
                profiles::profiles_ui(ui, cx, &mut view.profiles, &subject, history);
            }
        }
        Page::Table => table_ui(ui, cx, view, &subject, (number, across.clone())),
    }
}

/// The figure to show where none was chosen: of the chosen cylinder on its own page, else of the whole engine.
fn first(cx: &ViewCx<'_>, view: &LifeView, across: &Across) -> Option<First> {
    let cylinder = cx.cylinder().filter(|_| view.page == Page::Cylinder);
    across.first(view.time(), |member| {
        cylinder.is_none_or(|cylinder| cylinder.serial.trim() == member.trend.serial)
    })
}

fn bar_ui(ui: &mut Ui, view: &mut LifeView, figures: &[Figure], shown: &Figure) {
    ui.horizontal_wrapped(|ui| {
        for page in Page::ALL {
            if ui.selectable_label(view.page == page, page.words()).clicked() {
                view.page = page;
            }
        }
        ui.separator();
        if view.page != Page::Profiles {
            figure_ui(ui, view, figures, shown);
            ui.separator();
        }
        let words = match view.gatherer.places.len() {
            0 => "Other records".to_owned(),
            some => format!("Other records ({some})"),
        };
        if ui.selectable_label(view.others.open, words).clicked() {
            view.others.open = !view.others.open;
        }
    });
}

/// Which figure, and against what.
fn figure_ui(ui: &mut Ui, view: &mut LifeView, figures: &[Figure], shown: &Figure) {
    let label = ui.label("Figure");
    ComboBox::from_id_salt("life figure")
        .width(170.0)
        .selected_text(capitalised(&shown.words()))
        .show_ui(ui, |ui| {
            if ui.selectable_label(view.figure.is_none(), "The limit reached first").clicked() {
                view.figure = None;
            }
            for figure in figures {
                if ui.selectable_label(shown == figure, capitalised(&figure.words())).clicked() {
                    view.figure = Some(figure.clone());
                }
            }
        })
        .response
        .labelled_by(label.id);
    if ui.selectable_label(!view.by_date, "By hours").clicked() {
        view.by_date = false;
    }
    if ui.selectable_label(view.by_date, "By date").clicked() {
        view.by_date = true;
    }
}

/// The history of the chosen cylinder, or why there is none.
fn history_ui<'a>(ui: &mut Ui, cx: &ViewCx<'_>, across: &'a Across) -> Option<&'a History> {
    let Some(cylinder) = cx.cylinder() else {
        ui.label("No cylinder is chosen: choose one in the Bank on the left.");
        return None;
    };
    let serial = cylinder.serial.trim();
    if serial.is_empty() {
        ui.heading(format!("Cylinder {} cannot be followed", cylinder.position));
        ui.label("A cylinder is followed by its own serial number, because barrels change places. Write this one's on the page of the Engine (F8).");
        return None;
    }
    let engine = across.engine.as_ref();
    let history = engine.and_then(|engine| across.followed.history_on(serial, engine, &cylinder.position));
    if history.is_none() {
        ui.heading(format!("{serial} is not followed yet"));
        ui.label("No survey that can be read has this serial number here.");
        reported_ui(ui, cx, across);
    }
    history
}

/// What could not be read, and what there is to say about the records as a whole.
fn reported_ui(ui: &mut Ui, cx: &ViewCx<'_>, across: &Across) {
    for reported in across.reported.iter().take(MOST_SAID) {
        ui.label(RichText::new(reported).color(cx.palette.beyond));
    }
    if let Some(more) = across.reported.len().checked_sub(MOST_SAID).filter(|more| *more > 0) {
        ui.label(format!("And {more} more: the command `borewright trend` prints them all."));
    }
    if !across.followed.said.is_empty() {
        let said = &across.followed.said;
        egui::CollapsingHeader::new(format!("About the records as a whole ({})", said.len())).show(
            ui,
            |ui| {
                for said in said.iter().take(MOST_SAID) {
                    ui.label(said);
                }
                if let Some(more) = said.len().checked_sub(MOST_SAID).filter(|more| *more > 0) {
                    ui.label(format!("And {more} more: the command `borewright trend` prints them all."));
                }
            },
        );
    }
}

/// The field for how long it is to run on, and two buttons.
fn planned_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, view: &mut LifeView, planned: f64) {
    let time = view.time();
    let (name, step) = match time {
        Time::Hours => ("If overhauled after a further, h", 50.0),
        Time::Years => ("If overhauled after a further, years", 0.5),
    };
    let mut value = Some(planned);
    let changed = fields::number(ui, cx, &mut view.drafts, (name, name), &mut value, (0.0, time.far()));
    if let Some(value) = value.filter(|_| changed) {
        view.plan(value);
    }
    for (words, by, hint) in [("\u{2212}", -step, "Less"), ("+", step, "More")] {
        let button = ui.button(words).on_hover_text(format!("{hint} by {}", time.text(step)));
        button.widget_info(|| {
            let name = format!("{hint} running by {}", time.text(step));
            egui::WidgetInfo::labeled(egui::Role::Button, true, name)
        });
        if button.clicked() {
            view.plan((planned + by).clamp(0.0, time.far()));
        }
    }
}

fn table_ui(
    ui: &mut Ui,
    cx: &mut ViewCx<'_>,
    view: &mut LifeView,
    subject: &Subject<'_>,
    across: (u64, Arc<Across>),
) {
    ui.horizontal_wrapped(|ui| planned_ui(ui, cx, view, subject.planned));
    ui.label(RichText::new(CLOSING).color(cx.palette.faint_ink));
    let about = table::About {
        across: &across,
        figure: &subject.figure,
        time: subject.time,
        planned: subject.planned,
    };
    if let Some(figure) = table::table_ui(ui, cx, &mut view.table, &about) {
        view.figure = Some(figure);
        view.page = Page::Cylinder;
    }
}

/// A heading within a page.
fn heading(ui: &mut Ui, words: &str) {
    ui.label(RichText::new(words).font(theme::bold(HEADING - 2.0)));
}
