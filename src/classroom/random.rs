//! Random numbers that come out the same on every machine for ever, so that a seed names an exercise.
//!
//! The generator is SplitMix64 (Steele, Lea and Flood, 2014): one 64-bit state that moves by a fixed odd step, and
//! a mixing of its bits. Everything drawn from it is worked out in whole numbers, because the last digit of a
//! logarithm or a cosine may differ between two machines.

use quantities::length::Length;

/// The step of the state: 2^64 over the golden ratio, made odd.
const STEP: u64 = 0x9e37_79b9_7f4a_7c15;

/// A source of random numbers.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Random {
    state: u64,
}

impl Random {
    /// The source that a seed names.
    pub fn new(seed: u64) -> Self {
        Self { state: seed }
    }

    /// A source of its own for one part of an exercise, so that a change in one part leaves the others alone.
    pub fn part(seed: u64, part: u64) -> Self {
        let mut of_part = Self::new(part);
        Self::new(seed ^ of_part.bits())
    }

    /// The next 64 bits.
    pub fn bits(&mut self) -> u64 {
        self.state = self.state.wrapping_add(STEP);
        let mut bits = self.state;
        bits = (bits ^ (bits >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        bits = (bits ^ (bits >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        bits ^ (bits >> 31)
    }

    /// A whole number from zero to below `end`; zero if `end` is zero.
    ///
    /// The upper half of a product of 64 by 64 bits: uneven by less than `end` in 2^64.
    pub fn below(&mut self, end: u64) -> u64 {
        ((u128::from(self.bits()) * u128::from(end)) >> 64) as u64
    }

    /// A whole number between two, both included; the first if the second is less.
    pub fn between(&mut self, least: i64, most: i64) -> i64 {
        let span = most.checked_sub(least).and_then(|span| u64::try_from(span).ok()).unwrap_or(0);
        let drawn = self.below(span.saturating_add(1));
        least.saturating_add(i64::try_from(drawn).unwrap_or(0))
    }

    /// Yes or no.
    pub fn coin(&mut self) -> bool {
        self.below(2) == 1
    }

    /// One of some values; `None` if there are none.
    pub fn pick<'a, T>(&mut self, from: &'a [T]) -> Option<&'a T> {
        from.get(usize::try_from(self.below(from.len() as u64)).unwrap_or(0))
    }

    /// A deviation about zero with this standard deviation.
    ///
    /// The sum of twelve even draws, which is normal but for its tails: it never goes beyond six standard
    /// deviations.
    pub fn scatter(&mut self, standard_deviation: Length) -> Length {
        const ONE: i128 = 1 << 32;
        let sum: i128 = (0..12).map(|_| i128::from(self.bits() >> 32)).sum();
        let scaled = (sum - 6 * ONE + 6) * i128::from(standard_deviation.tenths_of_nm());
        Length::from_tenths_of_nm(i64::try_from(scaled / ONE).unwrap_or(0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The generator's published sequence for the seed 1234567 (grade M, value from memory of the reference
    /// implementation's test output).
    #[test]
    fn the_sequence_is_the_published_one() {
        let mut random = Random::new(1_234_567);
        let drawn: Vec<u64> = (0..5).map(|_| random.bits()).collect();
        assert_eq!(
            drawn,
            [
                6_457_827_717_110_365_317,
                3_203_168_211_198_807_973,
                9_817_491_932_198_370_423,
                4_593_380_528_125_082_431,
                16_408_922_859_458_223_821
            ]
        );
    }

    #[test]
    fn draws_stay_in_their_range_and_reach_both_ends() {
        let mut random = Random::new(7);
        let drawn: Vec<i64> = (0..500).map(|_| random.between(-2, 3)).collect();
        assert_eq!((drawn.iter().min(), drawn.iter().max()), (Some(&-2), Some(&3)));
        assert_eq!(random.between(4, 1), 4);
        assert_eq!(random.below(0), 0);
        assert_eq!(random.pick::<u8>(&[]), None);
        random.between(i64::MIN, i64::MAX);
    }

    #[test]
    fn scatter_has_the_mean_and_the_deviation_asked_for() {
        let mut random = Random::new(2024);
        let sigma = Length::from_tenths_of_nm(25_400);
        let drawn: Vec<f64> = (0..20_000).map(|_| random.scatter(sigma).to_mm()).collect();
        let mean = quantities::moments::mean(&drawn).unwrap();
        let deviation = quantities::moments::standard_deviation(&drawn).unwrap();
        // Four standard errors: 0.00254 mm over the root of 20 000, and of 40 000.
        assert!(mean.abs() < 4.0 * 0.00254 / 20_000_f64.sqrt(), "{mean}");
        assert!((deviation / 0.00254 - 1.0).abs() < 4.0 / 40_000_f64.sqrt(), "{deviation}");
        assert_eq!(random.scatter(Length::ZERO), Length::ZERO);
    }
}
