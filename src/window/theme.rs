//! The colours by role, the type, and egui's style made from them. No other file names a colour.
//!
//! Light is drawing paper, dark a blueprint's negative. The hues start from the Okabe-Ito set, made darker or
//! lighter until text and lines reach WCAG AA on their ground (a test checks it); there is no red beside a
//! green. Colour is only ever the third carrier, after a symbol and a word.

use std::sync::Arc;

use eframe::egui::{
    self, Color32, CornerRadius, FontData, FontDefinitions, FontFamily, FontId, Stroke, TextStyle, Theme,
    vec2,
};

use drawings::typeface::Face;

/// The colours of a theme, by role.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Palette {
    /// Text and outlines.
    pub ink: Color32,
    /// Text of second rank.
    pub faint_ink: Color32,
    /// The ground of the work area.
    pub paper: Color32,
    /// The ground of panels around it, and of cells.
    pub margin: Color32,
    /// Thin lines: dimension lines, frames, grids. Never the only carrier of anything.
    pub rule: Color32,
    /// Within the as-made limits.
    pub as_made: Color32,
    /// Within the serviceable limit.
    pub serviceable: Color32,
    /// Beyond the limit.
    pub beyond: Color32,
    /// To be cut to an oversize.
    pub rebore_to: Color32,
    /// Readings of the first axis.
    pub reading: Color32,
    /// Readings of another axis.
    pub second_axis: Color32,
    /// What wants a look: banners, warnings, what is chosen.
    pub attention: Color32,
    /// The ground of a banner, on which `ink` is written.
    pub attention_ground: Color32,
    /// The ground of what is chosen, on which `ink` is written.
    pub chosen_ground: Color32,
}

const fn rgb(hex: u32) -> Color32 {
    Color32::from_rgb((hex >> 16) as u8, (hex >> 8) as u8, hex as u8)
}

/// Drawing paper.
const LIGHT: Palette = Palette {
    ink: rgb(0x1b2430),
    faint_ink: rgb(0x4c5664),
    paper: rgb(0xf8f5ec),
    margin: rgb(0xefebdf),
    rule: rgb(0xb9b4a4),
    as_made: rgb(0x00619a),
    serviceable: rgb(0x1f6f99),
    beyond: rgb(0xa84300),
    rebore_to: rgb(0x8a3f6c),
    reading: rgb(0x1b2430),
    second_axis: rgb(0x7d5200),
    attention: rgb(0x7a5200),
    attention_ground: rgb(0xf6dfa4),
    chosen_ground: rgb(0xcfe3ef),
};

/// A blueprint's negative.
const DARK: Palette = Palette {
    ink: rgb(0xe8eef5),
    faint_ink: rgb(0xa9bbcd),
    paper: rgb(0x10243a),
    margin: rgb(0x0b1b2d),
    rule: rgb(0x3d5671),
    as_made: rgb(0x7cc4f2),
    serviceable: rgb(0xa8d8f6),
    beyond: rgb(0xff9d57),
    rebore_to: rgb(0xe6a9ca),
    reading: rgb(0xe8eef5),
    second_axis: rgb(0xf0b84a),
    attention: rgb(0xf0d060),
    attention_ground: rgb(0x4d3d0c),
    chosen_ground: rgb(0x24486b),
};

impl Palette {
    /// The palette of a theme.
    pub const fn of(theme: Theme) -> Self {
        match theme {
            Theme::Light => LIGHT,
            Theme::Dark => DARK,
        }
    }

    /// The palette that a piece of the window is drawn with.
    pub fn in_use(ui: &egui::Ui) -> Self {
        Self::of(ui.ctx().theme())
    }

    /// A colour as a tint to lay under something, so faint that `ink` stays readable on it.
    pub fn tint(colour: Color32) -> Color32 {
        colour.gamma_multiply(0.16)
    }
}

/// Size of ordinary text in points; nothing is smaller.
pub const TEXT: f32 = 15.0;
/// Size of headings in points.
pub const HEADING: f32 = 19.0;
/// Size of the digits being typed in points: the largest thing on the sheet.
pub const DIGITS: f32 = 46.0;

/// The bold face.
pub fn bold(size: f32) -> FontId {
    FontId::new(size, FontFamily::Name("bold".into()))
}

/// The ordinary face.
pub fn plain(size: f32) -> FontId {
    FontId::new(size, FontFamily::Proportional)
}

/// Gives a context the program's font and its two styles.
pub fn install(ctx: &egui::Context) {
    let mut fonts = FontDefinitions::empty();
    for (name, face) in [("plain", Face::Plain), ("bold", Face::Bold)] {
        fonts.font_data.insert(name.to_owned(), Arc::new(FontData::from_static(face.bytes())));
    }
    let families = [
        (FontFamily::Proportional, "plain"),
        // Its digits all have one width, so it serves for columns of figures too.
        (FontFamily::Monospace, "plain"),
        (FontFamily::Name("bold".into()), "bold"),
    ];
    for (family, name) in families {
        fonts.families.insert(family, vec![name.to_owned()]);
    }
    ctx.set_fonts(fonts);
    for theme in [Theme::Light, Theme::Dark] {
        ctx.style_mut_of(theme, |style| dress(style, &Palette::of(theme), theme));
    }
}

