//! Ticks: round values in the unit that is shown, with exact text.
//!
//! Coordinates are millimetres or degrees; a tick's text is made from an exact length.

use quantities::length::{Length, Style};

/// How an axis makes its ticks.
#[derive(Clone, Debug, PartialEq)]
pub enum Scale {
    /// No ticks.
    Hidden,
    /// The coordinate is a deviation, in millimetres, from this diameter; ticks are at round diameters, with
    /// the deviation under them.
    Diameter {
        /// The diameter at coordinate 0.
        base: Length,
        /// How numbers are written.
        style: Style,
    },
    /// The coordinate is a length in millimetres.
    Amount {
        /// How numbers are written.
        style: Style,
    },
    /// The coordinate is a plain number, such as hours.
    Number,
    /// Ticks where they are named.
    Named(Vec<(f64, String)>),
}

/// A tick.
#[derive(Clone, Debug, PartialEq)]
pub struct Tick {
    /// Where.
    pub at: f64,
    /// What it says.
    pub text: String,
    /// What it says on a second line; may be empty.
    pub second: String,
}

/// No axis has more ticks than this, however it is zoomed.
const MOST: f64 = 60.0;

impl Scale {
    /// The ticks between two values, at most about `wanted` of them.
    pub fn ticks(&self, from: f64, to: f64, wanted: f64) -> Vec<Tick> {
        let (base, style) = match self {
            Self::Hidden => return Vec::new(),
            Self::Named(named) => {
                return named
                    .iter()
                    .filter(|(at, _)| (from..=to).contains(at))
                    .map(|(at, text)| Tick { at: *at, text: text.clone(), second: String::new() })
                    .collect();
            }
            Self::Number => return numbers(from, to, wanted),
            Self::Diameter { base, style } => (*base, *style),
            Self::Amount { style } => (Length::ZERO, *style),
        };
        let unit_mm = 1.0 / style.unit.from_mm(1.0);
        let step = round_step((to - from) / unit_mm / wanted.clamp(1.0, MOST));
        let Some((step, decimals)) = step else { return Vec::new() };
        let style = Style { decimals: decimals.max(style.decimals.min(4)), ..style };
        let (step_mm, base_mm) = (step * unit_mm, base.to_mm());
        let first = ((base_mm + from) / step_mm - 1e-9).ceil();
        let last = ((base_mm + to) / step_mm + 1e-9).floor();
        if !(first.is_finite() && last.is_finite()) || last - first > 2.0 * MOST {
            return Vec::new();
        }
        let count = (last - first).max(-1.0) as i64 + 1;
        (0..count)
            .filter_map(|i| Length::from_mm((first + i as f64) * step_mm))
            .map(|value| {
                let deviation = value - base;
                let second = match self {
                    Self::Diameter { .. } => signed(deviation, style),
                    _ => String::new(),
                };
                Tick { at: deviation.to_mm(), text: value.number(style), second }
            })
            .collect()
    }
}

/// Ticks at round plain numbers.
fn numbers(from: f64, to: f64, wanted: f64) -> Vec<Tick> {
    let Some((step, decimals)) = round_step((to - from) / wanted.clamp(1.0, MOST)) else { return Vec::new() };
    let (first, last) = ((from / step - 1e-9).ceil(), (to / step + 1e-9).floor());
    if !(first.is_finite() && last.is_finite()) || last - first > 2.0 * MOST {
        return Vec::new();
    }
    (0..=(last - first).max(-1.0) as i64)
        .map(|i| (first + i as f64) * step)
        .map(|at| {
            let text = format!("{at:.prec$}", prec = usize::from(decimals)).replace('-', "\u{2212}");
            Tick { at, text, second: String::new() }
        })
        .take_while(|tick| tick.at <= to + step * 1e-9)
        .collect()
}

/// `+0.0020`, `0`, or with a true minus sign.
pub(super) fn signed(deviation: Length, style: Style) -> String {
    if deviation == Length::ZERO {
        return "0".to_owned();
    }
    let sign = if deviation > Length::ZERO { "+" } else { "" };
    format!("{sign}{}", deviation.number(style))
}

/// The least of 1, 2 or 5 times a power of ten that is not below `least`, and the decimals it needs.
pub(super) fn round_step(least: f64) -> Option<(f64, u8)> {
    if !(least.is_finite() && least > 1e-9) {
        return None;
    }
    let power = least.log10().floor();
    let ten = 10_f64.powf(power);
    let step =
        [1.0, 2.0, 5.0, 10.0].into_iter().map(|m| m * ten).find(|&step| step >= least * (1.0 - 1e-9))?;
    let decimals = (-(step * (1.0 + 1e-9)).log10().floor()).clamp(0.0, 7.0) as u8;
    Some((step, decimals))
}
