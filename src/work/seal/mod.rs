//! Signing: an overhaul closed by a named person, what was amended since, and whether it is as it was signed.
//!
//! What is signed is the [`canonical`] form of the overhaul, of the engine's identity and of the whole table of
//! limits; its digest is kept in the record. From then on the overhaul is closed: [`crate::session`] refuses
//! every change to it. A change is an amendment, which names who, when and why, and each value before and after; its
//! digest includes the one before it, the first the seal's. So the content as signed can always be had by
//! taking the amendments back, and [`verify()`] does just that.
//!
//! **What it shows, and what not.** It shows that something was changed after signing. It does not show who a
//! person is: whoever can write the file can sign it anew under any name. It does not show that the latest
//! amendments were taken away together with their effect, and it says nothing about other overhauls.
//!
//! | file | what it holds |
//! |---|---|
//! | `canonical` | the bytes that a digest is of |
//! | `set` | setting values by their paths, for amending without a window |
//! | `sign` | signing, opening and closing an amendment |
//! | `verify` | whether an overhaul is as it was signed, and where not |
//! | `typed` | texts as the numbers that the schema wants there |
//! | `unresolved` | what stands open, for the person about to sign |
//! | `words` | fields and states in words |

pub mod canonical;
pub mod set;
pub mod sign;
mod typed;
pub mod unresolved;
pub mod verify;
pub mod words;

use records::record::schema::{Overhaul, Seal};

pub use sign::{Signature, amend, close_amendment, sign};
pub use unresolved::Unresolved;
pub use verify::{Broken, Verdict, verify};

/// The signature that keeps an overhaul from being changed; none: it is under work, or under amendment.
pub fn closed(overhaul: &Overhaul) -> Option<&Seal> {
    overhaul.seal.as_ref().filter(|seal| seal.open.is_none())
}

#[cfg(test)]
mod tests;
