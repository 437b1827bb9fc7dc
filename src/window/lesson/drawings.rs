//! The drawings of the invented bore, kept until the bore, the choice or the size of a drawing changes.

use eframe::egui::{self, Rect, Sense, Ui};

use crate::plot;
use crate::theme::Palette;
use classroom::demonstration::Demonstration;
use classroom::shape::Shape;
use drawings::layout::{DrawingSheet, Paper, factor_text, lay_out};
use drawings::wall::{Across, Wall, wall};
use drawings::{Choice, Drawing, Magnified, Options, Subject, View};
use quantities::length::{Length, Style};
use records::bore::Point;
use records::limits::Limits;
use records::survey::station_words;

/// A drawing of the Lesson: the wall as it is, or one of the drawings of the Bore.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Picture {
    /// True wall, which no survey knows.
    Wall,
    /// What the readings show.
    Of(View),
}

impl Picture {
    /// Every drawing: the wall, and across the bore before along it.
    pub(super) const ALL: [Self; 7] = [
        Self::Wall,
        Self::Of(View::Section),
        Self::Of(View::Profile),
        Self::Of(View::Taper),
        Self::Of(View::OutOfRound),
        Self::Of(View::CutOpen),
        Self::Of(View::Unrolled),
    ];

    /// Its name.
    pub(super) fn words(self) -> &'static str {
        match self {
            Self::Wall => "True wall",
            Self::Of(view) => view.words(),
        }
    }

    pub(super) fn index(self) -> usize {
        Self::ALL.iter().position(|&other| other == self).unwrap_or(0)
    }
}

/// A drawing and its sheet.
#[derive(Debug)]
struct Kept {
    drawing: Drawing,
    laid: Option<(Paper, DrawingSheet)>,
}

/// The drawings kept.
#[derive(Debug, Default)]
pub(super) struct Drawings {
    of: Option<Options>,
    kept: [Option<Kept>; 7],
}

impl Drawings {
    /// Forgets them all: the bore has changed.
    pub(super) fn clear(&mut self) {
        self.kept = Default::default();
    }

    /// How often a drawing magnifies deviations, in words.
    pub(super) fn magnification(&self, picture: Picture) -> Option<String> {
        let kept = self.kept.get(picture.index())?.as_ref()?;
        match kept.drawing.magnified {
            Magnified::By(factor) => Some(format!("deviations drawn {} times as large", factor_text(factor))),
            Magnified::ByAxes => {
                // The same factor as stands on the sheet: the scale across over the scale along.
                let sheet = &kept.laid.as_ref()?.1;
                let scale = |drawn: f64, [from, to]: [f64; 2]| drawn / (to - from).max(1e-9);
                let [low, high] = sheet.frame;
                let across = scale(high[0] - low[0], sheet.window.x);
                let factor = across / scale(high[1] - low[1], sheet.window.y).max(1e-9);
                Some(format!("drawn {} times larger across than along", factor_text(factor)))
            }
            Magnified::No => None,
        }
    }

    /// Draws one of them in a place.
    pub(super) fn ui(
        &mut self,
        ui: &mut Ui,
        palette: &Palette,
        shown: (&Shape, &Demonstration),
        picture: Picture,
        options: Options,
        (area, text, brief): (Rect, f64, bool),
    ) -> egui::Response {
        if self.of != Some(options) {
            self.of = Some(options);
            self.clear();
        }
        let response =
            ui.interact(area, egui::Id::unique(("lesson drawing", picture.index())), Sense::click());
        let Some(slot) = self.kept.get_mut(picture.index()) else { return response };
        let kept = slot.get_or_insert_with(|| Kept { drawing: draw(picture, shown, &options), laid: None });
        let paper = Paper {
            width: f64::from(area.width()),
            height: f64::from(area.height()),
            text,
            titled: true,
            brief,
        };
        let sheet = match kept.laid.take() {
            Some((of, sheet)) if of == paper => sheet,
            _ => lay_out(&kept.drawing, paper, None),
        };
        plot::show(ui, &response, area, &sheet, palette);
        plot::tell(&response, plot::pointed(&response, area, &sheet));
        kept.laid = Some((paper, sheet));
        response
    }
}

fn draw(picture: Picture, (shape, shown): (&Shape, &Demonstration), options: &Options) -> Drawing {
    let Demonstration { survey, cylinder, assessment, .. } = shown;
    match picture {
        Picture::Of(view) => view.draw(Subject { survey, cylinder, assessment }, options),
        Picture::Wall => {
            let station = options.chosen.map_or(0, |chosen| chosen.station);
            let style = options.unit.map_or(survey.limits.style, Style::usual);
            let wall_of = wall_at(shape, shown, &survey.limits, station, style);
            wall(&wall_of, options.magnification)
        }
    }
}

/// The wall of a bore at a station, and what was read there.
fn wall_at(shape: &Shape, shown: &Demonstration, limits: &Limits, station: usize, style: Style) -> Wall {
    let depth = shape.frame.depth_of(limits, station).unwrap_or_default();
    let growth = shape.at_its_temperature(shape.size).to_mm() / shape.size.to_mm().max(1e-9);
    let across = limits.axes.iter().enumerate().filter_map(|(axis, direction)| {
        // As read: the wall is drawn at its own temperature.
        let cell = shown.cylinder.bore.cell(Point::new(station, axis))?;
        let diameter = cell.mean_as_read().unwrap_or(cell.mean()).nearest();
        Some(Across { name: direction.label.clone(), degrees: direction.degrees, diameter })
    });
    Wall {
        place: station_words(limits, station),
        base: limits.sizes.first().map_or(Length::ZERO, |row| row.new.0.length),
        radii: (0..720)
            .map(|half| f64::from(half) / 2.0)
            .map(|degrees| (degrees, shape.radius_mm(depth, degrees) * growth))
            .collect(),
        across: across.collect(),
        serviceable: limits.sizes.first().and_then(|row| row.serviceable.as_ref()).map(|limit| limit.length),
        style,
    }
}

/// A station chosen for the drawings across the bore.
pub(super) fn chosen(station: usize) -> Option<Choice> {
    Some(Choice { station, axis: None })
}
