//! Words for people that belong to no one part of the program.

use std::borrow::Cow;

/// A text with a capital letter in front.
pub fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

/// `1 cylinder`, `2 cylinders`: a count and what is counted.
pub fn counted(count: usize, noun: &str) -> String {
    format!("{count} {noun}{}", if count == 1 { "" } else { "s" })
}

/// A count with its thousands apart: `9,990`.
pub fn grouped(count: usize) -> String {
    let digits = count.to_string();
    let mut text = String::new();
    for (i, digit) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            text.push(',');
        }
        text.push(digit);
    }
    text
}

/// Is it a letter that nobody sees, or that moves what stands beside it?
///
/// Control characters, line and paragraph separators, and what Unicode calls ignorable by default
/// (DerivedCoreProperties, `Default_Ignorable_Code_Point`): marks of direction, letters without width, fillers, tags.
pub fn is_hidden(letter: char) -> bool {
    // Most letters are plain.
    if matches!(letter, ' '..='~') {
        return false;
    }
    letter.is_control()
        || matches!(
            letter,
            '\u{ad}' | '\u{34f}' | '\u{61c}' | '\u{115f}'..='\u{1160}' | '\u{17b4}'..='\u{17b5}'
                | '\u{180b}'..='\u{180f}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
                | '\u{2060}'..='\u{206f}' | '\u{3164}' | '\u{fe00}'..='\u{fe0f}' | '\u{feff}' | '\u{ffa0}'
                | '\u{fff0}'..='\u{fffb}' | '\u{1bca0}'..='\u{1bca3}' | '\u{1d173}'..='\u{1d17a}'
                | '\u{e0000}'..='\u{e0fff}'
        )
}

/// A hidden letter as people see it: `<U+202E>`.
pub fn code(letter: char) -> String {
    format!("<U+{:04X}>", u32::from(letter))
}

/// A text whose hidden letters can be seen, so that it is what it looks like. Ends of lines and tabs stay.
///
/// Every text on its way to a terminal, a page or a window goes through here once, where it leaves the program.
pub fn visible(text: &str) -> Cow<'_, str> {
    let shown = |letter: char| !is_hidden(letter) || matches!(letter, '\n' | '\t');
    // Most texts are plain. All of it is looked at, which is faster than to stop at the first that is not: the window
    // asks this of each of its texts in each frame.
    let plain = text.bytes().fold(true, |plain, byte| plain & (b' '..=b'~').contains(&byte));
    if plain || text.chars().all(shown) {
        return text.into();
    }
    let mut seen = String::with_capacity(text.len() + 16);
    for letter in text.chars() {
        if shown(letter) { seen.push(letter) } else { seen.push_str(&code(letter)) }
    }
    seen.into()
}

/// The longest piece in quotes that a sentence shows, in characters.
const LONGEST_QUOTE: usize = 100;
/// The longest word that a sentence shows, in characters: longer than the path of a file.
const LONGEST_WORD: usize = 400;
/// The longest text of one diagnostic, in characters.
const LONGEST_SENTENCES: usize = 2_000;

/// A sentence as long as a person can read, whatever it quotes: a longer quote, a longer word and what follows behind
/// the longest text are replaced by `…`. Quotes are marked by backquotes or quotation marks.
pub fn bounded(text: String) -> String {
    // A character has at least one byte.
    if text.len() <= LONGEST_QUOTE {
        return text;
    }
    let mut short = String::new();
    let (mut kept, mut quote, mut in_quote, mut in_word) = (0, None, 0, 0);
    for letter in text.chars() {
        if quote.is_some_and(|mark| mark == letter) {
            quote = None;
        } else if quote.is_none() && matches!(letter, '`' | '"') {
            quote = Some(letter);
            in_quote = 0;
        } else if quote.is_some() {
            in_quote += 1;
        }
        in_word = if quote.is_some() || letter.is_whitespace() { 0 } else { in_word + 1 };
        let beyond = (quote.is_some() && in_quote > LONGEST_QUOTE) || in_word > LONGEST_WORD;
        let first = (in_quote == LONGEST_QUOTE + 1 && quote.is_some()) || in_word == LONGEST_WORD + 1;
        if !beyond || first {
            kept += 1;
            if kept > LONGEST_SENTENCES {
                short.push('…');
                break;
            }
            short.push(if beyond { '…' } else { letter });
        }
    }
    short
}

/// A chance for a column: `84.7 %`, and `>99.9 %` or `<0.1 %` where it is all but certain or all but nothing. Never
/// zero, never a hundred; what is no number counts as all but nothing.
pub fn chance(chance: f64) -> String {
    per_cent(chance, ">", "<")
}

