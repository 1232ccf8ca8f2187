//! What a session knows a take by, beside its samples: its place in time, marks, loops, names. Kept byte by byte as it was found; what
//! would lie about a rendering (checksums, peaks, lengths) is not kept.

mod cut;
mod foreign;
mod gathered;

pub use gathered::Gathered;

use crate::Container;

/// What stands in a take beside its samples.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Metadata {
    family: Family,
    chunks: Vec<Chunk>,
    blocks: Vec<Block>,
    wav: Option<WavHeader>,
    /// What was not kept, by name.
    dropped: Vec<String>,
}

/// Whose chunks they are.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Family {
    #[default]
    Riff,
    Aiff,
}

/// A chunk of WAV or AIFF.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chunk {
    pub id: [u8; 4],
    pub bytes: Vec<u8>,
    /// Whether it stands before the samples.
    pub before: bool,
}

/// A metadata block of FLAC (RFC 9639, 8).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Block {
    pub kind: u8,
    pub bytes: Vec<u8>,
}

/// What a format chunk of WAV says beside the format.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WavHeader {
    /// The short header, whatever the samples are.
    Plain,
    /// The long one (WAVEFORMATEXTENSIBLE), with the loudspeakers that channels belong to, one a bit.
    Extensible { channel_mask: u32 },
}

impl WavHeader {
    /// From a format chunk of at least 16 bytes.
    pub fn of(chunk: &[u8]) -> Self {
        match (chunk.first_chunk(), chunk.get(20..24).and_then(<[u8]>::first_chunk)) {
            (Some([0xfe, 0xff]), Some(mask)) => Self::Extensible { channel_mask: u32::from_le_bytes(*mask) },
            _ => Self::Plain,
        }
    }
}

impl Family {
    /// Whether a chunk is neither sound, nor filling, nor about samples that will be others.
    fn keeps(self, id: [u8; 4]) -> bool {
        let left_out: &[&[u8; 4]] = match self {
            Self::Riff => &[
                b"fmt ", b"data", b"ds64", b"fact", b"JUNK", b"junk", b"PAD ", b"FLLR", b"filr", b"PEAK",
                b"levl", b"md5 ", b"MD5 ",
            ],
            Self::Aiff => &[b"COMM", b"SSND", b"FVER", b"FLLR", b"PEAK"],
        };
        !left_out.contains(&&id)
    }
}

impl Block {
    pub const APPLICATION: u8 = 2;
    pub const COMMENT: u8 = 4;
    pub const CUESHEET: u8 = 5;
    pub const PICTURE: u8 = 6;

    /// Whether a block says something that holds for a rendering.
    pub fn is_kept(kind: u8) -> bool {
        matches!(kind, Self::APPLICATION | Self::COMMENT | Self::CUESHEET | Self::PICTURE)
    }

    /// Which of the two icons a picture is: a file may have one of each (RFC 9639, section 8.8).
    fn icon(&self) -> Option<u8> {
        let icon = match self.bytes.as_slice() {
            [0, 0, 0, kind @ (1 | 2), ..] => *kind,
            _ => return None,
        };
        (self.kind == Self::PICTURE).then_some(icon)
    }

    fn name(kind: u8) -> &'static str {
        match kind {
            Self::APPLICATION => "application data",
            Self::COMMENT => "tags",
            Self::CUESHEET => "cue sheet",
            _ => "picture",
        }
    }
}

impl Metadata {
    /// What of it a file of another kind does not get, by name, each once; and what was too large to be kept at all.
    #[must_use]
    pub fn left_behind(&self, container: Container) -> Vec<String> {
        let chunks = self.chunks.iter().map(|chunk| name_of(chunk.id));
        let chunks = chunks.filter(|_| match (container, self.family) {
            (Container::Flac, _) => false,
            (Container::Wav, family) => family != Family::Riff,
            (Container::Aiff, family) => family != Family::Aiff,
        });
        let blocks =
            self.blocks.iter().filter(|block| container != Container::Flac || !block.can_be_written());
        let blocks = blocks.map(|block| Block::name(block.kind).to_owned());
        let mut names: Vec<String> = Vec::new();
        for name in self.dropped.iter().cloned().chain(chunks).chain(blocks) {
            if !names.contains(&name) {
                names.push(name);
            }
        }
        names
    }

    /// Chunks for a file of a family, those before the samples or those behind.
    pub(crate) fn chunks_of(&self, family: Family, before: bool) -> impl Iterator<Item = &Chunk> {
        let fits = self.family == family;
        self.chunks.iter().filter(move |chunk| fits && chunk.before == before)
    }

    pub(crate) fn blocks(&self) -> &[Block] {
        &self.blocks
    }

    pub(crate) fn family(&self) -> Option<Family> {
        (!self.chunks.is_empty()).then_some(self.family)
    }

    pub(crate) fn wav_header(&self) -> Option<WavHeader> {
        self.wav
    }
}

/// Whether four bytes can name a chunk: letters, digits and signs, among them the one of copyrights in AIFF.
pub fn is_id(id: [u8; 4]) -> bool {
    id.iter().all(|byte| (b' '..=b'~').contains(byte) || *byte == 0xa9)
}

/// As a sentence names a chunk.
fn name_of(id: [u8; 4]) -> String {
    id.escape_ascii().to_string().trim_end().to_owned()
}
