//! What holds for the engine as a whole: one oversize for all where mixing is not allowed, and the spread of
//! piston weights.

use std::borrow::Borrow;

use super::finding::{Amount, Answer};
use super::{Assessment, Recommendation};
use quantities::mass::Mass;
use records::limits::Limits;
use records::limits::resolved::SizeRow;
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

/// A cylinder of which only a size is known, not what replaces it: that can be had in any size. It keeps no assessment,
/// so that those of many cylinders need not be there at once.
struct Sized {
    index: usize,
    /// The size that it has or needs at least, as far as is known.
    at_least: Option<usize>,
    /// What it can be, of each size of the table.
    can_be: Vec<CanBe>,
    is_decided: bool,
    /// Is everything known that its clean-up rests on, the depth of what would have been honed too?
    is_measured: bool,
}

impl Sized {
    /// None for what is replaced.
    fn of(index: usize, cylinder: &Cylinder, assessment: &Assessment, limits: &Limits) -> Option<Self> {
        let at_least = match assessment.recommendation {
            Recommendation::Rebore(size) => Some(size),
            Recommendation::Serviceable => cylinder.size,
            Recommendation::NotDecided => assessment.minimum_oversize.or(cylinder.size),
            Recommendation::Replace => return None,
        };
        let can_be = |(size, row): (usize, &SizeRow)| {
            if at_least.is_none() {
                return CanBe::NotKnown;
            }
            if at_least == Some(size) && cylinder.size == Some(size) {
                return CanBe::AsItIs;
            }
            match assessment.oversizes.iter().find(|option| option.size == size) {
                _ if !row.wall_allows => CanBe::Not { by_wall: true },
                Some(option) if option.is_certain() => CanBe::Bored,
                Some(_) => CanBe::Not { by_wall: false },
                None => CanBe::NotKnown,
            }
        };
        let lacks_depth = |(answer, finding): (&Answer, &Finding)| {
            answer.before_a_rebore(finding).missing().any(|amount| amount == Amount::Depth)
        };
        let mut findings = assessment.findings.iter().zip(&cylinder.findings);
        Some(Self {
            index,
            at_least,
            can_be: limits.sizes.iter().enumerate().map(can_be).collect(),
            is_decided: assessment.recommendation != Recommendation::NotDecided,
            is_measured: !findings.any(lacks_depth) && assessment.clean_up_is_complete(),
        })
    }

    fn can_be(&self, size: usize) -> CanBe {
        self.can_be.get(size).copied().unwrap_or(CanBe::NotKnown)
    }
}

/// The size all cylinders must have where the table does not allow different ones; `None` where it does, or
/// where they agree already.
///
/// It is the smallest that none of them has outgrown and that all others can be bored to. A cylinder that is not
/// decided counts with what is known of it. The assessments are asked for only where the table does not allow different
/// sizes, one after another.
pub fn one_size_for_all(
    limits: &Limits,
    cylinders: &[Cylinder],
    assessments: impl IntoIterator<Item = impl Borrow<Assessment>>,
) -> Option<OneSize> {
    if limits.mixed_oversizes != MixedOversizes::NotAllowed {
        return None;
    }
    let both = cylinders.iter().zip(assessments).enumerate();
    let sized: Vec<Sized> = both
        .filter_map(|(index, (cylinder, assessment))| Sized::of(index, cylinder, assessment.borrow(), limits))
        .collect();
    let known = || sized.iter().filter_map(|one| one.at_least);
    let largest = known().max()?;
    if known().all(|size| size == largest) {
        return None;
    }
    let does = |&size: &usize| !sized.iter().any(|one| matches!(one.can_be(size), CanBe::Not { .. }));
    let size = (largest..limits.sizes.len()).find(does);
    let cannot = match size {
        Some(_) => Vec::new(),
        None => sized
            .iter()
            .filter_map(|one| match one.can_be(largest) {
                CanBe::Not { by_wall } => Some((one.index, by_wall)),
                CanBe::AsItIs | CanBe::Bored | CanBe::NotKnown => None,
            })
            .collect(),
    };
    let size = size.unwrap_or(largest);
    let is_bored = |one: &&Sized| one.can_be(size) != CanBe::AsItIs;
    Some(OneSize {
        size,
        needed_by: sized.iter().filter(|one| one.at_least == Some(largest)).map(|one| one.index).collect(),
        cannot,
        undecided: sized.iter().filter(|one| !one.is_decided).map(|one| one.index).collect(),
        is_measured: sized.iter().filter(is_bored).all(|one| one.is_measured),
    })
}
