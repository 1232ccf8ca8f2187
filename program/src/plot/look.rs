//! What lines look like, by their number: colour and pattern, and beyond the colours a tag.

/// A colour on light ground and one on dark ground, as `style.css` of the page has them (`--curve-0` and on): at least 4.5 to 1 against
/// either ground (WCAG 2.2), hues apart for colour-blind eyes.
pub const COLOURS: [(&str, &str); 8] = [
    ("#191919", "#e1e1e1"),
    ("#005493", "#6ebef0"),
    ("#aa3c00", "#ffa064"),
    ("#006c46", "#50d796"),
    ("#7e2f8e", "#dca5fa"),
    ("#765c00", "#ebdc5a"),
    ("#505050", "#c8c8c8"),
    ("#a3124a", "#ff9ab8"),
];

/// On and off lengths; the first is a full line.
const PATTERNS: [&str; 8] = ["none", "10 4", "2 3", "12 3 2 3", "18 5", "6 2 2 2 2 2", "5 5", "14 3 6 3"];

/// The pattern of a line's number. Each time the colours begin anew, patterns are one further: sixty-four lines differ.
pub fn pattern(number: usize) -> &'static str {
    PATTERNS[(number + number / COLOURS.len()) % PATTERNS.len()]
}

/// The class that colours a line's number.
pub fn colour_class(number: usize) -> String {
    format!("curve-{}", number % COLOURS.len())
}

/// The tags of so many lines: none as long as each has a colour of its own, else their places, counted from one.
pub fn tags(lines: usize) -> impl Fn(usize) -> Option<String> {
    move |number| (lines > COLOURS.len()).then(|| (number + 1).to_string())
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    /// Relative luminance by WCAG 2.2.
    fn luminance(colour: &str) -> f64 {
        let part = |at: usize| {
            let value = f64::from(u8::from_str_radix(&colour[at..at + 2], 16).unwrap()) / 255.0;
            if value <= 0.04045 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * part(1) + 0.7152 * part(3) + 0.0722 * part(5)
    }

    fn contrast(one: &str, other: &str) -> f64 {
        let (one, other) = (luminance(one), luminance(other));
        (one.max(other) + 0.05) / (one.min(other) + 0.05)
    }

    #[test]
    fn colours_are_the_pages_and_stand_out_on_both_grounds() {
        assert!((contrast("#000000", "#ffffff") - 21.0).abs() < 1e-9);
        let style = include_str!("../pack/page/style.css");
        let (light, dark) = style.split_once("prefers-color-scheme: dark").unwrap();
        for (number, colours) in COLOURS.iter().enumerate() {
            for (part, colour, ground) in [(light, colours.0, "#ffffff"), (dark, colours.1, "#1b1b1b")] {
                assert!(part.contains(&format!("--curve-{number}: {colour};")), "{number}: {colour}");
                assert!(contrast(colour, ground) >= 4.5, "{colour} on {ground}");
            }
        }
        assert!(dark.contains("--ground: #1b1b1b;") && light.contains("--ground: #f8f8f8;"));
        assert!(COLOURS.iter().all(|(light, _)| contrast(light, "#f8f8f8") >= 4.5));
    }

    #[test]
    fn sixty_four_lines_differ() {
        let looks: BTreeSet<_> = (0..64).map(|number| (colour_class(number), pattern(number))).collect();
        assert_eq!(looks.len(), 64);
        assert_eq!((tags(8)(7), tags(9)(0)), (None, Some("1".to_owned())));
    }
}
