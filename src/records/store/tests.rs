use std::io::Write as _;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use super::recovery::{Copy, Guard, MakeCopy, left_behind};
use super::*;
use crate::diag::Diagnostic;
use crate::disk::Fingerprint;

fn folder() -> tempfile::TempDir {
    tempfile::tempdir().expect("a folder for the test")
}

/// The names in a folder.
fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).expect("listed");
    let mut names: Vec<_> =
        entries.map(|entry| entry.expect("listed").file_name().to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

fn why(not: NotWritten) -> String {
    Diagnostic::from(not).to_string()
}

// ---- writing

#[test]
fn a_file_is_written_whole_and_replaced_whole() {
    let folder = folder();
    let path = folder.path().join("engine.ron");
    write_atomic(&path, b"first").expect("written");
    write_atomic(&path, b"second").expect("replaced");
    assert_eq!(fs::read(&path).expect("read"), b"second");
    assert_eq!(names(folder.path()), ["engine.ron"], "nothing is left beside it");
}

#[test]
fn only_what_was_seen_is_replaced() {
    let folder = folder();
    let path = folder.path().join("engine.ron");
    let first = write(&path, b"first", Replace::Nothing).expect("written");
    let second = write(&path, b"second", Replace::Only(&first)).expect("replaced");
    let refused = write(&path, b"third", Replace::Only(&first)).expect_err("it is not as it was");
    assert!(matches!(refused, NotWritten::Changed(_)));
    assert!(why(refused).contains("changed by somebody else"));
    // Somebody else writes as much at the same time of day.
    let time = fs::metadata(&path).and_then(|about| about.modified()).expect("a time");
    fs::write(&path, b"theirs").expect("written");
    fs::File::options().write(true).open(&path).and_then(|file| file.set_modified(time)).expect("set");
    write(&path, b"third", Replace::Only(&second)).expect_err("equal times are not equal files");
    assert_eq!(fs::read(&path).expect("read"), b"theirs");
    // Who writes what is there already takes nothing from anybody.
    let theirs = write(&path, b"theirs", Replace::Only(&second)).expect("the same content");
    assert!(why(write(&path, b"mine", Replace::Nothing).expect_err("refused")).contains("this name already"));
    fs::remove_file(&path).expect("removed");
    assert!(why(write(&path, b"mine", Replace::Only(&theirs)).expect_err("refused")).contains("is gone"));
    assert!(names(folder.path()).is_empty(), "nothing is left of what was refused");
}

#[test]
fn a_content_that_breaks_off_leaves_the_old_file_and_nothing_else() {
    let folder = folder();
    let path = folder.path().join("engine.ron");
    write_atomic(&path, b"first").expect("written");
    let broken = write_by(&path, Replace::Anything, Access::AsBefore, |out| {
        out.write_all(&[b'x'; 100_000])?;
        Err(io::ErrorKind::StorageFull.into())
    });
    assert!(why(broken.expect_err("refused")).contains("The disk is full"));
    assert_eq!(fs::read(&path).expect("read"), b"first");
    assert_eq!(names(folder.path()), ["engine.ron"]);
}

#[test]
fn a_read_only_file_remains_and_the_way_out_is_told() {
    let folder = folder();
    let path = folder.path().join("engine.ron");
    fs::write(&path, b"first").expect("written");
    let mut permissions = fs::metadata(&path).expect("about").permissions();
    permissions.set_readonly(true);
    fs::set_permissions(&path, permissions).expect("set");
    let error = write_atomic(&path, b"second").expect_err("refused");
    assert!(error.remedy.contains("another name"), "{error}");
    assert_eq!(fs::read(&path).expect("read"), b"first");
}

#[test]
fn a_name_that_is_no_file_is_told() {
    let folder = folder();
    let file = folder.path().join("engine.ron");
    fs::write(&file, b"first").expect("written");
    for (path, part) in [
        (folder.path().join("none").join("engine.ron"), "no such folder"),
        (file.join("engine.ron"), "no such folder"),
        (folder.path().to_owned(), "is a folder"),
        (folder.path().join("new/"), "is a folder"),
        (folder.path().join(".."), "is a folder"),
        (PathBuf::new(), "is a folder"),
        (folder.path().join("x".repeat(300)), "cannot be written"),
    ] {
        let error = write_atomic(&path, b"second").expect_err("refused");
        assert!(error.message.contains(part), "{}: {error}", path.display());
        assert!(!error.remedy.is_empty());
    }
    assert_eq!(names(folder.path()), ["engine.ron"]);
}

/// What killed writers left is cleared by the next one; what a living one works on is not.
#[test]
fn stale_temporary_files_are_cleared_when_nobody_writes_them() {
    let folder = folder();
    let (dead, alive) =
        (folder.path().join(".borewright-dead.tmp"), folder.path().join(".borewright-alive.tmp"));
    fs::write(&dead, b"half").expect("written");
    fs::write(&alive, b"half").expect("written");
    for other in [".borewright-notes.txt", "borewright-x.tmp", ".other.tmp"] {
        fs::write(folder.path().join(other), b"").expect("written");
    }
    let writer = fs::File::open(&alive).expect("opened");
    writer.lock().expect("locked");
    write_atomic(&folder.path().join("engine.ron"), b"first").expect("written");
    assert!(!dead.exists() && alive.exists());
    drop(writer);
    write_atomic(&folder.path().join("engine.ron"), b"second").expect("written");
    let expected = [".borewright-notes.txt", ".other.tmp", "borewright-x.tmp", "engine.ron"];
    assert_eq!(names(folder.path()), expected);
}

/// Many writers of one file, each adding a line to what it has read: no line is lost that was written without an error.
#[test]
fn writers_at_once_lose_nothing_of_each_other() {
    let folder = folder();
    let path = &folder.path().join("lines");
    write_atomic(path, b"").expect("written");
    let written: Vec<String> = std::thread::scope(|scope| {
        let writers: Vec<_> = (0..4)
            .map(|writer| {
                scope.spawn(move || {
                    let mut written = Vec::new();
                    for line in 0..50 {
                        let seen = Fingerprint::of(path).expect("read");
                        let mut text = fs::read_to_string(path).expect("read");
                        let line = format!("{writer}.{line}\n");
                        text.push_str(&line);
                        match write(path, text.as_bytes(), Replace::Only(&seen)) {
                            Ok(_) => written.push(line),
                            Err(NotWritten::Changed(_)) => {}
                            Err(NotWritten::Refused(why)) => panic!("{why}"),
                        }
                    }
                    written
                })
            })
            .collect();
        writers.into_iter().flat_map(|writer| writer.join().expect("done")).collect()
    });
    let text = fs::read_to_string(path).expect("read");
    assert!(written.len() >= 50, "somebody always goes through");
    assert!(written.iter().all(|line| text.contains(line.as_str())), "a line is lost");
    assert_eq!(text.lines().count(), written.len());
    assert_eq!(names(folder.path()), ["lines"]);
}

/// A writer that stands still does not let the others stand still.
#[test]
fn a_lock_that_is_never_given_back_is_told() {
    let folder = folder();
    let path = folder.path().join("engine.ron");
    fs::write(&path, b"first").expect("written");
    let other = fs::File::open(&path).expect("opened");
    other.lock().expect("locked");
    let start = Instant::now();
    let error = write_atomic(&path, b"second").expect_err("refused");
    assert!(error.message.contains("Another program is writing"), "{error}");
    assert!(start.elapsed().as_secs() < 20);
    assert_eq!(fs::read(&path).expect("read"), b"first");
}

#[cfg(unix)]
mod unix {
    use std::os::unix::fs::{MetadataExt as _, PermissionsExt as _, chown, symlink};

    use super::*;

    fn mode(path: &Path) -> u32 {
        fs::metadata(path).expect("about").permissions().mode() & 0o7777
    }

    fn set_mode(path: &Path, mode: u32) {
        fs::set_permissions(path, fs::Permissions::from_mode(mode)).expect("set");
    }

    #[test]
    fn the_mode_is_kept_and_a_link_remains_a_link() {
        let folder = folder();
        let (path, link) = (folder.path().join("engine.ron"), folder.path().join("link.ron"));
        fs::write(&path, b"first").expect("written");
        symlink("engine.ron", &link).expect("linked");
        for kept in [0o600, 0o640, 0o666, 0o660] {
            set_mode(&path, kept);
            write_atomic(&link, b"second").expect("replaced");
            assert!(fs::symlink_metadata(&link).expect("about").file_type().is_symlink());
            assert_eq!(fs::read(&path).expect("read"), b"second");
            assert_eq!(mode(&path), kept);
        }
    }

    /// Nobody else can read what takes the place of a private file, not even while it is written.
    #[test]
    fn what_is_private_is_private_from_the_first_byte() {
        let folder = folder();
        let path = folder.path().join("engine.ron");
        fs::write(&path, b"first").expect("written");
        set_mode(&path, 0o600);
        let look = |out: &mut dyn io::Write| {
            out.write_all(b"second")?;
            let temporary = names(folder.path()).into_iter().find(|name| name.ends_with(".tmp"));
            assert_eq!(mode(&folder.path().join(temporary.expect("beside it"))), 0o600);
            Ok(())
        };
        write_by(&path, Replace::Anything, Access::AsBefore, look).expect("written");
        write_by(&folder.path().join("new"), Replace::Nothing, Access::Private, look).expect("written");
        assert_eq!(mode(&folder.path().join("new")), 0o600);
        // A file that was open is closed where it is to be private.
        set_mode(&path, 0o644);
        write_by(&path, Replace::Anything, Access::Private, look).expect("written");
        assert_eq!(mode(&path), 0o600);
    }

    #[test]
    fn a_second_name_is_refused() {
        let folder = folder();
        let (path, second) = (folder.path().join("engine.ron"), folder.path().join("second.ron"));
        fs::write(&path, b"first").expect("written");
        fs::hard_link(&path, &second).expect("linked");
        let error = write_atomic(&path, b"second").expect_err("refused");
        assert!(error.message.contains("hard link"), "{error}");
        assert_eq!(fs::read(&second).expect("read"), b"first");
        fs::remove_file(&second).expect("removed");
        write_atomic(&path, b"second").expect("written");
    }

    #[test]
    fn devices_pipes_sockets_and_dangling_links_are_refused_at_once() {
        let folder = folder();
        let at = |name: &str| folder.path().join(name);
        let made = std::process::Command::new("mkfifo").arg(at("pipe")).status().expect("made");
        assert!(made.success());
        let _socket = std::os::unix::net::UnixListener::bind(at("socket")).expect("made");
        symlink(at("pipe"), at("link to pipe")).expect("linked");
        symlink(at("none"), at("dangling")).expect("linked");
        symlink(at("circle"), at("circle")).expect("linked");
        for (path, part) in [
            (PathBuf::from("/dev/null"), "no file"),
            (PathBuf::from("/dev/full"), "no file"),
            (at("pipe"), "no file"),
            (at("socket"), "no file"),
            (at("link to pipe"), "no file"),
            (at("dangling"), "link to a file that is not there"),
            (at("circle"), "cannot be written"),
        ] {
            let error = write_atomic(&path, b"second").expect_err("refused");
            assert!(error.message.contains(part), "{}: {error}", path.display());
        }
        assert!(!at("none").exists());
    }

    /// Only root can give a file away, so only root can see it kept. What everybody else is told is seen by
    /// `tests/cli/saving.rs`, through another user.
    #[test]
    fn the_owner_is_kept_where_the_system_lets_us() {
        let folder = folder();
        let path = folder.path().join("engine.ron");
        fs::write(&path, b"first").expect("written");
        if chown(&path, Some(12_345), Some(54_321)).is_err() {
            writeln!(std::io::stderr(), "SKIPPED: only root can give a file away.").unwrap();
            return;
        }
        set_mode(&path, 0o2640);
        write_atomic(&path, b"second").expect("replaced");
        let about = fs::metadata(&path).expect("about");
        assert_eq!((about.uid(), about.gid(), mode(&path)), (12_345, 54_321, 0o2640));
    }

    /// A list as the system keeps it: version 2, then a tag, a permission and an id for each entry.
    #[cfg(target_os = "linux")]
    fn access_list(user: u32) -> Vec<u8> {
        let mut list = 2_u32.to_le_bytes().to_vec();
        let none = u32::MAX;
        // The owner, a named user, the group, the mask, everybody else.
        for (tag, may, id) in [(1_u16, 6_u16, none), (2, 6, user), (4, 4, none), (16, 6, none), (32, 0, none)]
        {
            list.extend(tag.to_le_bytes());
            list.extend(may.to_le_bytes());
            list.extend(id.to_le_bytes());
        }
        list
    }

    #[cfg(target_os = "linux")]
    #[test]
    fn access_lists_and_attributes_are_kept_and_none_is_added() {
        use rustix::fs::{XattrFlags, getxattr, setxattr};
        const LIST: &str = "system.posix_acl_access";
        let folder = folder();
        let path = folder.path().join("engine.ron");
        fs::write(&path, b"first").expect("written");
        set_mode(&path, 0o640);
        let set = |path: &Path, name: &str, value: &[u8]| setxattr(path, name, value, XattrFlags::empty());
        if set(&path, LIST, &access_list(12_345)).is_err() || set(&path, "user.note", b"seen").is_err() {
            writeln!(std::io::stderr(), "SKIPPED: this file system keeps no access lists.").unwrap();
            return;
        }
        let value = |name: &str| {
            let mut value = vec![0; 1024];
            getxattr(&path, name, &mut value).map(|length| value.split_at(length).0.to_vec()).ok()
        };
        let before = (value(LIST), value("user.note"), mode(&path));
        assert!(before.0.is_some());
        write_atomic(&path, b"second").expect("replaced");
        assert_eq!(fs::read(&path).expect("read"), b"second");
        assert_eq!((value(LIST), value("user.note"), mode(&path)), before);
        // The folder gives new files a list; one that had none gets none by being saved.
        rustix::fs::removexattr(&path, LIST).expect("removed");
        set_mode(&path, 0o640);
        set(folder.path(), "system.posix_acl_default", &access_list(12_345)).expect("set");
        write_atomic(&path, b"third").expect("replaced");
        assert_eq!((value(LIST), mode(&path)), (None, 0o640));
    }
}

// ---- windows

#[test]
fn the_second_window_on_a_file_is_told() {
    let folder = folder();
    let path = folder.path().join("engine.ron");
    fs::write(&path, b"").expect("written");
    let first = lock::ask(folder.path(), &path);
    assert!(matches!(first, lock::LockResult::Acquired(_)));
    assert!(matches!(lock::ask(folder.path(), &path), lock::LockResult::InUse));
    drop(first);
    assert!(matches!(lock::ask(folder.path(), &path), lock::LockResult::Acquired(_)));
    assert_eq!(names(folder.path()), ["engine.ron"], "no lock is left");
}

/// Locks are removed when they are given back; nobody gets one that is removed already.
#[test]
fn of_many_windows_that_ask_at_once_one_gets_the_lock() {
    let folder = folder();
    let (path, inside) = (&folder.path().join("engine.ron"), &std::sync::atomic::AtomicUsize::new(0));
    std::thread::scope(|scope| {
        for _ in 0..4 {
            scope.spawn(move || {
                for _ in 0..200 {
                    if let lock::LockResult::Acquired(lock) =
                        lock::ask(path.parent().expect("a folder"), path)
                    {
                        assert_eq!(inside.fetch_add(1, Ordering::SeqCst), 0, "two have it");
                        inside.fetch_sub(1, Ordering::SeqCst);
                        drop(lock);
                    }
                }
            });
        }
    });
    assert!(names(folder.path()).is_empty());
}

// ---- recovery copies

fn copy_of(text: &str) -> MakeCopy {
    let copy = Copy {
        origin: None,
        seen: None,
        title: "an engine".to_owned(),
        written: 0,
        text: text.to_owned(),
        cell: None,
        table: None,
    };
    Box::new(move || Ok(copy))
}

/// Asks a guard until it wants to be asked no more.
fn tended(guard: &mut Guard<u32>, typed: Option<&u32>, text: &str) {
    let start = Instant::now();
    while let Some(wait) = guard.tend(typed, || copy_of(text)) {
        assert!(start.elapsed().as_secs() < 20, "it never ends");
        std::thread::sleep(wait);
    }
}

fn texts(folder: &Path) -> Vec<String> {
    let left = left_behind(folder);
    assert!(left.reported.is_empty(), "{:?}", left.reported);
    left.copies.into_iter().map(|left| left.copy.text).collect()
}

#[test]
fn a_copy_is_soon_on_the_disk_and_offered_when_its_window_is_gone() {
    let folder = folder();
    let mut guard = Guard::new(Some(folder.path()));
    let wait = guard.tend(Some(&1), || copy_of("text")).expect("it is going to be written");
    assert!(wait <= Duration::from_millis(250), "with the writing less than a second");
    tended(&mut guard, Some(&1), "text");
    assert!(texts(folder.path()).is_empty(), "its window lives");
    drop(guard);
    assert_eq!(texts(folder.path()), ["text"]);
    let left = left_behind(folder.path()).copies;
    let taken = left[0].take().expect("nobody else has it");
    assert!(left[0].take().is_none(), "it is in hand");
    assert!(texts(folder.path()).is_empty());
    drop(taken);
    assert_eq!(texts(folder.path()), ["text"], "put back");
    left[0].take().expect("free").discard();
    assert!(names(folder.path()).is_empty());
    assert!(left[0].take().is_none(), "it is gone");
}

/// Typed on and on for two seconds: whatever was typed is on the disk soon, and not only once one rests. How soon is
/// printed and hardly asked: another program may have the processor.
#[test]
fn typing_is_copied_while_it_goes_on() {
    let folder = folder();
    let mut guard = Guard::new(Some(folder.path()));
    let on_disk = || {
        let files = fs::read_dir(folder.path()).expect("listed").flatten().map(|entry| entry.path());
        let copies = files.filter(|path| path.extension().is_some_and(|extension| extension == "json"));
        let texts = copies.filter_map(|path| fs::read(path).ok());
        texts
            .filter_map(|bytes| serde_json::from_slice::<Copy>(&bytes).ok()?.text.parse::<usize>().ok())
            .max()
    };
    let start = Instant::now();
    let (mut typed, mut times, mut longest) = (0_usize, vec![start], Duration::ZERO);
    let mut copied = 0;
    while copied < 40 {
        let now = Instant::now();
        if typed < 40 && now.duration_since(start) > Duration::from_millis(50 * typed as u64) {
            typed += 1;
            times.push(now);
        }
        let what = u32::try_from(typed).expect("few");
        guard.tend(Some(&what), || copy_of(&typed.to_string()));
        let found = on_disk().unwrap_or(0);
        for typed in times.iter().take(found + 1).skip(copied + 1) {
            longest = longest.max(typed.elapsed());
        }
        copied = found.max(copied);
        assert!(start.elapsed() < Duration::from_secs(20), "{copied} of 40 are copied");
        std::thread::sleep(Duration::from_millis(2));
    }
    eprintln!("at most {longest:.0?} from typing to its copy");
    assert!(longest < Duration::from_secs(10), "{longest:?}");
}

#[test]
fn what_is_saved_leaves_nothing() {
    let folder = folder();
    let mut guard = Guard::new(Some(folder.path()));
    tended(&mut guard, Some(&1), "text");
    tended(&mut guard, None, "");
    drop(guard);
    assert!(names(folder.path()).is_empty());
    // Nor if it was saved while the copy was being written.
    let mut guard = Guard::new(Some(folder.path()));
    guard.tend(Some(&1), || copy_of("text"));
    std::thread::sleep(Duration::from_millis(450));
    guard.tend(Some(&1), || copy_of("text"));
    guard.clear();
    drop(guard);
    assert!(names(folder.path()).is_empty());
}

#[test]
fn a_copy_goes_only_when_its_successor_is_on_the_disk() {
    let folder = folder();
    let mut guard = Guard::new(Some(folder.path()));
    guard.copy_now(Some(&1), || copy_of("first")).expect("kept");
    drop(guard);
    let left = left_behind(folder.path()).copies;
    let mut guard: Guard<u32> = Guard::new(Some(folder.path()));
    guard.succeeds(left[0].take().expect("free"));
    guard
        .copy_now(Some(&1), || Box::new(|| Err(Diagnostic::error("the disk is full"))))
        .expect_err("it cannot be written");
    assert!(guard.failed().is_some());
    drop(guard);
    assert_eq!(texts(folder.path()), ["first"], "it is still there");
    let mut guard: Guard<u32> = Guard::new(Some(folder.path()));
    guard.succeeds(left[0].take().expect("free"));
    guard.copy_now(Some(&1), || copy_of("second")).expect("kept");
    drop(guard);
    assert_eq!(texts(folder.path()), ["second"]);
}

#[test]
fn what_failed_is_tried_again_and_told_until_it_is_written() {
    let folder = folder();
    let place = folder.path().join("recovery");
    // A file where the folder should be.
    fs::write(&place, b"").expect("written");
    let mut guard = Guard::new(Some(&place));
    let start = Instant::now();
    while guard.failed().is_none() {
        let wait = guard.tend(Some(&1), || copy_of("text")).expect("it is not written");
        std::thread::sleep(wait.min(Duration::from_millis(20)));
        assert!(start.elapsed().as_secs() < 20);
    }
    let again = guard.tend(Some(&1), || copy_of("text")).expect("it will be tried again");
    assert!(again <= Duration::from_secs(5));
    fs::remove_file(&place).expect("removed");
    tended(&mut guard, Some(&1), "text");
    assert!(guard.failed().is_none());
    drop(guard);
    assert_eq!(texts(&place), ["text"]);
}

/// The window goes on while a slow disk is waited for.
#[test]
fn nobody_waits_for_the_disk() {
    let folder = folder();
    let release = Arc::new(AtomicBool::new(false));
    let mut guard = Guard::new(Some(folder.path()));
    let slow = || -> MakeCopy {
        let release = Arc::clone(&release);
        Box::new(move || {
            while !release.load(Ordering::Relaxed) {
                std::thread::sleep(Duration::from_millis(1));
            }
            copy_of("slow")()
        })
    };
    let start = Instant::now();
    while start.elapsed() < Duration::from_millis(700) {
        assert!(guard.tend(Some(&1), slow).is_some());
        std::thread::sleep(Duration::from_millis(5));
    }
    release.store(true, Ordering::Relaxed);
    tended(&mut guard, Some(&1), "never");
    drop(guard);
    assert_eq!(texts(folder.path()), ["slow"]);
}

#[cfg(unix)]
#[test]
fn nobody_else_can_look_into_the_copies_and_nothing_else_is_read() {
    use std::os::unix::fs::{PermissionsExt as _, symlink};
    let folder = folder();
    let place = folder.path().join("recovery");
    fs::create_dir(&place).expect("made");
    fs::set_permissions(&place, fs::Permissions::from_mode(0o755)).expect("set");
    let mut guard = Guard::new(Some(&place));
    guard.copy_now(Some(&1), || copy_of("text")).expect("kept");
    let mode = |path: &Path| fs::metadata(path).expect("about").permissions().mode() & 0o777;
    assert_eq!(mode(&place), 0o700);
    let files = names(&place);
    assert_eq!(files.len(), 2, "a copy and its lock");
    assert!(files.iter().all(|name| mode(&place.join(name)) == 0o600));
    drop(guard);
    let made = std::process::Command::new("mkfifo").arg(place.join("pipe.json")).status().expect("made");
    assert!(made.success());
    fs::create_dir(place.join("folder.json")).expect("made");
    symlink("/dev/zero", place.join("device.json")).expect("linked");
    fs::write(place.join("damaged.json"), b"{\"origin\": nu").expect("written");
    fs::write(place.join("of a window that crashed.lock"), b"").expect("written");
    let left = left_behind(&place);
    assert_eq!(left.copies.len(), 1);
    assert_eq!(left.reported.len(), 1, "{:?}", left.reported);
    assert!(left.reported[0].to_string().contains("damaged.json"), "{}", left.reported[0]);
    let left: Vec<_> = names(&place).into_iter().filter(|name| name.ends_with(".lock")).collect();
    assert!(left.is_empty(), "locks of windows that are gone: {left:?}");
}
