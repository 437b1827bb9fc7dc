//! A record that is open: its session, its file, and what every view has half typed or folded open.

use std::path::{Path, PathBuf};
use std::time::Duration;

use super::engines::{DEMOS, engine_words};
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
use crate::cx::Chosen;
use crate::place::Place;
use records::bore::Point;
use records::comments;
use records::diag::Diagnostic;
use records::disk::Fingerprint;
use records::file;
use records::folder::absolute;
use records::store::lock::{self, Lock, LockResult};
use records::store::recovery::{Copy, Guard, MakeCopy, Taken, TypedCell, TypedTable};
use records::store::{self, NotWritten, Replace};
use records::survey::point_words;
use work::session::{Command, CylinderEdit, EditLocation, Session};

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

/// A record that is open.
#[derive(Debug)]
pub struct OpenDocument {
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
    /// What the file held when it was read or saved last; none: it has no file, or that is not known.
    seen: Option<Fingerprint>,
    lock: Option<Lock>,
    demo: bool,
    guard: Guard<Typed>,
    /// The state in which nothing is typed yet, though nothing is saved.
    untouched: Option<u64>,
    /// Somebody has said that what is not saved may be lost.
    given_up: bool,
}

/// What is typed and not saved, as far as it takes to tell one copy from the next.
#[derive(Clone, Debug, PartialEq)]
struct Typed {
    state: u64,
    cell: Option<TypedCell>,
    /// How often the half-typed table of limits was changed; none: there is none.
    table: Option<u64>,
}

impl OpenDocument {
    fn new(session: Session, folder: Option<&Path>) -> Self {
        Self {
            untouched: Some(session.state()),
            session,
            path: None,
            place: Place::default(),
            chosen: Chosen::default(),
            views: Views::default(),
            text: String::new(),
            seen: None,
            lock: None,
            demo: false,
            guard: Guard::new(folder.map(copies).as_deref()),
            given_up: false,
        }
    }

    /// A record that has no file yet.
    pub fn unsaved(session: Session, folder: Option<&Path>) -> Self {
        let mut document = Self::new(session, folder);
        document.session.never_saved();
        document
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
        let (text, seen) = file::read_to_change(&path).map_err(|error| vec![error])?;
        let reported = file::record_from_text(&text, Some(&path));
        let Some(record) = reported.value else { return Err(reported.diagnostics) };
        let mut document = Self::new(Session::new(record), folder);
        let mut notes = reported.diagnostics;
        document.text = text;
        document.seen = Some(seen);
        notes.extend(document.take(&path, folder));
        document.path = Some(path);
        Ok((document, notes))
    }

    /// A record from a recovery copy: it is not saved. The copy is there until its successor is. The notes are for
    /// telling.
    ///
    /// # Errors
    /// Why it cannot be read.
    pub fn recovered(
        taken: Taken,
        folder: Option<&Path>,
    ) -> Result<(Self, Vec<Diagnostic>), Vec<Diagnostic>> {
        let copy = &taken.copy;
        let reported = file::record_from_text(&copy.text, None);
        let Some(record) = reported.value else { return Err(reported.diagnostics) };
        let mut document = Self::unsaved(Session::new(record), folder);
        document.text.clone_from(&copy.text);
        document.path.clone_from(&copy.origin);
        document.seen = copy.seen;
        document.untouched = None;
        let mut notes = vec![
            Diagnostic::note("This is what was typed before the program ended; it is not saved yet.")
                .remedy("Check it, and save it."),
        ];
        notes.extend(copy.cell.as_ref().map(|cell| document.type_again(cell)));
        notes.extend(copy.table.as_ref().map(|table| document.half_type_again(table)));
        if let Some(path) = document.path.clone() {
            notes.extend(document.take(&path, folder));
        }
        document.guard.succeeds(taken);
        Ok((document, notes))
    }

    /// Puts what was being typed into its cell, as leaving the cell would have.
    fn type_again(&mut self, cell: &TypedCell) -> Diagnostic {
        let TypedCell { overhaul, cylinder, station, axis, repeat, gauge, text } = cell.clone();
        let at = Point::new(station, axis);
        self.session.choose_overhaul(overhaul);
        let evaluation = self.session.evaluation();
        let place = evaluation.cylinder(cylinder).zip(evaluation.limits());
        let place = place.map_or(String::new(), |((cylinder, _), limits)| {
            format!("{}, {}", cylinder.words(), point_words(limits, at))
        });
        let typed = format!("\u{201c}{text}\u{201d}");
        let edit = CylinderEdit::Reading { at, repeat, text, gauge };
        let note = match self.session.dispatch(Command::Cylinder(cylinder, edit)) {
            Ok(()) => Diagnostic::note(format!("{typed} was being typed here, and may not be whole."))
                .remedy("Check this reading, or undo it."),
            Err(why) => Diagnostic::error(format!("{typed} was being typed here and is not kept: {why}"))
                .remedy("Type it again."),
        };
        self.chosen.cylinder = cylinder;
        self.chosen.choose((at, repeat));
        self.settle();
        note.place(place)
    }

    /// Puts the half-typed table of limits where it was.
    fn half_type_again(&mut self, table: &TypedTable) -> Diagnostic {
        let reported = file::limits_from_text(&table.text, None);
        match (reported.value, self.session.record().tables.get(table.index)) {
            (Some(edited), Some(over)) => {
                self.views.limits.restore_draft(table.index, over, edited);
                Diagnostic::note("A table of limits was half typed, and is not in force yet.")
                    .remedy("Complete it under Limits.")
            }
            _ => Diagnostic::error("A table of limits was half typed, and cannot be read again.")
                .remedy("Type its changes again under Limits."),
        }
    }

