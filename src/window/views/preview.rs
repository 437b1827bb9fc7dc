//! The pages of the report, the blank check sheet or the tags, as they will be printed.
//!
//! Pages are set, drawn and written on threads of their own, so that nothing waits for them; what is in sight stays
//! until the new pages are there. They are set anew when the record changes, and only while the place is shown.
//! A window at rest asks for no frame.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, TryRecvError, channel};

use eframe::egui::{
    self, Color32, ColorImage, ComboBox, EventFilter, Key, Modifiers, Rect, Role, ScrollArea, Sense, Stroke,
    StrokeKind, TextStyle, TextureHandle, TextureOptions, Ui, Vec2, WidgetInfo, WidgetText, vec2,
};

use crate::browse::{Browse, Wanted};
use crate::cx::{Action, ViewCx};
use crate::dialogs::{browse_ui, entered, typed_path};
use crate::engines::engine_words;
use crate::fields::occupied_ui;
use crate::reported::reported_ui;
use paper::sheet::{For, sheet};
use paper::{Document, Judged, PageSize, Pages, Picture, Wish, data, tags};
use records::diag::{Diagnostic, WithDiagnostics};
use records::record::entry::MeasuringOrder;
use records::record::schema::EngineRecord;
use records::store::{write_atomic, write_new};
use work::evaluation::Evaluation;

/// How much one step zooms.
const ZOOM: f32 = 1.25;
/// The least and the greatest size of a page, in points of the window for a point of the page.
const ZOOMS: std::ops::RangeInclusive<f32> = 0.2..=6.0;

/// How far an arrow moves over a page that is larger than its room, in points.
const SCROLL: f32 = 90.0;
/// The longer side of a page's picture, at most, in pixels.
const LARGEST: f64 = 4096.0;

/// What is printed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum What {
    /// The report.
    #[default]
    Report,
    /// The blank check sheet.
    Sheet,
    /// Part tags.
    Tags,
}

impl What {
    /// Everything there is to print.
    pub const ALL: [Self; 3] = [Self::Report, Self::Sheet, Self::Tags];

    /// Its name.
    pub fn words(self) -> &'static str {
        match self {
            Self::Report => "Report",
            Self::Sheet => "Blank check sheet",
            Self::Tags => "Part tags",
        }
    }

    /// Its name in a file's name.
    fn name(self) -> &'static str {
        match self {
            Self::Report => "report",
            Self::Sheet => "sheet",
            Self::Tags => "tags",
        }
    }
}

/// What pages are set from: as long as it is the same, so are they.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Source {
    state: u64,
    overhaul: usize,
    what: What,
    page: PageSize,
    cylinder: Option<usize>,
    order: MeasuringOrder,
}

/// How large a page is shown.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
enum Zoom {
    /// The whole page.
    #[default]
    Page,
    /// Its whole width.
    Width,
    /// So many points of the window for a point of the page.
    Fixed(f32),
}

/// Something done on a thread of its own.
#[derive(Debug)]
struct Work<T>(Receiver<T>);

impl<T: Send + 'static> Work<T> {
    fn start(ctx: &egui::Context, job: impl FnOnce() -> T + Send + 'static) -> Self {
        let (sender, receiver) = channel();
        let ctx = ctx.clone();
        std::thread::spawn(move || {
            // Where nobody waits for it any more, nothing is lost.
            let _ = sender.send(job());
            ctx.request_repaint();
        });
        Self(receiver)
    }

    /// Its result once it is done, and the slot is free again; `Some(None)` if it broke off.
    fn poll(slot: &mut Option<Self>) -> Option<Option<T>> {
        let result = match slot.as_ref()?.0.try_recv() {
            Err(TryRecvError::Empty) => return None,
            Err(TryRecvError::Disconnected) => None,
            Ok(result) => Some(result),
        };
        *slot = None;
        Some(result)
    }
}

/// Pages that were set, and what was told of them.
#[derive(Debug)]
struct Set {
    source: Source,
    pages: Option<Arc<Pages>>,
    reported: Vec<Diagnostic>,
}

/// A page drawn: which, at how many thousandths of a pixel for a point.
type Drawn = (usize, u32);

/// A page as the window shows it.
struct Shown {
    drawn: Drawn,
    texture: TextureHandle,
}

