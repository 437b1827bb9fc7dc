//! The table of cylinders by figures: how fast, when, how likely; sorted by any column.

use std::cmp::Ordering;
use std::sync::Arc;

use eframe::egui::{self, Align, Layout, RichText, Role, ScrollArea, Sense, Ui, WidgetInfo, pos2, vec2};

use crate::cx::{Action, ViewCx};
use crate::theme::{self, TEXT};
use history::across::Across;
use history::figure::{Figure, number};
use history::trend::{Time, Trend};
use quantities::length::Style;
use records::wording;

/// A column.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum Column {
    #[default]
    Cylinder,
    Figure,
    Surveys,
    Latest,
    Limit,
    /// For 100 h; not by calendar time.
    Slow,
    /// For 1 000 h or a year.
    Rate,
    Reached,
    Chance,
    Again,
}

const COLUMNS: [Column; 10] = [
    Column::Cylinder,
    Column::Figure,
    Column::Surveys,
    Column::Latest,
    Column::Limit,
    Column::Reached,
    Column::Chance,
    Column::Again,
    Column::Rate,
    Column::Slow,
];

impl Column {
    fn width(self) -> f32 {
        match self {
            Self::Cylinder => 156.0,
            Self::Figure => 176.0,
            Self::Surveys => 96.0,
            Self::Latest | Self::Limit => 108.0,
            Self::Slow => 272.0,
            Self::Rate => 252.0,
            Self::Reached => 232.0,
            Self::Chance => 150.0,
            Self::Again => 140.0,
        }
    }

    fn words(self, time: Time, style: Style, planned: f64) -> String {
        let unit = style.unit;
        match self {
            Self::Cylinder => "Cylinder".to_owned(),
            Self::Figure => "Figure".to_owned(),
            Self::Surveys => "Surveys".to_owned(),
            Self::Latest => format!("Latest, {unit}"),
            Self::Limit => format!("Limit, {unit}"),
            Self::Slow => format!("Own {unit} per 100 h (95 %)"),
            Self::Rate => format!("Own {unit} per {} (95 %)", time.per_words()),
            Self::Reached => format!("Reached after, {} (95 %)", time.symbol()),
            Self::Chance => format!("Past by {}", time.text(planned)),
            Self::Again => "Measure again".to_owned(),
        }
    }
}

/// One cylinder and figure.
#[derive(Clone, Debug)]
struct Row {
    serial: String,
    figure: Figure,
    texts: [String; COLUMNS.len()],
    /// What each column sorts by; none comes last, whichever way.
    keys: [Option<f64>; COLUMNS.len()],
}

/// What the rows were made from.
#[derive(Clone, Debug, PartialEq)]
struct Source {
    across: u64,
    time: Time,
    planned: f64,
    only: Option<Figure>,
}

/// What the table keeps for itself.
#[derive(Debug, Default)]
pub(super) struct Table {
    sort: Column,
    falling: bool,
    /// All figures rather than the chosen one.
    all: bool,
    rows: Option<(Source, Column, bool, Vec<Row>)>,
}

/// What the table is about.
pub(super) struct About<'a> {
    /// Everything followed, and its number.
    pub(super) across: &'a (u64, Arc<Across>),
    /// The chosen figure.
    pub(super) figure: &'a Figure,
    /// Hours or years.
    pub(super) time: Time,
    /// How long it is to run on.
    pub(super) planned: f64,
}

fn rate(trend: &Trend, per: f64, more: u8) -> Option<String> {
    let line = trend.own_line()?;
    let text = |rate: f64| number(rate * per, trend.style, more);
    Some(match line.slope_interval_95() {
        Some((low, high)) => format!("{} ({} to {})", text(line.slope), text(low), text(high)),
        None => format!("{} (no interval)", text(line.slope)),
    })
}