    /// Takes the lock of a file, and says if another window has it.
    fn take(&mut self, path: &Path, folder: Option<&Path>) -> Option<Diagnostic> {
        self.lock = None;
        match lock::ask(&folder?.join("locks"), path) {
            LockResult::Acquired(lock) => self.lock = Some(lock),
            LockResult::InUse => {
                return Some(
                    Diagnostic::note("Another window has this record open.")
                        .remedy("Work in one of them; whoever saves second is asked before anything is overwritten.")
                        .in_file(path),
                );
            }
            LockResult::NotKnown => {}
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

    /// Is this the file of the record?
    pub fn is_file(&self, path: &Path) -> bool {
        self.path.as_deref() == Some(&absolute(path))
    }

    /// Saves in place of what was read or saved here last, or where no file is yet. `seen` is what the person has agreed
    /// to lose instead. The notes are for telling.
    ///
    /// # Errors
    /// Another content is there, or why it cannot be written, and the way out.
    pub fn save(
        &mut self,
        path: &Path,
        folder: Option<&Path>,
        seen: Option<&Fingerprint>,
    ) -> Result<Vec<Diagnostic>, NotWritten> {
        let path = absolute(path);
        let state = self.session.state();
        let carried = comments::carry(&self.text, &file::to_ron(self.session.record())?);
        let replace = match (seen, &self.seen) {
            (Some(seen), _) => Replace::Only(seen),
            // A file that is gone is written again.
            (None, Some(seen)) if self.is_file(&path) && path.exists() => Replace::Only(seen),
            _ => Replace::Nothing,
        };
        self.seen = Some(store::write(&path, carried.text.as_bytes(), replace)?);
        let mut notes: Vec<Diagnostic> = carried.note().map(|note| note.in_file(&path)).into_iter().collect();
        self.text = carried.text;
        if self.path.as_ref() != Some(&path) || self.lock.is_none() {
            notes.extend(self.take(&path, folder));
        }
        self.path = Some(path);
        self.demo = false;
        self.session.saved_at(state);
        // From here on whatever differs from the file is typed, also what undo takes back.
        self.untouched = None;
        self.tend_copy();
        Ok(notes)
    }

    /// Takes the recovery copy away for good: somebody has said that what is not saved may be lost.
    pub fn forget_copy(&mut self) {
        self.given_up = true;
        self.guard.clear();
    }

    /// What is typed and not saved; none: nothing.
    fn typed(&self) -> Option<Typed> {
        let state = self.session.state();
        let cell = self.views.sheet.half_typed(&self.session);
        let table = self.views.limits.half_typed(&self.session).map(|(_, _, edits)| edits);
        let record = self.session.is_unsaved() && self.untouched != Some(state);
        let any = record || cell.is_some() || table.is_some();
        (any && !self.given_up).then_some(Typed { state, cell, table })
    }

    /// Looks after the recovery copy; says when it wants to be called again at the latest.
    pub fn tend_copy(&mut self) -> Option<Duration> {
        let typed = self.typed();
        let Self { guard, session, views, text, path, seen, .. } = self;
        guard.tend(typed.as_ref(), || copy(session, views, text, path.as_deref(), *seen))
    }

    /// Writes the recovery copy at once, and waits until it is on the disk.
    ///
    /// # Errors
    /// If it cannot be written.
    pub fn copy_now(&mut self) -> Result<(), Diagnostic> {
        let typed = self.typed();
        let Self { guard, session, views, text, path, seen, .. } = self;
        guard.copy_now(typed.as_ref(), || copy(session, views, text, path.as_deref(), *seen))
    }

    /// Why what is typed is not protected at present; none: it is.
    pub fn unprotected(&self) -> Option<&Diagnostic> {
        self.guard.failed()
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

    /// Takes the latest change back.
    pub fn undo(&mut self) {
        // What is half typed is the latest change.
        let half_typed = self.views.sheet.forget_draft()
            || (self.place == Place::Limits && self.views.limits.step_draft(true));
        if !half_typed && let Some(at) = self.session.undo() {
            self.go_to(at);
        }
    }

    /// Does the change that was taken back last again.
    pub fn redo(&mut self) {
        let half_typed = self.place == Place::Limits && self.views.limits.step_draft(false);
        if !half_typed && let Some(at) = self.session.redo() {
            self.go_to(at);
        }
    }

    /// Goes to a place.
    pub fn show(&mut self, place: Place) {
        self.place = place;
        if place == Place::Sheet {
            match self.chosen.cell.filter(|_| !self.chosen.carried) {
                Some((at, repeat)) => self.views.sheet.focus_on(at, repeat),
                None => self.views.sheet.begin(),
            }
        }
    }

    /// Goes to where a step was.
    pub fn go_to(&mut self, at: EditLocation) {
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

/// The folder of the recovery copies, in the program's own.
pub(super) fn copies(folder: &Path) -> PathBuf {
    folder.join("recovery")
}

/// What makes the recovery copy, on whichever thread: here only what it needs is put together.
fn copy(
    session: &Session,
    views: &Views,
    before: &str,
    path: Option<&Path>,
    seen: Option<Fingerprint>,
) -> MakeCopy {
    let (record, before, origin) = (session.record().clone(), before.to_owned(), path.map(Path::to_owned));
    let cell = views.sheet.half_typed(session);
    let table = views.limits.half_typed(session).map(|(index, table, _)| (index, table.clone()));
    Box::new(move || {
        let text = comments::carry(&before, &file::to_ron(&record)?).text;
        let table = match table {
            Some((index, table)) => Some(TypedTable { index, text: file::to_ron(&table)? }),
            None => None,
        };
        Ok(Copy { origin, seen, title: engine_words(&record), written: 0, text, cell, table })
    })
}
