//! The window's application: what it owns, what happens between frames, how a frame is laid out.

use std::path::{Path, PathBuf};

use eframe::egui::{self, Frame, Key, Margin, Modifiers, Panel, RichText, ScrollArea, Ui, ViewportCommand};

use super::browse::{Browse, Wanted};
use super::dialogs::{AfterPrompt, Answer, Dialog};
use super::engines::engine_words;
use super::hidden::Hidden;
use super::keystrokes::OneAtATime;
use super::lesson::{self, LessonCx, LessonView};
use super::open_document::{OpenDocument, copies};
use super::prefs::Prefs;
use super::theme::{self, Palette};
use super::tour::Tour;
use super::views::paper::PaperPart;
use super::views::{
    bank, bore, engine, exchange, fits, head, life, limits, outcome, paper as on_paper, sheet, start,
    walkround,
};
use crate::command::{Menu, UserCommand};
use crate::cx::{Action, ViewCx, today};
use crate::place::Place;
use records::diag::{self, Diagnostic, Severity};
use records::disk::Fingerprint;
use records::file;
use records::folder::absolute;
use records::store::NotWritten;
use records::store::recovery::{self, RecoveredFile};
#[cfg(unix)]
use records::store::signals::{self, Ending};
use records::wording::visible;
use work::session::{Command, NewOverhaul, Session};

/// From this width in points on, the places of the bench are seen together.
const BENCH_WIDTH: f32 = 1340.0;

/// Height of the sheet of a usual engine with what stands around it, in points.
const SHEET_HEIGHT: f32 = 720.0;

/// The key under which preferences are kept.
const PREFS: &str = "prefs";

/// What the window is opened with.
#[derive(Debug, Default)]
pub struct Setup {
    /// A file to open.
    pub file: Option<PathBuf>,
    /// The program's own folder, for recovery copies and locks; none: there are none.
    pub folder: Option<PathBuf>,
}

/// The window.
pub struct App {
    prefs: Prefs,
    folder: Option<PathBuf>,
    document: Option<OpenDocument>,
    dialog: Option<Dialog>,
    notices: Vec<Diagnostic>,
    leftovers: Vec<RecoveredFile>,
    /// A file that was dropped while a question was open.
    dropped: Option<PathBuf>,
    #[cfg(unix)]
    ending: Option<Ending>,
    /// The system's dialog, while it is open.
    browsing: Browse,
    tour: Option<Tour>,
    title: String,
    may_quit: bool,
    applied_look: Option<(super::prefs::Shade, u16)>,
    lesson: LessonView,
    /// The Lesson is in front though no record is that is open.
    in_lesson: bool,
}

impl App {
    /// Makes the window's application.
    pub fn new(cc: &eframe::CreationContext<'_>, setup: Setup) -> Self {
        theme::install(&cc.egui_ctx);
        cc.egui_ctx.add_plugin(OneAtATime::default());
        cc.egui_ctx.add_plugin(Hidden);
        cc.egui_ctx.options_mut(|options| options.zoom_with_keyboard = false);
        let prefs = cc.storage.and_then(|storage| eframe::get_value(storage, PREFS)).unwrap_or_default();
        let mut app = Self {
            prefs,
            folder: setup.folder,
            document: None,
            dialog: None,
            notices: Vec::new(),
            leftovers: Vec::new(),
            dropped: None,
            #[cfg(unix)]
            ending: None,
            browsing: Browse::default(),
            tour: None,
            title: String::new(),
            may_quit: false,
            applied_look: None,
            lesson: LessonView::default(),
            in_lesson: false,
        };
        app.look_for_copies();
        if let Some(file) = setup.file {
            app.open(&file);
        }
        app
    }

    /// Copies what is typed, and ends, when the system asks for it.
    #[cfg(unix)]
    pub(super) fn end_when_asked(&mut self, ctx: egui::Context) {
        match Ending::watch(move || ctx.request_repaint()) {
            Ok(ending) => self.ending = Some(ending),
            Err(error) => self.tell(Diagnostic::note(format!(
                "What is typed in the last second before the system ends the program will be lost: {error}."
            ))),
        }
    }

    /// The record that is open.
    pub fn document(&self) -> Option<&OpenDocument> {
        self.document.as_ref()
    }

    /// The classroom.
    pub fn lesson(&self) -> &LessonView {
        &self.lesson
    }

    /// Is the Lesson in front?
    fn is_lesson(&self) -> bool {
        self.document.as_ref().map_or(self.in_lesson, |document| document.place == Place::Classroom)
    }

    /// The record that undo is about.
    fn session_in_front(&self) -> Option<&Session> {
        if self.is_lesson() {
            self.lesson.session_in_hand()
        } else {
            self.document.as_ref().map(|document| &document.session)
        }
    }

    /// The person's preferences.
    pub fn prefs(&self) -> &Prefs {
        &self.prefs
    }

    /// What the person is being told.
    pub fn notices(&self) -> &[Diagnostic] {
        &self.notices
    }

    // ---- between frames

