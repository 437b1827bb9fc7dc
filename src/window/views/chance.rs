//! Where the true value of a figure probably lies, beside its limit: the chances that the uncertainty budget
//! gives, as bars. What lies beyond the limit is filled, what lies within only outlined, so that no colour is
//! needed to tell them apart.

use eframe::egui::{self, Role, Stroke, Ui, WidgetInfo};
use egui_plot::{Bar, BarChart, LineStyle, Plot, VLine};

use crate::theme::Palette;
use figures::certainty::spread::Spread;
use judging::row::{Row, RowUncertainty};
use quantities::length::Unit;
use records::limits::rows::Side;
use records::limits::schema::DecisionRule;

/// How many bars; an even number puts the figure between two.
const BARS: i32 = 40;
/// Reach of the bars in expanded uncertainties to each side.
const REACH: f64 = 1.8;

/// A bar: from, to, and the chance that the true value lies there, as a share of one.
fn bars(value: f64, u: f64, spread: Spread, reach: f64) -> Vec<(f64, f64, f64)> {
    let step = 2.0 * reach / f64::from(BARS);
    let chance = |x: f64| spread.cdf((x - value) / u);
    let from = |i: i32| value - reach + step * f64::from(i);
    (0..BARS).map(|i| (from(i), from(i + 1), chance(from(i + 1)) - chance(from(i)))).collect()
}

/// Draws it for a row with its figure, its limit and the decision rule in force.
pub(super) fn chance_ui(
    ui: &mut Ui,
    palette: &Palette,
    row: &Row,
    uncertainty: &RowUncertainty,
    (unit, decision): (Unit, DecisionRule),
) {
    let Some(figure) = &row.figure else { return };
    let expanded = uncertainty.budget.expanded_95();
    let u = uncertainty.budget.u_mm;
    if !(u > 0.0 && expanded.u_mm.is_finite()) {
        return;
    }
    let value = figure.value.to_mm();
    let limit = row.limit.as_ref().map(|limit| limit.length.to_mm());
    let beyond = |x: f64| limit.is_some_and(|limit| row.side.left(x, limit) < 0.0);
    let bars = bars(value, u, uncertainty.budget.spread(), REACH * expanded.u_mm);
    let bar = |&(from, to, chance): &(f64, f64, f64)| {
        let middle = (from + to) / 2.0;
        let (outline, fill) = if beyond(middle) {
            (palette.beyond, palette.beyond)
        } else {
            (palette.serviceable, egui::Color32::TRANSPARENT)
        };
        Bar::new(unit.from_mm(middle), 100.0 * chance)
            .width(unit.from_mm(to - from))
            .fill(fill)
            .stroke(Stroke::new(1.0, outline))
    };
    let chart = BarChart::new("chance, %", bars.iter().map(bar).collect()).allow_hover(false);
    let guard = uncertainty.guard_band.to_mm();
    let accepted = limit.filter(|_| decision == DecisionRule::Guarded);
    let accepted =
        accepted.map(|limit| if row.side == Side::AtLeast { limit + guard } else { limit - guard });
    let decimals = if unit == Unit::Inch { 5 } else { 4 };
    let response = Plot::new(("chance", row.kind.words()))
        .height(150.0)
        .show_y(false)
        .show_axes([true, true])
        .show_grid(false)
        .allow_zoom(false)
        .allow_drag(false)
        .allow_scroll(false)
        .allow_boxed_zoom(false)
        .allow_double_click_reset(false)
        .x_axis_label(format!("true value, {unit}"))
        .y_axis_label("chance, %")
        .x_axis_formatter(move |mark, _| format!("{:.*}", decimals, mark.value))
        .y_axis_formatter(|mark, _| format!("{:.0}", mark.value))
        .show(ui, |plot| {
            plot.bar_chart(chart);
            plot.vline(VLine::new("figure", unit.from_mm(value)).stroke(Stroke::new(1.5, palette.ink)));
            if let Some(limit) = limit {
                let line = Stroke::new(2.5, palette.beyond);
                plot.vline(VLine::new("limit", unit.from_mm(limit)).stroke(line));
            }
            if let Some(accepted) = accepted {
                let line = VLine::new("limit less the guard band", unit.from_mm(accepted));
                plot.vline(
                    line.stroke(Stroke::new(1.5, palette.beyond)).style(LineStyle::Dashed { length: 6.0 }),
                );
            }
        })
        .response;
    let words = format!("Where the true value of {} probably lies", row.kind.words());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &words));
    let guarded = if accepted.is_some() { "; dashed, the limit less its guard band" } else { "" };
    ui.label(
        egui::RichText::new(format!(
            "Thin line: the figure. Thick line: the limit{guarded}. Filled bars lie beyond it."
        ))
        .color(palette.faint_ink),
    );
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The chances of all bars are that of their reach: 1.8 × 1.96 u holds 99.96 % of a normal distribution
    /// (D, from the distribution function).
    #[test]
    fn the_bars_add_up_to_the_chance_of_their_reach() {
        let bars = bars(10.0, 0.5, f64::INFINITY.into(), REACH * 1.959_964 * 0.5);
        let sum: f64 = bars.iter().map(|bar| bar.2).sum();
        assert!((sum - 0.999_58).abs() < 0.000_02, "{sum}");
        assert!(bars.iter().zip(bars.iter().rev()).all(|(a, b)| (a.2 - b.2).abs() < 1e-12), "symmetric");
    }
}
