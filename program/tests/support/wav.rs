//! WAV files byte by byte (Multimedia Programming Interface and Data Specifications 1.0, and WAVEFORMATEXTENSIBLE; both from
//! memory), so that a fault in the program's reading and a fault in its writing cannot hide each other.

const EXTENSIBLE: u16 = 0xfffe;

/// How a sample is stored.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// An integer of this many bytes; one byte is unsigned.
    Int(u16),
    /// 32 bits.
    Float,
}

pub const KINDS: [Kind; 5] = [Kind::Int(1), Kind::Int(2), Kind::Int(3), Kind::Int(4), Kind::Float];

impl Kind {
    pub fn bytes(self) -> u16 {
        match self {
            Self::Int(bytes) => bytes,
            Self::Float => 4,
        }
    }

    pub fn full_scale(self) -> f64 {
        match self {
            Self::Int(bytes) => f64::from(8 * bytes - 1).exp2(),
            Self::Float => 1.0,
        }
    }

    /// The spelling of `--sample-format`; 8 bits have none.
    pub fn option(self) -> &'static str {
        match self {
            Self::Int(1) => "same",
            Self::Int(2) => "16",
            Self::Int(3) => "24",
            Self::Int(_) => "32",
            Self::Float => "float",
        }
    }

    /// One sample in bytes, rounded to the nearest step.
    #[expect(clippy::cast_possible_truncation, reason = "rounded; the tests stay within full scale")]
    fn encode(self, value: f64) -> Vec<u8> {
        match self {
            Self::Float => (value as f32).to_le_bytes().to_vec(),
            Self::Int(bytes) => {
                let zero = if bytes == 1 { 128 } else { 0 };
                let step = (value * self.full_scale()).round() as i64 + zero;
                step.to_le_bytes()[..usize::from(bytes)].to_vec()
            }
        }
    }

    fn decode(self, bytes: &[u8]) -> f64 {
        match self {
            Self::Float => f64::from(f32::from_le_bytes(bytes.try_into().unwrap())),
            Self::Int(1) => (f64::from(bytes[0]) - 128.0) / 128.0,
            Self::Int(_) => {
                // The sample's bytes at the top of a word that is full scale as a whole.
                let mut word = [0; 4];
                word[4 - bytes.len()..].copy_from_slice(bytes);
                f64::from(i32::from_le_bytes(word)) / 2_147_483_648.0
            }
        }
    }
}

/// A WAV file in parts.
#[derive(Debug, Clone, PartialEq)]
pub struct Wav {
    pub kind: Kind,
    pub channels: u16,
    pub rate_hz: u32,
    /// Whether its header is extensible, with this many valid bits.
    pub valid_bits: Option<u16>,
    /// Chunks before the data.
    pub before: Vec<([u8; 4], Vec<u8>)>,
    /// Chunks after the data.
    pub after: Vec<([u8; 4], Vec<u8>)>,
    pub data: Vec<u8>,
}

impl Wav {
    /// A plain file of interleaved samples.
    pub fn new(kind: Kind, channels: u16, rate_hz: u32, samples: &[f64]) -> Self {
        let data = samples.iter().flat_map(|value| kind.encode(*value)).collect();
        Self { kind, channels, rate_hz, valid_bits: None, before: Vec::new(), after: Vec::new(), data }
    }

    pub fn samples(&self) -> Vec<f64> {
        self.data.chunks(self.kind.bytes().into()).map(|bytes| self.kind.decode(bytes)).collect()
    }

    /// One channel, counted from 0.
    pub fn channel(&self, index: usize) -> Vec<f64> {
        self.samples().into_iter().skip(index).step_by(self.channels.into()).collect()
    }

    pub fn frames(&self) -> usize {
        self.data.len() / usize::from(self.kind.bytes() * self.channels)
    }