    fn look(&mut self, ctx: &egui::Context) {
        let wanted = (self.prefs.shade, self.prefs.text_percent);
        if self.applied_look != Some(wanted) {
            ctx.set_theme(egui::ThemePreference::from(wanted.0));
            ctx.set_zoom_factor(f32::from(wanted.1) / 100.0);
            self.applied_look = Some(wanted);
        }
        let title = match &self.document {
            Some(document) => document.title(),
            None if self.in_lesson => "Classroom \u{2013} Borewright".to_owned(),
            None => "Borewright".to_owned(),
        };
        if title != self.title {
            ctx.send_viewport_cmd(ViewportCommand::Title(visible(&title).into_owned()));
            self.title = title;
        }
    }

    /// Every record under work.
    fn desks(&mut self) -> impl Iterator<Item = &mut OpenDocument> {
        self.document.iter_mut().chain(self.lesson.record_mut())
    }

    fn tend_copies(&mut self, ctx: &egui::Context) {
        if let Some(wait) = self.desks().filter_map(OpenDocument::tend_copy).min() {
            ctx.request_repaint_after(wait);
        }
    }

    /// The system asks the program to end: what is typed is copied, and nothing is asked.
    #[cfg(unix)]
    fn end_if_asked(&mut self) {
        if let Some(signal) = self.ending.as_ref().and_then(Ending::asked) {
            let failed: Vec<_> = self.desks().filter_map(|document| document.copy_now().err()).collect();
            for error in failed {
                // The window is about to go: only who started the program can still be told.
                let _ = std::io::Write::write_fmt(&mut std::io::stderr(), format_args!("{error}\n"));
            }
            signals::end(signal);
        }
    }

    /// Looks which recovery copies have no window any more.
    fn look_for_copies(&mut self) {
        let left = self.folder.as_deref().map(|folder| recovery::left_behind(&copies(folder)));
        let left = left.unwrap_or_default();
        self.leftovers = left.copies;
        left.reported.into_iter().for_each(|reported| self.tell(reported));
    }

    /// A recovery copy of a file, unless it holds just what is saved there.
    fn copy_of(&mut self, path: &Path) -> Option<RecoveredFile> {
        self.look_for_copies();
        let saved = file::read_text(path).ok();
        let is_saved =
            |left: &RecoveredFile| left.copy.is_only_record() && Some(&left.copy.text) == saved.as_ref();
        let (done, left): (Vec<_>, Vec<_>) = std::mem::take(&mut self.leftovers)
            .into_iter()
            .partition(|left| left.copy.is_of(path) && is_saved(left));
        done.iter().filter_map(RecoveredFile::take).for_each(recovery::Taken::discard);
        self.leftovers = left;
        self.leftovers.iter().find(|left| left.copy.is_of(path)).cloned()
    }

    /// Takes what the system's dialog says.
    fn poll_browsing(&mut self) {
        let Some(chosen) = self.browsing.chosen() else { return };
        match &mut self.dialog {
            Some(Dialog::Open { .. }) => self.answer(Answer::Open(chosen)),
            Some(Dialog::SaveAs { then, .. }) => {
                let then = then.clone();
                self.answer(Answer::SaveTo(chosen, then));
            }
            // The question that the dialog was for is answered or gone; no other one asks for a file.
            Some(
                Dialog::Unsaved { .. }
                | Dialog::Occupied { .. }
                | Dialog::Left { .. }
                | Dialog::Forget { .. }
                | Dialog::New { .. }
                | Dialog::AddOverhaul { .. }
                | Dialog::Keys
                | Dialog::Cautions,
            )
            | None => {}
        }
    }

    fn browse(&mut self, ctx: &egui::Context) {
        let saving = matches!(self.dialog, Some(Dialog::SaveAs { .. }));
        let name = self
            .document
            .as_ref()
            .map_or_else(|| "engine.ron".to_owned(), |document| file_name(&document.session));
        let (kind, endings) = ("Engine record", &["ron"]);
        let wanted = if saving { Wanted::SaveAs(kind, endings, name) } else { Wanted::File(kind, endings) };
        self.browsing.open(ctx, wanted);
    }

    // ---- what is asked for

    pub(super) fn tell(&mut self, diagnostic: Diagnostic) {
        if !self.notices.contains(&diagnostic) {
            self.notices.push(diagnostic);
        }
    }

    fn put(&mut self, document: OpenDocument) {
        self.notices.clear();
        if let Some(old) = &mut self.document {
            old.forget_copy();
        }
        self.document = Some(document);
        self.in_lesson = false;
    }

    /// Opens a file, or asks about its recovery copy first.
    fn open(&mut self, path: &Path) {
        match self.copy_of(path) {
            Some(left) => self.dialog = Some(Dialog::Left { path: path.to_owned(), left }),
            None => self.open_saved(path),
        }
    }

    fn open_saved(&mut self, path: &Path) {
        match OpenDocument::open(path, self.folder.as_deref()) {
            Ok((document, notes)) => {
                self.put(document);
                self.prefs.remember(path);
                self.notices = diag::reported(&notes);
            }
            Err(wrong) => {
                self.dialog = Some(Dialog::Open { path: path.display().to_string(), wrong });
            }
        }
    }

