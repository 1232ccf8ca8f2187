//! Answers among other text: JSON as the page saves it, codes as it gives them for pasting.

use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use serde_json::Value;

use super::answer::{Answer, AnswerError};
use super::page::Page;

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
    pub answer: Result<Answer, AnswerError>,
}

/// All that a file holds, in order.
pub fn all(file: &[u8], page: &Page) -> Vec<Found> {
    let read = |(line, json): (usize, Result<Value, AnswerError>)| Found {
        line,
        answer: json.and_then(|json| Answer::new(&json, page)),
    };
    values(&String::from_utf8_lossy(file)).into_iter().map(read).collect()
}

/// All that look like answers, with their lines. Every character is passed once, and looked at ahead of that as often as [`extent`] and
/// [`code`] say, which is bounded.
fn values(text: &str) -> Vec<(usize, Result<Value, AnswerError>)> {
    let mut found = Vec::new();
    let (mut rest, mut line) = (text, 1);
    while !rest.is_empty() {
        // Brackets and commas of a list stand before its answers.
        let opening = |character: char| character.is_ascii_whitespace() || matches!(character, '[' | ',');
        let start = rest.trim_start_matches(opening);
        line += newlines(&rest[..rest.len() - start.len()]);
        let taken = if let Some((answer, length)) = json(start) {
            found.push((line, answer));
            length
        } else {
            let end = start.find('\n').map_or(start.len(), |end| end + 1);
            let codes = start[..end].match_indices(CODE);
            found.extend(codes.map(|(at, _)| (line, code(&start[at + CODE.len()..]))));
            end
        };
        line += newlines(&start[..taken]);
        rest = &start[taken..];
    }
    found
}

fn newlines(text: &str) -> usize {
    text.matches('\n').count()
}

/// The answer that begins here and its length, unless it is some other text.
fn json(text: &str) -> Option<(Result<Value, AnswerError>, usize)> {
    let object = &text[..extent(text)?];
    match serde_json::from_str::<Value>(object) {
        Ok(value) => value.get("firstjack").is_some().then_some((Ok(value), object.len())),
        Err(error) => {
            let is_ours = text[1..].trim_start().starts_with("\"firstjack\"");
            // What follows may be whole answers.
            is_ours.then_some((Err(AnswerError::Json(error)), 1))
        }
    }
}

/// How far an object reaches that begins here and has no other in it, as no answer has: up to its brace, or up to where it proves to be
/// none, which is no later than the next line that begins with another. So no character is looked at for two objects.
fn extent(text: &str) -> Option<usize> {
    let (mut in_string, mut escaped) = (false, false);
    for (at, byte) in text.strip_prefix('{')?.bytes().enumerate() {
        match byte {
            _ if escaped => escaped = false,
            b'\\' => escaped = in_string,
            b'"' => in_string = !in_string,
            b'\n' if in_string => return Some(at + 1),
            b'{' if !in_string => return Some(at + 1),
            b'}' if !in_string => return Some(at + 2),
            _ => {}
        }
    }
    Some(text.len())
}

/// The code whose beginning stood before this. Mail may have broken it into lines, and marked them as quoted. What is looked at ends
/// within the eight characters behind the next point, and every beginning has one: no character is looked at for more than four codes.
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

    use base64::Engine;

    use super::super::{Kind, Page, Sound};
    use super::{extent, values};

    proptest! {
        /// Whatever a file holds, it is looked through to its end, and what is found stands on one of its lines.
        #[test]
        fn any_text_is_looked_through(parts in prop::collection::vec(part(), 0..40)) {
            let text = parts.concat();
            let lines = text.matches('\n').count() + 1;
            for (line, _) in values(&text) {
                prop_assert!((1..=lines).contains(&line));
            }
            let good = format!("{text}\n{{\"firstjack\":\"answers\"}}\n");
            let last = values(&good).into_iter().filter_map(|(_, answer)| answer.ok()).next_back();
            prop_assert_eq!(last, Some(serde_json::json!({ "firstjack": "answers" })));
        }

        /// A good answer into which anything was put, and out of which anything was cut, is read or refused.
        #[test]
        fn damaged_answers_are_read_or_refused(
            as_code in any::<bool>(),
            cut in any::<prop::sample::Index>(),
            length in 0..9_usize,
            put in prop::collection::vec(any::<u8>(), 0..9),
        ) {
            let json = r#"{"firstjack":"answers","version":1,"pack":"0123456789abcdef","ballot":"00000000000000aa","seed":"1a","listener":"é","kind":"abx","a":"x","b":"y","said":"abba"}"#;
            let base64 = super::URL_SAFE_NO_PAD.encode(json);
            let whole = if as_code { format!("fj1.{base64}.{:08x}", crc32fast::hash(json.as_bytes())) } else { json.to_owned() };
            let sound = |key: &str| Sound { key: key.to_owned(), name: key.to_owned(), kind: Kind::Setup };
            let page = Page { pack: "0123456789abcdef".to_owned(), sounds: ["x", "y"].map(sound).into(), held: vec![0, 1] };
            prop_assert!(matches!(super::all(whole.as_bytes(), &page).as_slice(), [found] if found.answer.is_ok()));
            let mut bytes = whole.into_bytes();
            let from = cut.index(bytes.len());
            bytes.splice(from..(from + length).min(bytes.len()), put);
            for found in super::all(&bytes, &page) {
                if let Err(problem) = found.answer {
                    prop_assert!(!problem.to_string().is_empty());
                }
            }
        }

        /// What makes the work grow with the text and no faster.
        #[test]
        fn objects_are_not_looked_at_twice(parts in prop::collection::vec(part(), 0..40)) {
            let text = parts.concat();
            let mut passed = 0;
            for (at, line) in text.split_inclusive('\n').scan(0, |at, line| {
                *at += line.len();
                Some((*at - line.len(), line))
            }) {
                let at = at + line.len() - line.trim_start_matches([' ', '[', ',']).len();
                if let Some(length) = extent(&text[at..]) {
                    prop_assert!(at >= passed, "{text:?} at {at}");
                    passed = at + length;
                }
            }
        }
    }

    fn part() -> impl Strategy<Value = String> {
        const PARTS: &[&str] = &[
            "fj1.",
            "{",
            "{\n",
            "{\"",
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
