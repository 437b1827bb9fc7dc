//! Nothing lost: the program killed while it saves, two of it at once, a full disk, an answer that nobody can read.

use std::fs;
use std::os::unix::fs::PermissionsExt as _;
use std::os::unix::process::CommandExt as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant};

use records::file as files;
use records::record::schema::EngineRecord;
use work::seal;

use crate::run::{file, program};

/// A signed record in a folder of its own.
fn signed() -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("engine.ron");
    fs::copy(file("tests/golden/record_sealed.ron"), &path).unwrap();
    (folder, path)
}

/// `amend`, about to be run, with a reason that tells this amendment from the others.
fn amend(path: &Path, why: &str) -> Command {
    let mut command = program();
    command.arg("amend").arg(path).args(["--name", "Ada Invented", "--certificate", "invented 7"]);
    command.args(["--date", "2026-05-14", "--overhaul", "1", "--why", why]);
    command.args(["--set", &format!("overhaul.remarks={why}")]);
    command.stdout(Stdio::piped()).stderr(Stdio::piped());
    command
}

fn record(path: &Path) -> EngineRecord {
    files::load_record(path).value.unwrap()
}

/// Why it was amended, each time, if every signature still holds.
fn reasons(path: &Path) -> Vec<String> {
    let record = record(path);
    assert!(seal::verify(&record, 0).unwrap().holds());
    let seal = record.overhauls[0].seal.as_ref().unwrap();
    seal.amendments.iter().map(|amendment| amendment.why.clone()).collect()
}

fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<_> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

fn errors(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

/// Two programs at once, many rounds: whoever ends with 0 has its amendment in the file, and who does not says why.
#[test]
fn of_two_amendments_at_once_none_is_lost() {
    const ROUNDS: usize = 60;
    let (folder, path) = signed();
    let before = fs::read(&path).unwrap();
    for round in 0..ROUNDS {
        fs::write(&path, &before).unwrap();
        let mut expected = reasons(&path);
        let running = ["first", "second"].map(|who| {
            let why = format!("{who} of round {round}");
            let child = amend(&path, &why).spawn().unwrap();
            (why, child)
        });
        let mut done = 0;
        for (why, child) in running {
            let output = child.wait_with_output().unwrap();
            if output.status.code() == Some(0) {
                expected.push(why);
                done += 1;
            } else {
                assert!(errors(&output).contains("somebody else"), "{}", errors(&output));
            }
        }
        assert!(done > 0, "one of two always goes through");
        let mut kept = reasons(&path);
        kept.sort();
        expected.sort();
        assert_eq!(kept, expected, "round {round}");
    }
    assert_eq!(names(folder.path()), ["engine.ron"]);
}

/// Killed at any moment, the file is the old one or the new one. BOREWRIGHT_KILLS says how often; without it 200 times.
#[test]
fn killed_while_it_saves_the_file_is_the_old_or_the_new_one() {
    let kills = std::env::var("BOREWRIGHT_KILLS").ok().and_then(|text| text.parse().ok()).unwrap_or(200);
    let (folder, path) = signed();
    let before = fs::read(&path).unwrap();
    let first = reasons(&path);
    // How long it takes when nobody kills it.
    let start = Instant::now();
    assert!(amend(&path, "not killed").output().unwrap().status.success());
    let usual = start.elapsed();
    let mut random: u64 = 18;
    let (mut old, mut new, mut debris) = (0, 0, 0);
    for round in 0..kills {
        fs::write(&path, &before).unwrap();
        let why = format!("round {round}");
        let mut child = amend(&path, &why).spawn().unwrap();
        random = random.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        // Most of the time goes to starting and reading; the saving is at the end.
        let share = 0.4 + 0.8 * (random >> 11) as f64 / (1_u64 << 53) as f64;
        std::thread::sleep(usual.mul_f64(share));
        child.kill().unwrap();
        child.wait().unwrap();
        let mut kept = reasons(&path);
        match kept.pop().filter(|last| *last == why) {
            Some(_) => new += 1,
            None => {
                assert_eq!(fs::read(&path).unwrap(), before, "round {round}");
                old += 1;
                kept.clone_from(&first);
            }
        }
        assert_eq!(kept, first, "round {round}");
        // What it leaves behind the next writer clears.
        let left = names(folder.path());
        assert!(left.len() <= 2, "{left:?}");
        debris += left.len() - 1;
    }
    eprintln!(
        "{kills} kills: {old} times the old file, {new} times the new one, {debris} temporary files left"
    );
    assert!(kills < 100 || (old > 0 && new > 0), "{old} old, {new} new: killed too early or too late");
    assert!(amend(&path, "not killed").output().unwrap().status.success());
    assert_eq!(names(folder.path()), ["engine.ron"]);
}

/// The calls of the system that a trace tells of, from the first that concerns a file on: each with its number among
/// those of its name.
fn calls(trace: &str, file: &Path) -> Vec<(String, usize)> {
    let file = file.to_str().unwrap();
    let mut counted = std::collections::BTreeMap::<String, usize>::new();
    let mut found = Vec::new();
    for line in trace.lines() {
        let call = line.trim_start_matches(|c: char| c.is_ascii_digit() || c == ' ');
        let Some((name, arguments)) = call.split_once('(') else { continue };
        if name.is_empty() || !name.chars().all(|c| c.is_ascii_alphanumeric() || c == '_') {
            continue;
        }
        let number = counted.entry(name.to_owned()).and_modify(|number| *number += 1).or_insert(1);
        if (!found.is_empty() || arguments.contains(file)) && !["execve", "exit_group"].contains(&name) {
            found.push((name.to_owned(), *number));
        }
    }
    found
}

/// The same command, watched by a program that can refuse its calls in the system's stead.
fn traced(command: &Command, options: &[&str], trace: &Path) -> Command {
    let mut traced = Command::new("strace");
    traced.args(["-f", "-qq", "-s", "0", "-o"]).arg(trace).args(options).arg("--");
    traced.arg(command.get_program()).args(command.get_args());
    traced.current_dir(file("")).stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped());
    traced
}

