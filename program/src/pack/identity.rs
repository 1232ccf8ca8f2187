//! What names a page and its sounds without telling which is which: keys and an order that follow from what is in it.

use sha2::{Digest, Sha256};

use crate::format::sequence::Sequence;

/// Letters and digits of keys; none that is easily taken for another, and no vowels, so that no word comes about.
const LETTERS: &[u8; 24] = b"bcdfghjkmnpqrstvwxz23456";

/// Letters of a key.
const LENGTH: usize = 4;

/// Keys of sounds, in the order as recorded, setups, rescue, anchor; and the order that a page has them in.
pub struct Keys {
    pub keys: Vec<String>,
    /// Which sound stands where on the page.
    pub shuffled: Vec<usize>,
}

impl Keys {
    /// For `count` sounds; `digest` is of the sounds and what they are called.
    pub fn new(digest: Fingerprint, count: usize) -> Self {
        let mut sequence = Sequence::new(digest.seed());
        let mut keys: Vec<String> = Vec::new();
        while keys.len() < count {
            let key: String = (0..LENGTH).map(|_| letter(sequence.next())).collect();
            if !keys.contains(&key) {
                keys.push(key);
            }
        }
        let mut shuffled: Vec<usize> = (0..count).collect();
        // Fisher and Yates, from the last down.
        for last in (1..count).rev() {
            let number = usize::try_from(sequence.next()).unwrap_or(0);
            shuffled.swap(last, number % (last + 1));
        }
        Self { keys, shuffled }
    }
}

fn letter(number: u32) -> char {
    // The upper bits of a shift register are its better ones.
    char::from(LETTERS[usize::try_from(number >> 8).unwrap_or(0) % LETTERS.len()])
}

/// A SHA-256 in the making; parts count with their lengths, so that none can be taken for another's end.
#[derive(Clone, Default)]
pub struct Fingerprint(Sha256);

impl Fingerprint {
    pub fn add(&mut self, part: impl AsRef<[u8]>) {
        let part = part.as_ref();
        self.0.update((part.len() as u64).to_le_bytes());
        self.0.update(part);
    }

    fn seed(self) -> u32 {
        let digest = self.0.finalize();
        digest.first_chunk().map_or(0, |bytes| u32::from_be_bytes(*bytes))
    }

    /// The first 16 hexadecimal digits.
    pub fn name(self) -> String {
        self.0.finalize().iter().take(8).map(|byte| format!("{byte:02x}")).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fingerprint(parts: &[&str]) -> Fingerprint {
        let mut fingerprint = Fingerprint::default();
        parts.iter().for_each(|part| fingerprint.add(part));
        fingerprint
    }

    #[test]
    fn keys_differ_and_every_sound_has_its_place() {
        for text in ["a", "b", "c", "d"] {
            let Keys { keys, mut shuffled } = Keys::new(fingerprint(&[text]), 40);
            let mut distinct = keys.clone();
            distinct.sort();
            distinct.dedup();
            assert_eq!(distinct.len(), 40);
            shuffled.sort_unstable();
            assert_eq!(shuffled, (0..40).collect::<Vec<_>>());
        }
    }

    /// Over many pages each sound comes to stand in each place about equally often.
    #[test]
    fn no_sound_has_a_favourite_place() {
        let mut counts = [[0_u32; 4]; 4];
        for page in 0..4000 {
            let keys = Keys::new(fingerprint(&[&page.to_string()]), 4);
            keys.shuffled.iter().enumerate().for_each(|(place, sound)| counts[place][*sound] += 1);
        }
        // 1000 each; the standard deviation is 27.
        assert!(counts.iter().flatten().all(|count| (870..1130).contains(count)), "{counts:?}");
    }

    #[test]
    fn parts_are_kept_apart() {
        let name = |parts: &[&str]| fingerprint(parts).name();
        assert_ne!(name(&["ab", "c"]), name(&["a", "bc"]));
        assert_eq!(name(&["ab", "c"]), name(&["ab", "c"]));
        assert_eq!(name(&["ab"]).len(), 16);
    }
}
