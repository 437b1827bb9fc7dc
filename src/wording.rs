//! Words for people that belong to no one part of the program.

/// A text with a capital letter in front.
pub fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

/// `1 cylinder`, `2 cylinders`: a count and what is counted.
pub fn counted(count: usize, noun: &str) -> String {
    format!("{count} {noun}{}", if count == 1 { "" } else { "s" })
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
    use super::capitalised;

    #[test]
    fn only_the_first_letter_changes() {
        assert_eq!(capitalised("out-of-round"), "Out-of-round");
        assert_eq!(capitalised("über"), "Über");
        assert_eq!(capitalised("+0.010 in"), "+0.010 in");
        assert_eq!(capitalised(""), "");
    }
}