/// Every call of the system that comes after the file is first looked at fails once, each in a run of its own: an error
/// of the disk, and for what writes a full one or no permission. The file is the old one or the new one, the program
/// says so, and nothing is left beside it.
#[test]
fn whichever_call_of_the_system_fails_the_file_is_the_old_or_the_new_one() {
    let (folder, path) = signed();
    let before = fs::read(&path).unwrap();
    let first = reasons(&path);
    let trace = tempfile::NamedTempFile::new().unwrap();
    let usual = traced(&amend(&path, "traced"), &[], trace.path()).output();
    if !usual.is_ok_and(|output| output.status.success()) {
        eprintln!("SKIPPED: strace is not on this machine, or may not watch, so no call is made to fail.");
        return;
    }
    let calls = calls(&fs::read_to_string(trace.path()).unwrap(), &path);
    assert!(calls.len() > 40 && calls.iter().any(|(name, _)| name.starts_with("rename")), "{calls:?}");
    let (mut old, mut new, mut ended) = (0, 0, 0);
    for (name, number) in &calls {
        let writes =
            ["write", "fsync", "openat", "fchmod"].contains(&name.as_str()) || name.starts_with("rename");
        let kinds: &[&str] = if writes { &["EIO", "ENOSPC", "EACCES", "EINTR"] } else { &["EIO"] };
        for error in kinds {
            fs::write(&path, &before).unwrap();
            let inject = format!("inject={name}:error={error}:when={number}");
            let output = traced(&amend(&path, &inject), &["-e", &inject], trace.path()).output().unwrap();
            let reported = errors(&output);
            let is_new = fs::read(&path).unwrap() != before;
            let mut kept = reasons(&path);
            if is_new {
                assert_eq!(kept.pop().unwrap(), inject);
                new += 1;
            } else {
                old += 1;
            }
            assert_eq!(kept, first, "{inject}");
            match output.status.code() {
                Some(0) => assert!(is_new, "{inject}: it says that all is done"),
                Some(2) if is_new => assert!(reported.contains("did not confirm it"), "{inject}: {reported}"),
                Some(2) => assert!(reported.contains("error: "), "{inject}: {reported}"),
                Some(3) => assert!(is_new, "{inject}: {reported}"),
                // Without memory, numbers by chance, or a folder that can be closed, the language itself gives up; the next
                // writer clears what is left.
                code => {
                    let without = ["brk", "mmap", "munmap", "mprotect", "getrandom", "close"];
                    assert!(without.contains(&name.as_str()), "{inject}: {code:?}, {reported}");
                    ended += 1;
                    assert!(amend(&path, "after that").output().unwrap().status.success());
                }
            }
            assert_eq!(names(folder.path()), ["engine.ron"], "{inject}");
        }
    }
    eprintln!(
        "{} calls made to fail, {} times: {old} times the old file, {new} times the new one, {ended} times the program ended",
        calls.len(),
        old + new
    );
    assert!(old > 20 && new > 5, "{old} old, {new} new");
}

