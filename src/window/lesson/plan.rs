//! The lesson plan: how to teach taper, ovality and measuring in twenty minutes without preparing anything. Each
//! step says what to do and what to say, and its buttons go there with the right bore loaded.

use eframe::egui::{self, RichText, ScrollArea, Ui};

use super::drawings::Picture;
use super::{LessonCx, LessonPart, LessonView, faint, words};
use crate::theme::{self, HEADING};
use drawings::View;

/// The seed number that the plan's exercise has.
const SEED: u64 = 7;

/// Where a button of the plan goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Way {
    /// To an example, at a station's place in the list, with a drawing, on the projector.
    Show { example: &'static str, picture: Picture, all_axes: bool },
    /// To the knobs with an example.
    Knobs(&'static str),
    /// To the gauge in an example, with its true stand told or not.
    Gauge { example: &'static str, is_reported: bool },
    /// To the exercise of the plan's seed number.
    Exercise,
    /// To the gauge study with the invented example.
    Study,
}

/// A step of the lesson.
struct Step {
    minutes: &'static str,
    name: &'static str,
    /// What to do and what to say.
    say: &'static [&'static str],
    ways: &'static [(&'static str, Way)],
}

const fn show(example: &'static str, picture: Picture) -> Way {
    Way::Show { example, picture, all_axes: false }
}

/// The lesson, in order.
const STEPS: [Step; 7] = [
    Step {
        minutes: "0 to 2",
        name: "A round, straight bore",
        say: &[
            "Show the bore as it was made. Say: every diameter is the same, so every figure is nothing. Deviations are \
             drawn far larger than they are; the factor stands in the drawing.",
        ],
        ways: &[("Show it", show("as made", Picture::Of(View::Profile)))],
    },
    Step {
        minutes: "2 to 6",
        name: "Taper, and the ridge above it",
        say: &[
            "Show the wear at the head end. Ask: where do the rings turn round? Above that the bore is as it was made, \
             so it tells how much is wear.",
            "Then turn the knobs yourself: take Taper back until its row is within the limit. On a plain taper the five \
             published rules agree; add some Oval and a belly, and What the other rules say shows five figures for one \
             bore. Ask which one the manual means.",
        ],
        ways: &[
            ("Show the wear", show("worn at the head end", Picture::Of(View::Profile))),
            ("Turn the knobs", Way::Knobs("worn at the head end")),
            ("Choke lost", show("choke lost", Picture::Of(View::Profile))),
        ],
    },
    Step {
        minutes: "6 to 9",
        name: "Oval, and where it hides",
        say: &[
            "Show the oval across the crankshaft: two axes at right angles show all of it. Then the same oval turned by \
             45 degrees: the same two axes show nothing. Then with four axes: there it is.",
        ],
        ways: &[
            ("Across the crankshaft", show("oval across the crankshaft", Picture::Wall)),
            ("Between the axes", show("oval between the axes", Picture::Wall)),
            (
                "The same with four axes",
                Way::Show { example: "oval between the axes", picture: Picture::Wall, all_axes: true },
            ),
        ],
    },
    Step {
        minutes: "9 to 11",
        name: "What two contacts cannot see",
        say: &[
            "Three lobes: the wall is out of round, and every diameter is the same.",
            "Worn on one side: it reads like even wear, but the oversize must take out twice as much, because the \
             centre stays where it was.",
        ],
        ways: &[
            ("Three lobes", show("three lobes", Picture::Wall)),
            ("Worn on one side", show("worn on one side", Picture::Wall)),
        ],
    },
    Step {
        minutes: "11 to 14",
        name: "Hold the gauge",
        say: &[
            "Before any tool: this bore is on a screen. On an engine, ignition and fuel off and the propeller treated as \
             live, by the maker's manual.",
            "Set the gauge on its ring. Rock it along the bore: the smallest reading is the square one. Move it across: \
             the largest is the middle. With the true stand told, let the class see tilt read high and off centre read \
             low. Read the dial together, type it, press Enter.",
        ],
        ways: &[
            ("With its stand told", Way::Gauge { example: "worn at the head end", is_reported: true }),
            ("Without", Way::Gauge { example: "worn at the head end", is_reported: false }),
        ],
    },
    Step {
        minutes: "14 to 19",
        name: "Each on their own",
        say: &[
            "Everybody draws the exercise of the same seed number, or each of another. Begin with task 1, two stations \
             or more; then spot the slip. Who is done goes on with the other tasks, writes a name, and saves the record.",
        ],
        ways: &[("Draw exercise 7", Way::Exercise)],
    },
    Step {
        minutes: "19 to 20",
        name: "Marks",
        say: &[
            "Hand it in: the marks compare with the truth and with what that gauge could have known, and say what went \
             wrong. The key opens with its working. A saved record is marked later by its key, in the window or with \
             borewright mark.",
            "For a second lesson: why the gauge is never quite sure, with a study of three people.",
        ],
        ways: &[("To the exercise", Way::Exercise), ("The gauge study", Way::Study)],
    },
];

