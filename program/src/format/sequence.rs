//! All chance of a pack's page: what X is in a trial, which sound has which label, and the stream that seals names. The page's script
//! has the same (`pack/page/script/sequence.js`), so that answers can be judged from their seed.

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use thiserror::Error;

/// Values that are passed over at the start: seeds that differ in few bits begin alike.
const DISCARDED: usize = 8;

/// What labels' seed differs by from that of trials, so that neither tells the other.
const LABELS: u32 = 0x5bd1_e995;

/// Numbers of 32 bits that look random: xorshift with the shifts 13, 17 and 5 (G. Marsaglia, "Xorshift RNGs", Journal of
/// Statistical Software 8 (14), 2003).
pub struct Sequence(u32);

impl Sequence {
    /// Begins after the values that are passed over. Zero, from which nothing else would follow, counts as one.
    pub fn new(seed: u32) -> Self {
        let mut sequence = Self(seed.max(1));
        (0..DISCARDED).for_each(|_| {
            sequence.next();
        });
        sequence
    }

    /// The next number; never zero.
    pub fn next(&mut self) -> u32 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 17;
        self.0 ^= self.0 << 5;
        self.0
    }
}

/// Whether X is B, trial by trial: the top bit.
pub fn x_is_b(seed: u32) -> impl Iterator<Item = bool> {
    let mut sequence = Sequence::new(seed);
    std::iter::repeat_with(move || sequence.next() >> 31 == 1)
}

/// Which sound, counted as the page holds them, has label 1, 2, ...: a shuffle by Fisher and Yates, from the last down.
pub fn labels(seed: u32, sounds: usize) -> Vec<usize> {
    let mut sequence = Sequence::new(seed ^ LABELS);
    let mut labels: Vec<usize> = (0..sounds).collect();
    for last in (1..sounds).rev() {
        labels.swap(last, sequence.next() as usize % (last + 1));
    }
    labels
}

/// Why nothing could be opened.
#[derive(Debug, Error)]
pub enum SealError {
    /// No seed can be read from the name of the pack.
    #[error("the pack is '{0}'; accepted are 16 digits 0-9 a-f")]
    Pack(String),
    /// What is sealed is damaged.
    #[error("what is sealed is not base64")]
    Base64,
    /// What is sealed is damaged, or another pack's.
    #[error("what is sealed is not this pack's")]
    Text,
}

/// Veils text from who looks at a page's source; it keeps nobody out who reads how.
///
/// # Panics
///
/// If `pack` is not 16 hexadecimal digits, which the program that makes the pack sees to.
pub fn seal(pack: &str, text: &str) -> String {
    STANDARD.encode(veiled(pack, text.as_bytes()).expect("a name of a pack"))
}

/// Takes the veil off again.
///
/// # Errors
///
/// If `pack` is no name of a pack, or `sealed` is not what was sealed for it.
pub fn open(pack: &str, sealed: &str) -> Result<String, SealError> {
    let bytes = STANDARD.decode(sealed).map_err(|_| SealError::Base64)?;
    String::from_utf8(veiled(pack, &bytes)?).map_err(|_| SealError::Text)
}

fn veiled(pack: &str, bytes: &[u8]) -> Result<Vec<u8>, SealError> {
    let is_pack = pack.len() == 16 && pack.bytes().all(|digit| digit.is_ascii_hexdigit());
    let seed = is_pack.then(|| u32::from_str_radix(&pack[..8], 16).ok()).flatten();
    let mut sequence = Sequence::new(seed.ok_or_else(|| SealError::Pack(pack.chars().take(40).collect()))?);
    Ok(bytes.iter().map(|byte| byte ^ sequence.next().to_be_bytes()[0]).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    // Expected values of this module: the same written anew in Python 3.11 and in JavaScript (node), which agree.

    #[test]
    fn numbers_are_those_of_other_implementations() {
        for (seed, expected) in [
            (0, [0x7787_7125, 0xadd0_2374, 0x9e60_02cb, 0x591c_9737]),
            (1, [0x7787_7125, 0xadd0_2374, 0x9e60_02cb, 0x591c_9737]),
            (0x1a2b_3c4d, [0xad00_11a7, 0x49a0_619d, 0xf7ef_89d4, 0xdc74_5d7e]),
            (u32::MAX, [0xb2c4_87f2, 0x6560_0b0f, 0xe43a_f8ef, 0xdfcf_eafc]),
        ] {
            let mut sequence = Sequence::new(seed);
            assert_eq!(expected.map(|_| sequence.next()), expected, "{seed:x}");
        }
    }

    #[test]
    fn trials_are_those_of_other_implementations() {
        let trials =
            |seed| -> String { x_is_b(seed).take(32).map(|is_b| if is_b { 'b' } else { 'a' }).collect() };
        assert_eq!(trials(0x1a2b_3c4d), "babbbabbbbbabababbabaabaaabbaaaa");
        assert_eq!(trials(0xdead_beef), "baabaabaaabbaabbbaaaabbabaabbbaa");
    }

    #[test]
    fn labels_are_those_of_other_implementations() {
        for (seed, expected) in [
            (0, [3, 6, 1, 0, 8, 5, 4, 7, 2]),
            (1, [1, 7, 8, 2, 5, 4, 0, 3, 6]),
            (0x1a2b_3c4d, [6, 8, 4, 7, 3, 5, 1, 2, 0]),
            (LABELS, [0, 6, 3, 7, 2, 8, 1, 4, 5]),
        ] {
            assert_eq!(labels(seed, 9), expected, "{seed:x}");
        }
        assert_eq!((labels(1, 2), labels(1, 1), labels(1, 0)), (vec![1, 0], vec![0], vec![]));
    }

    #[test]
    fn seals_are_those_of_other_implementations() {
        let (pack, text) = ("0123456789abcdef", "Grüße, buffer box & „combo“");
        let sealed = "8Mi5z9si2DzN6cYTbbyZLf/vGwxEVuKYvVqf061ClOYg";
        assert_eq!(seal(pack, text), sealed);
        assert_eq!(open(pack, sealed).unwrap(), text);
    }

    #[test]
    fn what_cannot_be_opened_is_said() {
        let open = |pack, sealed| open(pack, sealed).unwrap_err().to_string();
        assert_eq!(
            open("0123456789abcdeg", ""),
            "the pack is '0123456789abcdeg'; accepted are 16 digits 0-9 a-f"
        );
        assert!(open("01234567", "").starts_with("the pack is '01234567'"));
        assert_eq!(open("0123456789abcdef", "8Mi5z9si2D"), "what is sealed is not base64");
        let sealed = seal("0123456789abcdef", "Grüße an alle");
        assert_eq!(open("1123456789abcdef", &sealed), "what is sealed is not this pack's");
    }
}
