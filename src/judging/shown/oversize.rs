//! An oversize in finished words.

use super::{Shown, limit_style};
use crate::clean_up::{CleanUp, OversizeOption};
use crate::{Assessment, Recommendation};
use quantities::length::{Mean, Style};
use records::limits::Limits;
use records::limits::resolved::SizeRow;
use records::survey::point_words;

/// An oversize as it is shown. Numbers are in one unit, which stands beside them or above the column.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShownOversize {
    /// Which option of the assessment it is.
    pub index: usize,
    /// Its name: `+0.010 in`.
    pub size: String,
    /// What it is finished to.
    pub finished: String,
    /// What it leaves beyond what a clean bore needs if the wear is even: the number, and `left` or `short`.
    pub if_even: (String, &'static str),
    /// The same if all wear is on one side.
    pub one_sided: (String, &'static str),
    /// Both needs in a sentence, with the places that need the most.
    pub needs: String,
    /// Whether it cleans up, and whether the wall allows it.
    pub words: String,
    /// It is the one recommended.
    pub is_recommended: bool,
}

impl ShownOversize {
    /// Every oversize larger than the present size, from the smallest; `style` is how readings are written, in the unit
    /// to show.
    pub fn all(assessment: &Assessment, limits: &Limits, style: Style) -> Vec<Self> {
        let with_rows = assessment.oversizes.iter().enumerate();
        let with_rows = with_rows.filter_map(|(i, option)| Some((i, option, limits.sizes.get(option.size)?)));
        with_rows.map(|(i, option, row)| Self::of(i, option, row, assessment, limits, style)).collect()
    }

    fn of(
        index: usize,
        option: &OversizeOption,
        row: &SizeRow,
        assessment: &Assessment,
        limits: &Limits,
        style: Style,
    ) -> Self {
        let made = &row.new.0;
        let spare = |need: Mean| {
            let (number, side) = Shown::new(need, Some(made), style).left().unwrap_or_default();
            (number, if side == "over" { "short" } else { side })
        };
        let need = |mean: Mean| {
            let shown = Shown::new(mean, Some(made), style);
            shown.value.text(shown.style)
        };
        let (even, one_sided) = (need(option.needs_if_even), need(option.needs_whichever_side));
        let even_at = if option.governed_if_even == option.governed_by {
            String::new()
        } else {
            format!(" ({})", point_words(limits, option.governed_if_even))
        };
        let one_sided_at = point_words(limits, option.governed_by);
        Self {
            index,
            size: row.name.clone(),
            finished: option.finished.number(limit_style(option.finished, made.style, style)),
            if_even: spare(option.needs_if_even),
            one_sided: spare(option.needs_whichever_side),
            needs: format!(
                "Needs {even} if the wear is even{even_at}, {one_sided} if all wear is on one side ({one_sided_at})."
            ),
            words: option_words(option, assessment),
            is_recommended: assessment.recommendation == Recommendation::Rebore(option.size),
        }
    }

    /// Its words, and that it is the one recommended.
    pub fn verdict(&self) -> String {
        format!("{}{}", self.words, if self.is_recommended { "; recommended" } else { "" })
    }
}

/// What an oversize comes to, in words; as far as measured where something is missing that it rests on.
pub(crate) fn option_words(option: &OversizeOption, assessment: &Assessment) -> String {
    let is_fact = option.clean_up == CleanUp::No || assessment.clean_up_is_complete();
    let as_far = if is_fact { "" } else { ", as far as measured" };
    let wall = if option.wall_allows { "" } else { "; the wall may not be cut so far" };
    format!("{}{as_far}{wall}", option.clean_up.words())
}
