//! A sheet as SVG: self-contained, its styles within, for paper. Colours are those of [`super::palette`].
//!
//! The same drawing always gives the same text. What stands in a record is escaped, and characters that XML
//! does not allow are left out.

use std::fmt::Write as _;

use super::hatch::Hatch;
use super::layout::{Anchor, DrawingSheet, Shape, Text};
use super::{Fill, Pattern, Pen, Role, Weight, Xy, palette, ramp};
use records::wording::visible;

/// How far the baseline lies below the middle of the digits, as a share of the size.
const BASELINE: f64 = 0.36;

/// White, for a page that has its own ground.
const WHITE: [u8; 3] = [0xFF; 3];

/// The sheet as the text of an SVG file, on drawing paper.
pub fn svg(sheet: &DrawingSheet) -> String {
    on(sheet, palette::on_paper(Role::Paper))
}

/// The same on white, for a printed page.
pub fn printed(sheet: &DrawingSheet) -> String {
    on(sheet, WHITE)
}

fn on(sheet: &DrawingSheet, ground: [u8; 3]) -> String {
    let mut out = String::with_capacity(16 * 1024);
    // Writing to a string cannot fail.
    write(&mut out, sheet, ground).unwrap_or_default();
    out
}

fn write(out: &mut String, sheet: &DrawingSheet, ground: [u8; 3]) -> std::fmt::Result {
    let (width, height) = (number(sheet.width), number(sheet.height));
    writeln!(
        out,
        r#"<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}" viewBox="0 0 {width} {height}" role="img">"#
    )?;
    writeln!(out, "<title>{}</title>", escaped(&sheet.title))?;
    writeln!(out, "<desc>{}</desc>", escaped(&sheet.name))?;
    styles(out, ground)?;
    out.push_str("<defs>\n");
    for role in Role::ALL {
        if let Some(hatch) = Hatch::of(Fill::Band(role)) {
            pattern(out, hatch, role)?;
        }
    }
    pattern(out, Hatch::Metal, Role::Ink)?;
    let [[left, top], [right, bottom]] = sheet.frame;
    writeln!(
        out,
        r#"<clipPath id="bw-frame"><rect x="{}" y="{}" width="{}" height="{}"/></clipPath>"#,
        number(left),
        number(top),
        number((right - left).max(0.0)),
        number((bottom - top).max(0.0))
    )?;
    out.push_str("</defs>\n");
    writeln!(out, r#"<rect class="f-paper" width="{width}" height="{height}"/>"#)?;
    out.push_str("<g clip-path=\"url(#bw-frame)\">\n");
    for shape in &sheet.inside {
        self::shape(out, shape)?;
    }
    out.push_str("</g>\n");
    for shape in &sheet.around {
        self::shape(out, shape)?;
    }
    out.push_str("</svg>\n");
    Ok(())
}

fn styles(out: &mut String, ground: [u8; 3]) -> std::fmt::Result {
    out.push_str("<style>\n");
    out.push_str("text{font-family:'DejaVu Sans','Liberation Sans',Arial,sans-serif}\n");
    out.push_str("polyline{fill:none;stroke-linejoin:round}\n");
    for role in Role::ALL {
        let colour = if role == Role::Paper { ground } else { palette::on_paper(role) };
        let (name, hex) = (role_name(role), hex(colour));
        writeln!(out, ".f-{name}{{fill:{hex}}}.s-{name}{{stroke:{hex}}}")?;
    }
    for weight in [Weight::Thick, Weight::Thin, Weight::Hair] {
        writeln!(out, ".w-{}{{stroke-width:{}}}", weight_name(weight), number(weight.points()))?;
    }
    for pattern in [Pattern::Dashed, Pattern::Dotted, Pattern::Chain] {
        let dashes: Vec<String> = pattern.points().iter().map(|&d| number(d)).collect();
        writeln!(out, ".p-{}{{stroke-dasharray:{}}}", pattern_name(pattern), dashes.join(" "))?;
    }
    let paper = hex(ground);
    writeln!(
        out,
        ".b{{font-weight:bold}}.c{{paint-order:stroke;stroke:{paper};stroke-width:4;stroke-linejoin:round}}"
    )?;
    out.push_str("</style>\n");
    Ok(())
}

fn pattern(out: &mut String, hatch: Hatch, role: Role) -> std::fmt::Result {
    let (name, pitch) = (hatch.name(), hatch.pitch());
    let (p, half) = (number(pitch), pitch / 2.0);
    write!(
        out,
        r#"<pattern id="bw-{name}" width="{p}" height="{p}" patternUnits="userSpaceOnUse"><path fill="none" stroke="{}" stroke-width="{}" stroke-opacity="{}" d=""#,
        hex(palette::on_paper(role)),
        number(hatch.weight()),
        number(hatch.strength())
    )?;
    let one = |n: f64| number(n);
    for &slope in hatch.slopes() {
        // The corners too, so that the strokes join from one square to the next.
        if slope < 0.0 {
            write!(
                out,
                "M0 {p}L{p} 0M{} {}L1 -1M{} {}L{} {}",
                one(-1.0),
                one(1.0),
                one(pitch - 1.0),
                one(pitch + 1.0),
                one(pitch + 1.0),
                one(pitch - 1.0)
            )?;
        } else {
            write!(
                out,
                "M0 0L{p} {p}M{} {}L1 {}M{} -1L{} 1",
                one(-1.0),
                one(pitch - 1.0),
                one(pitch + 1.0),
                one(pitch - 1.0),
                one(pitch + 1.0)
            )?;
        }
    }
    if hatch == Hatch::Dashes {
        let (quarter, first, second) = (pitch / 4.0, pitch / 4.0, pitch * 0.75);
        write!(out, "M0 {}h{}M{} {}h{}", one(first), one(quarter), one(half), one(second), one(quarter))?;
    }
    out.push_str("\"/></pattern>\n");
    Ok(())
}

fn shape(out: &mut String, shape: &Shape) -> std::fmt::Result {
    match shape {
        Shape::Area { loops, fill } => area(out, loops, *fill),
        Shape::Line { points, pen } => line(out, points, *pen),
        Shape::Disc { at, radius, fill, pen } => {
            if !is_finite(&[*at]) {
                return Ok(());
            }
            let stroke = pen.map_or(String::new(), |pen| format!(" {}", pen_classes(pen)));
            writeln!(
                out,
                r#"<circle class="f-{}{stroke}" cx="{}" cy="{}" r="{}"/>"#,
                role_name(*fill),
                number(at[0]),
                number(at[1]),
                number(*radius)
            )
        }
        Shape::Text(text) => self::text(out, text),
    }
}

fn area(out: &mut String, loops: &[Vec<Xy>], fill: Fill) -> std::fmt::Result {
    let mut path = String::new();
    for points in loops.iter().filter(|points| is_finite(points)) {
        for (i, point) in points.iter().enumerate() {
            write!(path, "{}{} {}", if i == 0 { "M" } else { "L" }, number(point[0]), number(point[1]))?;
        }
        path.push('Z');
    }
    if path.is_empty() {
        return Ok(());
    }
    match fill {
        Fill::Plain(role) => writeln!(out, r#"<path class="f-{}" d="{path}"/>"#, role_name(role)),
        Fill::Step(step) => {
            let colour = hex(ramp::colour(step));
            writeln!(out, r#"<path fill="{colour}" shape-rendering="crispEdges" d="{path}"/>"#)
        }
        Fill::Metal => writeln!(out, r#"<path fill="url(#bw-metal)" fill-rule="evenodd" d="{path}"/>"#),
        Fill::Hatched(_) => match Hatch::of(fill) {
            Some(hatch) => {
                writeln!(out, r#"<path fill="url(#bw-{})" fill-rule="evenodd" d="{path}"/>"#, hatch.name())
            }
            None => Ok(()),
        },
        Fill::Band(role) => {
            writeln!(
                out,
                r#"<path class="f-{}" fill-opacity="{}" d="{path}"/>"#,
                role_name(role),
                number(palette::tint(role))
            )?;
            match Hatch::of(fill) {
                Some(hatch) => writeln!(out, r#"<path fill="url(#bw-{})" d="{path}"/>"#, hatch.name()),
                None => Ok(()),
            }
        }
    }
}

fn line(out: &mut String, points: &[Xy], pen: Pen) -> std::fmt::Result {
    if points.len() < 2 || !is_finite(points) {
        return Ok(());
    }
    write!(out, r#"<polyline class="{}" points=""#, pen_classes(pen))?;
    for (i, point) in points.iter().enumerate() {
        let gap = if i == 0 { "" } else { " " };
        write!(out, "{gap}{},{}", number(point[0]), number(point[1]))?;
    }
    out.push_str("\"/>\n");
    Ok(())
}

fn text(out: &mut String, text: &Text) -> std::fmt::Result {
    if !is_finite(&[text.at]) {
        return Ok(());
    }
    let anchor = match text.anchor {
        Anchor::Start => "start",
        Anchor::Middle => "middle",
        Anchor::End => "end",
    };
    // Not every reader knows a central baseline: it is worked out here.
    let down = BASELINE * text.size;
    let turn_at = [number(text.at[0]), number(text.at[1])];
    let (x, y) = (number(text.at[0]), number(text.at[1] + down));
    let turn = if text.turned {
        format!(r#" transform="rotate(-90 {} {})""#, turn_at[0], turn_at[1])
    } else {
        String::new()
    };
    let bold = if text.bold { " b" } else { "" };
    let cleared = if text.cleared { " c" } else { "" };
    writeln!(
        out,
        r#"<text class="f-{}{bold}{cleared}" x="{x}" y="{y}" font-size="{}" text-anchor="{anchor}"{turn}>{}</text>"#,
        role_name(text.role),
        number(text.size),
        escaped(&text.text)
    )
}

fn pen_classes(pen: Pen) -> String {
    let pattern = match pen.pattern {
        Pattern::Solid => String::new(),
        pattern => format!(" p-{}", pattern_name(pattern)),
    };
    format!("s-{} w-{}{pattern}", role_name(pen.role), weight_name(pen.weight))
}

fn role_name(role: Role) -> &'static str {
    match role {
        Role::AsMade => "as-made",
        Role::Serviceable => "serviceable",
        Role::Beyond => "beyond",
        Role::ReboreTo => "rebore-to",
        Role::Reading => "reading",
        Role::SecondAxis => "second-axis",
        Role::Attention => "attention",
        Role::Ink => "ink",
        Role::Guide => "guide",
        Role::Paper => "paper",
    }
}

fn weight_name(weight: Weight) -> &'static str {
    match weight {
        Weight::Thick => "thick",
        Weight::Thin => "thin",
        Weight::Hair => "hair",
    }
}

fn pattern_name(pattern: Pattern) -> &'static str {
    match pattern {
        Pattern::Solid => "solid",
        Pattern::Dashed => "dashed",
        Pattern::Dotted => "dotted",
        Pattern::Chain => "chain",
    }
}

fn is_finite(points: &[Xy]) -> bool {
    points.iter().flatten().all(|c| c.is_finite())
}

fn hex([r, g, b]: [u8; 3]) -> String {
    format!("#{r:02x}{g:02x}{b:02x}")
}

/// A coordinate to two decimals, without idle zeros.
fn number(value: f64) -> String {
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// Text for XML, whose hidden letters can be seen: some of them XML 1.0 does not allow.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in visible(text).chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\t' | '\n' => out.push(' '),
            '\u{fffe}' | '\u{ffff}' => {}
            c => out.push(c),
        }
    }
    out
}
