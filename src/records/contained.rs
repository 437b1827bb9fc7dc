//! Work of other hands on a file from outside: a panic of it is a message, and ends nothing.

use std::any::Any;
use std::cell::Cell;
use std::panic::{self, AssertUnwindSafe};
use std::sync::Once;

thread_local! {
    /// Is contained work done on this thread?
    static CONTAINED: Cell<bool> = const { Cell::new(false) };
}

/// Does the work. What it has touched when it panics must not be used again.
///
/// # Errors
/// The words of its panic; nothing else is said of it.
pub fn contained<T>(work: impl FnOnce() -> T) -> Result<T, String> {
    static QUIET: Once = Once::new();
    QUIET.call_once(|| {
        let others = panic::take_hook();
        panic::set_hook(Box::new(move |about| {
            if !CONTAINED.get() {
                others(about);
            }
        }));
    });
    let outer = CONTAINED.replace(true);
    let done = panic::catch_unwind(AssertUnwindSafe(work));
    CONTAINED.set(outer);
    done.map_err(|panic| words(&*panic))
}

fn words(panic: &(dyn Any + Send)) -> String {
    let text = panic.downcast_ref::<&str>().copied().or(panic.downcast_ref::<String>().map(String::as_str));
    text.unwrap_or("it gave up without a word").to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_panic_is_a_message() {
        assert_eq!(contained(|| 7), Ok(7));
        assert_eq!(contained(|| panic!("lost")).map(|(): ()| 0), Err("lost".to_owned()));
        let twice = contained(|| contained(|| panic!("{}", 8)).map(|(): ()| 0));
        assert_eq!(twice, Ok(Err("8".to_owned())));
        assert!(!CONTAINED.get());
    }
}