    /// Does something now, or asks first if that would lose changes.
    fn unless_unsaved(&mut self, then: AfterPrompt) {
        match &self.document {
            Some(document) if document.session.is_unsaved() || document.views.limits.has_draft() => {
                let table = document.views.limits.has_draft();
                self.dialog = Some(Dialog::Unsaved { name: document.name(), table, then });
            }
            _ => self.then(then),
        }
    }

    /// Asks whether the exercise in hand may be lost.
    fn ask_of_exercise(&mut self) {
        let name = self.lesson.record().map(OpenDocument::name).unwrap_or_default();
        self.dialog = Some(Dialog::Unsaved { name, table: false, then: AfterPrompt::ForgetExercise });
    }

    fn then(&mut self, then: AfterPrompt) {
        match then {
            AfterPrompt::Stay => {}
            AfterPrompt::Quit if self.lesson.is_unsaved() => self.ask_of_exercise(),
            AfterPrompt::Quit => {
                if let Some(document) = &mut self.document {
                    document.forget_copy();
                }
                self.may_quit = true;
            }
            AfterPrompt::Close => {
                if let Some(document) = &mut self.document {
                    document.forget_copy();
                }
                self.document = None;
                self.tour = None;
                self.notices.clear();
                self.look_for_copies();
            }
            AfterPrompt::AskOpen => {
                let folder = self
                    .document
                    .as_ref()
                    .and_then(|document| document.path.as_deref())
                    .and_then(Path::parent);
                let path = folder.map_or(String::new(), |folder| format!("{}/", folder.display()));
                self.dialog = Some(Dialog::Open { path, wrong: Vec::new() });
            }
            AfterPrompt::AskNew => self.dialog = Some(Dialog::New { path: String::new(), wrong: Vec::new() }),
            AfterPrompt::Open(path) => self.open(&path),
            AfterPrompt::Demo(index) => {
                if let Some(document) = OpenDocument::demo(index, self.folder.as_deref()) {
                    self.put(document);
                    if !self.prefs.toured {
                        self.prefs.toured = true;
                        self.tour = Some(Tour::default());
                    }
                }
            }
            AfterPrompt::Recover(name) => self.recover(&name),
            AfterPrompt::ForgetExercise => {
                self.lesson.forget_exercise();
                self.then(AfterPrompt::Quit);
            }
        }
    }

    fn recover(&mut self, name: &Path) {
        let left = self.leftovers.iter().find(|left| left.name() == name);
        let Some(taken) = left.and_then(RecoveredFile::take) else {
            self.tell(
                Diagnostic::error("The recovery copy is gone: another window has restored or discarded it.")
                    .remedy("Go on in that window."),
            );
            self.look_for_copies();
            return;
        };
        match OpenDocument::recovered(taken, self.folder.as_deref()) {
            Ok((mut document, notes)) => {
                // The new copy is there before the old one goes; where it cannot be, that is told as long as it is so.
                let _ = document.copy_now();
                self.put(document);
                notes.into_iter().for_each(|note| self.tell(note));
            }
            Err(wrong) => wrong.into_iter().for_each(|diagnostic| self.tell(diagnostic)),
        }
        self.look_for_copies();
    }

    /// Saves, unless another content is there than what was read or saved here last, or what `agreed` says.
    fn save_to(&mut self, path: &Path, then: AfterPrompt, agreed: Option<Fingerprint>) {
        let folder = self.folder.clone();
        let Some(document) = &mut self.document else { return };
        let path = &absolute(path);
        match document.save(path, folder.as_deref(), agreed.as_ref()) {
            Ok(notes) => {
                self.notices.clear();
                notes.into_iter().for_each(|note| self.tell(note));
                self.prefs.remember(path);
                self.then(then);
            }
            Err(NotWritten::Changed(_)) => {
                let (path, ours, seen) = (path.to_owned(), document.is_file(path), Fingerprint::of(path));
                self.dialog = Some(Dialog::Occupied { path, ours, seen, then });
            }
            Err(NotWritten::Refused(error)) => {
                let path = path.display().to_string();
                self.dialog = Some(Dialog::SaveAs { path, wrong: Some(error), then });
            }
        }
    }

    fn save(&mut self, then: AfterPrompt) {
        match self.document.as_ref().map(|document| document.path.clone()) {
            Some(Some(path)) => self.save_to(&path, then, None),
            Some(None) => self.ask_save_as(then),
            None => {}
        }
    }

    fn ask_save_as(&mut self, then: AfterPrompt) {
        let Some(document) = &self.document else { return };
        let path = document.path.clone().unwrap_or_else(|| {
            let name = file_name(&document.session);
            std::env::current_dir().map(|folder| folder.join(&name)).unwrap_or_else(|_| name.into())
        });
        self.dialog = Some(Dialog::SaveAs { path: path.display().to_string(), wrong: None, then });
    }

