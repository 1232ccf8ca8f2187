//! Text of others, before it reaches a screen.

/// Longest text that is shown.
const MOST_CHARACTERS: usize = 60;

/// On one line, without what would steer a terminal or turn the direction of what follows, and not too long.
pub fn shown(text: &str) -> String {
    let steers = |character: char| {
        character.is_control()
            || matches!(character, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
    };
    let plain: String =
        text.chars().map(|character| if steers(character) { ' ' } else { character }).collect();
    let words = plain.split_whitespace().collect::<Vec<_>>().join(" ");
    if words.chars().count() <= MOST_CHARACTERS {
        return words;
    }
    words.chars().take(MOST_CHARACTERS - 1).chain(['…']).collect()
}
