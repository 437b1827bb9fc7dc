//! How long the window takes for one keystroke: from the digit or Enter to updated figures, outcome and every
//! view laid out, through the real application. Painting is the graphics driver's and not counted.

#![expect(clippy::expect_used, clippy::indexing_slicing, reason = "a bench says what it expects")]

use std::cell::{Cell, RefCell};
use std::path::Path;

use divan::Bencher;
use eframe::egui::{Event, Key, vec2};
use egui_kittest::Harness;
use records::file::{load_record, to_ron};
use records::record::schema::EngineRecord;
use window::{App, Setup};

fn main() {
    divan::main();
}

/// The records that are typed into: the six-cylinder demo, and one of 18 cylinders and 50 overhauls.
const RECORDS: [Size; 2] = [Size(6, 3), Size(18, 50)];

/// How many cylinders and overhauls.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Size(usize, usize);

/// A record of so many cylinders and overhauls, made by repeating the demo's.
fn record(Size(cylinders, overhauls): Size) -> EngineRecord {
    let demo = concat!(env!("CARGO_MANIFEST_DIR"), "/demo/wexcombe_six.ron");
    let mut record = load_record(Path::new(demo)).value.expect("the demo can be read");
    let (few, last) = (record.overhauls.len(), record.overhauls.len() - 1);
    let template = record.overhauls[last].clone();
    for number in few..overhauls {
        let mut overhaul = template.clone();
        let months = i32::try_from(number - last).expect("few");
        overhaul.date = overhaul.date.saturating_add(jiff::Span::new().months(months));
        overhaul.total_hours = overhaul.total_hours.map(|hours| hours + 100.0 * f64::from(months));
        record.overhauls.push(overhaul);
    }
    for overhaul in &mut record.overhauls {
        let six = overhaul.cylinders.clone();
        for number in six.len()..cylinders {
            let mut cylinder = six[number % six.len()].clone();
            cylinder.position = (number + 1).to_string();
            cylinder.serial = format!("{}-{number}", cylinder.serial);
            overhaul.cylinders.push(cylinder);
        }
    }
    record
}

/// A record in the window with the cursor in the first cell.
fn window(size: Size) -> Harness<'static, App> {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("engine.ron");
    std::fs::write(&file, to_ron(&record(size)).expect("it can be written")).expect("it is written");
    let mut harness = Harness::builder()
        .with_size(vec2(1440.0, 900.0))
        .with_max_steps(100)
        .build_eframe(|cc| App::new(cc, Setup { file: Some(file), folder: None }));
    harness.run();
    harness.key_press(Key::F2);
    harness.run();
    let document = harness.state().document().expect("it is open");
    assert_eq!(Size(document.session.cylinders(), document.session.record().overhauls.len()), size);
    harness
}

/// A digit typed into a cell: one frame.
#[divan::bench(args = RECORDS)]
fn digit(bencher: Bencher<'_, '_>, size: Size) {
    let mut harness = window(size);
    bencher.bench_local(|| {
        harness.event(Event::Text("1".to_owned()));
        harness.step();
    });
}

/// Enter behind a changed reading: kept, evaluated and shown in one frame. Going to the first cell and typing into it is
/// not counted.
#[divan::bench(args = RECORDS)]
fn reading_kept(bencher: Bencher<'_, '_>, size: Size) {
    let harness = RefCell::new(window(size));
    let number = Cell::new(0);
    let key = |key| Event::Key {
        key,
        physical_key: None,
        pressed: true,
        repeat: false,
        modifiers: Default::default(),
    };
    bencher
        .with_inputs(|| {
            number.set((number.get() + 1) % 40);
            let mut harness = harness.borrow_mut();
            harness.step();
            harness.event(key(Key::Home));
            harness.step();
            harness.step();
            harness.event(Event::Text(format!("+{}", number.get())));
            harness.step();
        })
        .bench_local_values(|()| {
            let mut harness = harness.borrow_mut();
            harness.event(key(Key::Enter));
            harness.step();
        });
    let done = harness
        .borrow()
        .state()
        .document()
        .and_then(|document| document.session.undo_label().map(str::to_owned));
    done.expect("readings were kept");
}

/// The evaluation alone.
#[divan::bench(args = RECORDS)]
fn evaluation(bencher: Bencher<'_, '_>, size: Size) {
    let harness = window(size);
    let record = harness.state().document().expect("open").session.record();
    bencher.bench_local(|| work::evaluation::Evaluation::of(record, size.1 - 1, None));
}
