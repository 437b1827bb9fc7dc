//! A cell, or one repeat of it, that would fit its neighbours if one thing had gone differently: a turn, two
//! digits, a sign, a unit. Which changes are tried is here; what each of them does is in its own file.

use super::neighbours::{Neighbours, stands_apart};
use super::sheet::{self, Compared};
use super::{Slip, SlipKind, mean_of, sign, swapped_digits, turn, unit};
use quantities::length::Length;
use records::bore::{Cell, Point};

/// One thing that may have gone wrong.
#[derive(Clone, Copy)]
enum Change {
    /// The reading is too large by this much (or too small, if negative).
    Turn(Length),
    /// The digit with this place and the one above it are exchanged.
    Swap(u32),
    /// The deviation has the other sign.
    Mirror,
    /// The deviation was typed in the other unit.
    DeviationUnit,
}

impl Change {
    fn kind(self) -> SlipKind {
        match self {
            Self::Turn(_) => SlipKind::Turn,
            Self::Swap(_) => SlipKind::SwappedDigits,
            Self::Mirror => SlipKind::WrongSign,
            Self::DeviationUnit => SlipKind::WrongUnit,
        }
    }

    /// The diameter that was meant.
    fn undo(self, sheet: &Compared<'_>, cell: &Cell, kept: Length) -> Option<Length> {
        let read = sheet.as_read(cell, kept);
        let intended = match self {
            Self::Turn(turn) => read - turn,
            Self::Swap(place) => swapped_digits::undo(sheet, cell, read, place)?,
            Self::Mirror => sign::undo(sheet, cell, read)?,
            Self::DeviationUnit => unit::undo_deviation(sheet, cell, read)?,
        };
        (intended > Length::ZERO).then(|| sheet.kept(cell, intended))
    }

    fn words(self, sheet: &Compared<'_>, cell: &Cell) -> String {
        match self {
            Self::Turn(turn) => turn::words(sheet, cell, turn),
            Self::Swap(_) => swapped_digits::WORDS.to_owned(),
            Self::Mirror => sign::words(sheet, cell),
            Self::DeviationUnit => unit::deviation_words(cell).to_owned(),
        }
    }
}

/// Every change worth trying on a cell, likelier ones first.
fn changes(sheet: &Compared<'_>, cell: &Cell) -> impl Iterator<Item = Change> {
    let turn = turn::of(sheet, cell);
    let comparative = sheet.standard(cell).is_some();
    let turns = turn.into_iter().flat_map(|turn| [Change::Turn(turn), Change::Turn(-turn)]);
    let deviation = [Change::Mirror, Change::DeviationUnit].into_iter().filter(move |_| comparative);
    turns.chain((0..swapped_digits::PLACES).map(Change::Swap)).chain(deviation)
}

/// Which repeats of a cell a guess is about.
#[derive(Clone, Copy)]
enum Scope {
    All,
    One(usize),
}

impl Scope {
    fn contains(self, repeat: usize) -> bool {
        match self {
            Self::All => true,
            Self::One(one) => one == repeat,
        }
    }
}

/// Slips in single cells and repeats.
pub(super) fn find(sheet: &Compared<'_>, slips: &mut Vec<Slip>) {
    for (at, cell) in sheet.bore.measured() {
        let (low, high) = sheet::extremes(cell);
        let alike = high - low <= sheet.alike(cell);
        if alike && !stands_apart(sheet, at, sheet::mean(cell)) {
            continue;
        }
        let neighbours = Neighbours::of_cell(sheet, at);
        if alike {
            slips.extend(guess(sheet, at, cell, &neighbours, Scope::All));
            continue;
        }
        for repeat in 0..cell.repeats().len() {
            let neighbours = neighbours.with_fellows(sheet, cell, repeat);
            slips.extend(guess(sheet, at, cell, &neighbours, Scope::One(repeat)));
        }
    }
}

/// The guess that fits the neighbours best, if any is to be believed.
fn guess(
    sheet: &Compared<'_>,
    at: Point,
    cell: &Cell,
    neighbours: &Neighbours,
    scope: Scope,
) -> Option<Slip> {
    let read = match scope {
        Scope::All => sheet::mean(cell),
        Scope::One(repeat) => *cell.repeats().get(repeat)?,
    };
    let mut best: Option<(Length, Change, Length)> = None;
    for change in changes(sheet, cell) {
        let Some(likely) = likely(sheet, cell, change, scope) else { continue };
        let Some(distance) = neighbours.believe(read, likely) else { continue };
        if best.is_none_or(|(least, ..)| distance < least) {
            best = Some((distance, change, likely));
        }
    }
    let (_, change, likely) = best?;
    let intended = corrected(sheet, cell, change, scope)?;
    let others = neighbours.words(sheet, read, cell.style);
    let why = format!("{}: {others}", change.words(sheet, cell));
    let mut slip = Slip::at_cell(change.kind(), at, cell, read, why);
    slip.repeat = match scope {
        Scope::One(repeat) if cell.repeats().len() > 1 => Some(repeat),
        _ => None,
    };
    slip.likely = Some(likely);
    slip.intended = vec![(at, intended)];
    Some(slip)
}

/// The repeats of a cell with a change undone.
fn corrected(sheet: &Compared<'_>, cell: &Cell, change: Change, scope: Scope) -> Option<Vec<Length>> {
    let undo = |(i, &kept): (usize, &Length)| {
        if scope.contains(i) { change.undo(sheet, cell, kept) } else { Some(kept) }
    };
    cell.repeats().iter().enumerate().map(undo).collect()
}

/// The reading with a change undone; `None` if the repeats it is undone in would no longer be alike.
fn likely(sheet: &Compared<'_>, cell: &Cell, change: Change, scope: Scope) -> Option<Length> {
    if let Scope::One(repeat) = scope {
        return change.undo(sheet, cell, *cell.repeats().get(repeat)?);
    }
    let intended = corrected(sheet, cell, change, scope)?;
    let (low, high) = (intended.iter().min()?, intended.iter().max()?);
    (*high - *low <= sheet.alike(cell)).then(|| mean_of(&intended))
}
