//! Chunks of WAV and AIFF in a FLAC file, as the reference encoder's `--keep-foreign-metadata` stores them: one APPLICATION block a
//! chunk, `riff` or `aiff` by name, the whole form's header first, and of the sound's chunk only the header.

use super::{Block, Chunk, Family, Metadata, WavHeader, is_id};

impl Metadata {
    /// Turns such blocks into the chunks that they hold. A block that holds none stays one.
    pub(super) fn unwrap_foreign(&mut self) {
        let mut before = true;
        for block in std::mem::take(&mut self.blocks) {
            let found = block.chunk();
            match found {
                Some((family, chunk)) if self.chunks.is_empty() || self.family == family => {
                    self.family = family;
                    match &chunk.id {
                        b"fmt " if chunk.bytes.len() >= 16 => self.wav = Some(WavHeader::of(&chunk.bytes)),
                        b"data" | b"SSND" => before = false,
                        b"RIFF" | b"RF64" | b"BW64" | b"FORM" => {}
                        id if family.keeps(*id) => self.chunks.push(Chunk { before, ..chunk }),
                        _ => {}
                    }
                }
                _ => self.blocks.push(block),
            }
        }
    }
}

impl Block {
    /// What a block of the kind holds; of the form's header and the sound's chunk only the name.
    fn chunk(&self) -> Option<(Family, Chunk)> {
        let (family, rest) = match (self.kind, self.bytes.split_first_chunk::<4>()?) {
            (Self::APPLICATION, (b"riff", rest)) => (Family::Riff, rest),
            (Self::APPLICATION, (b"aiff", rest)) => (Family::Aiff, rest),
            _ => return None,
        };
        let (id, rest) = rest.split_first_chunk::<4>()?;
        // Among others it would end the file.
        if !is_id(*id) {
            return None;
        }
        let chunk = |bytes: &[u8]| Some((family, Chunk { id: *id, bytes: bytes.to_vec(), before: true }));
        match id {
            b"RIFF" | b"RF64" | b"BW64" | b"FORM" | b"data" | b"SSND" => chunk(&[]),
            _ => {
                let (length, contents) = rest.split_first_chunk::<4>()?;
                let length = match family {
                    Family::Riff => u32::from_le_bytes(*length),
                    Family::Aiff => u32::from_be_bytes(*length),
                };
                chunk(contents.get(..usize::try_from(length).ok()?)?)
            }
        }
    }

    /// The block that holds a chunk.
    pub fn foreign(family: Family, chunk: &[u8]) -> Self {
        let id = match family {
            Family::Riff => b"riff",
            Family::Aiff => b"aiff",
        };
        Self { kind: Self::APPLICATION, bytes: [id, chunk].concat() }
    }
}
