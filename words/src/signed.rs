//! Signed figures, with a minus sign and the language's decimal mark.

use super::Words;

/// With so many decimals, none of them "−0.0".
pub fn signed(words: &Words, value: f64, digits: usize) -> String {
    let text = words.figure(format!("{:.digits$}", value.abs()));
    if value < 0.0 && !is_zero(&text) { format!("−{text}") } else { text }
}

/// In dB with a plus sign for a boost.
pub fn boost(words: &Words, db: f64) -> String {
    let text = signed(words, db, 1);
    let text = if db > 0.0 && !is_zero(&text) { format!("+{text}") } else { text };
    format!("{text} dB")
}

fn is_zero(text: &str) -> bool {
    !text.contains(|c| ('1'..='9').contains(&c))
}
