//! Words for people that belong to no one part of the program.

/// A text with a capital letter in front.
pub fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

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
