//! From the first key to the saved file, through the real program in a real window: a cylinder is typed with
//! key events of an X server, saved, and `judge` finds what the core finds for the same readings.
//!
//! It needs an X server without a screen (Xvfb) and a program that presses keys (xdotool); where they are
//! missing it says that it was skipped.

use std::io::Read as _;
use std::os::unix::process::ExitStatusExt as _;
use std::path::Path;
use std::process::{Child, Command, ExitStatus, Stdio};
use std::time::{Duration, Instant};

use records::file::{load_record, to_ron};
use records::record::schema::EngineRecord;
use records::store::recovery::left_behind;

use crate::run::{borewright, file, program};

/// How long anything may take before it counts as not coming: a software-drawn window on a busy machine is slow.
const PATIENCE: Duration = Duration::from_secs(90);

/// What the program says where the system gives it no window.
const NO_WINDOW: &str = "the window cannot be opened";

/// Ends a program when the test does.
struct Running(Child);

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

fn is_here(tool: &str) -> bool {
    let looked = Command::new("which").arg(tool).stdout(Stdio::null()).stderr(Stdio::null()).status();
    looked.is_ok_and(|status| status.success())
}

/// Waits until something is there.
fn wait_for<T>(what: &str, mut look: impl FnMut() -> Option<T>) -> T {
    let start = Instant::now();
    loop {
        if let Some(found) = look() {
            return found;
        }
        assert!(start.elapsed() < PATIENCE, "{what} did not come within {PATIENCE:?}");
        std::thread::sleep(Duration::from_millis(100));
    }
}

/// Starts an X server on a display that is free, and says which.
fn screen() -> (Running, String) {
    let mut server = Command::new("Xvfb")
        .args(["-displayfd", "1", "-screen", "0", "1440x900x24", "-nolisten", "tcp"])
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let mut reported = server.stdout.take().unwrap();
    let running = Running(server);
    let mut number = String::new();
    let mut byte = [0];
    while reported.read(&mut byte).unwrap() == 1 && byte[0] != b'\n' {
        number.push(char::from(byte[0]));
    }
    (running, format!(":{number}"))
}

fn xdotool(display: &str, arguments: &[&str]) -> Option<String> {
    let output = Command::new("xdotool").env("DISPLAY", display).args(arguments).output().unwrap();
    output.status.success().then(|| String::from_utf8_lossy(&output.stdout).into_owned())
}

/// A reading and Enter as names of keys.
fn keys(entered: &str) -> Vec<String> {
    let name = |c: char| match c {
        '+' => "plus".to_owned(),
        '-' | '\u{2212}' => "minus".to_owned(),
        '.' => "period".to_owned(),
        other => other.to_string(),
    };
    entered.chars().map(name).chain(["Return".to_owned()]).collect()
}

fn write(path: &Path, record: &EngineRecord) {
    std::fs::write(path, to_ron(record).unwrap()).unwrap();
}

/// What `judge --json` says of a cylinder.
fn judged(path: &Path, index: usize) -> serde_json::Value {
    let run = borewright(["judge".as_ref(), path.as_os_str(), "--json".as_ref()]);
    let json: serde_json::Value = serde_json::from_str(&run.out).unwrap();
    let cylinder = json["engines"][0]["cylinders"][index].clone();
    assert!(cylinder.is_object(), "judge tells of the cylinder");
    cylinder
}

/// The program's window on a screen of its own.
struct Window {
    program: Running,
    display: String,
    _screen: Running,
}

