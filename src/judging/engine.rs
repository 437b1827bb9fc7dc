//! What holds for the engine as a whole: one oversize for all where mixing is not allowed, and the spread of
//! piston weights.

use super::finding::{Amount, Answer};
use super::{Assessment, Recommendation};
use quantities::mass::Mass;
use records::limits::Limits;
use records::limits::schema::MixedOversizes;
use records::survey::{Cylinder, Finding, Survey};

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

/// One size for all cylinders of an engine whose table does not allow different ones.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OneSize {
    /// The size (index in [`Limits::sizes`]): the smallest that does for all, else the largest that any of them needs.
    pub size: usize,
    /// The cylinders that have or need the largest size of all.
    pub needed_by: Vec<usize>,
    /// The cylinders that cannot be bored to it, and whether it is the wall that may not be cut so far. Where there
    /// are any, no size does for all.
    pub cannot: Vec<(usize, bool)>,
    /// Cylinders that are not decided, of which only so much is known.
    pub undecided: Vec<usize>,
    /// Is everything known that the clean-up of the others rests on?
    pub is_measured: bool,
}

/// Can a cylinder be of a size?
#[derive(Clone, Copy, PartialEq, Eq)]
enum CanBe {
    /// It is of that size, and stays.
    AsItIs,
    /// Certain to clean up.
    Bored,
    /// Not known: nothing is measured, or its size is not in the table.
    NotKnown,
    /// The wall may not be cut so far, or else it is not certain to clean up.
    Not { by_wall: bool },
}

/// A cylinder of which only a size is known, not what replaces it: that can be had in any size.
struct Sized<'a> {
    index: usize,
    cylinder: &'a Cylinder,
    assessment: &'a Assessment,
    /// The size that it has or needs at least, as far as is known.
    at_least: Option<usize>,
}

impl Sized<'_> {
    fn can_be(&self, size: usize, limits: &Limits) -> CanBe {
        if self.at_least.is_none() {
            return CanBe::NotKnown;
        }
        if self.at_least == Some(size) && self.cylinder.size == Some(size) {
            return CanBe::AsItIs;
        }
        let wall_allows = limits.sizes.get(size).is_some_and(|row| row.wall_allows);
        match self.assessment.oversizes.iter().find(|option| option.size == size) {
            _ if !wall_allows => CanBe::Not { by_wall: true },
            Some(option) if option.is_certain() => CanBe::Bored,
            Some(_) => CanBe::Not { by_wall: false },
            None => CanBe::NotKnown,
        }
    }

    /// Is everything known that its clean-up rests on, the depth of what would have been honed too?
    fn is_measured(&self) -> bool {
        let lacks_depth = |(answer, finding): (&Answer, &Finding)| {
            answer.before_a_rebore(finding).missing().any(|amount| amount == Amount::Depth)
        };
        let mut findings = self.assessment.findings.iter().zip(&self.cylinder.findings);
        !findings.any(lacks_depth) && self.assessment.clean_up_is_complete()
    }
}

/// The size all cylinders must have where the table does not allow different ones; `None` where it does, or
/// where they agree already.
///
/// It is the smallest that none of them has outgrown and that all others can be bored to. A cylinder that is not
/// decided counts with what is known of it.
pub fn one_size_for_all(
    limits: &Limits,
    cylinders: &[Cylinder],
    assessments: &[Assessment],
) -> Option<OneSize> {
    if limits.mixed_oversizes != MixedOversizes::NotAllowed {
        return None;
    }
    let sized: Vec<Sized<'_>> = cylinders
        .iter()
        .zip(assessments)
        .enumerate()
        .filter_map(|(index, (cylinder, assessment))| {
            let at_least = match assessment.recommendation {
                Recommendation::Rebore(size) => Some(size),
                Recommendation::Serviceable => cylinder.size,
                Recommendation::NotDecided => assessment.minimum_oversize.or(cylinder.size),
                Recommendation::Replace => return None,
            };
            Some(Sized { index, cylinder, assessment, at_least })
        })
        .collect();
    let known = || sized.iter().filter_map(|one| one.at_least);
    let largest = known().max()?;
    if known().all(|size| size == largest) {
        return None;
    }
    let does = |&size: &usize| !sized.iter().any(|one| matches!(one.can_be(size, limits), CanBe::Not { .. }));
    let size = (largest..limits.sizes.len()).find(does);
    let cannot = match size {
        Some(_) => Vec::new(),
        None => sized
            .iter()
            .filter_map(|one| match one.can_be(largest, limits) {
                CanBe::Not { by_wall } => Some((one.index, by_wall)),
                CanBe::AsItIs | CanBe::Bored | CanBe::NotKnown => None,
            })
            .collect(),
    };
    let size = size.unwrap_or(largest);
    let is_undecided = |one: &&Sized<'_>| one.assessment.recommendation == Recommendation::NotDecided;
    let is_bored = |one: &&Sized<'_>| one.can_be(size, limits) != CanBe::AsItIs;
    Some(OneSize {
        size,
        needed_by: sized.iter().filter(|one| one.at_least == Some(largest)).map(|one| one.index).collect(),
        cannot,
        undecided: sized.iter().filter(is_undecided).map(|one| one.index).collect(),
        is_measured: sized.iter().filter(is_bored).all(Sized::is_measured),
    })
}
