//! The Bank: every cylinder of the chosen overhaul in its place on the engine, its outcome, the first reason for it,
//! and how far along it is. Always in sight.

use eframe::egui::{
    self, Align2, Rect, RichText, Role, ScrollArea, Sense, Stroke, StrokeKind, Ui, WidgetInfo, pos2, vec2,
};

use crate::command::UserCommand;
use crate::cx::{Action, ViewCx};
use crate::symbols::{outcome_colour, paint_outcome};
use crate::theme::{self, Palette, TEXT};
use judging::Recommendation;
use judging::reason::brief;
use records::record::schema::Cylinder as Written;
use records::wording::capitalised;
use work::session::Mark;

/// How far along a cylinder is: letter, word, done.
fn progress(written: &Written, measured: (usize, usize)) -> [(&'static str, String, bool); 5] {
    let mark = |mark: Mark, letter| (letter, mark.words().to_owned(), mark.is_set(written));
    let (done, all) = measured;
    [
        mark(Mark::Tagged, "T"),
        mark(Mark::Cleaned, "C"),
        mark(Mark::LookedOver, "L"),
        ("M", format!("{done} of {all} places measured"), done == all && all > 0),
        ("D", "decided by a person".to_owned(), written.disposition.is_some()),
    ]
}

/// Draws the bank.
pub(crate) fn bank_ui(ui: &mut Ui, cx: &mut ViewCx<'_>) {
    let session = cx.session;
    ui.horizontal(|ui| {
        ui.heading("Bank");
        let outcomes = &session.evaluation().assessments;
        let open = outcomes.iter().filter(|a| a.recommendation == Recommendation::NotDecided).count();
        if open > 0 {
            ui.label(
                RichText::new(format!("{open} of {} not decided", outcomes.len()))
                    .color(cx.palette.faint_ink),
            );
        }
    });
    signed_ui(ui, cx);
    if session.cylinders() == 0 {
        ui.label(
            "No cylinder yet. Open a record, or start one: it gets the cylinders of its table of limits.",
        );
        return;
    }
    ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
        for index in 0..session.cylinders() {
            cylinder_ui(ui, cx, index);
        }
        ui.add_space(4.0);
        ui.label(
            RichText::new("T tagged, C cleaned, L looked over, M measured, D decided by a person")
                .color(cx.palette.faint_ink),
        );
    });
}

/// How the signature of the chosen overhaul stands; nothing where it is not signed.
fn signed_ui(ui: &mut Ui, cx: &mut ViewCx<'_>) {
    let session = cx.session;
    let seal = session.overhaul().and_then(|overhaul| overhaul.seal.as_ref());
    let Some((seal, verdict)) = seal.zip(session.evaluation().signed.as_ref()) else { return };
    let by = format!("by {} on {}", seal.name, seal.date);
    let (ground, head, rest) = match (verdict.holds(), verdict.open) {
        (false, _) => (cx.palette.attention_ground, "Changed after signing", format!("It was signed {by}.")),
        (true, true) => (
            cx.palette.attention_ground,
            "Under amendment",
            format!(
                "It was signed {by}. What is changed now is written down; close the amendment at the end."
            ),
        ),
        (true, false) => (
            cx.palette.paper,
            "Signed",
            format!("{}. Read-only: a change is an amendment.", capitalised(&by)),
        ),
    };
    let frame = egui::Frame::new().fill(ground).stroke(Stroke::new(1.0, cx.palette.ink)).inner_margin(8.0);
    frame.show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.label(RichText::new(head).font(theme::bold(TEXT)).color(cx.palette.ink));
        ui.add(egui::Label::new(RichText::new(rest).color(cx.palette.ink)).wrap());
        if ui.button("Go to the signature").clicked() {
            cx.ask(Action::User(UserCommand::Signature));
        }
    });
    ui.add_space(4.0);
}