/// Asserts that a command was refused for a reason, and left everything as it was.
fn refused(command: &mut Command, path: &Path, part: &str) {
    let before = fs::read(path).unwrap();
    let output = command.output().unwrap();
    assert_eq!(output.status.code(), Some(2), "{output:?}");
    assert!(errors(&output).contains(part), "{part}: {}", errors(&output));
    assert!(errors(&output).contains("engine.ron"), "{}", errors(&output));
    assert_eq!(fs::read(path).unwrap(), before);
    assert_eq!(names(path.parent().unwrap()), ["engine.ron"]);
}

/// A file system of its own, as long as the test runs.
struct Mounted<'a>(&'a Path);

impl Drop for Mounted<'_> {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(self.0).status();
    }
}

#[test]
fn a_full_disk_leaves_the_old_file_and_nothing_else() {
    let (folder, path) = signed();
    let disk = folder.path().join("disk");
    fs::create_dir(&disk).unwrap();
    let mounted = Command::new("mount").args(["-t", "tmpfs", "-o", "size=64k", "none"]).arg(&disk).output();
    if !mounted.is_ok_and(|output| output.status.success()) {
        eprintln!("SKIPPED: only root can mount a small disk. A limit of file size is tried all the same.");
        return;
    }
    let _mounted = Mounted(&disk);
    let full = disk.join("engine.ron");
    fs::copy(&path, &full).unwrap();
    let rest = disk.join("rest");
    let mut size = 64 * 1024;
    // As much as goes in.
    while fs::write(&rest, vec![b'x'; size]).is_err() {
        size -= 1024;
    }
    let before = fs::read(&full).unwrap();
    let output = amend(&full, "no room").output().unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert!(errors(&output).contains("The disk is full; nothing was changed"), "{}", errors(&output));
    assert_eq!(fs::read(&full).unwrap(), before);
    assert_eq!(names(&disk), ["engine.ron", "rest"]);
    fs::remove_file(rest).unwrap();
    assert!(amend(&full, "room").output().unwrap().status.success());
}

/// Without care the system ends the program at its limit, in the midst of writing.
#[test]
fn a_limit_of_file_size_leaves_the_old_file_and_nothing_else() {
    let (_folder, path) = signed();
    let bare = amend(&path, "too large");
    let mut limited = Command::new("sh");
    limited.args(["-c", "ulimit -f 1 && exec \"$0\" \"$@\""]).arg(bare.get_program()).args(bare.get_args());
    limited.current_dir(file("")).stdin(Stdio::null());
    assert!(fs::metadata(&path).unwrap().len() > 1024);
    refused(&mut limited, &path, "The system allows no file of this size; nothing was changed");
}

#[test]
fn another_users_file_is_not_made_ones_own() {
    let (folder, path) = signed();
    for place in [folder.path(), &path] {
        let mode = if place == path { 0o666 } else { 0o777 };
        fs::set_permissions(place, fs::Permissions::from_mode(mode)).unwrap();
    }
    let nobody = 65_534;
    let mut other = program();
    other.uid(nobody).gid(nobody).arg("--version").stdout(Stdio::null());
    if !other.status().is_ok_and(|status| status.success()) {
        eprintln!("SKIPPED: only root can run the program as another user.");
        return;
    }
    refused(amend(&path, "not mine").uid(nobody).gid(nobody), &path, "belongs to another user");
    fs::set_permissions(&path, fs::Permissions::from_mode(0o644)).unwrap();
    refused(amend(&path, "not mine").uid(nobody).gid(nobody), &path, "read-only");
}

#[test]
fn an_answer_that_cannot_be_written_hides_no_file() {
    let full = || Stdio::from(fs::File::options().write(true).open("/dev/full").unwrap());
    let (_folder, path) = signed();
    // The disk that the answer goes to is full.
    let output = amend(&path, "said to nobody").stdout(full()).output().unwrap();
    assert_eq!(output.status.code(), Some(3), "{output:?}");
    let reported = errors(&output);
    assert!(reported.contains("What there is to say cannot be written"), "{reported}");
    assert!(reported.contains("The work is done, and every file is written."), "{reported}");
    assert_eq!(reasons(&path).last().unwrap(), "said to nobody");
    // Neither the answer nor why it is missing can be said: only the status is left.
    let status = amend(&path, "said to nobody else").stdout(full()).stderr(full()).status().unwrap();
    assert_eq!(status.code(), Some(3));
    assert_eq!(reasons(&path).last().unwrap(), "said to nobody else");
    // The reader of the pipe has gone before anything was said: it is written all the same, and nothing is wrong.
    let mut child = amend(&path, "said into a broken pipe").spawn().unwrap();
    drop(child.stdout.take());
    assert_eq!(child.wait_with_output().unwrap().status.code(), Some(0));
    assert_eq!(reasons(&path).last().unwrap(), "said into a broken pipe");
    // And what is not written is not hidden by a reader that has gone.
    let before = fs::read(&path).unwrap();
    let mut child = amend(&path, " ").spawn().unwrap();
    drop((child.stdout.take(), child.stderr.take()));
    assert_eq!(child.wait().unwrap().code(), Some(2));
    assert_eq!(fs::read(&path).unwrap(), before);
}