impl std::fmt::Debug for Shown {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Shown").field("drawn", &self.drawn).finish_non_exhaustive()
    }
}

/// Where the pages are saved.
#[derive(Debug)]
struct Saving {
    path: String,
    /// A file stands there.
    occupied: bool,
}

/// What the preview keeps for itself.
#[derive(Debug, Default)]
pub struct Preview {
    what: What,
    page: PageSize,
    /// The chosen cylinder alone.
    alone: bool,
    /// Index of the page in sight.
    at: usize,
    zoom: Zoom,
    /// How large it was shown last: points of the window for a point of the page.
    scale: f32,
    set: Option<Set>,
    setting: Option<Work<Set>>,
    shown: Option<Shown>,
    drawing: Option<Work<(Drawn, Option<Picture>)>>,
    /// A page of these could not be drawn; it is not tried for ever.
    broken: bool,
    saving: Option<Saving>,
    writing: Option<Work<Result<PathBuf, Diagnostic>>>,
    browsing: Browse,
}

impl Preview {
    /// How many pages are in sight to be leafed through; none until they are set.
    pub fn pages(&self) -> Option<usize> {
        Some(self.set.as_ref()?.pages.as_ref()?.count())
    }

    /// Nothing is being set, drawn or written.
    pub fn is_at_rest(&self) -> bool {
        self.setting.is_none() && self.drawing.is_none() && self.writing.is_none()
    }

    fn source(&self, cx: &ViewCx<'_>) -> Source {
        Source {
            state: cx.session.state(),
            overhaul: cx.session.overhaul_index(),
            what: self.what,
            page: self.page,
            cylinder: self.alone.then_some(cx.chosen.cylinder),
            order: cx.prefs.order,
        }
    }

    /// The pages, if they are those of the record as it is now.
    fn current(&self, source: Source) -> Option<&Arc<Pages>> {
        self.set.as_ref().filter(|set| set.source == source)?.pages.as_ref()
    }
}

/// The content of what is to be printed; none without a table of limits, where it needs one.
fn document(source: Source, record: &EngineRecord, evaluation: &Evaluation) -> Option<Document> {
    if source.what == What::Tags {
        return Some(tags::tags(record, source.overhaul, source.cylinder, source.page));
    }
    let judged = Judged {
        record,
        overhaul: source.overhaul,
        survey: evaluation.survey.as_ref()?,
        assessments: &evaluation.assessments,
    };
    Some(match source.what {
        What::Report => data::report(judged, Wish { page: source.page, cylinder: source.cylinder }),
        What::Sheet | What::Tags => sheet(For::Overhaul(judged, source.cylinder), source.order, source.page),
    })
}

fn set(source: Source, record: &EngineRecord, evaluation: &Evaluation) -> Set {
    let Some(document) = document(source, record, evaluation) else {
        let reported = Diagnostic::error("There is no overhaul with a table of limits to print by.")
            .remedy("Start one under Engine, and give its table under Limits.");
        return Set { source, pages: None, reported: vec![reported] };
    };
    let WithDiagnostics { value, diagnostics } = document.set();
    Set { source, pages: value.map(Arc::new), reported: diagnostics }
}

/// Draws the Paper's bar, its pages and what there is to say about them.
pub(crate) fn preview_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, view: &mut Preview) {
    let source = view.source(cx);
    keep_up(ui, cx, view, source);
    ui.horizontal_wrapped(|ui| {
        choice_ui(ui, view);
        if let Some(pages) = view.pages() {
            ui.separator();
            leaf_ui(ui, view, pages);
        }
        ui.separator();
        let can_save = view.current(source).is_some() && view.writing.is_none() && view.saving.is_none();
        if ui.add_enabled(can_save, egui::Button::new("Save as PDF…")).clicked() {
            view.saving = Some(Saving { path: usual_path(cx, view), occupied: false });
        }
    });
    saving_ui(ui, cx, view, source);
    let Some(set) = &view.set else {
        ui.label("The pages are being set.");
        return;
    };
    reported_ui(ui, &cx.palette, &set.reported);
    if set_is_old(view, source) {
        ui.label("Something has changed: the pages are being set anew.");
    }
    let Some(pages) = view.set.as_ref().and_then(|set| set.pages.clone()) else { return };
    view.at = view.at.min(pages.count().saturating_sub(1));
    page_ui(ui, cx, view, &pages);
}

