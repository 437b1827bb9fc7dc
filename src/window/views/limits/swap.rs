//! Another revision: read from a file or taken from the record, and what it would change, seen before it is accepted.

use eframe::egui::{RichText, ScrollArea, Ui};

use super::LimitsView;
use super::remarks::RowRemarks;
use crate::browse::Wanted;
use crate::cx::{Action, ViewCx};
use crate::dialogs::{browse_ui, entered, typed_path};
use crate::fields::line;
use crate::symbols;
use crate::theme::{self, TEXT};
use records::diag;
use records::file;
use records::limits::validate::validate;
use records::wording::capitalised;
use work::session::Command;
use work::session::swap::Swap;

pub(super) fn swap_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, view: &mut LimitsView) {
    let session = cx.session;
    ScrollArea::vertical().id_salt("swap").auto_shrink(false).show(ui, |ui| {
        ui.label(
            "Read another revision, and see what it would change before this overhaul is judged by it. The \
             record keeps the table it had.",
        );
        let mut read = None;
        let chosen = view.browse.chosen().map(|path| view.path = path.display().to_string()).is_some();
        ui.horizontal_wrapped(|ui| {
            let field = line(ui, cx, "File", "File with a table of limits", &mut view.path, 380.0);
            let entered = entered(ui, &field);
            let (kind, endings) = ("Table of limits", &["ron"]);
            if browse_ui(ui, view.browse.is_open()) {
                view.browse.open(ui.ctx(), Wanted::File(kind, endings));
            }
            if ui.button("Read it").clicked() || entered || chosen {
                let reported = file::load_limits(&typed_path(&view.path).unwrap_or_default());
                view.wrong = reported.diagnostics;
                read = reported.value;
            }
        });
        let here = session.table().map(|(index, _)| index);
        let others = session.record().tables.iter().enumerate().filter(|(index, _)| Some(*index) != here);
        ui.horizontal_wrapped(|ui| {
            for (_, table) in others {
                let words = format!("{}, revision {}, from this record", table.identity, table.revision);
                if ui.button(words).clicked() {
                    view.wrong.clear();
                    read = Some(table.clone());
                }
            }
        });
        if let Some(table) = read {
            let mut remarks = validate(&table);
            match session.swap_preview(&table) {
                Ok(swap) => view.swap = Some((session.state(), swap)),
                Err(errors) => {
                    view.swap = None;
                    remarks.extend(errors);
                }
            }
            for remark in remarks {
                if !view
                    .wrong
                    .iter()
                    .any(|known| known.message == remark.message && known.path == remark.path)
                {
                    view.wrong.push(remark);
                }
            }
        }
        for diagnostic in &diag::reported(&view.wrong) {
            RowRemarks::remark_ui(ui, cx, diagnostic, true);
        }
        // What was worked out for a record that has changed since is worked out anew.
        let state = session.state();
        let stale = view.swap.as_ref().is_some_and(|(of, _)| *of != state);
        if stale && let Some((_, swap)) = view.swap.take() {
            view.swap = session.swap_preview(&swap.table).ok().map(|swap| (state, swap));
        }
        let mut done = false;
        if let Some((_, swap)) = &view.swap {
            done = changes_ui(ui, cx, swap);
        }
        if done {
            view.swap = None;
            view.wrong.clear();
            view.swapping = false;
        }
    });
}

/// What another table would change; says whether it was accepted or left.
fn changes_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, swap: &Swap) -> bool {
    ui.add_space(8.0);
    ui.heading(format!("By {}, revision {}", swap.table.identity, swap.table.revision));
    if swap.table.source.is_illustrative() {
        ui.label(
            RichText::new("Illustrative: invented for practice, not for any real engine.")
                .color(cx.palette.attention),
        );
    }
    let differing = swap.changes.iter().filter(|change| change.differs()).count();
    ui.label(match differing {
        0 => "No outcome would change.".to_owned(),
        1 => "The outcome of 1 cylinder would change.".to_owned(),
        _ => format!("The outcome of {differing} cylinders would change."),
    });
    for change in &swap.changes {
        ui.horizontal_wrapped(|ui| {
            symbols::outcome(ui, 24.0, change.then.0);
            let now = change.now.as_ref().map_or("cannot be judged", |(_, words)| words.as_str());
            let name = capitalised(&change.cylinder);
            if change.differs() {
                let colour = symbols::outcome_colour(change.then.0, &cx.palette);
                let words = format!("{name}: {} instead of {now}", change.then.1);
                ui.label(RichText::new(words).font(theme::bold(TEXT)).color(colour));
            } else {
                ui.label(format!("{name}: {now}, the same"));
            }
        });
    }
    for diagnostic in &diag::reported(&swap.diagnostics) {
        RowRemarks::remark_ui(ui, cx, diagnostic, true);
    }
    let mut done = false;
    ui.horizontal_wrapped(|ui| {
        if ui.button("Judge this overhaul by it").clicked() {
            cx.ask(Action::Do(Command::SwapLimits(Box::new(swap.table.clone()))));
            done = true;
        }
        if ui.button("Leave it").clicked() {
            done = true;
        }
    });
    done
}
