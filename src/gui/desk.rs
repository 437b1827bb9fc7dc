//! A record on the desk: its session, its file, and what every view has half typed or folded open.

use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use super::views::bore::BoreView;
use super::views::engine::EngineView;
use super::views::exchange::ExchangeView;
use super::views::fits::FitsView;
use super::views::life::LifeView;
use super::views::limits::LimitsView;
use super::views::outcome::OutcomeView;
use super::views::paper::PaperView;
use super::views::sheet::SheetView;
use super::views::walkround::WalkroundView;
use super::{Chosen, Place};
use crate::comments::{self, Carried};
use crate::diag::Diagnostic;
use crate::file;
use crate::folder::absolute;
use crate::record::schema::EngineRecord;
use crate::session::{Session, Whereabouts};
use crate::store::lock::{self, Asked, Lock};
use crate::store::recovery::{Copy, Keeper};
use crate::store::{self, Fingerprint, OnDisk};

/// How long after a change its recovery copy is written: soon, but not at every key.
const KEEP_AFTER: Duration = Duration::from_secs(1);

/// The demo engines: name, what they show, text.
pub const DEMOS: [(&str, &str, &str); 3] = [
    (
        "Wexcombe Six",
        "an air-cooled six, three overhauls, every outcome",
        include_str!("../../demo/wexcombe_six.ron"),
    ),
    (
        "Skarvoy 3S320",
        "three marine liners, two surveys, in millimetres",
        include_str!("../../demo/skarvoy_320.ron"),
    ),
    (
        "Penhallow Twin",
        "a vintage twin with a slip to be found",
        include_str!("../../demo/penhallow_twin.ron"),
    ),
];

/// What every view keeps for itself.
#[derive(Debug, Default)]
pub struct Views {
    /// The sheet's.
    pub sheet: SheetView,
    /// The drawings'.
    pub bore: BoreView,
    /// The outcome's.
    pub outcome: OutcomeView,
    /// The walkround's.
    pub walkround: WalkroundView,
    /// The fits'.
    pub fits: FitsView,
    /// The limits'.
    pub limits: LimitsView,
    /// The page of the engine.
    pub engine: EngineView,
    /// The life's.
    pub life: LifeView,
    /// What is exchanged with other programs.
    pub exchange: ExchangeView,
    /// What is printed.
    pub paper: PaperView,
}

/// A record on the desk.
#[derive(Debug)]
pub struct Desk {
    /// The record under work.
    pub session: Session,
    /// Its file; none: never saved.
    pub path: Option<PathBuf>,
    /// Where the window is.
    pub place: Place,
    /// What is chosen.
    pub chosen: Chosen,
    /// What the views keep.
    pub views: Views,
    /// The text that the record was read from or saved as last, for the comments in it; empty: it has none yet.
    text: String,
    print: Option<Fingerprint>,
    lock: Option<Lock>,
    demo: bool,
    keeper: Option<Keeper>,
    kept: u64,
    changed: Option<Instant>,
}

impl Desk {
    fn new(session: Session, folder: Option<&Path>) -> Self {
        Self {
            kept: session.state(),
            session,
            path: None,
            place: Place::default(),
            chosen: Chosen::default(),
            views: Views::default(),
            text: String::new(),
            print: None,
            lock: None,
            demo: false,
            keeper: folder.map(|folder| Keeper::new(&folder.join("recovery"))),
            changed: None,
        }
    }

    /// A record that has no file yet.
    pub fn unsaved(session: Session, folder: Option<&Path>) -> Self {
        let mut desk = Self::new(session, folder);
        desk.session.never_saved();
        desk
    }

    /// A demo engine: nothing is lost if it is left unsaved as it came.
    pub fn demo(index: usize, folder: Option<&Path>) -> Option<Self> {
        let (_, _, text) = DEMOS.get(index)?;
        let record = file::record_from_text(text, None).value?;
        Some(Self { demo: true, text: (*text).to_owned(), ..Self::new(Session::new(record), folder) })
    }

    /// Opens a file. The notes are for telling.
    ///
    /// # Errors
    /// Why it cannot be read, or that it is no engine record.
    pub fn open(path: &Path, folder: Option<&Path>) -> Result<(Self, Vec<Diagnostic>), Vec<Diagnostic>> {
        let path = absolute(path);
        // Taken first: if the file changes while it is read, that is seen at saving.
        let print = Fingerprint::of(&path);
        let text = file::read_text(&path).map_err(|error| vec![error])?;
        let told = file::record_from_text(&text, Some(&path));
        let Some(record) = told.value else { return Err(told.diagnostics) };
        let mut desk = Self::new(Session::new(record), folder);
        let mut notes = told.diagnostics;
        desk.text = text;
        desk.print = print;
        notes.extend(desk.take(&path, folder));
        desk.path = Some(path);
        Ok((desk, notes))
    }

    /// A record from a recovery copy: it is not saved.
    pub fn recovered(copy: &Copy, folder: Option<&Path>) -> Result<Self, Vec<Diagnostic>> {
        let told = file::record_from_text(&copy.text, None);
        let Some(record) = told.value else { return Err(told.diagnostics) };
        let mut desk = Self::unsaved(Session::new(record), folder);
        desk.text.clone_from(&copy.text);
        desk.path = copy.origin.clone();
        // Whatever is in the file now is not what this was typed over, so it is asked about at saving.
        desk.kept = u64::MAX;
        desk.changed = Some(Instant::now());
        Ok(desk)
    }

