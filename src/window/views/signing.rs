//! The signature under an overhaul: signing it, what stands open before that, how a signed one stands, and its
//! amendments. One function, `signing_ui`, to be called where a signature belongs.

use eframe::egui::{Button, Frame, Label, RichText, Ui};

use crate::cx::{Action, ViewCx, today};
use crate::fields::{faint, line};
use crate::theme::{self, TEXT};
use records::diag::Diagnostic;
use records::record::schema::{Amendment, Overhaul, Seal};
use records::wording::capitalised;
use work::seal::{Signature, Unresolved, words};
use work::session::Command;

/// So many sentences are listed before the rest is only counted.
const MOST_LISTED: usize = 40;

/// What the signature keeps for itself.
#[derive(Debug, Default)]
pub struct SigningView {
    /// The overhaul that the fields are filled for, and whether it was signed then.
    about: Option<(usize, bool)>,
    name: String,
    certificate: String,
    date: String,
    why: String,
    wrong: Option<Diagnostic>,
    /// What stands open, and the overhaul and state of the record that this was found in.
    open: Option<(usize, u64, Unresolved)>,
}

impl SigningView {
    /// Fills the fields for the chosen overhaul, if they are still another's.
    fn settle(&mut self, index: usize, overhaul: &Overhaul) {
        let about = Some((index, overhaul.seal.is_some()));
        if self.about == about {
            return;
        }
        *self = Self { about, date: today().to_string(), ..Self::default() };
        // Whoever measured is likely to sign; whoever amends names himself.
        if overhaul.seal.is_none() {
            self.name.clone_from(&overhaul.inspector.name);
            self.certificate.clone_from(&overhaul.inspector.certificate);
        }
    }

    /// Who signs, as it is typed.
    fn signature(&self) -> Result<Signature, Diagnostic> {
        let date = self.date.trim().parse().map_err(|_| {
            Diagnostic::error(format!("`{}` is no day.", self.date.trim()))
                .remedy("Write it like 2024-02-29.")
        })?;
        let signature = Signature { name: self.name.clone(), certificate: self.certificate.clone(), date };
        signature.check().map(|()| signature)
    }
}

/// Draws the signature of the chosen overhaul.
pub(crate) fn signing_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, view: &mut SigningView) {
    let Some(overhaul) = cx.session.overhaul() else {
        ui.label("There is no overhaul to sign. Add one, and measure.");
        return;
    };
    view.settle(cx.session.overhaul_index(), overhaul);
    match &overhaul.seal {
        None => unsigned_ui(ui, cx, view, overhaul),
        Some(seal) => {
            state_ui(ui, cx, overhaul, seal);
            amendments_ui(ui, cx, overhaul, seal);
            match &seal.open {
                Some(open) => open_ui(ui, cx, overhaul, open),
                None => start_ui(ui, cx, view),
            }
        }
    }
    ui.add_space(6.0);
    faint(ui, cx, words::WHAT_IT_SHOWS);
}

// ---- before signing

fn unsigned_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, view: &mut SigningView, overhaul: &Overhaul) {
    let (index, state) = (cx.session.overhaul_index(), cx.session.state());
    let found = view.open.take().filter(|(i, s, _)| (*i, *s) == (index, state));
    let (_, _, open) = found.unwrap_or_else(|| (index, state, unresolved(cx, overhaul)));
    if open.nothing_measured {
        ui.label("Nothing at all is measured: there is nothing to sign yet. Type the readings on the Sheet.");
    } else if open.items.is_empty() {
        ui.label("Nothing stands open: every cylinder is measured, looked over and decided.");
    } else {
        let words = format!("Still open at the overhaul of {}", overhaul.date);
        ui.label(RichText::new(words).font(theme::bold(TEXT)));
        for item in open.items.iter().take(MOST_LISTED) {
            item_ui(ui, item, None);
        }
        if let Some(more) = open.items.len().checked_sub(MOST_LISTED).filter(|more| *more > 0) {
            item_ui(ui, &format!("and {more} more"), None);
        }
        faint(ui, cx, "It can be signed all the same: the record shows what was open.");
    }
    ui.add_space(6.0);
    let may = !open.nothing_measured;
    view.open = Some((index, state, open));
    who_ui(ui, cx, view, "signs");
    wrong_ui(ui, cx, view);
    let button = ui.add_enabled(may, Button::new("Sign this overhaul"));
    if button.clicked() {
        match view.signature() {
            Ok(by) => cx.ask(Action::Do(Command::Sign(by))),
            Err(wrong) => view.wrong = Some(wrong),
        }
    }
    ui.label(
        "Signed, it is closed: nothing in it can be changed but by an amendment that says who, when and why. \
         Undo takes a signature back only until the record is saved.",
    );
}

fn unresolved(cx: &ViewCx<'_>, overhaul: &Overhaul) -> Unresolved {
    let evaluation = cx.session.evaluation();
    Unresolved::of(overhaul, evaluation.survey.as_ref(), &evaluation.assessments, &evaluation.diagnostics)
}