impl Window {
    /// Opens a file in it; what the program keeps for itself goes to `home`. `Err` where there are no windows, and why.
    fn open(home: &Path, typed: &Path) -> Result<Self, String> {
        if let Some(tool) = ["Xvfb", "xdotool"].into_iter().find(|tool| !is_here(tool)) {
            return Err(format!("{tool} is not on this machine, so no window was opened."));
        }
        let (server, display) = screen();
        let mut program = program();
        program.arg(typed).env("DISPLAY", &display).env("LIBGL_ALWAYS_SOFTWARE", "1").env("HOME", home);
        for name in
            ["WAYLAND_DISPLAY", "WAYLAND_SOCKET", "XDG_DATA_HOME", "XDG_CONFIG_HOME", "XDG_RUNTIME_DIR"]
        {
            program.env_remove(name);
        }
        let errors = home.join("errors.txt");
        let reported = std::fs::File::create(&errors).unwrap();
        let mut window = Running(program.stdout(Stdio::null()).stderr(reported).spawn().unwrap());
        let name = typed.file_stem().unwrap().to_str().unwrap();
        let id = wait_for("the window", || {
            if let Some(status) = window.0.try_wait().unwrap() {
                let errors = std::fs::read_to_string(&errors).unwrap();
                // An X server may be here without what draws in it.
                assert!(
                    errors.contains(NO_WINDOW),
                    "the program ended, {status}, before its window came: {errors}"
                );
                return Some(None);
            }
            xdotool(&display, &["search", "--onlyvisible", "--name", name])
                .and_then(|ids| ids.lines().next().map(|id| Some(id.to_owned())))
        });
        let Some(id) = id else {
            return Err("the system gives no window.".to_owned());
        };
        wait_for("the keyboard", || xdotool(&display, &["windowfocus", "--sync", &id]));
        Ok(Self { program: window, display, _screen: server })
    }

    fn press(&self, keys: &[&str]) {
        let mut arguments = vec!["key", "--delay", "25"];
        arguments.extend(keys);
        assert!(xdotool(&self.display, &arguments).is_some(), "keys are pressed");
    }

    /// The sockets it has open: of those within the machine (as the display's is), and of all others.
    #[cfg(target_os = "linux")]
    fn sockets(&self) -> (usize, Vec<String>) {
        let process = Path::new("/proc").join(self.program.0.id().to_string());
        let within = std::fs::read_to_string(process.join("net/unix")).unwrap();
        let numbers: Vec<&str> = within.lines().filter_map(|line| line.split_whitespace().nth(6)).collect();
        let open = std::fs::read_dir(process.join("fd")).unwrap().flatten();
        let targets = open.filter_map(|entry| std::fs::read_link(entry.path()).ok());
        let sockets = targets.filter_map(|target| {
            let name = target.to_str()?.strip_prefix("socket:[")?.strip_suffix(']')?;
            Some(name.to_owned())
        });
        let (within, others): (Vec<_>, Vec<_>) =
            sockets.partition(|number| numbers.contains(&number.as_str()));
        (within.len(), others)
    }

    fn ended(&mut self) -> ExitStatus {
        wait_for("the end of the program", || self.program.0.try_wait().unwrap())
    }
}

/// Nobody is asked, and nothing is lost: neither what is not saved nor the cell that is being typed.
#[test]
fn a_window_that_the_system_ends_copies_what_is_typed() {
    for (name, signal) in [("TERM", 15), ("HUP", 1)] {
        let folder = tempfile::tempdir().unwrap();
        let typed = folder.path().join("typed.ron");
        std::fs::copy(file("demo/wexcombe_six.ron"), &typed).unwrap();
        let before = std::fs::read(&typed).unwrap();
        let mut window = match Window::open(folder.path(), &typed) {
            Ok(window) => window,
            Err(why) => {
                eprintln!("SKIPPED: {why}");
                return;
            }
        };
        window.press(&["F2", "plus", "9", "Return", "plus", "7"]);
        // Long enough for what was pressed to reach a window that is drawn without a graphics card.
        std::thread::sleep(Duration::from_secs(2));
        let id = window.program.0.id().to_string();
        assert!(Command::new("kill").args([&format!("-{name}"), &id]).status().unwrap().success());
        let start = Instant::now();
        let status = window.ended();
        assert_eq!(status.signal(), Some(signal), "{status}");
        assert!(
            start.elapsed() < Duration::from_secs(5),
            "it ended by itself, not for having waited too long"
        );
        assert_eq!(std::fs::read(&typed).unwrap(), before);
        let copies = left_behind(&folder.path().join(".local/share/borewright/recovery")).copies;
        let [left] = copies.as_slice() else { panic!("{} copies", copies.len()) };
        assert!(left.copy.is_of(&typed) && left.copy.text.contains("\"+9\""));
        assert_eq!(left.copy.cell.as_ref().map(|cell| cell.text.as_str()), Some("+7"));
    }
}

