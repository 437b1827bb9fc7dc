//! The fields that the rows are made of: values as typed, limits and how they are stated, pairs, choices among a few,
//! and the words around them.

use eframe::egui::{self, ComboBox, RichText, Ui};

use super::remarks::RowRemarks;
use crate::cx::ViewCx;
use crate::fields::{bare, named};
use records::limits::schema::{Limit, Value, WhenBeyond};

/// Width of a number, of a reference, of a description and of a choice, in points.
pub(super) const NUMBER: f32 = 92.0;
pub(super) const REFERENCE: f32 = 44.0;
pub(super) const NAME: f32 = 150.0;
pub(super) const CHOICE: f32 = 116.0;
/// Of a limit: how it is stated, and the number.
pub(super) const SERVICEABLE: f32 = CHOICE + 8.0 + NUMBER;

/// The page under the pen.
pub(super) struct Page<'a, 'b, 'c> {
    pub(super) cx: &'a mut ViewCx<'b>,
    pub(super) beside: &'c RowRemarks<'c>,
    pub(super) wide: bool,
}

/// A row by its number, and by its name where it has one: two rows of one name stay two to the keyboard.
pub(super) fn row_name(kind: &str, index: usize, name: &str) -> String {
    let number = index + 1;
    if name.is_empty() { format!("{kind} {number}") } else { format!("{kind} {number}, {name}") }
}

/// A choice among a few.
pub(super) fn choice<T: PartialEq + Copy>(
    ui: &mut Ui,
    whole: &str,
    value: &mut T,
    of: &[(T, &str)],
    width: f32,
) {
    let shown = of.iter().find(|(known, _)| known == value).map_or("?", |(_, words)| words);
    let combo = ComboBox::from_id_salt(whole).width(width).selected_text(shown).show_ui(ui, |ui| {
        for (known, words) in of {
            ui.selectable_value(value, *known, *words);
        }
    });
    named(&combo.response, egui::Role::ComboBox, whole, shown);
}

/// Takes a row out of its list.
pub(super) fn take_out<T>(rows: &mut Vec<T>, gone: Option<usize>) {
    if let Some(i) = gone.filter(|&i| i < rows.len()) {
        rows.remove(i);
    }
}

/// A cell of fixed width with words in it.
pub(super) fn cell(ui: &mut Ui, width: f32, text: RichText) {
    let layout = egui::Layout::left_to_right(egui::Align::Center);
    ui.allocate_ui_with_layout(egui::vec2(width, 28.0), layout, |ui| {
        ui.set_min_width(width);
        let full = text.text().to_owned();
        ui.add(egui::Label::new(text).truncate()).on_hover_text(full);
    });
}

/// How a limit is stated.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Stated {
    At,
    OverNew,
    PerBore,
    PerTravel,
}

impl Stated {
    const ALL: [(Self, &'static str); 4] = [
        (Self::At, "at"),
        (Self::OverNew, "over new by"),
        (Self::PerBore, "per bore"),
        (Self::PerTravel, "per travel"),
    ];

    fn of(limit: &Limit) -> (Self, &Value) {
        match limit {
            Limit::At(value) => (Self::At, value),
            Limit::OverNew(value) => (Self::OverNew, value),
            Limit::PerBore(value) => (Self::PerBore, value),
            Limit::PerTravel(value) => (Self::PerTravel, value),
        }
    }

    fn with(self, value: Value) -> Limit {
        match self {
            Self::At => Limit::At(value),
            Self::OverNew => Limit::OverNew(value),
            Self::PerBore => Limit::PerBore(value),
            Self::PerTravel => Limit::PerTravel(value),
        }
    }
}

impl Page<'_, '_, '_> {
    pub(super) fn section(&self, ui: &mut Ui, name: &str, columns: &[(&str, f32)]) {
        ui.add_space(8.0);
        ui.heading(name);
        if !columns.is_empty() {
            ui.horizontal(|ui| {
                for (words, width) in columns {
                    cell(ui, *width, RichText::new(*words).color(self.cx.palette.faint_ink));
                }
            });
        }
    }

    pub(super) fn value(&mut self, ui: &mut Ui, whole: &str, value: &mut Value) {
        let response = bare(ui, self.cx, whole, &mut value.text, NUMBER);
        if !value.place.is_empty() {
            response.on_hover_text(&value.place);
        }
    }

    /// A value that may be left blank, which is no limit given and not a pass.
    pub(super) fn blank(&mut self, ui: &mut Ui, whole: &str, value: &mut Option<Value>) {
        let mut shown = value.clone().unwrap_or_default();
        self.value(ui, whole, &mut shown);
        let stood = value.clone().unwrap_or_default();
        if shown != stood {
            *value = Some(shown).filter(|value| !value.text.trim().is_empty());
        }
    }

    pub(super) fn limit(&mut self, ui: &mut Ui, whole: &str, limit: &mut Option<Limit>) {
        let (mut stated, value) = limit.as_ref().map_or((Stated::At, None), |limit| {
            let (stated, value) = Stated::of(limit);
            (stated, Some(value.clone()))
        });
        let (was, mut value) = ((stated, value.clone()), value);
        choice(ui, &format!("{whole}, how it is stated"), &mut stated, &Stated::ALL, CHOICE);
        self.blank(ui, whole, &mut value);
        if (stated, &value) != (was.0, &was.1) {
            *limit = value.map(|value| stated.with(value));
        }
    }

    pub(super) fn pair(&mut self, ui: &mut Ui, row: &str, new: &mut (Value, Value)) {
        self.value(ui, &format!("{row}: as made, least"), &mut new.0);
        self.value(ui, &format!("{row}: as made, most"), &mut new.1);
    }

    pub(super) fn reference(&mut self, ui: &mut Ui, row: &str, reference: &mut String) {
        bare(ui, self.cx, &format!("{row}: reference"), reference, REFERENCE);
    }

    pub(super) fn place(&mut self, ui: &mut Ui, row: &str, place: &mut String) {
        if self.wide {
            bare(ui, self.cx, &format!("{row}: place in the manual"), place, 170.0);
        }
    }

    /// Is a row to be taken away? Undo brings it back.
    pub(super) fn taken(&self, ui: &mut Ui, row: &str) -> bool {
        let button = ui.button("\u{2212}").on_hover_text(format!("Remove the row: {row}"));
        button.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, true, format!("Remove {row}")));
        button.clicked()
    }

    /// A row's description, which can be changed.
    pub(super) fn description(&mut self, ui: &mut Ui, row: &str, text: &mut String) {
        bare(ui, self.cx, &format!("{row}: description"), text, NAME - 8.0);
    }

    pub(super) fn when_beyond(&mut self, ui: &mut Ui, row: &str, when: &mut WhenBeyond) {
        let of = [(WhenBeyond::Rebore, "rebore"), (WhenBeyond::Replace, "replace")];
        choice(ui, &format!("{row}: when beyond"), when, &of, 100.0);
    }
}
