//! Painting a [`DrawingSheet`] in the window: shapes in, egui shapes out, roles turned into the colours of the theme.
//! Nothing is laid out or decided here.

use std::f32::consts::FRAC_PI_2;

use eframe::egui::epaint::{Mesh, TextShape};
use eframe::egui::{
    self, Color32, Painter, Pos2, Rect, Response, RichText, Shape as Painted, Stroke, StrokeKind, Ui,
    WidgetInfo, pos2, vec2,
};

use super::theme::{self, Palette};
use drawings::hatch::{self, Hatch};
use drawings::layout::{Anchor, DrawingSheet, Frame, Shape, Target, Text};
use drawings::{Fill, Pattern, Pen, Role, Xy, palette as paper, ramp};

/// The colour of a role in the theme.
pub fn colour(role: Role, palette: &Palette) -> Color32 {
    match role {
        Role::AsMade => palette.as_made,
        Role::Serviceable => palette.serviceable,
        Role::Beyond => palette.beyond,
        Role::ReboreTo => palette.rebore_to,
        Role::Reading => palette.reading,
        Role::SecondAxis => palette.second_axis,
        Role::Attention => palette.attention,
        Role::Ink => palette.ink,
        Role::Guide => palette.faint_ink,
        Role::Paper => palette.paper,
    }
}

/// Shows a sheet in its place: painted if it is in sight, outlined, and named to a screen reader.
pub fn show(ui: &Ui, response: &Response, area: Rect, sheet: &DrawingSheet, palette: &Palette) {
    if ui.is_rect_visible(area) {
        let painter = ui.painter().with_clip_rect(area.intersect(ui.clip_rect()));
        painter.rect_filled(area, 0.0, palette.paper);
        paint(&painter, area.min, sheet, palette);
        outline(ui, response, area, palette);
    }
    response.widget_info(|| WidgetInfo::labeled(egui::Role::Figure, true, &sheet.name));
}

/// Outlines a place to draw in, heavier while it has the keyboard.
pub fn outline(ui: &Ui, response: &Response, area: Rect, palette: &Palette) {
    let stroke =
        if response.has_focus() { Stroke::new(2.5, palette.as_made) } else { Stroke::new(1.0, palette.rule) };
    ui.painter().rect_stroke(area, 2.0, stroke, StrokeKind::Inside);
}

/// What stands under the pointer, if anything does.
pub fn pointed<'a>(response: &Response, area: Rect, sheet: &'a DrawingSheet) -> Option<&'a Target> {
    let at = response.hover_pos()? - area.min;
    sheet.target([f64::from(at.x), f64::from(at.y)])
}

/// Tells of a thing at the pointer; its first line is its name.
pub fn tell(response: &Response, target: Option<&Target>) {
    let Some(target) = target.filter(|target| target.hover.lines().next().is_some()) else { return };
    response.clone().on_hover_ui_at_pointer(|ui| {
        for (i, line) in target.hover.lines().enumerate() {
            let text = RichText::new(line);
            ui.label(if i == 0 { text.strong() } else { text });
        }
    });
}

/// Paints a sheet with its upper left corner at `origin`.
fn paint(painter: &Painter, origin: Pos2, sheet: &DrawingSheet, palette: &Palette) {
    let brush = Brush { origin, palette, frame: sheet.frame };
    let [low, high] = sheet.frame;
    let frame = Rect::from_min_max(brush.at(low), brush.at(high));
    let inside = painter.with_clip_rect(frame.intersect(painter.clip_rect()));
    // The steps of a colour map are many and small: one mesh for all of them.
    let mut steps = Mesh::default();
    for shape in &sheet.inside {
        if let Shape::Area { loops, fill: Fill::Step(step) } = shape {
            brush.step(&mut steps, loops, *step);
        }
    }
    inside.add(Painted::mesh(steps));
    for shape in &sheet.inside {
        if !matches!(shape, Shape::Area { fill: Fill::Step(_), .. }) {
            brush.shape(&inside, shape);
        }
    }
    for shape in &sheet.around {
        brush.shape(painter, shape);
    }
}

struct Brush<'a> {
    origin: Pos2,
    palette: &'a Palette,
    frame: Frame,
}