/// Draws the plan.
pub(super) fn plan_ui(ui: &mut Ui, cx: &LessonCx<'_>, view: &mut LessonView) {
    ScrollArea::vertical().id_salt("plan").auto_shrink(false).show(ui, |ui| {
        ui.set_max_width(940.0);
        ui.heading("A lesson of twenty minutes");
        words(
            ui,
            "One screen for the class and, from minute 14, one for each student or pair. Nothing needs to be prepared: \
             every button goes to its place with the right bore. On the projector, left and right change the drawing, \
             up and down the example, Escape comes back; F10 and Lesson plan lead here again.",
        );
        faint(
            ui,
            &cx.palette,
            "Everything is invented, by illustrative limits, for no real engine. The program compares and suggests; a \
             licensed person decides, by the maker's current manual and local rules.",
        );
        let mut way = None;
        for step in &STEPS {
            ui.add_space(8.0);
            ui.horizontal(|ui| {
                ui.label(RichText::new(step.name).font(theme::bold(HEADING)));
                ui.label(RichText::new(format!("minute {}", step.minutes)).color(cx.palette.faint_ink));
            });
            for said in step.say {
                words(ui, *said);
            }
            ui.horizontal_wrapped(|ui| {
                for (name, to) in step.ways {
                    if ui.add(egui::Button::new(*name)).clicked() {
                        way = Some(*to);
                    }
                }
            });
        }
        ui.add_space(16.0);
        if let Some(way) = way {
            go(view, way);
        }
    });
}

fn go(view: &mut LessonView, way: Way) {
    match way {
        Way::Show { example, picture, all_axes } => {
            view.shapes.start_named(example);
            view.shapes.filling = Some(picture);
            view.shapes.all_axes = all_axes;
            // The part stays: what leaves the projector comes back to the plan.
            view.shapes.is_projected = true;
        }
        Way::Knobs(example) => {
            view.shapes.start_named(example);
            view.shapes.filling = None;
            view.part = LessonPart::Shapes;
        }
        Way::Gauge { example, is_reported } => {
            view.shapes.start_named(example);
            view.gauge.is_of_exercise = false;
            view.gauge.is_reported = is_reported;
            view.part = LessonPart::Gauge;
        }
        Way::Exercise => {
            if view.exercises.practice.is_none() {
                view.exercises.draw(SEED);
            }
            view.part = LessonPart::Exercises;
        }
        Way::Study => {
            if view.study.is_blank() {
                view.study.fill_example();
            }
            view.part = LessonPart::Study;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use classroom::exercise;
    use classroom::shape::examples;
    use records::limits::Limits;

    #[test]
    fn every_way_leads_to_an_example_that_there_is() {
        let limits = Limits::resolve(&exercise::table()).expect("sound");
        let names: Vec<&str> = examples(&limits).iter().map(|example| example.name).collect();
        for (_, way) in STEPS.iter().flat_map(|step| step.ways) {
            let example = match way {
                Way::Show { example, .. } | Way::Gauge { example, .. } => example,
                Way::Knobs(example) => example,
                Way::Exercise | Way::Study => continue,
            };
            assert!(names.contains(example), "{example}");
        }
    }
}