fn dress(style: &mut egui::Style, palette: &Palette, theme: Theme) {
    style.text_styles = [
        (TextStyle::Small, plain(TEXT)),
        (TextStyle::Body, plain(TEXT)),
        (TextStyle::Button, plain(TEXT)),
        (TextStyle::Monospace, plain(TEXT)),
        (TextStyle::Heading, bold(HEADING)),
    ]
    .into();
    // Nothing moves unless the person moved it.
    style.animation_time = 0.0;
    style.spacing.interact_size = vec2(32.0, 30.0);
    style.spacing.button_padding = vec2(10.0, 5.0);
    style.spacing.item_spacing = vec2(8.0, 6.0);
    style.spacing.icon_width = 20.0;
    style.spacing.icon_width_inner = 12.0;
    style.spacing.combo_height = 400.0;
    style.spacing.menu_width = 340.0;
    // Always in sight, so that a sheet wider than its place is seen to go on.
    style.spacing.scroll =
        egui::style::ScrollStyle { foreground_color: true, ..egui::style::ScrollStyle::solid() };
    style.spacing.window_margin = egui::Margin::same(16);

    let visuals = &mut style.visuals;
    *visuals = match theme {
        Theme::Light => egui::Visuals::light(),
        Theme::Dark => egui::Visuals::dark(),
    };
    visuals.panel_fill = palette.paper;
    visuals.window_fill = palette.paper;
    visuals.extreme_bg_color = palette.paper;
    visuals.text_edit_bg_color = Some(palette.paper);
    visuals.faint_bg_color = palette.margin;
    visuals.code_bg_color = palette.margin;
    visuals.hyperlink_color = palette.as_made;
    visuals.warn_fg_color = palette.attention;
    visuals.error_fg_color = palette.beyond;
    visuals.weak_text_color = Some(palette.faint_ink);
    visuals.window_stroke = Stroke::new(1.5, palette.ink);
    visuals.window_shadow = egui::Shadow::NONE;
    visuals.popup_shadow = egui::Shadow::NONE;
    visuals.selection.bg_fill = palette.chosen_ground;
    visuals.selection.stroke = Stroke::new(2.0, palette.as_made);
    visuals.text_cursor.stroke = Stroke::new(2.0, palette.ink);
    visuals.text_cursor.blink = false;
    let square = CornerRadius::same(2);
    visuals.window_corner_radius = square;
    visuals.menu_corner_radius = square;
    let widgets = &mut visuals.widgets;
    let dressed = [
        (&mut widgets.noninteractive, palette.paper, Stroke::new(1.0, palette.rule)),
        (&mut widgets.inactive, palette.margin, Stroke::new(1.0, palette.faint_ink)),
        (&mut widgets.hovered, palette.chosen_ground, Stroke::new(2.0, palette.as_made)),
        (&mut widgets.active, palette.chosen_ground, Stroke::new(2.5, palette.as_made)),
        (&mut widgets.open, palette.chosen_ground, Stroke::new(1.0, palette.as_made)),
    ];
    for (widget, ground, outline) in dressed {
        widget.bg_fill = ground;
        widget.weak_bg_fill = ground;
        widget.bg_stroke = outline;
        widget.fg_stroke = Stroke::new(1.5, palette.ink);
        widget.corner_radius = square;
        widget.expansion = 0.0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance (WCAG 2.2, definition of relative luminance). Grade P.
    fn luminance(colour: Color32) -> f64 {
        let channel = |byte: u8| {
            let value = f64::from(byte) / 255.0;
            if value <= 0.04045 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * channel(colour.r()) + 0.7152 * channel(colour.g()) + 0.0722 * channel(colour.b())
    }

    /// Contrast ratio (WCAG 2.2, definition of contrast ratio). Grade P.
    fn contrast(a: Color32, b: Color32) -> f64 {
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    /// A half-transparent colour laid over a ground.
    fn over(tint: Color32, ground: Color32) -> Color32 {
        ground.blend(tint)
    }

    #[test]
    fn contrast_of_black_on_white_is_21() {
        assert!((contrast(Color32::BLACK, Color32::WHITE) - 21.0).abs() < 1e-9);
    }

    #[test]
    fn text_reaches_4_5_on_every_ground_it_is_written_on() {
        for theme in [Theme::Light, Theme::Dark] {
            let p = Palette::of(theme);
            let words = [p.ink, p.faint_ink, p.as_made, p.serviceable, p.beyond, p.rebore_to, p.attention];
            for word in words.into_iter().chain([p.reading, p.second_axis]) {
                for ground in [p.paper, p.margin] {
                    assert!(contrast(word, ground) >= 4.5, "{theme:?} {word:?} on {ground:?}");
                }
            }
            for ground in [p.attention_ground, p.chosen_ground] {
                assert!(contrast(p.ink, ground) >= 4.5, "{theme:?} ink on {ground:?}");
                assert!(contrast(p.faint_ink, ground) >= 4.5, "{theme:?} faint ink on {ground:?}");
            }
            for colour in [p.as_made, p.serviceable, p.beyond, p.rebore_to] {
                let ground = over(Palette::tint(colour), p.paper);
                assert!(contrast(p.ink, ground) >= 4.5, "{theme:?} ink on the tint of {colour:?}");
            }
        }
    }

    #[test]
    fn lines_that_carry_meaning_reach_3_on_what_is_chosen() {
        for theme in [Theme::Light, Theme::Dark] {
            let p = Palette::of(theme);
            for line in [p.as_made, p.serviceable, p.beyond, p.rebore_to, p.attention, p.second_axis] {
                assert!(contrast(line, p.chosen_ground) >= 3.0, "{theme:?} {line:?}");
            }
        }
    }
}