fn set_is_old(view: &Preview, source: Source) -> bool {
    view.set.as_ref().is_some_and(|set| set.source != source)
}

/// Takes what has been set, and sets anew what no longer fits the record.
fn keep_up(ui: &Ui, cx: &ViewCx<'_>, view: &mut Preview, source: Source) {
    if let Some(set) = Work::poll(&mut view.setting) {
        // What breaks off once would break off again: it is told, and tried anew when the record changes.
        let broken = || {
            let reported = Diagnostic::error("These pages cannot be set.")
                .remedy("Change what is printed, or print it from the command line to see more.");
            Set { source, pages: None, reported: vec![reported] }
        };
        view.set = Some(set.unwrap_or_else(broken));
        view.shown = None;
        view.drawing = None;
        view.broken = false;
    }
    let is_current = view.set.as_ref().is_some_and(|set| set.source == source);
    if !is_current && view.setting.is_none() {
        let (record, evaluation) = (cx.session.record().clone(), cx.session.evaluation().clone());
        view.setting = Some(Work::start(ui.ctx(), move || set(source, &record, &evaluation)));
    }
}

/// What to print, on which paper.
fn choice_ui(ui: &mut Ui, view: &mut Preview) {
    let label = ui.label("Print");
    let combo = ComboBox::from_id_salt("print what").selected_text(view.what.words()).show_ui(ui, |ui| {
        for what in What::ALL {
            ui.selectable_value(&mut view.what, what, what.words());
        }
    });
    combo.response.labelled_by(label.id);
    let label = ui.label("on");
    let combo = ComboBox::from_id_salt("page size").selected_text(view.page.words()).show_ui(ui, |ui| {
        for page in PageSize::ALL {
            ui.selectable_value(&mut view.page, page, page.words());
        }
    });
    combo.response.labelled_by(label.id);
    ui.checkbox(&mut view.alone, "Chosen cylinder alone");
}

/// Where the pages are leafed through, and how large they are.
fn leaf_ui(ui: &mut Ui, view: &mut Preview, pages: usize) {
    let button = |ui: &mut Ui, enabled, words: &str, key: &str| {
        ui.add_enabled(enabled, egui::Button::new(words)).on_hover_text(key).clicked()
    };
    if button(ui, view.at > 0, "Previous page", "Arrow to the left, on the page") {
        view.at = view.at.saturating_sub(1);
    }
    // As high as the buttons, so that it stands level with them where a row begins with it.
    let words = WidgetText::from(format!("Page {} of {pages}", view.at + 1));
    let words = words.into_galley(ui, None, f32::INFINITY, TextStyle::Body);
    ui.add_sized([words.size().x, 30.0], egui::Label::new(words));
    if button(ui, view.at + 1 < pages, "Next page", "Arrow to the right, on the page") {
        view.at += 1;
    }
    ui.separator();
    for (zoom, words, key) in
        [(Zoom::Page, "Whole page", "F, on the page"), (Zoom::Width, "Whole width", "W, on the page")]
    {
        if ui.selectable_label(view.zoom == zoom, words).on_hover_text(key).clicked() {
            view.zoom = zoom;
        }
    }
    for (words, factor, key) in
        [("Zoom in", ZOOM, "Plus, on the page"), ("Zoom out", 1.0 / ZOOM, "Minus, on the page")]
    {
        if button(ui, true, words, key) {
            view.zoom = Zoom::Fixed(zoomed(view.scale, factor));
        }
    }
}

fn zoomed(scale: f32, factor: f32) -> f32 {
    (scale * factor).clamp(*ZOOMS.start(), *ZOOMS.end())
}

/// Size of a page in the window.
fn shown_size(zoom: Zoom, page: (f64, f64), room: Vec2) -> f32 {
    let (width, height) = (page.0.max(1.0) as f32, page.1.max(1.0) as f32);
    let scale = match zoom {
        Zoom::Page => (room.x / width).min(room.y / height),
        // Less the width of a bar to scroll with.
        Zoom::Width => (room.x - 16.0) / width,
        Zoom::Fixed(scale) => scale,
    };
    scale.clamp(*ZOOMS.start(), *ZOOMS.end())
}

