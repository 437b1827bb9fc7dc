//! Is a diameter likely to be one of its bore? Compared with the bore row of the cylinder's size before anything is
//! taken over.
//!
//! | a diameter | is |
//! |---|---|
//! | as far below the smallest as-made bore, or above the serviceable limit, as these two are apart | likely |
//! | farther off | doubtful: a person must agree |
//! | a tenth below the smallest bore of the table, or a tenth above the largest | impossible |
//!
//! Common practice, no source: a bore that is worn as much again as it may be is still a bore of its size, while the
//! next oversize, another ring, a turn of the thimble and the other unit all lie farther off. Where the barrel is choked,
//! the most it is choked by is added below.

use quantities::length::{Length, Style, Unit};
use records::limits::Limits;
use records::limits::resolved::SizeRow;
use records::survey::Survey;

/// How a diameter fits a bore.
pub(super) enum Fit {
    /// It is likely.
    Likely,
    /// It is not, and why.
    Doubtful(String),
    /// It cannot be: why, and what to do.
    Impossible(String, String),
}

/// The bore that diameters are compared with.
pub(super) struct Bore<'a> {
    limits: &'a Limits,
    /// The row of the cylinder's size; none: the table has none for it.
    row: Option<&'a SizeRow>,
}

/// The diameters that are likely in a bore of a size.
fn likely(row: &SizeRow, limits: &Limits) -> std::ops::RangeInclusive<Length> {
    let least = row.new.0.length;
    // Without a limit, the tolerance of a new bore: so much more may well be worn.
    let most = row.serviceable.as_ref().map_or(row.new.1.length, |limit| limit.length);
    let beyond = most - least;
    let choked = limits.most_choke_as_made();
    least - beyond - choked..=most + beyond
}

/// May a number without a sign be a diameter of a bore in a table, rather than a deviation from its ring?
///
/// One with decimals may, if it is a possible diameter at all; a whole number is a usual count of graduations, and may
/// only if it is a likely one.
pub(super) fn may_be_a_diameter(limits: &Limits, length: Length, with_decimals: bool) -> bool {
    let standard = limits.sizes.first().map_or(Length::ZERO, |row| row.new.0.length);
    is_likely(limits, length) || with_decimals && length * 2 >= standard && length <= standard * 2
}

/// Is a length likely to be a diameter of any size in a table?
fn is_likely(limits: &Limits, length: Length) -> bool {
    limits.sizes.iter().any(|row| likely(row, limits).contains(&length))
}

impl<'a> Bore<'a> {
    /// The bore of a cylinder, by its index.
    pub(super) fn new(survey: &'a Survey, cylinder: usize) -> Self {
        let limits: &Limits = &survey.limits;
        let size = survey.cylinders.get(cylinder).and_then(|cylinder| cylinder.size);
        Self { limits, row: size.and_then(|size| limits.sizes.get(size)) }
    }

    /// How a diameter fits.
    pub(super) fn fit(&self, diameter: Length, style: Style) -> Fit {
        let text = diameter.text(style);
        let Some(nearest) = self.row.or(self.limits.sizes.first()) else {
            return Fit::Doubtful("the table of limits has no bore row to compare it with".to_owned());
        };
        let sizes = || self.limits.sizes.iter();
        let least = sizes().map(|row| row.new.0.length).min().unwrap_or_default();
        let most = sizes().map(|row| *likely(row, self.limits).end()).max().unwrap_or_default();
        if diameter * 10 < least * 9 || diameter * 10 > most * 11 {
            let other = [Unit::Inch, Unit::Millimetre].into_iter().find(|unit| {
                let intended = Length::parse(&diameter.number(style), *unit).map(|entry| entry.length);
                *unit != style.unit && intended.is_ok_and(|intended| is_likely(self.limits, intended))
            });
            let remedy = match other {
                Some(unit) => {
                    format!("It would fit in {unit}: say so in the heading or in a column for the unit.")
                }
                None => "Check the digits, the unit, and whether it is a diameter at all.".to_owned(),
            };
            let made = nearest.new.0.text();
            return Fit::Impossible(format!("{text} is no diameter of a bore that is made {made}"), remedy);
        }
        let Some(row) = self.row else {
            return Fit::Doubtful(
                "the table of limits has no row for the size of this cylinder, so that it cannot be compared"
                    .to_owned(),
            );
        };
        let range = likely(row, self.limits);
        if range.contains(&diameter) {
            return Fit::Likely;
        }
        let (amount, from) = if diameter < *range.start() {
            ((row.new.0.length - diameter).text(style) + " below the smallest as-made bore", row.new.0.text())
        } else {
            match &row.serviceable {
                Some(limit) => {
                    ((diameter - limit.length).text(style) + " above the serviceable limit", limit.text())
                }
                None => (
                    (diameter - row.new.1.length).text(style) + " above the largest as-made bore",
                    row.new.1.text(),
                ),
            }
        };
        let fits = |other: &&SizeRow| likely(other, self.limits).contains(&diameter);
        let fits = self.limits.sizes.iter().find(fits);
        let fits = fits.map_or(String::new(), |other| format!("; it would fit size {}", other.name));
        Fit::Doubtful(format!("{text} is {amount} of size {} ({from}){fits}", row.name))
    }
}
