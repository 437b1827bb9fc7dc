//! The sheets of other records, gathered on threads of their own: how far it is can be seen, and it can be
//! stopped, while somebody goes on typing.
//!
//! What was read is kept in an index file where there is a folder for it, so that the next time only what has
//! changed is read. After a stop nothing is thrown away: what was read by then is there, and it is said that
//! the rest is missing.

use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;

use super::index::{Done, Index, Job, kept_file};
use super::sheet::SurveySheet;
use records::folder;

/// How far a gathering is; shared between who does it and who waits for it.
#[derive(Debug, Default)]
pub struct Progress {
    done: AtomicUsize,
    all: AtomicUsize,
    stop: AtomicBool,
}

impl Progress {
    /// Files read, and files to read; the second is 0 until the folders have been looked through.
    pub fn files(&self) -> (usize, usize) {
        (self.done.load(Ordering::Relaxed), self.all.load(Ordering::Relaxed))
    }

    /// Asks it to stop; it does after the files that it has in hand.
    pub fn stop(&self) {
        self.stop.store(true, Ordering::Relaxed);
    }

    /// Has somebody asked it to stop?
    pub fn is_stopped(&self) -> bool {
        self.stop.load(Ordering::Relaxed)
    }
}

/// What was gathered.
#[derive(Clone, Debug, Default)]
pub struct Gathered {
    /// The sheets, by file.
    pub sheets: Vec<Arc<SurveySheet>>,
    /// What could not be read or kept, each a full line with its place.
    pub reported: Vec<String>,
    /// Records in all.
    pub files: usize,
    /// Records of which there are sheets now.
    pub held: usize,
    /// It was stopped before its end.
    pub stopped: bool,
}

/// Gathers the sheets of every record in some places, files or folders, but for the file `without`.
///
/// `folder` is where the index file is kept; none: nothing is kept. `tell` is called after every file.
pub fn gather(
    places: &[PathBuf],
    without: Option<&Path>,
    folder: Option<&Path>,
    progress: &Progress,
    tell: &(dyn Fn() + Sync),
) -> Gathered {
    let (mut paths, mut reported) = (Vec::new(), Vec::new());
    for input in folder::expand_while(places, &|| !progress.is_stopped()) {
        match input {
            Ok(input) => paths.push(input.path),
            Err(error) => reported.push(error.to_string()),
        }
    }
    if progress.is_stopped() {
        // Not every folder was looked through: what is not in the list is not gone, and the index keeps it.
        return Gathered { reported, stopped: true, ..Gathered::default() };
    }
    if let Some(without) = without {
        // However it is spelled: a record beside its own older copy would contradict itself.
        let without = without.canonicalize().unwrap_or_else(|_| without.to_owned());
        paths.retain(|path| path.canonicalize().map_or(true, |path| path != without));
    }
    paths.sort();
    paths.dedup();
    let kept = folder.map(|folder| kept_file(folder, places));
    let mut index = kept.as_deref().map(Index::load).unwrap_or_default();
    let refreshed = index.refresh(&paths, |jobs| run_all(&jobs, progress, tell));
    if let Some(kept) = kept.filter(|_| refreshed.is_new)
        && let Err(note) = index.save(&kept)
    {
        reported.push(note.to_string());
    }
    reported.extend(index.reported().map(str::to_owned));
    Gathered {
        sheets: index.sheets(),
        reported,
        files: paths.len(),
        held: index.len(),
        stopped: progress.is_stopped(),
    }
}

/// Runs the jobs on all processors but one, which is left to whoever types meanwhile.
fn run_all(jobs: &[Job], progress: &Progress, tell: &(dyn Fn() + Sync)) -> Vec<Done> {
    progress.all.store(jobs.len(), Ordering::Relaxed);
    let workers = thread::available_parallelism().map_or(1, NonZeroUsize::get).saturating_sub(1);
    let (next, results) = (AtomicUsize::new(0), Mutex::new(Vec::with_capacity(jobs.len())));
    thread::scope(|scope| {
        for _ in 0..workers.clamp(1, jobs.len().max(1)) {
            scope.spawn(|| {
                while !progress.is_stopped() {
                    let Some(job) = jobs.get(next.fetch_add(1, Ordering::Relaxed)) else { break };
                    let done = job.run();
                    results.lock().unwrap_or_else(PoisonError::into_inner).push(done);
                    progress.done.fetch_add(1, Ordering::Relaxed);
                    tell();
                }
            });
        }
    });
    results.into_inner().unwrap_or_else(PoisonError::into_inner)
}

#[cfg(test)]
mod tests {
    use std::path::PathBuf;

    use super::*;

    fn demo(name: &str) -> PathBuf {
        Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../..")).join("demo").join(name)
    }

    #[test]
    fn a_folder_is_gathered_without_the_record_on_the_desk_and_kept() {
        let folder = tempfile::tempdir().unwrap();
        let own = demo("wexcombe_pair_a.ron");
        let (first, again) = (Progress::default(), Progress::default());
        let places = [demo("")];
        let found = gather(&places, Some(&own), Some(folder.path()), &first, &|| {});
        assert!(!found.stopped && found.reported.is_empty(), "{:?}", found.reported);
        assert_eq!(found.files, 5, "six records but for one");
        assert_eq!(first.files(), (5, 5));
        let serial = |wanted: &str| found.sheets.iter().any(|sheet| sheet.engine.serial == wanted);
        assert!(serial("W6-0032") || found.sheets.len() > 6);
        let same = gather(&places, Some(&own), Some(folder.path()), &again, &|| {});
        assert_eq!(same.sheets, found.sheets);
    }

    #[test]
    fn a_stopped_gathering_says_so_and_reads_nothing_more() {
        let progress = Progress::default();
        progress.stop();
        let found = gather(&[demo("")], None, None, &progress, &|| {});
        assert!(found.stopped && found.sheets.is_empty());
    }

    #[test]
    fn a_gathering_stopped_among_the_folders_forgets_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let gathered = |progress: &Progress| gather(&[demo("")], None, Some(folder.path()), progress, &|| {});
        let all = gathered(&Progress::default());
        let stopped = Progress::default();
        stopped.stop();
        assert!(gathered(&stopped).stopped);
        let again = Progress::default();
        assert_eq!(gathered(&again).sheets, all.sheets);
        assert_eq!(again.files(), (0, 0), "all are in the index still");
    }

    #[test]
    fn a_place_that_is_not_there_is_told() {
        let found = gather(&[demo("no such folder")], None, None, &Progress::default(), &|| {});
        assert_eq!(found.reported.len(), 1);
    }
}
