//! How sure a figure is.
//!
//! [`student`] has the distributions, [`spread`] says which of them holds for a result, [`quantities::moments`] has means and
//! deviations, [`budget`] combines uncertainties (JCGM 100), [`conformity`] compares an uncertain value with a limit
//! (JCGM 106, ISO 14253-1), and [`outlier`] finds the repeat that stands out. None of these knows what was measured;
//! [`measured`] does, and writes the budget of a bore's figure.
//!
//! Floats are millimetres unless their name says otherwise; exact comparisons belong to [`quantities::length`].
//! No number, however odd, makes anything here panic.

pub mod budget;
pub mod conformity;
pub mod measured;
pub mod outlier;
pub mod spread;
pub mod student;