    fn answer(&mut self, answer: Answer) {
        if answer == Answer::Browse {
            return;
        }
        self.dialog = None;
        // What the system's dialog says later belongs to no question any more.
        self.browsing = Browse::default();
        match answer {
            Answer::Cancel | Answer::Browse => {}
            Answer::Discard(then) => self.then(then),
            // It stays open until it is saved: the page tells where.
            Answer::SaveThen(AfterPrompt::ForgetExercise) => {
                self.go_to_lesson();
                self.lesson.save();
            }
            Answer::SaveThen(then) => self.save(then),
            Answer::SaveTo(path, then) => self.save_to(&path, then, None),
            Answer::Overwrite(path, seen, then) => self.save_to(&path, then, seen),
            Answer::SaveAs(then) => self.ask_save_as(then),
            Answer::Open(path) => self.open(&path),
            Answer::Start(table) => {
                let session = Session::start(&table, today());
                self.put(OpenDocument::unsaved(session, self.folder.as_deref()));
            }
            Answer::OpenSaved(path) => self.open_saved(&path),
            Answer::Recover(name) => self.unless_unsaved(AfterPrompt::Recover(name)),
            Answer::AskForget(name, title) => self.dialog = Some(Dialog::Forget { name, title }),
            Answer::Forget(name) => {
                let left = self.leftovers.iter().find(|left| left.name() == name);
                if let Some(taken) = left.and_then(RecoveredFile::take) {
                    taken.discard();
                }
                self.look_for_copies();
            }
            Answer::AddOverhaul(new) => self.add_overhaul(new),
            Answer::CautionsRead => self.cautions_read(),
        }
    }

    /// Adds an overhaul, or asks again where its hours cannot be.
    fn add_overhaul(&mut self, new: NewOverhaul) {
        let wrong = self.document.as_ref().and_then(|document| new.wrong_hours(document.session.record()));
        match wrong {
            None => self.dispatch(Command::AddOverhaul(new)),
            Some(wrong) => {
                let hours = |hours: Option<f64>| hours.map_or(String::new(), |hours| hours.to_string());
                self.dialog = Some(Dialog::AddOverhaul {
                    date: new.date.to_string(),
                    total: hours(new.total_hours),
                    since: hours(new.hours_since_overhaul),
                    wrong: Some(format!("{} {}", wrong.message, wrong.remedy)),
                });
            }
        }
    }

    /// Keeps what is typed in the cell that has the cursor; says whether a cell had it.
    fn leave_cell(&mut self) -> bool {
        let Some(document) = &mut self.document else { return false };
        let Some(change) = document.views.sheet.leave(&document.session) else { return false };
        if let Some(change) = change {
            self.dispatch(change);
            if let Some(document) = &mut self.document {
                document.session.seal();
            }
        }
        true
    }

    fn go_to_lesson(&mut self) {
        match &mut self.document {
            Some(document) => document.place = Place::Classroom,
            None => self.in_lesson = true,
        }
    }

    fn cautions_read(&mut self) {
        if let Some(document) = &self.document {
            let engine = engine_words(document.session.record());
            if !self.prefs.cautions_read.contains(&engine) {
                self.prefs.cautions_read.push(engine);
            }
        }
    }

    fn dispatch(&mut self, command: Command) {
        let Some(document) = &mut self.document else { return };
        let reported = document.session.dispatch(command);
        document.settle();
        if let Err(error) = reported {
            self.tell(error);
        }
    }

    /// What a command means while the Lesson is in front. Says whether it meant anything.
    fn do_in_lesson(&mut self, command: UserCommand) -> bool {
        match command {
            UserCommand::Undo => self.lesson.undo(),
            UserCommand::Redo => self.lesson.redo(),
            UserCommand::Save if self.lesson.record().is_some() => self.lesson.save(),
            UserCommand::Close if self.document.is_none() => self.in_lesson = false,
            UserCommand::Go(Place::Classroom) => self.lesson.go_to_plan(),
            _ => return false,
        }
        true
    }

