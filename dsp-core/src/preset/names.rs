//! Names that people type.

use unicode_normalization::UnicodeNormalization;

/// Whether two names are one to a person: in capital or small letters, with accents composed or not.
///
/// ```
/// use dsp_core::preset::is_same_name;
/// assert!(is_same_name("Café", "CAFE\u{301}"));
/// assert!(!is_same_name("Café", "Cafe"));
/// ```
pub fn is_same_name(one: &str, other: &str) -> bool {
    folded(one) == folded(other)
}

/// What was probably meant by a name that is not known: the nearest of those that are, if it is near.
///
/// ```
/// use dsp_core::preset::nearest;
/// assert_eq!(nearest("imput", ["box", "input"]), Some("input"));
/// assert_eq!(nearest("moon", ["courtyard", "chapel"]), None);
/// ```
pub fn nearest<'a>(typed: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let typed = folded(typed);
    // One slip in a short name, two in a longer one.
    let allowed = (typed.chars().count() / 3).min(2);
    let distance = |name: &&str| strsim::osa_distance(&typed, &folded(name));
    known.into_iter().filter(|name| distance(name) <= allowed).min_by_key(distance)
}

/// Whether two names differ by so little that it is as a rule a slip: by capital letters, by a space, or by a letter of one longer word. Halls A and B
/// and stages 1 and 2 do not.
pub(crate) fn is_near(one: &str, other: &str) -> bool {
    let (one, other) = (folded(one), folded(other));
    let joined = |name: &str| name.split_whitespace().collect::<String>();
    if joined(&one) == joined(&other) {
        return true;
    }
    let (one, other): (Vec<&str>, Vec<&str>) =
        (one.split_whitespace().collect(), other.split_whitespace().collect());
    let mut differing = one.iter().zip(&other).filter(|(one, other)| one != other);
    let (Some((a, b)), None) = (differing.next(), differing.next()) else { return false };
    let is_long = |word: &str| word.chars().count() >= 4 && !word.contains(|c: char| c.is_ascii_digit());
    one.len() == other.len() && is_long(a) && is_long(b) && strsim::osa_distance(a, b) == 1
}

/// What would steer a terminal, break a line or turn the direction of what follows: control characters (Unicode's category Cc, among
/// them C0, DEL and C1), separators of lines and paragraphs, and the marks, embeddings, overrides and isolates of UAX #9; also the two noncharacters that XML 1.0
/// cannot hold.
pub fn steers(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{fffe}' | '\u{ffff}')
}

/// In small letters, with accents composed.
pub(crate) fn folded(name: &str) -> String {
    name.trim().nfc().flat_map(char::to_lowercase).nfc().collect()
}
