//! What a signed overhaul keeps from being done.
//!
//! A signature closes its overhaul: its own fields, the engine's identity, and the table of limits it was judged by.
//! Other overhauls stay as they are. While an amendment is open, its overhaul can be changed, and what is changed
//! is written down with it.

use super::Command;
use crate::seal::{self, words};
use records::diag::Diagnostic;
use records::limits::schema::TableOfLimits;
use records::record::resolve;
use records::record::schema::{EngineRecord, Overhaul, Seal};

/// Why a command is not done; none: nothing signed is touched by it.
pub(super) fn refusal(record: &EngineRecord, overhaul: usize, command: &Command) -> Option<Diagnostic> {
    let chosen = || record.overhauls.get(overhaul);
    let closed = |index: usize| record.overhauls.get(index).and_then(seal::closed);
    let any_closed = || (0..record.overhauls.len()).find_map(closed);
    // The signature on an overhaul that is judged by a table of the record.
    let judged_by = |table: usize| {
        let by_it = |o: &&Overhaul| resolve::table_of(record, o).is_some_and(|(index, _)| index == table);
        record.overhauls.iter().filter(by_it).find_map(seal::closed)
    };
    match command {
        Command::Cylinder(..) | Command::Overhaul(_) | Command::Import(_) => closed(overhaul).map(refused),
        Command::SetFields(values) => closed(overhaul)
            .map(refused)
            .or_else(|| seal::set::set(&mut record.clone(), overhaul, values).err()),
        Command::SwapLimits(table) => closed(overhaul).map(refused).or_else(|| {
            let same = |t: &TableOfLimits| t.identity == table.identity && t.revision == table.revision;
            let index = record.tables.iter().position(same)?;
            let differs = record.tables.get(index).is_some_and(|found| found != table.as_ref());
            judged_by(index).filter(|_| differs).map(table_refused)
        }),
        Command::EditLimits(index, table) => judged_by(*index)
            .map(table_refused)
            .or_else(|| resolve::is_taken(record, *index, table).then(|| table_taken(table))),
        Command::EngineModel(_) | Command::EngineSerial(_) => any_closed().map(engine_refused),
        Command::Sign(by) => {
            chosen().and_then(|o| seal::sign::may_be_signed(o).and_then(|()| by.check()).err())
        }
        Command::Amend(by, why) => chosen().and_then(|o| {
            let written = seal::sign::may_be_amended(o).and_then(|()| by.check());
            written.and_then(|()| seal::sign::check_why(why)).err()
        }),
        Command::CloseAmendment => chosen()
            .is_some_and(|o| o.seal.as_ref().is_none_or(|seal| seal.open.is_none()))
            .then(seal::sign::no_amendment),
        Command::AddOverhaul(_) | Command::EngineOwner(_) | Command::EngineInstalledIn(_) => None,
    }
}

fn refused(seal: &Seal) -> Diagnostic {
    Diagnostic::error(words::closed_words(seal)).remedy(words::HOW_TO_AMEND)
}

fn table_refused(seal: &Seal) -> Diagnostic {
    Diagnostic::error(format!("This table of limits is part of what {} signed on {}.", seal.name, seal.date))
        .remedy(
            "Give the changed table a revision of its own, and judge the overhauls under work by that one.",
        )
}

fn table_taken(table: &TableOfLimits) -> Diagnostic {
    Diagnostic::error(format!(
        "The record holds another table of limits {} revision {}.",
        table.identity, table.revision
    ))
    .remedy("Give this one a revision of its own.")
}

fn engine_refused(seal: &Seal) -> Diagnostic {
    Diagnostic::error(format!(
        "The model and serial of the engine are part of what {} signed on {}.",
        seal.name, seal.date
    ))
    .remedy("Start an amendment of every signed overhaul first; then they can be corrected.")
}