    fn user(&mut self, ctx: &egui::Context, command: UserCommand) {
        if self.is_lesson() && self.do_in_lesson(command) {
            return;
        }
        if command.needs_record() && self.document.is_none() {
            return;
        }
        let typing = command.leaves_cell() && self.leave_cell();
        match command {
            UserCommand::New => self.unless_unsaved(AfterPrompt::AskNew),
            UserCommand::Open => self.unless_unsaved(AfterPrompt::AskOpen),
            UserCommand::Save => self.save(AfterPrompt::Stay),
            UserCommand::SaveAs => self.ask_save_as(AfterPrompt::Stay),
            UserCommand::Close => self.unless_unsaved(AfterPrompt::Close),
            UserCommand::Quit => ctx.send_viewport_cmd(ViewportCommand::Close),
            UserCommand::AddOverhaul => {
                let (date, total, since) = (today().to_string(), String::new(), String::new());
                self.dialog = Some(Dialog::AddOverhaul { date, total, since, wrong: None });
            }
            UserCommand::TakeReadings => self.exchange(exchange::LockResult::In),
            UserCommand::WriteOverhaul => self.exchange(exchange::LockResult::Out),
            UserCommand::Larger => self.prefs.enlarge(10),
            UserCommand::Smaller => self.prefs.enlarge(-10),
            UserCommand::UsualSize => self.prefs.text_percent = 100,
            UserCommand::Shade(shade) => self.prefs.shade = shade,
            UserCommand::ShowIn(unit) => self.prefs.unit = unit,
            UserCommand::Keys => self.dialog = Some(Dialog::Keys),
            UserCommand::Cautions => self.dialog = Some(Dialog::Cautions),
            UserCommand::Tour => {
                let mut actions = Vec::new();
                let tour = Tour::default();
                tour.go(&mut actions);
                self.tour = Some(tour);
                for action in actions {
                    self.act(ctx, action);
                }
            }
            UserCommand::Go(Place::Classroom) if self.document.is_none() => self.in_lesson = true,
            UserCommand::Go(place) => self.on_desk(|document| document.show(place)),
            UserCommand::Undo => self.on_desk(OpenDocument::undo),
            UserCommand::Redo => self.on_desk(OpenDocument::redo),
            UserCommand::Signature => self.on_desk(|document| {
                document.place = Place::Report;
                document.views.paper.part = PaperPart::Signature;
            }),
            UserCommand::Gauges => self.on_desk(|document| {
                document.place = Place::Sheet;
                document.views.sheet.show_gauges();
            }),
            UserCommand::EarlierOverhaul => self.on_desk(|document| {
                document.session.choose_overhaul(document.session.overhaul_index().saturating_sub(1));
            }),
            UserCommand::LaterOverhaul => {
                self.on_desk(|document| {
                    document.session.choose_overhaul(document.session.overhaul_index() + 1)
                });
            }
            UserCommand::PreviousCylinder => {
                self.on_desk(|document| document.choose(document.chosen.cylinder.saturating_sub(1)));
            }
            UserCommand::NextCylinder => {
                self.on_desk(|document| document.choose(document.chosen.cylinder + 1))
            }
        }
        if typing && command.changes_sheet() {
            self.on_desk(|document| document.views.sheet.begin());
        }
    }

    /// Does something with the record that is open, if there is one.
    fn on_desk(&mut self, work: impl FnOnce(&mut OpenDocument)) {
        if let Some(document) = &mut self.document {
            work(document);
            document.settle();
        }
    }

    /// Asks for a file to take readings from, or to write the overhaul to.
    fn exchange(&mut self, asked: exchange::LockResult) {
        let Some(document) = &mut self.document else { return };
        if document.place == Place::Classroom {
            // The question is the record's, and stands before it.
            document.place = Place::Sheet;
        }
        let folder = document.path.as_deref().and_then(Path::parent).map(Path::to_owned).unwrap_or_default();
        let suggested = match asked {
            exchange::LockResult::In => folder.join(""),
            exchange::LockResult::Out => {
                folder.join(Path::new(&file_name(&document.session)).with_extension("csv"))
            }
        };
        document.views.exchange.ask(asked, suggested.display().to_string());
    }

    fn act(&mut self, ctx: &egui::Context, action: Action) {
        let changes_sheet = matches!(action, Action::Cylinder(_) | Action::Overhaul(_));
        let leads = changes_sheet || matches!(action, Action::OpenFile(_) | Action::OpenDemo(_));
        let typing = leads && self.leave_cell();
        match action {
            Action::Do(command) => self.dispatch(command),
            Action::User(command) => self.user(ctx, command),
            Action::OpenFile(path) => self.unless_unsaved(AfterPrompt::Open(path)),
            Action::OpenDemo(index) => self.unless_unsaved(AfterPrompt::Demo(index)),
            Action::Order(order) => self.prefs.order = order,
            Action::CautionsRead => self.cautions_read(),
            Action::Tell(diagnostic) => self.tell(diagnostic),
            Action::Seal => self.on_desk(|document| document.session.seal()),
            Action::Cylinder(index) => self.on_desk(|document| document.choose(index)),
            Action::Cell(at, repeat) => self.on_desk(|document| {
                document.chosen.choose((at, repeat));
                document.place = Place::Sheet;
                document.views.sheet.focus_on(at, repeat);
            }),
            Action::Look(at, repeat) => self.on_desk(|document| document.chosen.choose((at, repeat))),
            Action::Overhaul(index) => self.on_desk(|document| document.session.choose_overhaul(index)),
        }
        if typing && changes_sheet {
            self.on_desk(|document| document.views.sheet.begin());
        }
    }

    // ---- a frame

    fn menus_ui(&self, ui: &mut Ui, palette: &Palette, actions: &mut Vec<Action>) {
        Panel::top("menus")
            .frame(Frame::new().fill(palette.margin).inner_margin(Margin::symmetric(8, 2)))
            .show(ui, |ui| self.menus(ui, actions));
    }

