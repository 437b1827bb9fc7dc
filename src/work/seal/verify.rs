//! Whether an overhaul is as it was signed: its amendments are taken back, and the digests made anew.

use super::canonical::{self, FORM};
use super::sign::take_back;
use records::record::schema::{AmendedValue, EngineRecord};

/// Where a signed overhaul is not as it was signed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Broken {
    /// The digests are of a canonical form that this program does not know.
    Form(u32),
    /// A part of the content, by its name in [`canonical::part_of`].
    Part(String),
    /// The signature itself: its name, certificate, date or digests.
    Signature,
    /// An amendment, counted from 1: it was changed, or is not the one that followed here.
    Link(usize),
    /// What an amendment left is not there any more.
    Value {
        /// The amendment, counted from 1; none: the one that is open.
        amendment: Option<usize>,
        /// The value as the amendment has it.
        change: AmendedValue,
        /// What stands there instead; none: nothing.
        found: Option<String>,
    },
}

/// How a signed overhaul stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Verdict {
    /// Where it is not as it was signed; empty: it is.
    pub broken: Vec<Broken>,
    /// How many amendments are closed.
    pub amendments: usize,
    /// An amendment is open.
    pub open: bool,
}

impl Verdict {
    /// Is it as it was signed, amendments counted in?
    pub fn holds(&self) -> bool {
        self.broken.is_empty()
    }
}

/// Looks a signed overhaul over; none if there is no such overhaul, or it is not signed.
pub fn verify(record: &EngineRecord, overhaul: usize) -> Option<Verdict> {
    let seal = record.overhauls.get(overhaul)?.seal.as_ref()?;
    let mut content = canonical::content(record, overhaul)?;
    let mut broken = Vec::new();
    if seal.form != FORM {
        broken.push(Broken::Form(seal.form));
    } else {
        let mut undo = |amendment: Option<usize>, changes: &[AmendedValue]| {
            let other = take_back(&mut content, changes).into_iter();
            let value = |(change, found): (&AmendedValue, _)| Broken::Value {
                amendment,
                change: change.clone(),
                found,
            };
            broken.extend(other.map(value));
        };
        if let Some(open) = &seal.open {
            undo(None, &open.changes);
        }
        for (i, amendment) in seal.amendments.iter().enumerate().rev() {
            undo(Some(i + 1), &amendment.changes);
        }
        let digests = std::iter::once(&seal.digest).chain(seal.amendments.iter().map(|a| &a.digest));
        for (i, (amendment, previous)) in seal.amendments.iter().zip(digests).enumerate() {
            if amendment.digest != canonical::amendment_digest(previous, amendment) {
                broken.push(Broken::Link(i + 1));
            }
        }
        let parts = canonical::part_digests(&content);
        let signed = |part: &str| seal.parts.iter().find(|p| p.part == part).map(|p| &p.digest);
        let gone = seal.parts.iter().map(|p| &p.part).filter(|part| !parts.contains_key(*part));
        let other = parts.iter().filter(|(part, digest)| signed(part) != Some(digest)).map(|(part, _)| part);
        let differ: Vec<Broken> = other.chain(gone).map(|part| Broken::Part(part.clone())).collect();
        if differ.is_empty() && seal.digest != canonical::seal_digest(&content, seal) {
            broken.push(Broken::Signature);
        }
        broken.extend(differ);
    }
    Some(Verdict { broken, amendments: seal.amendments.len(), open: seal.open.is_some() })
}
