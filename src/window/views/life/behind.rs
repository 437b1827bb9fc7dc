//! What is worked out behind the window: other records gathered, and everything followed. Nothing here waits:
//! what is not ready yet is not there, and a frame is asked for when it is.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::thread;
use std::time::{Duration, Instant};

use eframe::egui;

use crate::cx::ViewCx;
use history::across::Across;
use history::gather::{Gathered, Progress, gather};
use history::sheet::sheets;
use quantities::length::Unit;

/// The least time between two frames that show how far a gathering is.
const BETWEEN: Duration = Duration::from_millis(150);

/// What something was worked out from.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Source {
    state: u64,
    gathered: u64,
    unit: Option<Unit>,
}

/// Everything followed, and the number of this result.
#[derive(Debug, Default)]
pub(super) struct Follower {
    ready: Option<(Source, Arc<Across>)>,
    working: Option<(Source, Receiver<Across>)>,
    count: u64,
}

impl Follower {
    /// Is something newer being worked out?
    pub(super) fn is_working(&self) -> bool {
        self.working.is_some()
    }

    /// The latest that is ready and its number; a new one is begun where the record has changed since.
    pub(super) fn latest(
        &mut self,
        ctx: &egui::Context,
        cx: &ViewCx<'_>,
        gatherer: &Gatherer,
    ) -> Option<(u64, Arc<Across>)> {
        let wanted = Source { state: cx.session.state(), gathered: gatherer.count, unit: cx.prefs.unit };
        if let Some((source, receiver)) = &self.working
            && let Ok(across) = receiver.try_recv()
        {
            self.ready = Some((*source, Arc::new(across)));
            self.working = None;
            self.count += 1;
        }
        let is = |source: Option<Source>| source == Some(wanted);
        if !is(self.ready.as_ref().map(|r| r.0)) && !is(self.working.as_ref().map(|w| w.0)) {
            let (sender, receiver) = channel();
            let (record, others) = (cx.session.record().clone(), gatherer.gathered.clone());
            let (ctx, prefs) = (ctx.clone(), cx.prefs.clone());
            thread::spawn(move || {
                let across = Across::of(&sheets(&record, None), &others.sheets);
                // If nobody waits for it any more, nobody misses it.
                let _ = sender.send(across.restyled(|style| prefs.shown(style)));
                ctx.request_repaint();
            });
            self.working = Some((wanted, receiver));
        }
        self.ready.as_ref().map(|(_, across)| (self.count, across.clone()))
    }
}

/// Other records, and the gathering of them.
#[derive(Debug, Default)]
pub(super) struct Gatherer {
    /// Files and folders as chosen.
    pub(super) places: Vec<PathBuf>,
    /// What was gathered last.
    pub(super) gathered: Arc<Gathered>,
    /// How often something was.
    count: u64,
    running: Option<(Arc<Progress>, Receiver<Gathered>)>,
}

impl Gatherer {
    /// Begins to gather from all places; a gathering that runs is stopped.
    pub(super) fn begin(&mut self, ctx: &egui::Context, own: Option<&Path>, folder: Option<&Path>) {
        self.stop();
        if self.places.is_empty() {
            self.running = None;
            self.gathered = Arc::default();
            self.count += 1;
            return;
        }
        let progress = Arc::new(Progress::default());
        let (sender, receiver) = channel();
        let (shared, ctx) = (progress.clone(), ctx.clone());
        let (places, own) = (self.places.clone(), own.map(Path::to_owned));
        let kept = folder.map(|folder| folder.join("life"));
        thread::spawn(move || {
            let (begun, reported) = (Instant::now(), AtomicU64::new(0));
            let tell = || {
                let now = begun.elapsed().as_millis() as u64;
                let before = reported.load(Ordering::Relaxed);
                if now >= before + BETWEEN.as_millis() as u64 {
                    reported.store(now, Ordering::Relaxed);
                    ctx.request_repaint();
                }
            };
            let found = gather(&places, own.as_deref(), kept.as_deref(), &shared, &tell);
            let _ = sender.send(found);
            ctx.request_repaint();
        });
        self.running = Some((progress, receiver));
    }

    /// Takes what has come in.
    pub(super) fn poll(&mut self) {
        let Some((_, receiver)) = &self.running else { return };
        match receiver.try_recv() {
            Ok(found) => {
                self.gathered = Arc::new(found);
                self.count += 1;
                self.running = None;
            }
            Err(TryRecvError::Disconnected) => self.running = None,
            Err(TryRecvError::Empty) => {}
        }
    }

    /// How far it is, while it runs.
    pub(super) fn progress(&self) -> Option<&Progress> {
        self.running.as_ref().map(|(progress, _)| &**progress)
    }

    /// Asks it to stop.
    pub(super) fn stop(&self) {
        if let Some(progress) = self.progress() {
            progress.stop();
        }
    }
}

impl Drop for Gatherer {
    fn drop(&mut self) {
        self.stop();
    }
}
