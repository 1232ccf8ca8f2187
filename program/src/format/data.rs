//! What stands in a page's block `data`, and what is sealed in it. The parts that votes go by are types of their own, which are read
//! from pages of every age; the rest is for the page's script only.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

/// What the page's script reads.
#[derive(Serialize)]
pub struct Data {
    #[serde(flatten)]
    pub voted: Voted,
    pub language: &'static str,
    pub blind: bool,
    pub rate_hz: u32,
    pub frames: u64,
    pub channels: u16,
    pub codec: &'static str,
    pub mime: &'static str,
    /// Lowest and highest of each column in turn, -127 to 127, of the sound as recorded.
    pub waveform: Vec<i8>,
    /// Keys of the two sounds that the organiser asks about.
    pub abx: Option<[String; 2]>,
    /// Keys of all pairs that listeners are asked about, in this order: that one, or those that the program found to matter. Came later;
    /// pages without it ask about `abx`.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub abx_pairs: Vec<[String; 2]>,
    pub words: BTreeMap<&'static str, &'static str>,
}

/// What votes need of it.
#[derive(Serialize, Deserialize)]
pub struct Voted {
    pub version: u64,
    /// What answers name the page by: 16 hexadecimal digits.
    pub pack: String,
    /// Shuffled.
    pub sounds: Vec<Held>,
    /// A [`Sealed`], veiled.
    pub sealed: String,
}

/// Where a sound is.
#[derive(Serialize, Deserialize)]
pub struct Held {
    pub key: String,
    /// The id of its block.
    pub block: String,
}

/// What is sealed, so that names are not read by the way: of each sound what it is called, and in a page that is written more.
#[derive(Serialize, Deserialize)]
pub struct Sealed<S> {
    /// As recorded, setups in the file's order, rescue, anchor.
    pub order: Vec<String>,
    pub sounds: BTreeMap<String, S>,
}

/// All that is sealed.
#[derive(Serialize)]
pub struct Opened {
    #[serde(flatten)]
    pub sealed: Sealed<SealedSound>,
    /// `None` where they are in the markup.
    pub sections: Option<Sections>,
}

/// What a sound is.
#[derive(Serialize)]
pub struct SealedSound {
    #[serde(flatten)]
    pub named: Named,
    pub verdict: String,
    pub loss_db: f64,
    /// Before the match.
    pub lufs: Option<f64>,
    pub matching_db: Option<f64>,
    /// What makes it as loud as it really is, against the loudest of the set.
    pub truth_gain: f64,
}

/// What votes need of it.
#[derive(Serialize, Deserialize)]
pub struct Named {
    pub name: String,
    pub kind: Kind,
}

/// What a sound is there for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Kind {
    /// The take itself: the hidden reference.
    Recorded,
    /// A setup.
    Setup,
    /// What a desk's equaliser makes of a setup.
    Rescue,
    /// Made to be worse than all others: the hidden anchor.
    Anchor,
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