/// The page in sight.
fn page_ui(ui: &mut Ui, cx: &ViewCx<'_>, view: &mut Preview, pages: &Arc<Pages>) {
    let Some(page) = pages.size(view.at) else { return };
    let room = ui.available_size() - vec2(2.0, 2.0);
    let scale = shown_size(view.zoom, page, room);
    view.scale = scale;
    let pixels = f64::from(scale * ui.ctx().pixels_per_point());
    draw(ui, view, pages, pixels);
    let size = vec2(page.0 as f32 * scale, page.1 as f32 * scale);
    ScrollArea::both().id_salt("page").auto_shrink(false).show(ui, |ui| {
        let around = vec2(size.x.max(ui.available_width()), size.y.max(room.y - 4.0));
        let (area, _) = ui.allocate_exact_size(around, Sense::hover());
        let rect = Rect::from_center_size(area.center(), size);
        let response = ui.interact(rect, egui::Id::unique("page in sight"), Sense::click());
        // Where nothing else has the keyboard the page has it, so that it can be leafed through at once.
        if response.clicked() || ui.memory(|memory| memory.focused()).is_none() {
            response.request_focus();
        }
        let name = format!("{}, page {} of {}", view.what.words(), view.at + 1, pages.count());
        response.widget_info(|| WidgetInfo::labeled(Role::Figure, true, &name));
        let painter = ui.painter();
        painter.rect_filled(rect, 0.0, Color32::WHITE);
        if let Some(shown) = view.shown.as_ref().filter(|shown| shown.drawn.0 == view.at) {
            let whole = Rect::from_min_max(egui::pos2(0.0, 0.0), egui::pos2(1.0, 1.0));
            painter.image(shown.texture.id(), rect, whole, Color32::WHITE);
        }
        let outline = if response.has_focus() {
            Stroke::new(2.5, cx.palette.as_made)
        } else {
            Stroke::new(1.0, cx.palette.rule)
        };
        painter.rect_stroke(rect, 0.0, outline, StrokeKind::Outside);
        if response.has_focus() {
            keys(ui, view, response.id, pages.count());
        }
    });
}

/// Takes a page that has been drawn, and has it drawn anew where another one or another size is wanted.
fn draw(ui: &Ui, view: &mut Preview, pages: &Arc<Pages>, pixels: f64) {
    let drawn = Work::poll(&mut view.drawing);
    view.broken |= matches!(drawn, Some(None | Some((_, None))));
    if let Some(Some((drawn, Some(picture)))) = drawn {
        let image = ColorImage::from_rgba_unmultiplied([picture.width, picture.height], &picture.rgba);
        let texture = ui.ctx().load_texture("page", image, TextureOptions::LINEAR);
        view.shown = Some(Shown { drawn, texture });
    }
    // Beyond that it is shown larger than it is drawn: not every graphics card takes a larger picture.
    let (width, height) = pages.size(view.at).unwrap_or((1.0, 1.0));
    let pixels = pixels.min(LARGEST / width.max(height).max(1.0));
    let wanted: Drawn = (view.at, (pixels * 1000.0).floor().clamp(1.0, 1e6) as u32);
    let is_there = view.shown.as_ref().is_some_and(|shown| shown.drawn == wanted);
    if !is_there && view.drawing.is_none() && !view.broken {
        let pages = Arc::clone(pages);
        let job = move || (wanted, pages.picture(wanted.0, f64::from(wanted.1) / 1000.0));
        view.drawing = Some(Work::start(ui.ctx(), job));
    }
}

/// The keys of the page that has the keyboard.
fn keys(ui: &Ui, view: &mut Preview, id: egui::Id, pages: usize) {
    ui.memory_mut(|memory| {
        let filter =
            EventFilter { horizontal_arrows: true, vertical_arrows: true, tab: false, escape: false };
        memory.set_focus_lock_filter(id, filter);
    });
    let pressed = |key| ui.input_mut(|input| input.consume_key(Modifiers::NONE, key));
    let last = pages.saturating_sub(1);
    if pressed(Key::ArrowLeft) {
        view.at = view.at.saturating_sub(1);
    }
    if pressed(Key::ArrowRight) || pressed(Key::Space) {
        view.at = (view.at + 1).min(last);
    }
    for (key, down) in [(Key::ArrowDown, -SCROLL), (Key::ArrowUp, SCROLL)] {
        if pressed(key) {
            ui.scroll_with_delta(vec2(0.0, down));
        }
    }
    if pressed(Key::Home) {
        view.at = 0;
    }
    if pressed(Key::End) {
        view.at = last;
    }
    if pressed(Key::F) {
        view.zoom = Zoom::Page;
    }
    if pressed(Key::W) {
        view.zoom = Zoom::Width;
    }
    for (key, factor) in [(Key::Plus, ZOOM), (Key::Equals, ZOOM), (Key::Minus, 1.0 / ZOOM)] {
        if pressed(key) {
            view.zoom = Zoom::Fixed(zoomed(view.scale, factor));
        }
    }
}