    fn format_chunk(&self) -> Vec<u8> {
        let code: u16 = if self.kind == Kind::Float { 3 } else { 1 };
        let (bytes, tag) = (self.kind.bytes(), self.valid_bits.map_or(code, |_| EXTENSIBLE));
        let block = bytes * self.channels;
        let mut chunk = Vec::new();
        chunk.extend(tag.to_le_bytes());
        chunk.extend(self.channels.to_le_bytes());
        chunk.extend(self.rate_hz.to_le_bytes());
        chunk.extend((u32::from(block) * self.rate_hz).to_le_bytes());
        chunk.extend(block.to_le_bytes());
        chunk.extend((bytes * 8).to_le_bytes());
        if let Some(valid) = self.valid_bits {
            chunk.extend(22_u16.to_le_bytes());
            chunk.extend(valid.to_le_bytes());
            chunk.extend(0_u32.to_le_bytes());
            chunk.extend(code.to_le_bytes());
            chunk.extend([0, 0, 0, 0, 16, 0, 0x80, 0, 0, 0xaa, 0, 0x38, 0x9b, 0x71]);
        }
        chunk
    }

    /// The file, its lengths as they should be.
    pub fn bytes(&self) -> Vec<u8> {
        let mut body = b"WAVE".to_vec();
        let format = (*b"fmt ", self.format_chunk());
        let data = (*b"data", self.data.clone());
        let chunks = [&[format], self.before.as_slice(), &[data], self.after.as_slice()].concat();
        for (id, chunk) in chunks {
            body.extend(id);
            body.extend(u32::try_from(chunk.len()).unwrap().to_le_bytes());
            body.extend(&chunk);
            body.extend(vec![0; chunk.len() % 2]);
        }
        [b"RIFF".as_slice(), &u32::try_from(body.len()).unwrap().to_le_bytes(), &body].concat()
    }

    /// Takes a file apart and insists on everything that a writer has to get right.
    ///
    /// # Panics
    /// If anything is wrong with it.
    #[track_caller]
    pub fn parse(file: &[u8]) -> Self {
        let u16_at = |start: usize| u16::from_le_bytes(file[start..start + 2].try_into().unwrap());
        let u32_at = |start: usize| u32::from_le_bytes(file[start..start + 4].try_into().unwrap());
        let length_at = |start| usize::try_from(u32_at(start)).unwrap();
        assert_eq!((&file[..4], &file[8..16]), (b"RIFF".as_slice(), b"WAVEfmt ".as_slice()));
        assert_eq!(length_at(4) + 8, file.len(), "the RIFF length");
        let is_extensible = u16_at(20) == EXTENSIBLE;
        let code = u16_at(if is_extensible { 44 } else { 20 });
        let mut fact = None;
        let (channels, bits) = (u16_at(22), u16_at(34));
        let kind = if code == 3 { Kind::Float } else { Kind::Int(bits / 8) };
        assert_eq!(u16_at(32), channels * kind.bytes(), "the block");
        assert_eq!(u32_at(28), u32_at(24) * u32::from(u16_at(32)), "the byte rate");
        let (mut before, mut data, mut after) = (Vec::new(), None, Vec::new());
        let mut place = 20 + length_at(16);
        while place < file.len() {
            let id: [u8; 4] = file[place..place + 4].try_into().unwrap();
            let contents = file[place + 8..place + 8 + length_at(place + 4)].to_vec();
            place += 8 + contents.len() + contents.len() % 2;
            match (&id, &data) {
                (b"data", None) => data = Some(contents),
                (b"fact", None) if kind == Kind::Float => {
                    fact = Some(u32_at(place - 4));
                }
                (_, None) => before.push((id, contents)),
                (_, Some(_)) => after.push((id, contents)),
            }
        }
        assert_eq!(place, file.len(), "the lengths of chunks");
        let data = data.expect("a chunk of data");
        if let Some(frames) = fact {
            assert_eq!(frames as usize, data.len() / usize::from(u16_at(32)), "the number of frames");
        }
        Self {
            kind,
            channels,
            rate_hz: u32_at(24),
            valid_bits: is_extensible.then(|| u16_at(38)),
            before,
            after,
            data,
        }
    }
}
