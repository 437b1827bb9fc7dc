//! Signing an overhaul, and amending it afterwards.
//!
//! The changes of an open amendment are kept with it, as they are made: the record always says what it held when
//! it was last closed. What nothing was changed by is no amendment.

use jiff::civil::Date;

use super::canonical::{self, FORM, Leaves};
use records::diag::Diagnostic;
use records::record::resolve;
use records::record::schema::{
    AmendedValue, Amendment, EngineRecord, Overhaul, PartDigest, Seal, TableReference,
};

/// Who signs, and when.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Signature {
    /// Name.
    pub name: String,
    /// Certificate or licence.
    pub certificate: String,
    /// The day.
    pub date: Date,
}

impl Signature {
    /// Is everything of it written?
    ///
    /// # Errors
    /// What is missing.
    pub fn check(&self) -> Result<(), Diagnostic> {
        for (what, text) in [("name", &self.name), ("certificate or licence", &self.certificate)] {
            if text.trim().is_empty() {
                return Err(Diagnostic::error(format!("The {what} of whoever signs is missing."))
                    .remedy("An overhaul is signed by a named person with a certificate and a date."));
            }
        }
        Ok(())
    }
}

/// Why nothing can be signed.
fn not_there() -> Diagnostic {
    Diagnostic::error("There is no such overhaul.").remedy("Choose one that the record has.")
}

/// Signs an overhaul.
///
/// An overhaul that names no table is given the name of the only one that the record has, which is the one that
/// it is judged by.
///
/// # Errors
/// If there is none, it is signed already, nothing of it is measured, or the signature is not whole.
pub fn sign(record: &mut EngineRecord, overhaul: usize, by: &Signature) -> Result<(), Diagnostic> {
    let written = record.overhauls.get(overhaul).ok_or_else(not_there)?;
    may_be_signed(written)?;
    by.check()?;
    let named = resolve::table_of(record, written).map(|(_, table)| TableReference {
        identity: table.identity.clone(),
        revision: table.revision.clone(),
    });
    if let Some(written) = record.overhauls.get_mut(overhaul)
        && written.limits.is_none()
    {
        written.limits = named;
    }
    let content = canonical::content(record, overhaul).ok_or_else(not_there)?;
    let parts = canonical::part_digests(&content).into_iter();
    let mut seal = Seal {
        form: FORM,
        name: by.name.trim().to_owned(),
        certificate: by.certificate.trim().to_owned(),
        date: by.date,
        parts: parts.map(|(part, digest)| PartDigest { part, digest }).collect(),
        digest: String::new(),
        amendments: Vec::new(),
        open: None,
    };
    seal.digest = canonical::seal_digest(&content, &seal);
    if let Some(written) = record.overhauls.get_mut(overhaul) {
        written.seal = Some(seal);
    }
    Ok(())
}

/// Can an overhaul be signed as it stands?
///
/// # Errors
/// That it is signed already, or that nothing is measured.
pub fn may_be_signed(overhaul: &Overhaul) -> Result<(), Diagnostic> {
    if let Some(seal) = &overhaul.seal {
        return Err(Diagnostic::error(format!(
            "The overhaul of {} is signed already, by {} on {}.",
            overhaul.date, seal.name, seal.date
        ))
        .remedy("A change to it is an amendment."));
    }
    if !overhaul.is_measured() {
        return Err(Diagnostic::error(format!(
            "Nothing at all is measured at the overhaul of {}: there is nothing to sign.",
            overhaul.date
        ))
        .remedy("Type the readings first."));
    }
    Ok(())
}

/// Opens an amendment: from here on the overhaul can be changed again, until it is closed.
///
/// # Errors
/// If the overhaul is not signed, an amendment is open already, or who and why are not given.
pub fn amend(
    record: &mut EngineRecord,
    overhaul: usize,
    by: &Signature,
    why: &str,
) -> Result<(), Diagnostic> {
    let written = record.overhauls.get_mut(overhaul).ok_or_else(not_there)?;
    may_be_amended(written)?;
    by.check()?;
    check_why(why)?;
    if let Some(seal) = &mut written.seal {
        seal.open = Some(Amendment {
            name: by.name.trim().to_owned(),
            certificate: by.certificate.trim().to_owned(),
            date: by.date,
            why: why.trim().to_owned(),
            changes: Vec::new(),
            digest: String::new(),
        });
    }
    Ok(())
}

