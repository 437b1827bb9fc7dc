//! What holds for the engine as a whole: one oversize for all where mixing is not allowed, and the spread of
//! piston weights.

use super::{Assessment, Recommendation};
use crate::limits::Limits;
use crate::limits::schema::MixedOversizes;
use crate::mass::Mass;
use crate::survey::{Cylinder, Survey};

/// The piston weights of an engine against their row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Weights {
    /// Greatest difference between any two.
    pub spread: Mass,
    /// Position of the lightest and of the heaviest.
    pub between: (String, String),
    /// How many were weighed.
    pub weighed: usize,
    /// Within the limit.
    pub within: bool,
}

/// The piston weights; `None` if the table gives no limit or fewer than two were weighed.
pub fn weights(survey: &Survey) -> Option<Weights> {
    let row = survey.limits.piston_weight_spread.as_ref()?;
    let weighed: Vec<(&Cylinder, Mass)> =
        survey.cylinders.iter().filter_map(|c| c.piston_weight.map(|weight| (c, weight))).collect();
    let lightest = weighed.iter().min_by_key(|(_, weight)| *weight)?;
    let heaviest = weighed.iter().max_by_key(|(_, weight)| *weight)?;
    let spread = heaviest.1.apart(lightest.1);
    (weighed.len() > 1).then(|| Weights {
        spread,
        between: (lightest.0.position.clone(), heaviest.0.position.clone()),
        weighed: weighed.len(),
        within: spread <= row.most,
    })
}

/// The size all cylinders must have where the table does not allow different ones; `None` where it does, or
/// where they agree already.
///
/// It is the largest that any of them has or is recommended to be bored to.
pub fn one_size_for_all(
    limits: &Limits,
    cylinders: &[Cylinder],
    assessments: &[Assessment],
) -> Option<usize> {
    if limits.mixed_oversizes != MixedOversizes::NotAllowed {
        return None;
    }
    let sizes = || {
        cylinders.iter().zip(assessments).filter_map(|(cylinder, assessment)| {
            match assessment.recommendation {
                Recommendation::Rebore(size) => Some(size),
                Recommendation::Serviceable | Recommendation::NotDecided => cylinder.size,
                // What replaces it can be had in any size.
                Recommendation::Replace => None,
            }
        })
    };
    let largest = sizes().max()?;
    sizes().any(|size| size != largest).then_some(largest)
}
