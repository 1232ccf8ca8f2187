//! Text of others, before it is shown.

use std::borrow::Cow;

use dsp_core::preset::steers;

/// The text with what steers as an escape that can be seen, `\t`, `\u{1b}`; shown again it stays what it is.
pub fn visible(text: &str) -> Cow<'_, str> {
    visible_but(text, &[])
}

/// The same, with some characters left as they are.
pub fn visible_but<'a>(text: &'a str, left: &[char]) -> Cow<'a, str> {
    let is_left = |c: char| !steers(c) || left.contains(&c);
    if text.chars().all(is_left) {
        return text.into();
    }
    let mut shown = String::with_capacity(text.len());
    for c in text.chars() {
        if is_left(c) { shown.push(c) } else { shown.extend(c.escape_default()) }
    }
    shown.into()
}

/// JSON in which what steers, which stands in strings only, is escaped as JSON escapes (RFC 8259, section 7): it means the same.
pub fn visible_json(json: &str) -> Cow<'_, str> {
    // Between values of an indented text there are line breaks; in strings none are left raw.
    let is_left = |c: char| !steers(c) || c == '\n';
    if json.chars().all(is_left) {
        return json.into();
    }
    let mut shown = String::with_capacity(json.len());
    for c in json.chars() {
        // All of them are of the basic plane: four digits are enough.
        if is_left(c) { shown.push(c) } else { shown += &format!("\\u{:04x}", u32::from(c)) }
    }
    shown.into()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_steers_is_seen() {
        for (text, shown) in [
            ("tuner, Ω “é” 中", "tuner, Ω “é” 中"),
            ("\u{1b}]0;owned\u{7}", "\\u{1b}]0;owned\\u{7}"),
            ("a\tb\r\nc", "a\\tb\\r\\nc"),
            ("\u{9b}31m\u{7f}", "\\u{9b}31m\\u{7f}"),
            ("\u{202e}\u{2066}\u{2069}\u{200f}\u{2028}", "\\u{202e}\\u{2066}\\u{2069}\\u{200f}\\u{2028}"),
        ] {
            assert_eq!(visible(text), shown);
            assert_eq!(visible(shown), shown);
        }
        assert_eq!(visible_but("a\nb\u{1b}", &['\n']), "a\nb\\u{1b}");
    }

    #[test]
    fn json_means_the_same() {
        let name = "a\u{1b}\u{7f}\u{9b}\u{202e}\\\"\n\tΩ";
        let json = serde_json::to_string_pretty(&[name]).unwrap();
        let shown = visible_json(&json);
        assert!(shown.chars().all(|c| !steers(c) || c == '\n'), "{shown}");
        assert_eq!(serde_json::from_str::<Vec<String>>(&shown).unwrap(), [name]);
        assert_eq!(visible_json("[\n  1\n]"), "[\n  1\n]");
    }
}
