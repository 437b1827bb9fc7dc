//! What the system says to the program by signals, and that nothing typed is lost by it.

use std::io;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicI32, Ordering};
use std::thread;
use std::time::Duration;

use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM, SIGXFSZ};
use signal_hook::iterator::Signals;
use signal_hook::low_level::emulate_default_handler;

/// How long the window may take to copy what is typed before the program ends all the same.
const GRACE: Duration = Duration::from_secs(5);

/// From here on a file that grows beyond the system's limit of size is an error, told like a full disk, and not the end
/// of the program in the midst of its writing.
pub fn outlive_size_limit() {
    static MET: AtomicBool = AtomicBool::new(false);
    // Only a signal that cannot be caught is refused, and this one can.
    let _ = signal_hook::flag::register(SIGXFSZ, &MET);
}

/// Somebody asks the program to end: the session is over (SIGTERM), its terminal is gone (SIGHUP), or Ctrl+C was pressed
/// in it (SIGINT).
#[derive(Clone, Debug, Default)]
pub struct Ending {
    /// The signal; 0: nobody asks.
    asked: Arc<AtomicI32>,
}

impl Ending {
    /// Watches from here on; `wake` is called when somebody asks, on a thread of its own.
    ///
    /// Whoever has the work to save looks at [`Ending::asked`], copies it, and calls [`end`]. If that takes too long, the
    /// program ends without it.
    ///
    /// # Errors
    /// If the system lets nobody watch.
    pub fn watch(wake: impl Fn() + Send + 'static) -> io::Result<Self> {
        let ending = Self::default();
        let asked = Arc::clone(&ending.asked);
        let mut signals = Signals::new([SIGTERM, SIGHUP, SIGINT])?;
        thread::Builder::new().name("signals".to_owned()).spawn(move || {
            if let Some(signal) = signals.forever().next() {
                asked.store(signal, Ordering::Release);
                wake();
                thread::sleep(GRACE);
                end(signal);
            }
        })?;
        Ok(ending)
    }

    /// The signal by which somebody asks; none so far.
    pub fn asked(&self) -> Option<i32> {
        Some(self.asked.load(Ordering::Acquire)).filter(|signal| *signal != 0)
    }
}

/// Ends the program as the signal would have.
pub fn end(signal: i32) -> ! {
    // Returns only if the signal does not end a program.
    let _ = emulate_default_handler(signal);
    std::process::exit(128 + signal)
}
