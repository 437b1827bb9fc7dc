//! Hatches: which role has which, and the strokes of one within an area, for back ends without patterns.

use super::{Fill, Role, Xy};

/// A hatch. Distances are in points.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Hatch {
    /// Cut metal: strokes rising to the right (ISO 128).
    Metal,
    /// Sparse short level strokes.
    Dashes,
    /// Sparse strokes falling to the right.
    Falling,
    /// Strokes crossing.
    Cross,
    /// Strokes rising to the right, in pairs with the gaps of cut metal: metal that would be cut.
    Rising,
}

impl Hatch {
    /// The hatch of a fill.
    pub fn of(fill: Fill) -> Option<Self> {
        match fill {
            Fill::Metal => Some(Self::Metal),
            Fill::Hatched(role) => Self::of(Fill::Band(role)),
            Fill::Band(Role::AsMade) => Some(Self::Dashes),
            Fill::Band(Role::Serviceable) => Some(Self::Falling),
            Fill::Band(Role::Beyond) => Some(Self::Cross),
            Fill::Band(Role::ReboreTo) => Some(Self::Rising),
            Fill::Band(_) | Fill::Plain(_) | Fill::Step(_) => None,
        }
    }

    /// Its name, for patterns.
    pub fn name(self) -> &'static str {
        match self {
            Self::Metal => "metal",
            Self::Dashes => "dashes",
            Self::Falling => "falling",
            Self::Cross => "cross",
            Self::Rising => "rising",
        }
    }

    /// The side of the square that repeats.
    pub fn pitch(self) -> f64 {
        match self {
            Self::Metal => 8.0,
            Self::Dashes => 12.0,
            Self::Falling => 16.0,
            Self::Cross => 13.0,
            Self::Rising => 9.0,
        }
    }

    /// How heavy its strokes are, in points.
    pub fn weight(self) -> f64 {
        match self {
            Self::Metal => 0.8,
            Self::Dashes | Self::Falling | Self::Cross | Self::Rising => 0.6,
        }
    }

    /// How strong its strokes are, 0 to 1.
    pub fn strength(self) -> f64 {
        match self {
            Self::Metal => 0.75,
            Self::Cross => 0.45,
            Self::Falling => 0.5,
            Self::Dashes | Self::Rising => 0.7,
        }
    }

    /// The slopes of its strokes: 1 falls to the right, -1 rises; none for dashes.
    pub fn slopes(self) -> &'static [f64] {
        match self {
            Self::Metal | Self::Rising => &[-1.0],
            Self::Falling => &[1.0],
            Self::Cross => &[1.0, -1.0],
            Self::Dashes => &[],
        }
    }
}

/// Not more strokes than this in one area, however large it is.
const MOST: usize = 4_000;

/// The strokes of a hatch inside an area on the sheet, each as its two ends; inside is what an odd number of
/// loops surrounds. `clip` bounds the work to what can be seen: least corner, greatest corner.
pub fn strokes(hatch: Hatch, loops: &[Vec<Xy>], clip: [Xy; 2]) -> Vec<[Xy; 2]> {
    let mut strokes = Vec::new();
    if hatch == Hatch::Dashes {
        dashes(hatch.pitch(), loops, clip, &mut strokes);
    }
    for &slope in hatch.slopes() {
        // A stroke is the set of places with y - slope x = c.
        let c_of = |[x, y]: Xy| y - slope * x;
        let corners = [clip[0], clip[1], [clip[0][0], clip[1][1]], [clip[1][0], clip[0][1]]];
        let within = |values: &mut dyn Iterator<Item = f64>| {
            values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), c| (low.min(c), high.max(c)))
        };
        let area = within(&mut loops.iter().flatten().map(|&p| c_of(p)));
        let seen = within(&mut corners.iter().map(|&p| c_of(p)));
        let pitch = hatch.pitch();
        let (low, high) = (area.0.max(seen.0), area.1.min(seen.1));
        let mut c = (low / pitch).ceil() * pitch;
        while c <= high && strokes.len() < MOST {
            let crossings = crossings(loops, |p| c_of(p) - c);
            for [from, to] in crossings.as_chunks().0 {
                let (from, to) = (from.max(clip[0][0]), to.min(clip[1][0]));
                if to > from {
                    strokes.push([[from, slope * from + c], [to, slope * to + c]]);
                }
            }
            c += pitch;
        }
    }
    strokes
}

/// The places across, in order, where the loops cross the line on which `side` is zero.
fn crossings(loops: &[Vec<Xy>], side: impl Fn(Xy) -> f64) -> Vec<f64> {
    let mut crossings = Vec::new();
    for points in loops {
        let Some(mut previous) = points.last().copied() else { continue };
        for &point in points {
            let (a, b) = (side(previous), side(point));
            if (a < 0.0) != (b < 0.0) {
                let part = a / (a - b);
                crossings.push(previous[0] + part * (point[0] - previous[0]));
            }
            previous = point;
        }
    }
    crossings.sort_by(f64::total_cmp);
    crossings
}

fn dashes(pitch: f64, loops: &[Vec<Xy>], clip: [Xy; 2], strokes: &mut Vec<[Xy; 2]>) {
    let ys = || loops.iter().flatten().map(|p| p[1]);
    let low = ys().fold(f64::INFINITY, f64::min).max(clip[0][1]);
    let high = ys().fold(f64::NEG_INFINITY, f64::max).min(clip[1][1]);
    let half = pitch / 2.0;
    let mut row = (low / half).ceil();
    while row * half <= high && strokes.len() < MOST {
        let y = row * half;
        let shift = if row.rem_euclid(2.0) < 1.0 { 0.0 } else { half };
        for [from, to] in crossings(loops, |p| p[1] - y).as_chunks().0 {
            let (from, to) = (from.max(clip[0][0]), to.min(clip[1][0]));
            let mut x = ((from - shift) / pitch).ceil() * pitch + shift;
            while x <= to && strokes.len() < MOST {
                strokes.push([[x, y], [(x + pitch / 4.0).min(to), y]]);
                x += pitch;
            }
        }
        row += 1.0;
    }
}

#[cfg(test)]
mod tests {
    use super::{Hatch, strokes};

    #[test]
    fn strokes_stay_inside_and_leave_holes_free() {
        let square = |a: f64, b: f64| vec![[a, a], [b, a], [b, b], [a, b]];
        let loops = [square(0.0, 100.0), square(30.0, 70.0)];
        for hatch in [Hatch::Metal, Hatch::Dashes, Hatch::Falling, Hatch::Cross, Hatch::Rising] {
            let strokes = strokes(hatch, &loops, [[0.0, 0.0], [100.0, 80.0]]);
            assert!(!strokes.is_empty(), "{hatch:?}");
            for [a, b] in strokes {
                let middle = [(a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0];
                assert!((0.0..=100.0).contains(&middle[0]), "{hatch:?} {middle:?}");
                let in_hole = middle.iter().all(|c| (30.5..=69.5).contains(c));
                assert!(!in_hole, "{hatch:?} {middle:?}");
            }
        }
    }

    #[test]
    fn a_huge_area_costs_a_bounded_number_of_strokes() {
        let huge = vec![[-1e7, -1e7], [1e7, -1e7], [1e7, 1e7], [-1e7, 1e7]];
        assert!(strokes(Hatch::Cross, &[huge], [[0.0, 0.0], [800.0, 600.0]]).len() < 1_000);
    }
}