/// The usual name of the PDF.
fn usual_path(cx: &ViewCx<'_>, view: &Preview) -> String {
    let as_name = |text: &str| -> String {
        let name: String = text.chars().map(|c| if c.is_alphanumeric() { c } else { '_' }).collect();
        name.split('_').filter(|part| !part.is_empty()).collect::<Vec<_>>().join("_").to_lowercase()
    };
    let engine = as_name(&engine_words(cx.session.record()));
    let date = cx.session.overhaul().map_or(String::new(), |overhaul| format!("-{}", overhaul.date));
    let one = cx.cylinder().filter(|_| view.alone);
    let one = one.map_or(String::new(), |cylinder| format!("-cylinder-{}", as_name(&cylinder.position)));
    let name = format!("{engine}{date}{one}-{}.pdf", view.what.name());
    std::env::current_dir().map_or_else(|_| name.clone(), |folder| folder.join(&name).display().to_string())
}

/// A path is typed for the PDF, since a dialog service need not run.
fn saving_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, view: &mut Preview, source: Source) {
    match Work::poll(&mut view.writing) {
        Some(Some(Ok(path))) => cx.ask(Action::Tell(Diagnostic::note("The PDF is saved.").in_file(&path))),
        Some(Some(Err(error))) => cx.ask(Action::Tell(error)),
        Some(None) => cx.ask(Action::Tell(Diagnostic::error("The PDF could not be written."))),
        None => {}
    }
    if let (Some(path), Some(saving)) = (view.browsing.chosen(), &mut view.saving) {
        saving.path = path.display().to_string();
        saving.occupied = false;
    }
    let can_save = view.current(source).is_some() && view.writing.is_none();
    let Some(mut saving) = view.saving.take() else { return };
    let mut keep = true;
    ui.horizontal_wrapped(|ui| {
        let label = ui.label("PDF file path");
        let line = egui::TextEdit::singleline(&mut saving.path).desired_width(520.0);
        let field = ui.add(line).labelled_by(label.id);
        if field.changed() {
            saving.occupied = false;
        }
        let entered = entered(ui, &field);
        let words = if saving.occupied { "Overwrite it" } else { "Save the PDF" };
        let save = ui.add_enabled(can_save, egui::Button::new(words)).clicked();
        let wanted = save || (entered && can_save && !saving.occupied);
        if let (true, Some(path)) = (wanted, pdf_path(&saving.path)) {
            if path.exists() && !saving.occupied {
                saving.occupied = true;
            } else if let Some(pages) = view.current(source).cloned() {
                // Not over a file that comes meanwhile either.
                let write = if saving.occupied { write_atomic } else { write_new };
                let job = move || write(&path, &pages.pdf()?).map(|()| path);
                view.writing = Some(Work::start(ui.ctx(), job));
                keep = false;
            }
        }
        if browse_ui(ui, view.browsing.is_open()) {
            view.browsing.open(ui.ctx(), Wanted::SaveAs("PDF", &["pdf"], file_name(&saving.path)));
        }
        if ui.button("Do not save").clicked() {
            keep = false;
        }
    });
    if saving.occupied {
        occupied_ui(ui, cx);
    }
    if keep {
        view.saving = Some(saving);
    }
}

/// A typed path, ending in `.pdf` where it has no ending.
fn pdf_path(text: &str) -> Option<PathBuf> {
    let mut path = typed_path(text)?;
    if path.extension().is_none() {
        path.set_extension("pdf");
    }
    Some(path)
}

fn file_name(path: &str) -> String {
    Path::new(path).file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned())
}