/// At most a second of typing is lost, whenever the program is killed: how long after a key its copy is on the disk.
#[test]
fn what_is_typed_is_copied_key_by_key() {
    let folder = tempfile::tempdir().unwrap();
    let typed = folder.path().join("typed.ron");
    std::fs::copy(file("demo/wexcombe_six.ron"), &typed).unwrap();
    let mut window = match Window::open(folder.path(), &typed) {
        Ok(window) => window,
        Err(why) => {
            eprintln!("SKIPPED: {why}");
            return;
        }
    };
    let copies = folder.path().join(".local/share/borewright/recovery");
    let holds = |cell: &str| {
        let wanted = format!("\"text\":\"{cell}\"");
        let files = std::fs::read_dir(&copies).into_iter().flatten().flatten().map(|entry| entry.path());
        files
            .filter(|path| path.extension().is_some_and(|extension| extension == "json"))
            .any(|path| std::fs::read_to_string(path).is_ok_and(|text| text.contains(&wanted)))
    };
    window.press(&["F2"]);
    let mut cell = "+".to_owned();
    window.press(&["plus"]);
    let mut took = Vec::new();
    for digit in ["1", "2", "3", "4", "5"] {
        cell.push_str(digit);
        let start = Instant::now();
        window.press(&[digit]);
        while !holds(&cell) {
            assert!(start.elapsed() < PATIENCE, "no copy holds {cell}");
            std::thread::sleep(Duration::from_millis(5));
        }
        took.push(start.elapsed());
    }
    window.program.0.kill().unwrap();
    window.ended();
    // How long is printed and not asked: another program may have the processor.
    eprintln!("from a key to its copy on the disk: {took:.0?}");
}

#[test]
fn a_cylinder_typed_with_real_keys_is_judged_as_the_same_readings_are() {
    // A cylinder whose readings are all by the gauge that comes first, with two repeats at every place.
    let mut expected = load_record(&file("demo/wexcombe_six.ron")).value.unwrap();
    let overhaul = expected.overhauls.last_mut().unwrap();
    let usual = |c: &records::record::schema::Cylinder| {
        c.readings.len() == 10 && c.readings.iter().all(|reading| reading.gauge.is_none())
    };
    let index = overhaul.cylinders.iter().position(usual).unwrap();
    for reading in &mut overhaul.cylinders[index].readings {
        reading.entered = vec![reading.entered[0].clone(), reading.entered.last().unwrap().clone()];
    }
    let mut empty = expected.clone();
    let readings = std::mem::take(&mut empty.overhauls.last_mut().unwrap().cylinders[index].readings);

    let folder = tempfile::tempdir().unwrap();
    let (typed, wanted) = (folder.path().join("typed.ron"), folder.path().join("wanted.ron"));
    write(&typed, &empty);
    write(&wanted, &expected);
    assert_ne!(judged(&typed, index), judged(&wanted, index), "nothing would be shown by typing it");

    let mut window = match Window::open(folder.path(), &typed) {
        Ok(window) => window,
        Err(why) => {
            eprintln!("SKIPPED: {why}");
            return;
        }
    };
    let press = |keys: &[&str]| window.press(keys);
    press(&[&format!("alt+{}", index + 1), "F2"]);
    // As a gauge does: all depths on one axis, two repeats at each, every value with its Enter.
    for axis in ["pin", "thrust"] {
        for reading in readings.iter().filter(|reading| reading.axis == axis) {
            for entered in &reading.entered {
                let keys = keys(entered);
                press(&keys.iter().map(String::as_str).collect::<Vec<_>>());
            }
        }
    }
    #[cfg(target_os = "linux")]
    {
        let (within, others) = window.sockets();
        assert!(within >= 1, "the display's socket is seen");
        assert!(others.is_empty(), "sockets of a network: {others:?}");
    }
    press(&["ctrl+s"]);
    let before = to_ron(&empty).unwrap();
    wait_for("the saved file", || {
        std::fs::read_to_string(&typed).ok().filter(|text| !text.is_empty() && *text != before)
    });
    press(&["ctrl+q"]);
    let status = window.ended();
    assert!(status.success(), "{status}");

    let saved = load_record(&typed).value.unwrap();
    let cells = |record: &EngineRecord| {
        let readings = &record.overhauls.last().unwrap().cylinders[index].readings;
        let mut cells: Vec<_> =
            readings.iter().map(|r| (r.station.clone(), r.axis.clone(), r.entered.clone())).collect();
        cells.sort();
        cells
    };
    assert_eq!(cells(&saved), cells(&expected));
    assert_eq!(judged(&typed, index), judged(&wanted, index));
}