impl Row {
    fn of(place: usize, at: usize, position: &str, trend: &Trend, planned: f64) -> Self {
        const NONE: &str = "\u{2013}";
        let or_none = |text: Option<String>| text.unwrap_or_else(|| NONE.to_owned());
        let latest = trend.latest().map(|(_, reading)| reading.mm());
        let level = trend.limit_mm();
        let slope = trend.own_line().map(|line| line.slope);
        let passed = trend.is_beyond();
        let chance = trend.outlook(planned).and_then(|outlook| outlook.chance_passed);
        let mm = |value: Option<f64>| or_none(value.map(|mm| number(mm, trend.style, 0)));
        Self {
            serial: trend.serial.clone(),
            figure: trend.figure.clone(),
            texts: [
                format!("{position} · {}", trend.serial),
                trend.figure.words(),
                trend.points.len().to_string(),
                mm(latest),
                mm(level),
                or_none(trend.reached_text()),
                if passed { "passed".to_owned() } else { or_none(chance.map(wording::chance)) },
                or_none(trend.measure_text()),
                or_none(rate(trend, trend.time.per(), 1)),
                or_none(rate(trend, 100.0, 2)),
            ],
            keys: [
                Some(place as f64),
                Some(at as f64),
                Some(trend.points.len() as f64),
                latest,
                level,
                trend.reached_after(),
                if passed { Some(2.0) } else { chance },
                trend.measure_within,
                slope,
                slope,
            ],
        }
    }
}

fn rows(about: &About<'_>, only: Option<&Figure>) -> Vec<Row> {
    let stands = about.across.1.stands(about.time);
    let wanted = stands.iter().filter(|stand| only.is_none_or(|only| stand.figure == *only));
    wanted
        .enumerate()
        .flat_map(|(at, stand)| {
            stand.members.iter().enumerate().map(move |(place, member)| {
                Row::of(place, at, &member.position, &member.trend, about.planned)
            })
        })
        .collect()
}

fn sort(rows: &mut [Row], by: Column, falling: bool) {
    let column = COLUMNS.iter().position(|&column| column == by).unwrap_or(0);
    let key = |row: &Row| row.keys.get(column).copied().flatten();
    rows.sort_by(|a, b| match (key(a), key(b)) {
        (Some(a), Some(b)) if falling => b.total_cmp(&a),
        (Some(a), Some(b)) => a.total_cmp(&b),
        (Some(_), None) => Ordering::Less,
        (None, Some(_)) => Ordering::Greater,
        (None, None) => Ordering::Equal,
    });
}

/// Draws the table; gives the figure of a row that was chosen.
pub(super) fn table_ui(
    ui: &mut Ui,
    cx: &mut ViewCx<'_>,
    table: &mut Table,
    about: &About<'_>,
) -> Option<Figure> {
    let style = about.across.1.stands(about.time).first()?.style;
    let words = |column: Column| column.words(about.time, style, about.planned);
    ui.horizontal_wrapped(|ui| {
        let chosen = format!("Only {}", about.figure.words());
        if ui.selectable_label(!table.all, chosen).clicked() {
            table.all = false;
        }
        if ui.selectable_label(table.all, "All figures").clicked() {
            table.all = true;
        }
        let way = if table.falling { "largest first" } else { "smallest first" };
        let said = format!("Sorted by {}, {way}; what cannot be said stands last.", words(table.sort));
        ui.label(RichText::new(said).color(cx.palette.faint_ink));
    });
    let source = Source {
        across: about.across.0,
        time: about.time,
        planned: about.planned,
        only: (!table.all).then(|| about.figure.clone()),
    };
    let fresh = |(kept, by, falling, _): &(Source, Column, bool, Vec<Row>)| {
        *kept == source && (*by, *falling) == (table.sort, table.falling)
    };
    if !table.rows.as_ref().is_some_and(fresh) {
        let mut rows = rows(about, source.only.as_ref());
        sort(&mut rows, table.sort, table.falling);
        table.rows = Some((source, table.sort, table.falling, rows));
    }
    let columns: Vec<(usize, Column)> = COLUMNS
        .into_iter()
        .enumerate()
        .filter(|(_, column)| about.time == Time::Hours || *column != Column::Slow)
        .collect();
    let mut picked = None;
    let gap = 6.0;
    ScrollArea::horizontal().id_salt("life table across").auto_shrink(false).show(ui, |ui| {
        ui.spacing_mut().item_spacing.x = gap;
        ui.horizontal(|ui| {
            for &(_, column) in &columns {
                if head_ui(ui, table, column, &words(column)) {
                    table.falling = if table.sort == column { !table.falling } else { false };
                    table.sort = column;
                }
            }
        });
        let Some((.., rows)) = &table.rows else { return };
        let chosen = cx.cylinder().map(|cylinder| cylinder.serial.trim().to_owned());
        let high = ui.spacing().interact_size.y;
        let wide = columns.iter().map(|(_, column)| column.width() + gap).sum();
        ScrollArea::vertical().id_salt("life table down").auto_shrink([true, false]).show_rows(
            ui,
            high,
            rows.len(),
            |ui, seen| {
                ui.set_min_width(wide);
                for row in rows.get(seen).unwrap_or_default() {
                    ui.horizontal(|ui| {
                        let is_chosen = chosen.as_deref() == Some(&row.serial);
                        if row_ui(ui, row, &columns, is_chosen) {
                            picked = Some((row.serial.clone(), row.figure.clone()));
                        }
                    });
                }
            },
        );
    });
    let (serial, figure) = picked?;
    choose(cx, &serial);
    Some(figure)
}

