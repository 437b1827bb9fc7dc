//! A table half typed: it cannot be judged by yet, so it is kept beside the one in force, with the steps that led to
//! it.

use eframe::egui;

use super::LimitsView;
use records::limits::schema::TableOfLimits;
use work::session::Session;

/// A table half typed.
#[derive(Debug)]
pub(super) struct Draft {
    /// Index of the table in the record.
    pub(super) index: usize,
    /// The table it was typed over.
    pub(super) over: TableOfLimits,
    pub(super) table: TableOfLimits,
    /// As it stood before each step, the latest last, and after those taken back.
    done: Vec<TableOfLimits>,
    undone: Vec<TableOfLimits>,
    /// The field that the last step was typed in; none: it was a choice, or a row added or taken away.
    field: Option<egui::Id>,
}

impl LimitsView {
    /// Is there a table half typed that is not in force yet?
    pub(crate) fn has_draft(&self) -> bool {
        self.draft.is_some()
    }

    /// The table that is half typed, its index in the record, and how often it was changed.
    pub(crate) fn half_typed(&self, session: &Session) -> Option<(usize, &TableOfLimits, u64)> {
        let draft = self.draft.as_ref()?;
        // Over a table that has changed since, as by undo, it is gone when it is drawn next.
        let in_force = session.record().tables.get(draft.index) == Some(&draft.over);
        in_force.then_some((draft.index, &draft.table, self.edits))
    }

    /// Takes a table up again that was half typed before the program ended.
    pub(crate) fn restore_draft(&mut self, index: usize, over: &TableOfLimits, edited: TableOfLimits) {
        self.edits += 1;
        self.keep_draft(index, over, edited, None);
    }

    /// Is there a step of a half-typed table to take back, or to do again?
    pub(crate) fn can_cross_draft(&self, back: bool) -> bool {
        let steps = self.draft.as_ref().map(|draft| if back { &draft.done } else { &draft.undone });
        steps.is_some_and(|steps| !steps.is_empty())
    }

    /// Takes the last step of a half-typed table back, or does it again; says whether there was one.
    pub(crate) fn step_draft(&mut self, back: bool) -> bool {
        let Some(draft) = &mut self.draft else { return false };
        let (from, to) =
            if back { (&mut draft.done, &mut draft.undone) } else { (&mut draft.undone, &mut draft.done) };
        let Some(other) = from.pop() else { return false };
        to.push(std::mem::replace(&mut draft.table, other));
        draft.field = None;
        self.edits += 1;
        if draft.table == draft.over {
            self.draft = None;
        }
        true
    }

    /// Keeps a table that cannot be judged by yet, with the steps that led to it.
    pub(super) fn keep_draft(
        &mut self,
        index: usize,
        over: &TableOfLimits,
        edited: TableOfLimits,
        field: Option<egui::Id>,
    ) {
        let draft = self.draft.get_or_insert_with(|| Draft {
            index,
            over: over.clone(),
            table: over.clone(),
            done: Vec::new(),
            undone: Vec::new(),
            field: None,
        });
        let before = std::mem::replace(&mut draft.table, edited);
        if field.is_none() || draft.field != field || draft.done.is_empty() {
            draft.done.push(before);
        }
        draft.undone.clear();
        draft.field = field;
    }
}
