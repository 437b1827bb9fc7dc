//! The system's dialog for a file or folder, on a thread of its own: where no dialog service answers, the
//! window does not stand still, and a path can be typed all the same.

use std::path::PathBuf;
use std::sync::mpsc::{Receiver, TryRecvError, channel};

use eframe::egui;

/// What is looked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Wanted {
    /// A file that is there, of a kind: its words and its endings.
    File(&'static str, &'static [&'static str]),
    /// A folder.
    Folder,
    /// Where to save a file: its kind and the name proposed.
    SaveAs(&'static str, &'static [&'static str], String),
}

/// A dialog that may be open.
#[derive(Debug, Default)]
pub(crate) struct Browse {
    answer: Option<Receiver<Option<PathBuf>>>,
}

impl Browse {
    /// Is it open, or being asked for?
    pub(crate) fn is_open(&self) -> bool {
        self.answer.is_some()
    }

    /// Asks for it, unless it is open.
    pub(crate) fn open(&mut self, ctx: &egui::Context, wanted: Wanted) {
        if self.is_open() {
            return;
        }
        let (sender, receiver) = channel();
        let ctx = ctx.clone();
        std::thread::spawn(move || {
            let dialog = rfd::FileDialog::new();
            let chosen = match wanted {
                Wanted::File(kind, endings) => dialog.add_filter(kind, endings).pick_file(),
                Wanted::Folder => dialog.pick_folder(),
                Wanted::SaveAs(kind, endings, name) => {
                    dialog.add_filter(kind, endings).set_file_name(name).save_file()
                }
            };
            // If the window has gone in the meantime, nobody asks.
            let _ = sender.send(chosen);
            ctx.request_repaint();
        });
        self.answer = Some(receiver);
    }

    /// What was chosen, once: `None` while it is open and where it was left.
    pub(crate) fn chosen(&mut self) -> Option<PathBuf> {
        let reported = self.answer.as_ref()?.try_recv();
        if reported == Err(TryRecvError::Empty) {
            return None;
        }
        self.answer = None;
        reported.ok().flatten()
    }
}
