//! What lines look like, by their number: colour and pattern, and beyond the colours a tag.

use firstjack_looks::CURVES;

/// On and off lengths; the first is a full line.
const PATTERNS: [&str; CURVES] =
    ["none", "10 4", "2 3", "12 3 2 3", "18 5", "6 2 2 2 2 2", "5 5", "14 3 6 3"];

/// The pattern of a line's number. Each time the colours begin anew, patterns are one further: sixty-four lines differ.
pub fn pattern(number: usize) -> &'static str {
    PATTERNS[(number + number / CURVES) % PATTERNS.len()]
}

/// The class that colours a line's number.
pub fn colour_class(number: usize) -> String {
    format!("curve-{}", number % CURVES)
}

/// The tags of so many lines: none as long as each has a colour of its own, else their places, counted from one.
pub fn tags(lines: usize) -> impl Fn(usize) -> Option<String> {
    move |number| (lines > CURVES).then(|| (number + 1).to_string())
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn sixty_four_lines_differ() {
        let looks: BTreeSet<_> = (0..64).map(|number| (colour_class(number), pattern(number))).collect();
        assert_eq!(looks.len(), 64);
        assert_eq!((tags(8)(7), tags(9)(0)), (None, Some("1".to_owned())));
    }
}
