//! How long the window takes for one keystroke: from the digit or Enter to updated figures, outcome and every
//! view laid out, through the real application. Painting is the graphics driver's and not counted.

#![expect(clippy::expect_used, reason = "a bench says what it expects")]

use borewright::gui::{App, Setup};
use divan::Bencher;
use eframe::egui::{Event, Key, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;

fn main() {
    divan::main();
}

/// The six-cylinder demo with the cursor in the first cell.
fn window() -> Harness<'static, App> {
    let mut harness = Harness::builder()
        .with_size(vec2(1440.0, 900.0))
        .with_max_steps(100)
        .build_eframe(|cc| App::new(cc, Setup::default()));
    harness.run();
    harness.get_by_label("Wexcombe Six").click();
    harness.run();
    harness.key_press(Key::F2);
    harness.run();
    harness
}

/// A digit typed into a cell: one frame.
#[divan::bench]
fn digit(bencher: Bencher<'_, '_>) {
    let mut harness = window();
    bencher.bench_local(|| {
        harness.event(Event::Text("1".to_owned()));
        harness.step();
    });
}

/// Enter behind a changed reading: kept and evaluated in one frame, shown in the next;
/// with the two frames before it, of going to the first cell and typing into it.
#[divan::bench]
fn reading_kept(bencher: Bencher<'_, '_>) {
    let mut harness = window();
    let mut number = 0;
    let key = |key| Event::Key {
        key,
        physical_key: None,
        pressed: true,
        repeat: false,
        modifiers: Default::default(),
    };
    bencher
        .with_inputs(|| {
            number += 1;
            number % 40
        })
        .bench_local_values(|number| {
            harness.event(key(Key::Home));
            harness.step();
            harness.event(Event::Text(format!("+{number}")));
            harness.step();
            harness.event(key(Key::Enter));
            harness.step();
            harness.step();
        });
    let done = harness.state().desk().and_then(|desk| desk.session.undo_label().map(str::to_owned));
    done.expect("readings were kept");
}

/// The evaluation alone.
#[divan::bench]
fn evaluation(bencher: Bencher<'_, '_>) {
    let harness = window();
    let record = harness.state().desk().expect("open").session.record();
    bencher.bench_local(|| borewright::session::Evaluation::of(record, 2, None));
}