#[test]
fn both_files_of_an_exercise_are_written_whoever_listens() {
    let folder = tempfile::tempdir().unwrap();
    let practise = || {
        let mut command = program();
        command.current_dir(folder.path()).args(["practise", "--seed", "7"]);
        command.stdout(fs::File::options().write(true).open("/dev/full").unwrap());
        command.output().unwrap()
    };
    assert_eq!(practise().status.code(), Some(3));
    assert_eq!(names(folder.path()), ["practice-7-key.ron", "practice-7.ron"]);
    // Nothing that somebody may have filled in is written over.
    let before = fs::read(folder.path().join("practice-7.ron")).unwrap();
    assert_eq!(practise().status.code(), Some(2));
    assert_eq!(fs::read(folder.path().join("practice-7.ron")).unwrap(), before);
}

/// The program speaks to nobody: it opens no socket, whatever it does.
#[test]
fn no_command_opens_a_socket() {
    let folder = tempfile::tempdir().unwrap();
    let trace = folder.path().join("trace");
    let place = |name: &str| folder.path().join(name).display().to_string();
    let record = place("engine.ron");
    fs::copy(file("demo/wexcombe_six.ron"), &record).unwrap();
    let (csv, svg, index) = (place("readings.csv"), place("profile.svg"), place("index"));
    let commands: [&[&str]; 9] = [
        &["judge", "demo"],
        &["judge", "demo/fleet.csv", "--limits", "limits/wexcombe_six.ron"],
        &["check", "demo"],
        &["trend", "demo", "--index", &index],
        &["export", &record, "--out", &csv],
        &["import", &csv, "--into", &record],
        &["plot", &record, "--cylinder", "4", "--out", &svg],
        &["seal", &record, "--name", "x", "--certificate", "x", "--date", "2026-05-14"],
        &["manual"],
    ];
    for arguments in commands {
        let mut command = program();
        command.args(arguments);
        let output = traced(&command, &["-e", "trace=%network,openat"], &trace).output();
        if !output.as_ref().is_ok_and(|output| output.status.success()) {
            assert!(command.output().unwrap().status.success(), "{arguments:?}");
            eprintln!(
                "SKIPPED: strace is not on this machine, or may not watch, so no socket would be seen."
            );
            return;
        }
        let calls = fs::read_to_string(&trace).unwrap();
        assert!(calls.contains("openat("), "{arguments:?}: nothing was watched");
        // A thread that ends while it is watched leaves a line without the name of a call.
        let named = calls.lines().filter(|line| !line.contains("<detached"));
        let sockets: Vec<_> = named.filter(|line| !line.contains("openat")).collect();
        assert!(sockets.iter().all(|line| !line.contains('(')), "{arguments:?}: {sockets:?}");
    }
}

/// A program that waits for a pipe would wait for ever.
#[test]
fn what_is_no_file_is_neither_read_nor_written() {
    let folder = tempfile::tempdir().unwrap();
    let pipe = folder.path().join("pipe.csv");
    assert!(Command::new("mkfifo").arg(&pipe).status().unwrap().success());
    let start = Instant::now();
    for arguments in [&["amend"][..], &["seal"]] {
        let mut command = program();
        command.args(arguments).arg(&pipe).args([
            "--name",
            "x",
            "--certificate",
            "x",
            "--date",
            "2026-05-14",
        ]);
        command.args(if arguments[0] == "amend" {
            &["--why", "x", "--set", "overhaul.remarks=x"][..]
        } else {
            &[]
        });
        let output = command.output().unwrap();
        assert_eq!(output.status.code(), Some(2));
        assert!(errors(&output).contains("This is a pipe, not a file"), "{}", errors(&output));
    }
    let mut export = program();
    let output = export.args(["export", "demo/wexcombe_six.ron", "--out"]).arg(&pipe).output().unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert!(errors(&output).contains("and no file; nothing was written"), "{}", errors(&output));
    assert!(start.elapsed() < Duration::from_secs(30));
}