    fn menus(&self, ui: &mut Ui, actions: &mut Vec<Action>) {
        egui::MenuBar::new().ui(ui, |ui| {
            for menu in Menu::ALL {
                ui.menu_button(menu.words(), |ui| {
                    for command in UserCommand::all().into_iter().filter(|c| c.menu() == menu) {
                        let mut button = egui::Button::new(self.command_words(command));
                        if let Some(shortcut) = command.shortcut() {
                            button = button.shortcut_text(ui.ctx().format_shortcut(&shortcut));
                        }
                        let enabled = self.can(command);
                        if ui.add_enabled(enabled, button).clicked() {
                            actions.push(Action::User(command));
                            ui.close();
                        }
                    }
                });
            }
            if let Some(document) = &self.document {
                ui.separator();
                head::places_ui(ui, document.place, actions);
            } else if self.in_lesson {
                ui.separator();
                if ui.button("Start page").clicked() {
                    actions.push(Action::User(UserCommand::Close));
                }
            }
        });
    }

    /// A command's name, with what undo would undo, and a mark where it is in force.
    fn command_words(&self, command: UserCommand) -> String {
        let session = self.session_in_front();
        let in_force = match command {
            UserCommand::Shade(shade) => self.prefs.shade == shade,
            UserCommand::ShowIn(unit) => self.prefs.unit == unit,
            UserCommand::Go(place) => self.document.as_ref().is_some_and(|document| document.place == place),
            _ => false,
        };
        let what = match command {
            UserCommand::Undo => session.and_then(Session::undo_label),
            UserCommand::Redo => session.and_then(Session::redo_label),
            _ => None,
        };
        let words = command.words();
        let stopped = session.is_some_and(Session::undo_stops_at_signature) && command == UserCommand::Undo;
        match (what, in_force) {
            _ if self.crosses_draft(command) => format!("{words}: table of limits, not in force yet"),
            (Some(what), _) => format!("{words}: {what}"),
            (None, _) if stopped => format!("{words}: not behind a signature that is saved"),
            (None, true) => format!("\u{2022} {words}"),
            (None, false) => words.to_owned(),
        }
    }

    fn can(&self, command: UserCommand) -> bool {
        let session = self.session_in_front();
        match command {
            _ if self.crosses_draft(command) => true,
            UserCommand::Undo => session.is_some_and(|session| session.undo_label().is_some()),
            UserCommand::Redo => session.is_some_and(|session| session.redo_label().is_some()),
            UserCommand::Save | UserCommand::Close if self.is_lesson() => {
                self.document.is_some() || command == UserCommand::Close || self.lesson.record().is_some()
            }
            _ => self.document.is_some() || !command.needs_record(),
        }
    }

    /// Would it take a step of a half-typed table of limits back, or do it again?
    fn crosses_draft(&self, command: UserCommand) -> bool {
        let back = match command {
            UserCommand::Undo => true,
            UserCommand::Redo => false,
            _ => return false,
        };
        let document = self.document.as_ref().filter(|document| document.place == Place::Limits);
        document.is_some_and(|document| document.views.limits.can_cross_draft(back))
    }

    fn notices_ui(&mut self, ui: &mut Ui, palette: &Palette) {
        let unprotected = self.desks().find_map(|document| document.unprotected().cloned());
        if self.notices.is_empty() && unprotected.is_none() {
            return;
        }
        Panel::bottom("notices").show(ui, |ui| {
            if let Some(why) = unprotected {
                let words = format!(
                    "What you type is not protected: no recovery copy can be written. Save soon. It is tried again \
                     every few seconds. {why}"
                );
                ui.label(RichText::new(words).color(palette.beyond));
            }
            ScrollArea::vertical().max_height(150.0).show(ui, |ui| {
                self.notices.retain(|notice| {
                    let mut keep = true;
                    ui.horizontal_wrapped(|ui| {
                        let colour = match notice.severity {
                            Severity::Error => palette.beyond,
                            Severity::Note => palette.ink,
                        };
                        if ui.button("OK").on_hover_text("Remove this message").clicked() {
                            keep = false;
                        }
                        ui.label(RichText::new(notice.to_string()).color(colour));
                    });
                    keep
                });
            });
        });
    }

    /// What is typed on the sheet is kept before it is drawn.
    fn sheet_keys(&mut self, ctx: &egui::Context, palette: Palette, actions: &mut Vec<Action>) {
        let Some(document) = self.document.as_mut().filter(|document| document.place.is_bench()) else {
            return;
        };
        let OpenDocument { session, views, chosen, path, .. } = document;
        let mut cx = ViewCx {
            session,
            prefs: &self.prefs,
            palette,
            chosen: *chosen,
            path: path.as_deref(),
            folder: self.folder.as_deref(),
            actions,
        };
        sheet::keys_first(ctx, &mut cx, &mut views.sheet);
    }

    fn tour_ui(&mut self, ui: &mut Ui, palette: &Palette, actions: &mut Vec<Action>) {
        // A question in front has the keyboard, and Escape is its.
        let Some(mut tour) = self.tour.filter(|_| self.document.is_some() && !self.is_exchanging()) else {
            return;
        };
        let frame = Frame::new().fill(palette.margin).inner_margin(Margin::symmetric(12, 8));
        let on = Panel::bottom("tour").frame(frame).show(ui, |ui| tour.ui(ui, palette, actions)).inner;
        self.tour = on.then_some(tour);
    }