fn cylinder_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, index: usize) {
    let session = cx.session;
    let Some(written) = session.cylinder(index) else { return };
    let evaluation = session.evaluation();
    let judged = evaluation.cylinder(index).zip(evaluation.limits());
    let steps = progress(written, evaluation.measured(index));
    let outcome = judged.map_or(Recommendation::NotDecided, |((_, assessment), _)| assessment.recommendation);
    let words = judged.map_or_else(|| "not decided".to_owned(), |(_, limits)| outcome.words(limits));
    let why = judged.and_then(|((cylinder, assessment), limits)| {
        brief(assessment, cylinder, limits, cx.prefs.shown(cylinder.style(limits)))
    });

    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), 92.0), Sense::click());
    let chosen = cx.chosen.cylinder == index;
    let name = format!(
        "Cylinder {}, {}: {words}{}; {}",
        written.position,
        if written.serial.is_empty() { "no serial" } else { &written.serial },
        why.as_ref().map_or(String::new(), |why| format!(", {why}")),
        steps
            .iter()
            .map(|(_, step, done)| if *done || step.contains("measured") {
                step.clone()
            } else {
                format!("not {step}")
            })
            .collect::<Vec<_>>()
            .join(", "),
    );
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, chosen, &name));
    if response.clicked() {
        cx.ask(Action::Cylinder(index));
    }
    if ui.is_rect_visible(rect) {
        let focus = response.has_focus() || response.hovered();
        let face =
            Face { written, outcome, words: &words, why: why.as_deref(), steps: &steps, chosen, focus };
        paint(ui, rect, &face, &cx.palette);
    }
    response.on_hover_text(
        steps
            .iter()
            .map(|(_, step, done)| format!("{}{step}", if *done { "" } else { "not yet: " }))
            .collect::<Vec<_>>()
            .join("\n"),
    );
}

/// What a cylinder of the bank shows.
struct Face<'a> {
    written: &'a Written,
    outcome: Recommendation,
    words: &'a str,
    /// The first reason, in a few words.
    why: Option<&'a str>,
    steps: &'a [(&'static str, String, bool); 5],
    chosen: bool,
    focus: bool,
}

fn paint(ui: &Ui, rect: Rect, face: &Face<'_>, palette: &Palette) {
    let colour = outcome_colour(face.outcome, palette);
    let painter = ui.painter().with_clip_rect(rect.expand(2.0).intersect(ui.clip_rect()));
    let ground = if face.chosen { palette.chosen_ground } else { palette.paper };
    let outline = match (face.focus, face.chosen) {
        (true, _) => Stroke::new(2.5, palette.as_made),
        (false, true) => Stroke::new(2.0, palette.ink),
        (false, false) => Stroke::new(1.0, palette.rule),
    };
    painter.rect(rect.shrink(1.0), 2.0, ground, outline, StrokeKind::Inside);
    // The tint, third after the symbol and the word.
    let stripe = Rect::from_min_size(rect.min + vec2(2.0, 2.0), vec2(6.0, rect.height() - 4.0));
    painter.rect_filled(stripe, 0.0, colour);
    let symbol = Rect::from_min_size(rect.min + vec2(14.0, 7.0), egui::Vec2::splat(38.0));
    paint_outcome(&painter, symbol, face.outcome, colour);

    let (edge, left) = (rect.left() + 16.0, rect.left() + 60.0);
    let right = rect.right() - 8.0;
    let line = |y: f32, text: &str, font: egui::FontId, colour: egui::Color32, from: f32, to: f32| {
        let room = (to - from).max(10.0);
        let laid = |size: f32| {
            let font = egui::FontId::new(size, font.family.clone());
            let mut job = egui::text::LayoutJob::simple_singleline(text.to_owned(), font, colour);
            job.wrap = egui::text::TextWrapping::truncate_at_width(room);
            ui.fonts_mut(|fonts| fonts.layout_job(job))
        };
        // A little smaller before a figure loses its end.
        let galley = laid(font.size);
        let galley = if galley.elided { laid(0.85 * font.size) } else { galley };
        let width = galley.size().x;
        painter.galley(pos2(from, rect.top() + y), galley, colour);
        from + width
    };
    let after = line(6.0, &face.written.position, theme::bold(TEXT + 3.0), palette.ink, left, right);
    let serial = if face.written.serial.is_empty() { "no serial" } else { &face.written.serial };
    line(8.0, serial, theme::plain(TEXT), palette.faint_ink, after + 10.0, right);
    // On the chosen ground only ink is sure to be readable.
    let word = if face.chosen { palette.ink } else { colour };
    line(26.0, face.words, theme::bold(TEXT), word, left, right);
    let why = face.why.unwrap_or("nothing measured against a limit");
    line(47.0, why, theme::plain(TEXT), palette.ink, edge, right);

    let side = 20.0;
    for (i, (letter, _, done)) in face.steps.iter().enumerate() {
        let corner = pos2(edge + (i as f32) * (side + 5.0), rect.bottom() - side - 5.0);
        let square = Rect::from_min_size(corner, egui::Vec2::splat(side));
        let (fill, ink) = if *done { (palette.ink, ground) } else { (ground, palette.faint_ink) };
        painter.rect(square, 2.0, fill, Stroke::new(1.0, palette.faint_ink), StrokeKind::Inside);
        painter.text(square.center(), Align2::CENTER_CENTER, letter, theme::plain(13.0), ink);
    }
}