/// The person's name, certificate and day.
fn who_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, view: &mut SigningView, verb: &str) {
    let mut changed = false;
    ui.horizontal_wrapped(|ui| {
        let name = format!("Name of whoever {verb}");
        changed |= line(ui, cx, "Name", &name, &mut view.name, 220.0).changed();
        let name = format!("Certificate or licence of whoever {verb}");
        let certificate = &mut view.certificate;
        changed |= line(ui, cx, "Certificate or licence", &name, certificate, 180.0).changed();
        let name = if verb == "signs" { "Day of signing" } else { "Day of amending" };
        changed |= line(ui, cx, "Day", name, &mut view.date, 110.0).changed();
    });
    if changed {
        view.wrong = None;
    }
}

fn wrong_ui(ui: &mut Ui, cx: &ViewCx<'_>, view: &SigningView) {
    if let Some(wrong) = &view.wrong {
        ui.label(RichText::new(format!("{} {}", wrong.message, wrong.remedy)).color(cx.palette.beyond));
    }
}

/// A sentence of a list.
fn item_ui(ui: &mut Ui, text: &str, colour: Option<eframe::egui::Color32>) {
    ui.horizontal_top(|ui| {
        ui.label("\u{2013}");
        let mut text = RichText::new(text);
        if let Some(colour) = colour {
            text = text.color(colour);
        }
        ui.add(Label::new(text).wrap());
    });
}

// ---- once signed

fn state_ui(ui: &mut Ui, cx: &ViewCx<'_>, overhaul: &Overhaul, seal: &Seal) {
    let Some(verdict) = &cx.session.evaluation().signed else { return };
    let text = RichText::new(words::verdict_words(seal, verdict)).font(theme::bold(TEXT));
    if verdict.holds() {
        ui.add(Label::new(text).wrap());
    } else {
        Frame::new().fill(cx.palette.attention_ground).inner_margin(8.0).show(ui, |ui| {
            ui.set_width(ui.available_width());
            ui.add(Label::new(text.color(cx.palette.ink)).wrap());
            for broken in &verdict.broken {
                item_ui(ui, &words::broken_words(broken, overhaul), Some(cx.palette.ink));
            }
            ui.label("Compare it with a copy from the day of signing.");
        });
    }
    let digest = seal.amendments.last().map_or(&seal.digest, |amendment| &amendment.digest);
    faint(ui, cx, format!("SHA-256 {digest}"));
}

fn amendments_ui(ui: &mut Ui, cx: &ViewCx<'_>, overhaul: &Overhaul, seal: &Seal) {
    for (number, amendment) in (1..).zip(&seal.amendments) {
        ui.add_space(4.0);
        let words = format!("Amendment {number}, {}", words::who_words(amendment));
        ui.label(RichText::new(words).font(theme::bold(TEXT)));
        amendment_ui(ui, cx, overhaul, amendment);
    }
}

fn amendment_ui(ui: &mut Ui, cx: &ViewCx<'_>, overhaul: &Overhaul, amendment: &Amendment) {
    for change in amendment.changes.iter().take(MOST_LISTED) {
        item_ui(ui, &capitalised(&words::change_words(change, overhaul)), None);
    }
    if let Some(more) = amendment.changes.len().checked_sub(MOST_LISTED).filter(|more| *more > 0) {
        faint(ui, cx, format!("and {more} more"));
    }
}

fn open_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, overhaul: &Overhaul, open: &Amendment) {
    ui.add_space(4.0);
    let words = format!("Amendment under way, {}", words::who_words(open));
    ui.label(RichText::new(words).font(theme::bold(TEXT)));
    if open.changes.is_empty() {
        ui.label("Nothing is changed yet. Change it at its place, then come back and close the amendment.");
    }
    amendment_ui(ui, cx, overhaul, open);
    let words = if open.changes.is_empty() { "Take the amendment back" } else { "Close the amendment" };
    if ui.button(words).clicked() {
        cx.ask(Action::Do(Command::CloseAmendment));
    }
}

fn start_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, view: &mut SigningView) {
    ui.add_space(8.0);
    ui.label(RichText::new("Amend it").font(theme::bold(TEXT)));
    who_ui(ui, cx, view, "amends");
    ui.horizontal_wrapped(|ui| {
        if line(ui, cx, "Why", "Why it is amended", &mut view.why, 420.0).changed() {
            view.wrong = None;
        }
    });
    wrong_ui(ui, cx, view);
    if ui.button("Start an amendment").clicked() {
        let written = view.signature().and_then(|by| work::seal::sign::check_why(&view.why).map(|()| by));
        match written {
            Ok(by) => {
                cx.ask(Action::Do(Command::Amend(by, view.why.clone())));
                view.why.clear();
            }
            Err(wrong) => view.wrong = Some(wrong),
        }
    }
    ui.label(
        "From then on the overhaul can be changed, and each value is kept as it was before and as it is.",
    );
}