/// Is it said why an overhaul is amended?
///
/// # Errors
/// That it is not.
pub fn check_why(why: &str) -> Result<(), Diagnostic> {
    if why.trim().is_empty() {
        return Err(
            Diagnostic::error("Why the overhaul is amended is missing.").remedy("Say it in a sentence.")
        );
    }
    Ok(())
}

/// Can an amendment be opened?
///
/// # Errors
/// That the overhaul is not signed, or that one is open.
pub fn may_be_amended(overhaul: &Overhaul) -> Result<(), Diagnostic> {
    match &overhaul.seal {
        None => Err(Diagnostic::error(format!("The overhaul of {} is not signed.", overhaul.date))
            .remedy("Change it as it is; only what is signed is amended.")),
        Some(Seal { open: Some(open), .. }) => {
            Err(Diagnostic::error(format!("{} is amending the overhaul of {}.", open.name, overhaul.date))
                .remedy("Close that amendment first."))
        }
        Some(_) => Ok(()),
    }
}

/// That there is no amendment to close.
pub(crate) fn no_amendment() -> Diagnostic {
    Diagnostic::error("No amendment of this overhaul is open.").remedy("Start one first.")
}

/// Closes the open amendment and chains it to the digest before; says whether there was anything to close. One by
/// which nothing was changed is taken away instead.
///
/// # Errors
/// If none is open.
pub fn close_amendment(record: &mut EngineRecord, overhaul: usize) -> Result<bool, Diagnostic> {
    let seal = record.overhauls.get_mut(overhaul).and_then(|written| written.seal.as_mut());
    let Some((seal, mut amendment)) = seal.and_then(|seal| {
        let open = seal.open.take()?;
        Some((seal, open))
    }) else {
        return Err(no_amendment());
    };
    if amendment.changes.is_empty() {
        return Ok(false);
    }
    let previous = seal.amendments.last().map_or(&seal.digest, |before| &before.digest);
    amendment.digest = canonical::amendment_digest(previous, &amendment);
    seal.amendments.push(amendment);
    Ok(true)
}

/// Takes changes back, the last first; says of each whether what it left was still there.
pub(super) fn take_back<'a>(
    content: &mut Leaves,
    changes: &'a [AmendedValue],
) -> Vec<(&'a AmendedValue, Option<String>)> {
    let mut other = Vec::new();
    for change in changes.iter().rev() {
        let found = match &change.before {
            Some(before) => content.insert(change.field.clone(), before.clone()),
            None => content.remove(&change.field),
        };
        if found != change.after {
            other.push((change, found));
        }
    }
    other
}

/// What differs between two contents.
pub fn changes(before: &Leaves, after: &Leaves) -> Vec<AmendedValue> {
    let gone = before.keys().filter(|path| !after.contains_key(*path));
    let mut paths: Vec<&String> = after.keys().chain(gone).collect();
    paths.sort();
    let change = |path: &String| {
        let (before, after) = (before.get(path).cloned(), after.get(path).cloned());
        (before != after).then(|| AmendedValue { field: path.clone(), before, after })
    };
    paths.into_iter().filter_map(change).collect()
}

/// What each overhaul under amendment held when it was last closed, by its index.
pub fn bases(record: &EngineRecord) -> Vec<(usize, Leaves)> {
    let under_amendment = record.overhauls.iter().enumerate().filter_map(|(index, overhaul)| {
        let open = overhaul.seal.as_ref()?.open.as_ref()?;
        let mut content = canonical::content(record, index)?;
        take_back(&mut content, &open.changes);
        Some((index, content))
    });
    under_amendment.collect()
}

/// Writes down what open amendments have changed so far, beside what each overhaul held before.
pub fn note_changes(record: &mut EngineRecord, bases: &[(usize, Leaves)]) {
    for (index, base) in bases {
        let Some(now) = canonical::content(record, *index) else { continue };
        let seal = record.overhauls.get_mut(*index).and_then(|overhaul| overhaul.seal.as_mut());
        if let Some(open) = seal.and_then(|seal| seal.open.as_mut()) {
            open.changes = changes(base, &now);
        }
    }
}
