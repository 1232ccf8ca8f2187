use std::collections::BTreeMap;

use serde::Serialize;

use crate::pack::plan::Kind;

/// What the page's script reads, and `firstjack votes`: version 1.
#[derive(Serialize)]
pub struct Data {
    pub version: u32,
    pub pack: String,
    pub language: &'static str,
    pub blind: bool,
    pub rate_hz: u32,
    pub frames: u64,
    pub channels: u16,
    pub codec: &'static str,
    pub mime: &'static str,
    /// Shuffled.
    pub sounds: Vec<StoredSound>,
    /// Lowest and highest of each column in turn, -127 to 127, of the sound as recorded.
    pub waveform: Vec<i8>,
    /// Keys of the two sounds that the organiser asks about.
    pub abx: Option<[String; 2]>,
    pub sealed: String,
    pub words: BTreeMap<&'static str, &'static str>,
}

/// Where a sound is.
#[derive(Serialize)]
pub struct StoredSound {
    pub key: String,
    /// The id of its block.
    pub block: String,
}

/// What is sealed, so that names are not read by the way.
#[derive(Serialize)]
pub struct Opened {
    /// As recorded, setups in the file's order, rescue, anchor.
    pub order: Vec<String>,
    pub sounds: BTreeMap<String, SealedSound>,
    /// `None` where they are in the markup.
    pub sections: Option<Sections>,
}

/// What a sound is.
#[derive(Serialize)]
pub struct SealedSound {
    pub name: String,
    pub kind: Kind,
    pub verdict: String,
    pub loss_db: f64,
    /// Before the match.
    pub lufs: Option<f64>,
    pub matching_db: Option<f64>,
    /// What makes it as loud as it really is, against the loudest of the set.
    pub truth_gain: f64,
}

/// Fragments of markup by the ids of their places.
#[derive(Serialize, Clone, Default)]
pub struct Sections {
    pub verdicts: String,
    pub curves: String,
    pub strings: String,
    pub rescue: String,
    pub note: String,
    pub about: String,
}

/// As JSON that can stand in a block of a page: nothing in it can end the block, and scripts of every age read it alike.
///
/// # Panics
/// Never: numbers, texts and lists of them.
pub fn json(value: &impl Serialize) -> String {
    let text = serde_json::to_string(value).expect("numbers, texts and lists of them");
    let mut escaped = String::with_capacity(text.len());
    // Of these characters none stands in JSON outside of a text.
    for character in text.chars() {
        match character {
            '<' | '>' | '&' | '\u{2028}' | '\u{2029}' => {
                escaped.push_str(&format!("\\u{:04x}", u32::from(character)));
            }
            _ => escaped.push(character),
        }
    }
    escaped
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_ends_the_block_and_all_comes_back() {
        let text = "</script><!--<script>&amp;\"'\u{2028}\u{2029}\u{202e}é\\";
        let json = json(&[text]);
        assert!(!json.contains(['<', '>', '&', '\u{2028}', '\u{2029}']), "{json}");
        let back: Vec<String> = serde_json::from_str(&json).unwrap();
        assert_eq!(back, [text]);
    }
}