/// Chooses the cylinder of a serial number in the overhaul that is open.
pub(super) fn choose(cx: &mut ViewCx<'_>, serial: &str) {
    let place = cx
        .session
        .overhaul()
        .and_then(|overhaul| overhaul.cylinders.iter().position(|c| c.serial.trim() == serial));
    if let Some(place) = place {
        cx.ask(Action::Cylinder(place));
    }
}

/// The head of a column; was it pressed?
fn head_ui(ui: &mut Ui, table: &Table, column: Column, words: &str) -> bool {
    let sorted = table.sort == column;
    let text = RichText::new(words).font(theme::bold(TEXT));
    let size = vec2(column.width(), ui.spacing().interact_size.y);
    let button = egui::Button::selectable(sorted, text).truncate().min_size(size);
    let response = ui.add_sized(size, button);
    if sorted {
        // An arrow, drawn: up for the smallest first.
        let (middle, half) = (pos2(response.rect.right() - 11.0, response.rect.center().y), 5.0);
        let sign = if table.falling { -1.0 } else { 1.0 };
        let colour = ui.visuals().text_color();
        ui.painter().add(egui::Shape::convex_polygon(
            vec![
                middle + vec2(0.0, -half * sign),
                middle + vec2(half, half * sign),
                middle + vec2(-half, half * sign),
            ],
            colour,
            egui::Stroke::NONE,
        ));
    }
    let state = match (sorted, table.falling) {
        (false, _) => "press to sort by it",
        (true, false) => "sorted, smallest first",
        (true, true) => "sorted, largest first",
    };
    response.widget_info(|| WidgetInfo::labeled(Role::ColumnHeader, true, format!("{words}, {state}")));
    response.clicked()
}

/// A row; was its cylinder pressed?
fn row_ui(ui: &mut Ui, row: &Row, columns: &[(usize, Column)], is_chosen: bool) -> bool {
    let mut pressed = false;
    let high = ui.spacing().interact_size.y;
    for &(place, column) in columns {
        let Some(text) = row.texts.get(place) else { continue };
        let size = vec2(column.width(), high);
        if column == Column::Cylinder {
            let response = ui.add_sized(size, egui::Button::selectable(is_chosen, text).truncate());
            let name = format!("Cylinder {text}, {}", row.figure.words());
            response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &name));
            pressed = response.on_hover_text("Show it").clicked();
            continue;
        }
        let layout = match column {
            Column::Surveys | Column::Latest | Column::Limit => Layout::right_to_left(Align::Center),
            _ => Layout::left_to_right(Align::Center),
        };
        let (rect, _) = ui.allocate_exact_size(size, Sense::hover());
        let mut cell =
            ui.new_child(egui::UiBuilder::new().max_rect(rect.shrink2(vec2(6.0, 0.0))).layout(layout));
        cell.add(egui::Label::new(text.as_str()).truncate());
    }
    pressed
}