impl Brush<'_> {
    fn at(&self, [x, y]: Xy) -> Pos2 {
        self.origin + vec2(x as f32, y as f32)
    }

    fn colour(&self, role: Role) -> Color32 {
        colour(role, self.palette)
    }

    fn stroke(&self, pen: Pen) -> Stroke {
        Stroke::new(pen.weight.points() as f32, self.colour(pen.role))
    }

    fn shape(&self, painter: &Painter, shape: &Shape) {
        match shape {
            Shape::Area { loops, fill } => self.area(painter, loops, *fill),
            Shape::Line { points, pen } => self.line(painter, points, *pen),
            Shape::Disc { at, radius, fill, pen } => {
                let stroke = pen.map_or(Stroke::NONE, |pen| self.stroke(pen));
                painter.circle(self.at(*at), *radius as f32, self.colour(*fill), stroke);
            }
            Shape::Text(text) => self.text(painter, text),
        }
    }

    fn line(&self, painter: &Painter, points: &[Xy], pen: Pen) {
        let points: Vec<Pos2> = points.iter().map(|&p| self.at(p)).collect();
        let stroke = self.stroke(pen);
        if pen.pattern == Pattern::Solid {
            painter.add(Painted::line(points, stroke));
            return;
        }
        let (mut dashes, mut gaps) = (Vec::new(), Vec::new());
        for &[dash, gap] in pen.pattern.points().as_chunks().0 {
            dashes.push(dash as f32);
            gaps.push(gap as f32);
        }
        painter.extend(Painted::dashed_line_with_offset(&points, stroke, &dashes, &gaps, 0.0));
    }

    fn step(&self, mesh: &mut Mesh, loops: &[Vec<Xy>], step: f64) {
        let [r, g, b] = ramp::colour(step);
        for points in loops {
            let corners: Vec<Pos2> = points.iter().map(|&p| self.at(p)).collect();
            mesh.add_colored_rect(Rect::from_points(&corners), Color32::from_rgb(r, g, b));
        }
    }

    fn area(&self, painter: &Painter, loops: &[Vec<Xy>], fill: Fill) {
        let convex = |colour: Color32| {
            for points in loops {
                let points = points.iter().map(|&p| self.at(p)).collect();
                painter.add(Painted::convex_polygon(points, colour, Stroke::NONE));
            }
        };
        let role = match fill {
            Fill::Plain(role) => {
                convex(self.colour(role));
                return;
            }
            Fill::Step(step) => {
                let mut mesh = Mesh::default();
                self.step(&mut mesh, loops, step);
                painter.add(Painted::mesh(mesh));
                return;
            }
            Fill::Band(role) => {
                convex(self.colour(role).gamma_multiply(paper::tint(role) as f32));
                role
            }
            // Concave, so hatched only.
            Fill::Hatched(role) => role,
            Fill::Metal => Role::Ink,
        };
        let Some(hatch) = Hatch::of(fill) else { return };
        let clip = painter.clip_rect();
        let corner = |p: Pos2| [f64::from(p.x - self.origin.x), f64::from(p.y - self.origin.y)];
        let stroke =
            Stroke::new(hatch.weight() as f32, self.colour(role).gamma_multiply(hatch.strength() as f32));
        let seen = if clip.is_finite() { [corner(clip.min), corner(clip.max)] } else { self.frame };
        painter.extend(
            hatch::strokes(hatch, loops, seen)
                .into_iter()
                .map(|[from, to]| Painted::line_segment([self.at(from), self.at(to)], stroke)),
        );
    }

    fn text(&self, painter: &Painter, text: &Text) {
        let size = text.size as f32;
        let font = if text.bold { theme::bold(size) } else { theme::plain(size) };
        let galley = painter.layout_no_wrap(text.text.clone(), font, self.colour(text.role));
        let (wide, high) = (galley.size().x, galley.size().y);
        let along = match text.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => -wide / 2.0,
            Anchor::End => -wide,
        };
        let at = self.at(text.at);
        if text.turned {
            let corner = pos2(at.x - high / 2.0, at.y - along);
            let shape = TextShape::new(corner, galley, self.colour(text.role)).with_angle(-FRAC_PI_2);
            painter.add(shape);
            return;
        }
        let corner = pos2(at.x + along, at.y - high / 2.0);
        if text.cleared {
            let ground = Rect::from_min_size(corner, vec2(wide, high)).expand2(vec2(2.0, -1.0));
            painter.rect_filled(ground, 2.0, self.palette.paper.gamma_multiply(0.85));
        }
        painter.galley(corner, galley, self.colour(text.role));
    }
}
