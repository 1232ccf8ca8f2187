//! Answers among other text: JSON as the page saves it, codes as it gives them for pasting.

use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use serde_json::Value;

use super::answer::AnswerError;

/// How a code begins.
const CODE: &str = "fj1.";
/// Longest code that is looked for, in characters.
const MOST_CHARACTERS: usize = 64 << 10;
/// Digits of its checksum.
const CHECKSUM_DIGITS: usize = 8;

/// Something that looks like an answer.
#[derive(Debug)]
pub struct Found {
    /// Counted from one.
    pub line: usize,
    pub answer: Result<Value, AnswerError>,
}

/// All that look like answers, in order.
pub fn all(text: &str) -> Vec<Found> {
    let mut found = Vec::new();
    let (mut at, mut line) = (0, 1);
    while at < text.len() {
        let rest = &text[at..];
        // Brackets and commas of a list stand before its answers.
        let opening = |character: char| character.is_ascii_whitespace() || matches!(character, '[' | ',');
        let start = rest.trim_start_matches(opening);
        let taken = if start.starts_with('{')
            && let Some((answer, length)) = json(start)
        {
            let before = rest.len() - start.len();
            found.push(Found { line: line + newlines(&rest[..before]), answer });
            before + length
        } else {
            let end = rest.find('\n').map_or(rest.len(), |end| end + 1);
            let codes = rest[..end].match_indices(CODE);
            found.extend(codes.map(|(at, _)| Found { line, answer: code(&rest[at + CODE.len()..]) }));
            end
        };
        line += newlines(&rest[..taken]);
        at += taken;
    }
    found
}

fn newlines(text: &str) -> usize {
    text.matches('\n').count()
}

/// The answer that begins here and its length, unless it is some other text in braces.
fn json(text: &str) -> Option<(Result<Value, AnswerError>, usize)> {
    let mut values = serde_json::Deserializer::from_str(text).into_iter::<Value>();
    match values.next()? {
        Ok(value) => value.get("firstjack").is_some().then(|| (Ok(value), values.byte_offset())),
        Err(error) => {
            let is_ours = text[1..].trim_start().starts_with("\"firstjack\"");
            // What follows may be whole answers.
            is_ours.then_some((Err(AnswerError::Json(error)), 1))
        }
    }
}

/// The code whose beginning stood before this. Mail may have broken it into lines, and marked them as quoted.
fn code(text: &str) -> Result<Value, AnswerError> {
    let mut characters = text
        .chars()
        .take(MOST_CHARACTERS)
        .filter(|character| !character.is_ascii_whitespace() && *character != '>');
    let base64: String = characters.by_ref().take_while(|character| *character != '.').collect();
    let digits: String = characters.take(CHECKSUM_DIGITS).collect();
    let bytes = URL_SAFE_NO_PAD.decode(base64).map_err(|_| AnswerError::Code)?;
    if digits.len() != CHECKSUM_DIGITS || !digits.bytes().all(|digit| digit.is_ascii_hexdigit()) {
        return Err(AnswerError::Code);
    }
    let given = u32::from_str_radix(&digits, 16).map_err(|_| AnswerError::Code)?;
    let found = crc32fast::hash(&bytes);
    if given != found {
        return Err(AnswerError::Checksum { given, found });
    }
    serde_json::from_slice(&bytes).map_err(AnswerError::Json)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    proptest! {
        /// Whatever a file holds, it is looked through to its end, and what is found stands on one of its lines.
        #[test]
        fn any_text_is_looked_through(parts in prop::collection::vec(part(), 0..40)) {
            let text = parts.concat();
            let lines = text.matches('\n').count() + 1;
            for found in super::all(&text) {
                prop_assert!((1..=lines).contains(&found.line));
            }
            let good = format!("{text}\n{{\"firstjack\":\"answers\"}}\n");
            let last = super::all(&good).into_iter().filter_map(|found| found.answer.ok()).next_back();
            prop_assert_eq!(last, Some(serde_json::json!({ "firstjack": "answers" })));
        }
    }

    fn part() -> impl Strategy<Value = String> {
        const PARTS: &[&str] = &[
            "fj1.",
            "{",
            "}",
            "[",
            ",",
            ".",
            "\n",
            "> ",
            "\"",
            "\"firstjack\"",
            ":",
            "eA",
            "00000000",
            "é",
            "\\",
        ];
        prop_oneof![prop::sample::select(PARTS).prop_map(str::to_owned), any::<String>()]
    }
}