/// A chance for a sentence, by the rule of [`chance`]: `more than 99.9 %`.
pub fn chance_words(chance: f64) -> String {
    per_cent(chance, "more than ", "less than ")
}

fn per_cent(chance: f64, above: &str, below: &str) -> String {
    match chance * 100.0 {
        high if high > 99.9 => format!("{above}99.9 %"),
        percent if percent >= 0.1 => format!("{percent:.1} %"),
        _ => format!("{below}0.1 %"),
    }
}

/// Cautions for the work on an engine, and what holds always.
pub const CAUTIONS: [&str; 7] = [
    "Ignition and fuel off. Treat the propeller as live, and follow the maker's manual before turning it. Have a \
     fire extinguisher at hand.",
    "Draw a barrel with its piston at top dead centre, support piston and rod as it comes off, and close the \
     crankcase openings at once.",
    "Solvent: ventilation, no flame, gloves, eye protection.",
    "Compressed air below 30 psi at the nozzle, with a chip guard (29 CFR 1910.242(b)), never on skin.",
    "Springs under load: a proper compressor, eye protection.",
    "After honing: all abrasive out.",
    "Illustrative limits are not for any real engine. Use the maker's current manual and local rules; a licensed \
     person decides.",
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_first_letter_changes() {
        assert_eq!(capitalised("out-of-round"), "Out-of-round");
        assert_eq!(capitalised("über"), "Über");
        assert_eq!(capitalised("+0.010 in"), "+0.010 in");
        assert_eq!(capitalised(""), "");
    }

    #[test]
    fn thousands_stand_apart() {
        for (count, text) in
            [(0, "0"), (999, "999"), (1_000, "1,000"), (9_990, "9,990"), (1_234_567, "1,234,567")]
        {
            assert_eq!(grouped(count), text);
        }
    }

    #[test]
    fn what_is_hidden_is_seen() {
        for plain in ["", "K-117", "Größe 5 µm − ½ é …", "one\n\ttwo", "עברית", "हिन्दी"]
        {
            assert!(matches!(visible(plain), Cow::Borrowed(_)), "{plain}");
        }
        assert_eq!(visible("K\u{202e}711"), "K<U+202E>711");
        assert_eq!(visible("\u{1b}[2J\u{9b}\0"), "<U+001B>[2J<U+009B><U+0000>");
        assert_eq!(visible("a\u{200b}b\u{2028}\u{e0041}\r"), "a<U+200B>b<U+2028><U+E0041><U+000D>");
        // Nothing that is shown is hidden again.
        for letter in
            (0..=u32::from(char::MAX)).filter_map(char::from_u32).filter(|letter| is_hidden(*letter))
        {
            assert!(!code(letter).chars().any(is_hidden));
        }
    }

    #[test]
    fn a_sentence_stays_as_long_as_a_person_can_read() {
        let plain = format!("`{}` is not known here.", "a".repeat(LONGEST_QUOTE));
        assert_eq!(bounded(plain.clone()), plain);
        let long = bounded(format!("`{}` is no unit. Use \"mm\".", "é".repeat(1_000_000)));
        assert_eq!(long, format!("`{}…` is no unit. Use \"mm\".", "é".repeat(LONGEST_QUOTE)));
        let word = bounded(format!("There is no {}, and no b.", "a".repeat(1_000_000)));
        assert_eq!(word, format!("There is no {}… and no b.", "a".repeat(LONGEST_WORD)));
        let list = bounded(format!("It has: {}.", "A, ".repeat(1_000_000)));
        assert_eq!(list.chars().count(), LONGEST_SENTENCES + 1);
        // A quote that is never closed, and one that holds its own mark.
        let open = bounded(format!("`{}", "a ".repeat(1_000)));
        assert!(open.chars().count() < LONGEST_QUOTE + 5, "{open}");
    }

    #[test]
    fn a_chance_is_never_quite_certain() {
        for (number, column, sentence) in [
            (1.0, ">99.9 %", "more than 99.9 %"),
            (0.999_1, ">99.9 %", "more than 99.9 %"),
            (0.999, "99.9 %", "99.9 %"),
            (0.904, "90.4 %", "90.4 %"),
            (0.004, "0.4 %", "0.4 %"),
            (0.001, "0.1 %", "0.1 %"),
            (0.000_9, "<0.1 %", "less than 0.1 %"),
            (0.0, "<0.1 %", "less than 0.1 %"),
            (f64::NAN, "<0.1 %", "less than 0.1 %"),
        ] {
            assert_eq!(
                (chance(number).as_str(), chance_words(number).as_str()),
                (column, sentence),
                "{number}"
            );
        }
    }
}