    /// Takes the lock of a file, and says if another window has it.
    fn take(&mut self, path: &Path, folder: Option<&Path>) -> Option<Diagnostic> {
        self.lock = None;
        match lock::ask(&folder?.join("locks"), path) {
            Asked::Ours(lock) => self.lock = Some(lock),
            Asked::InUse => {
                return Some(
                    Diagnostic::note("Another window has this record open.")
                        .remedy("Work in one of them; whoever saves second is asked before anything is overwritten.")
                        .in_file(path),
                );
            }
            Asked::NotKnown => {}
        }
        None
    }

    /// Its name: the file's, or the engine's.
    pub fn name(&self) -> String {
        match self.path.as_deref().and_then(Path::file_name) {
            Some(name) => name.to_string_lossy().into_owned(),
            None => engine_words(self.session.record()),
        }
    }

    /// The window's title: the file, whether it is saved, and how the chosen overhaul's signature stands.
    pub fn title(&self) -> String {
        let state = match (self.session.is_unsaved(), self.path.is_some(), self.demo) {
            (true, true, _) => "changes not saved",
            (true, false, _) => "not saved",
            (false, false, true) => "demo",
            (false, ..) => "saved",
        };
        let signed = match (&self.session.evaluation().signed, self.session.closed()) {
            (None, _) => "",
            (Some(verdict), _) if !verdict.holds() => ", changed after signing",
            (Some(_), None) => ", under amendment",
            (Some(_), Some(_)) => ", signed",
        };
        format!("{} ({state}{signed}) \u{2013} Borewright", self.name())
    }

    /// How the file stands beside what was read or saved last.
    pub fn on_disk(&self, path: &Path) -> OnDisk {
        let path = &absolute(path);
        let ours = self.path.as_deref() == Some(path);
        match &self.print {
            Some(print) if ours => print.compare(path),
            _ if path.exists() => OnDisk::Changed,
            _ => OnDisk::Same,
        }
    }

    /// The record as the text of its file, with the comments of the text before.
    fn written(&self) -> Result<Carried, Diagnostic> {
        Ok(comments::carry(&self.text, &file::to_ron(self.session.record())?))
    }

    /// Saves, whatever the file holds. The notes are for telling.
    ///
    /// # Errors
    /// Why it cannot be written, and the way out.
    pub fn save(&mut self, path: &Path, folder: Option<&Path>) -> Result<Vec<Diagnostic>, Diagnostic> {
        let path = absolute(path);
        let state = self.session.state();
        let carried = self.written()?;
        store::write_atomic(&path, carried.text.as_bytes())?;
        self.print = Fingerprint::of(&path);
        let mut notes: Vec<Diagnostic> = carried.note().map(|note| note.in_file(&path)).into_iter().collect();
        self.text = carried.text;
        if self.path.as_ref() != Some(&path) || self.lock.is_none() {
            notes.extend(self.take(&path, folder));
        }
        self.path = Some(path);
        self.demo = false;
        self.session.saved_at(state);
        self.forget_copy();
        Ok(notes)
    }

    /// Takes the recovery copy away: saved, or not wanted.
    pub fn forget_copy(&mut self) {
        if let Some(keeper) = &self.keeper {
            keeper.clear();
        }
        self.kept = self.session.state();
        self.changed = None;
    }

    /// Writes the recovery copy if there is something new and it is time, or says how long to wait.
    ///
    /// # Errors
    /// If it cannot be written.
    pub fn keep_copy(&mut self) -> Result<Option<Duration>, Diagnostic> {
        if self.kept == self.session.state() {
            return Ok(None);
        }
        let waited = self.changed.get_or_insert_with(Instant::now).elapsed();
        if let Some(left) = KEEP_AFTER.checked_sub(waited).filter(|left| !left.is_zero()) {
            return Ok(Some(left));
        }
        self.keep_copy_now().map(|()| None)
    }

    /// Writes the recovery copy, or takes it away if everything is saved.
    ///
    /// # Errors
    /// If it cannot be written.
    pub fn keep_copy_now(&mut self) -> Result<(), Diagnostic> {
        self.kept = self.session.state();
        self.changed = None;
        let Some(keeper) = &self.keeper else { return Ok(()) };
        if !self.session.is_unsaved() {
            keeper.clear();
            return Ok(());
        }
        let text = self.written()?.text;
        keeper.keep(self.path.as_deref(), &engine_words(self.session.record()), text)
    }

    /// Chooses a cylinder, if there is one with this index.
    pub fn choose(&mut self, cylinder: usize) {
        if cylinder < self.session.cylinders() && cylinder != self.chosen.cylinder {
            let cell = self.chosen.cell.map(|(at, _)| (at, 0));
            self.chosen = Chosen { cylinder, cell, carried: true };
        }
    }

    /// Keeps the choice within what there is.
    pub fn settle(&mut self) {
        self.chosen.cylinder = self.chosen.cylinder.min(self.session.cylinders().saturating_sub(1));
    }

    /// Goes to where a step was.
    pub fn go_to(&mut self, at: Whereabouts) {
        if let Some(cylinder) = at.cylinder {
            self.chosen.cylinder = cylinder;
        }
        let has_cursor = self.views.sheet.has_cursor();
        self.views.sheet.forget_draft();
        if let Some((at, repeat)) = at.cell {
            self.chosen.choose((at, repeat));
            if has_cursor {
                self.views.sheet.focus_on(at, repeat);
            }
        }
        self.settle();
    }
}

/// `Wexcombe Six W6-0001`, or what is known of it.
pub fn engine_words(record: &EngineRecord) -> String {
    let words = format!("{} {}", record.engine.model, record.engine.serial);
    let words = words.trim();
    if words.is_empty() { "Engine without a name".to_owned() } else { words.to_owned() }
}
