//! Step (ridge): half the difference between the diameter just below the top of ring travel and the unworn
//! bore above it, which is the height of the lip per side. The axis with the highest lip counts.

use super::{Figure, Gathered, Scope, worst};
use crate::bore::{Bore, Point};

/// The height of the lip per side. Further readings can only enlarge it.
///
/// `above` is the station over the rings' travel, `top` the one just below its top.
pub fn step(bore: &Bore, above: usize, top: usize, required_axes: &[usize]) -> Gathered {
    let scope = Scope { stations: &[above, top], required_axes };
    let figure = worst((0..bore.axes()).filter_map(|axis| {
        let [above, top] = [above, top].map(|station| Point::new(station, axis));
        let (unworn, worn) = (bore.mean(above)?, bore.mean(top)?);
        Some(Figure::of_cell(top, worn).minus(Figure::of_cell(above, unworn)).halved())
    }));
    Gathered { figure, missing: scope.missing(bore) }
}