    /// The Lesson, which takes the whole window under the menus: nothing in it is of the record that is open.
    fn lesson_ui(&mut self, ui: &mut Ui, palette: Palette, actions: &mut Vec<Action>) {
        let session = self.document.as_ref().map(|document| &document.session);
        let mut cx = LessonCx { session, prefs: &self.prefs, palette, actions };
        egui::CentralPanel::default()
            .frame(Frame::new().fill(palette.paper).inner_margin(Margin::symmetric(14, 8)))
            .show(ui, |ui| lesson::lesson_ui(ui, &mut cx, &mut self.lesson));
    }

    fn desk_ui(&mut self, ui: &mut Ui, palette: Palette, actions: &mut Vec<Action>) {
        let Some(document) = &mut self.document else { return };
        let width = ui.available_width();
        let OpenDocument { session, views, place, chosen, path, .. } = document;
        let mut cx = ViewCx {
            session,
            prefs: &self.prefs,
            palette,
            chosen: *chosen,
            path: path.as_deref(),
            folder: self.folder.as_deref(),
            actions,
        };
        Panel::top("head")
            .frame(Frame::new().fill(palette.margin).inner_margin(Margin::symmetric(12, 8)))
            .show(ui, |ui| head::head_ui(ui, &mut cx));
        Panel::left("bank")
            .frame(Frame::new().fill(palette.margin).inner_margin(Margin::same(8)))
            .default_size(if width >= BENCH_WIDTH { 252.0 } else { 264.0 })
            .size_range(200.0..=420.0)
            .show(ui, |ui| bank::bank_ui(ui, &mut cx));
        let paper = Frame::new().fill(palette.paper).inner_margin(Margin::symmetric(14, 10));
        if place.is_bench() && width >= BENCH_WIDTH {
            // A window made larger gets sizes of its own; one that is dragged keeps them.
            let of_size = |name: &str, points: f32| egui::Id::unique((name, (points / 160.0) as u32));
            Panel::right(of_size("outcome", width))
                .frame(paper)
                .default_size((0.28 * width).clamp(408.0, 620.0))
                .size_range(340.0..=620.0)
                .show(ui, |ui| outcome::outcome_ui(ui, &mut cx, &mut views.outcome));
            // The drawing has a third, or what the sheet of a usual engine leaves on a large screen.
            let room = ui.available_height();
            Panel::bottom(of_size("bore", room))
                .frame(paper)
                .default_size((0.33 * room).max(room - SHEET_HEIGHT).max(170.0))
                .size_range(160.0..=(room - 220.0).max(170.0))
                .show(ui, |ui| bore::strip_ui(ui, &mut cx, &mut views.bore));
            egui::CentralPanel::default()
                .frame(paper)
                .show(ui, |ui| sheet::sheet_ui(ui, &mut cx, &mut views.sheet));
        } else {
            egui::CentralPanel::default().frame(paper).show(ui, |ui| match place {
                Place::Sheet => sheet::sheet_ui(ui, &mut cx, &mut views.sheet),
                Place::Bore => bore::bore_ui(ui, &mut cx, &mut views.bore),
                Place::Outcome => outcome::outcome_ui(ui, &mut cx, &mut views.outcome),
                Place::Visual => walkround::walkround_ui(ui, &mut cx, &mut views.walkround),
                Place::Fits => fits::fits_ui(ui, &mut cx, &mut views.fits),
                Place::Limits => limits::limits_ui(ui, &mut cx, &mut views.limits),
                Place::Engine => engine::engine_ui(ui, &mut cx, &mut views.engine),
                Place::History => life::life_ui(ui, &mut cx, &mut views.life),
                // Drawn by itself, with or without a record.
                Place::Classroom => {}
                Place::Report => on_paper::paper_ui(ui, &mut cx, &mut views.paper),
            });
        }
        exchange::exchange_ui(ui.ctx(), &mut cx, &mut views.exchange);
    }

    /// Does a question stand in front, which has the keys to itself?
    fn is_asking(&self) -> bool {
        self.dialog.is_some() || self.is_exchanging()
    }

    /// Does a question about a file of another program stand in front?
    fn is_exchanging(&self) -> bool {
        self.document.as_ref().is_some_and(|document| document.views.exchange.asked.is_some())
    }

    /// Opens a file that was dropped; while a question stands in front it waits.
    fn take_dropped(&mut self, ctx: &egui::Context, actions: &mut Vec<Action>) {
        let dropped: Vec<PathBuf> =
            ctx.input(|input| input.raw.dropped_files.iter().map(|file| file.path().to_owned()).collect());
        if dropped.len() > 1 {
            self.tell(
                Diagnostic::note(format!(
                    "{} files were dropped; only the first one is opened.",
                    dropped.len()
                ))
                .remedy("Drop one file at a time."),
            );
        }
        self.dropped = dropped.into_iter().next().or(self.dropped.take());
        if !self.is_asking() {
            actions.extend(self.dropped.take().map(Action::OpenFile));
        }
    }

