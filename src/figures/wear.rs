//! Wear: diameter minus the as-made or last-finished size, against the best reference that is known.

use super::largest;
use quantities::length::{Length, Mean};
use records::bore::{Bore, Point, Scope};

/// What wear is counted from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WearReference {
    /// The size the bore is known to have been finished to.
    KnownSize(Length),
    /// The unworn bore above ring travel, as measured.
    UnwornBore(Mean),
    /// The table's largest new size: the wear is at least so much.
    LargestNewSize(Length),
}

impl WearReference {
    /// The best reference known: the finished size first, else the unworn bore, else the largest new size.
    pub fn best(
        finished_to: Option<Length>,
        unworn: Option<Mean>,
        largest_new: Option<Length>,
    ) -> Option<Self> {
        finished_to
            .map(Self::KnownSize)
            .or(unworn.map(Self::UnwornBore))
            .or(largest_new.map(Self::LargestNewSize))
    }

    /// The diameter that counts as no wear.
    pub fn diameter(self) -> Mean {
        match self {
            Self::KnownSize(size) | Self::LargestNewSize(size) => size.into(),
            Self::UnwornBore(mean) => mean,
        }
    }

    /// In words, for behind "against".
    pub fn words(self) -> &'static str {
        match self {
            Self::KnownSize(_) => "the size it was finished to",
            Self::UnwornBore(_) => "the unworn bore above ring travel",
            Self::LargestNewSize(_) => "the table's largest new size",
        }
    }
}

/// The smallest diameter of the unworn bore above ring travel, if it was measured.
///
/// The smallest, so that a lip that has itself worn a little does not hide wear below it.
pub fn unworn_bore(bore: &Bore, above_ring_travel: &[usize]) -> Option<Mean> {
    above_ring_travel.iter().flat_map(|&station| bore.at_station(station)).map(|(_, mean)| mean).min()
}

/// The wear at one point.
pub fn at(bore: &Bore, reference: WearReference, at: Point) -> Option<Mean> {
    bore.mean(at).map(|mean| mean - reference.diameter())
}

/// The greatest wear of the scope, and where.
///
/// # Examples
/// ```
/// use figures::wear::{WearReference, greatest, unworn_bore};
/// use quantities::length::{Style, Unit};
/// use records::bore::{Bore, Point, Scope};
/// let bore = Bore::of_texts(&[&["5.1250", "5.1252"], &["5.1310", "5.1330"]], Unit::Inch).unwrap();
/// let reference = WearReference::best(None, unworn_bore(&bore, &[0]), None).unwrap();
/// let scope = Scope { stations: &[1], required_axes: &[0, 1] };
/// let (at, wear) = greatest(&bore, reference, &scope).unwrap();
/// assert_eq!((at, wear.text(Style::usual(Unit::Inch))), (Point::new(1, 1), "0.0080 in".to_owned()));
/// ```
pub fn greatest(bore: &Bore, reference: WearReference, scope: &Scope<'_>) -> Option<(Point, Mean)> {
    largest(scope.measured(bore)).map(|(at, mean)| (at, mean - reference.diameter()))
}

#[cfg(test)]
mod tests {
    use super::super::tests::{bore, inch, inches};
    use super::*;

    #[test]
    fn the_best_reference_that_is_known() {
        use WearReference::{KnownSize, LargestNewSize, UnwornBore};
        let (known, new) = (inch("5.1352"), inch("5.1270"));
        let unworn = Mean::from(inch("5.1260"));
        let best = WearReference::best;
        assert_eq!(best(Some(known), Some(unworn), Some(new)), Some(KnownSize(known)));
        assert_eq!(best(None, Some(unworn), Some(new)), Some(UnwornBore(unworn)));
        assert_eq!(best(None, None, Some(new)), Some(LargestNewSize(new)));
        assert_eq!(best(None, None, None), None);
    }

    /// Grade D, from the definition.
    #[test]
    fn diameter_minus_reference() {
        let bore = bore(&[&["5.1254", "5.1251"], &["5.1310", "5.1330"], &["5.1250", ""]]);
        let unworn = unworn_bore(&bore, &[0]).unwrap();
        assert_eq!(inches(unworn), "5.1251", "the smaller of the two does not hide wear");
        let reference = WearReference::UnwornBore(unworn);
        let scope = Scope { stations: &[1, 2], required_axes: &[0, 1] };
        let (place, wear) = greatest(&bore, reference, &scope).unwrap();
        assert_eq!((place, inches(wear)), (Point::new(1, 1), "0.0079".into()));
        assert_eq!(inches(at(&bore, reference, Point::new(2, 0)).unwrap()), "\u{2212}0.0001");
        assert_eq!(at(&bore, reference, Point::new(2, 1)), None);
        assert_eq!(unworn_bore(&bore, &[]), None);
    }
}
