//! Numbers by chance, the same from the same seed, and changes of inputs by them.

/// A generator of numbers by chance (SplitMix64: Steele, Lea and Flood, 2014), for trying, not for secrets.
pub struct Random(u64);

/// Pieces that mean something to a reader of files.
const PIECES: [&str; 40] = [
    "(",
    ")",
    "[",
    "]",
    "\"",
    ",",
    ":",
    ";",
    "\n",
    "\r\n",
    "\0",
    "-",
    "+",
    "\u{2212}",
    ".",
    "0",
    "9999999999999999999",
    "1e308",
    "-1e-320",
    "NaN",
    "inf",
    "0.0001",
    "Some(",
    "None",
    "//",
    "/*",
    "*/",
    "r#\"",
    "\\u{202e}",
    "\u{feff}",
    "\u{202e}",
    "mm",
    "in",
    "2024-02-30",
    "Oversize(\"0.010\")",
    "format: 9,",
    "\t",
    "é",
    "=1+1",
    "'",
];

impl Random {
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    pub fn number(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mixed = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// A whole number below `end`; 0 where there is none.
    pub fn below(&mut self, end: usize) -> usize {
        (self.number() % end.max(1) as u64) as usize
    }

    pub fn one_of<'a, T>(&mut self, all: &'a [T]) -> &'a T {
        &all[self.below(all.len())]
    }

    /// A stretch of something so long, more often a short one.
    fn stretch(&mut self, length: usize) -> std::ops::Range<usize> {
        let start = self.below(length);
        let most = 1 << self.below(12);
        start..length.min(start + 1 + self.below(most))
    }

    /// One of the inputs with one to eight changes.
    pub fn changed(&mut self, known: &[Vec<u8>]) -> Vec<u8> {
        let mut input = self.one_of(known).clone();
        for _ in 0..=self.below(8) {
            let at = self.below(input.len() + 1);
            let range = self.stretch(input.len());
            match self.below(8) {
                0 if !input.is_empty() => input[range.start] ^= 1 << self.below(8),
                1 if !input.is_empty() => input[range.start] = self.number() as u8,
                2 => drop(input.drain(range)),
                3 => {
                    let piece = input[range].to_vec();
                    input.splice(at..at, piece);
                }
                4 => {
                    let other = self.one_of(known).clone();
                    let piece = other[self.stretch(other.len())].to_vec();
                    let end = input.len().min(at + self.below(piece.len() + 1));
                    input.splice(at..end, piece);
                }
                // A digit for another, which leaves a file that can be read.
                5 => {
                    let digit = b'0' + self.below(10) as u8;
                    let found = input[at..].iter().position(u8::is_ascii_digit);
                    if let Some(found) = found {
                        input[at + found] = digit;
                    }
                }
                _ => {
                    let piece = self.one_of(&PIECES).bytes();
                    let end = if self.below(2) == 0 { at } else { input.len().min(at + 1) };
                    input.splice(at..end, piece);
                }
            }
            // A reader's time is tried elsewhere.
            input.truncate(1 << 18);
        }
        input
    }
}