    fn guard_closing(&mut self, ctx: &egui::Context) {
        if !ctx.input(|input| input.viewport().close_requested()) || self.may_quit {
            return;
        }
        self.leave_cell();
        self.unless_unsaved(AfterPrompt::Quit);
        // With nothing to ask, it closes by itself.
        if !std::mem::take(&mut self.may_quit) {
            ctx.send_viewport_cmd(ViewportCommand::CancelClose);
        }
    }
}

/// A file's name for a record that has none.
fn file_name(session: &Session) -> String {
    let words = engine_words(session.record());
    let name: String = words.chars().map(|c| if c.is_alphanumeric() { c } else { '_' }).collect();
    format!("{}.ron", name.trim_matches('_').replace("___", "_").replace("__", "_").to_lowercase())
}

impl eframe::App for App {
    fn logic(&mut self, ctx: &egui::Context, _frame: &mut eframe::Frame) {
        #[cfg(unix)]
        self.end_if_asked();
        self.poll_browsing();
        self.tend_copies(ctx);
    }

    fn ui(&mut self, ui: &mut Ui, _frame: &mut eframe::Frame) {
        let ctx = ui.ctx().clone();
        self.look(&ctx);
        self.guard_closing(&ctx);
        let palette = Palette::in_use(ui);
        let mut actions = Vec::new();
        self.take_dropped(&ctx, &mut actions);
        if !self.is_asking() {
            actions.extend(UserCommand::pressed(&ctx).into_iter().map(Action::User));
            actions.extend(numbered(&ctx).map(Action::Cylinder));
        }
        self.sheet_keys(&ctx, palette, &mut actions);
        let at_once = std::mem::take(&mut actions);
        let had_dialog = self.dialog.is_some();
        let any = !at_once.is_empty();
        for action in at_once {
            self.act(&ctx, action);
        }
        if self.is_lesson() {
            self.lesson.settle(self.folder.as_deref(), &mut actions);
        }
        let projected = self.is_lesson() && self.lesson.is_projected();
        if !projected {
            self.menus_ui(ui, &palette, &mut actions);
        }
        self.notices_ui(ui, &palette);
        if !projected {
            self.tour_ui(ui, &palette, &mut actions);
        }
        if self.is_lesson() {
            self.lesson_ui(ui, palette, &mut actions);
            if self.lesson.settle(self.folder.as_deref(), &mut actions) {
                ctx.request_repaint();
            }
        } else if self.document.is_some() {
            self.desk_ui(ui, palette, &mut actions);
        } else {
            let answer = egui::CentralPanel::default()
                .frame(Frame::new().fill(palette.paper).inner_margin(Margin::same(24)))
                .show(ui, |ui| start::start_ui(ui, &self.prefs, &self.leftovers, &mut actions))
                .inner;
            if let Some(answer) = answer {
                self.answer(answer);
            }
        }
        let asked = any || !actions.is_empty();
        for action in actions {
            self.act(&ctx, action);
        }
        if self.dialog.is_some() && !had_dialog {
            ctx.memory_mut(|memory| {
                if let Some(focused) = memory.focused() {
                    memory.surrender_focus(focused);
                }
            });
        }
        let browsing = self.browsing.is_open();
        if let Some(answer) = self.dialog.as_mut().and_then(|dialog| dialog.ui(&ctx, browsing)) {
            if answer == Answer::Browse {
                self.browse(&ctx);
            }
            self.answer(answer);
            ctx.request_repaint();
        }
        let typing = !self.is_asking() && self.document.as_ref().is_some_and(|d| d.views.sheet.is_typing());
        ctx.plugin::<OneAtATime>().lock().typing = typing;
        if self.may_quit {
            ctx.send_viewport_cmd(ViewportCommand::Close);
        }
        // What was asked for is seen in the next frame; without a question there is none.
        if asked {
            ctx.request_repaint();
        }
        // What was typed in this frame is not left until the next one.
        self.tend_copies(&ctx);
    }

    fn save(&mut self, storage: &mut dyn eframe::Storage) {
        eframe::set_value(storage, PREFS, &self.prefs);
    }

    fn persist_egui_memory(&self) -> bool {
        false
    }
}

/// The cylinder whose number was pressed with Alt.
fn numbered(ctx: &egui::Context) -> impl Iterator<Item = usize> {
    const KEYS: [Key; 9] =
        [Key::Num1, Key::Num2, Key::Num3, Key::Num4, Key::Num5, Key::Num6, Key::Num7, Key::Num8, Key::Num9];
    let pressed = ctx.input_mut(|input| {
        let index = KEYS.iter().position(|&key| input.consume_key(Modifiers::ALT, key))?;
        // Some systems send the digit as text too; it is not meant for the cell that has the cursor.
        let digit = (index + 1).to_string();
        input.events.retain(|event| !matches!(event, egui::Event::Text(text) if *text == digit));
        Some(index)
    });
    pressed.into_iter()
}
