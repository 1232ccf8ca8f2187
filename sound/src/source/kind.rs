use crate::Problem;
use crate::input::Input;

/// What a file is, as it begins; its name says nothing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// RIFF, RF64 or BW64 with WAVE in it.
    Wav,
    /// AIFF or AIFC.
    Aiff,
    /// FLAC.
    Flac,
    /// MPEG audio; for hearing only.
    Mp3,
}

/// As much as is looked at.
const START_BYTES: u64 = 64 * 1024;

impl Kind {
    /// Of a file, and where it begins: FLAC and MP3 may have an ID3 tag in front.
    pub(super) fn of(input: &mut Input, audition: bool) -> Result<(Self, u64), Problem> {
        let start = input.some_at(0, START_BYTES)?;
        let is = |at: usize, id: &[u8]| start.get(at..at + id.len()) == Some(id);
        let unknown = Problem::Unknown { audition };
        match start.get(..4).unwrap_or(&start) {
            [] => Err(Problem::Empty),
            b"RIFF" | b"RF64" | b"BW64" if start.len() < 12 => Err(Problem::CutHeader),
            b"RIFF" | b"RF64" | b"BW64" if is(8, b"WAVE") => Ok((Self::Wav, 0)),
            b"FORM" if start.len() < 12 => Err(Problem::CutHeader),
            b"FORM" if is(8, b"AIFF") || is(8, b"AIFC") => Ok((Self::Aiff, 0)),
            b"fLaC" => Ok((Self::Flac, 0)),
            b"riff" => Err(Problem::Foreign("Wave64 (W64)")),
            b"RIFX" => Err(Problem::Foreign("RIFX, a WAV file with its bytes the other way round")),
            b"OggS" => Err(Problem::Foreign("Ogg (Vorbis, Opus)")),
            b"caff" => Err(Problem::Foreign("a Core Audio file (CAF)")),
            _ if is(4, b"ftyp") => Err(Problem::Foreign("an MP4 file (AAC, ALAC)")),
            [b'I', b'D', b'3', _] => behind_tag(input, &start),
            _ if is_mp3(&start) => Ok((Self::Mp3, 0)),
            _ => Err(unknown),
        }
    }
}

/// What follows an ID3v2 tag, whose length has seven bits a byte (ID3v2.4, 3.1).
fn behind_tag(input: &mut Input, start: &[u8]) -> Result<(Kind, u64), Problem> {
    let size = start.get(6..10).ok_or(Problem::CutHeader)?;
    let size = size.iter().fold(0, |size, byte| size << 7 | u64::from(byte & 0x7f));
    let footer = if start[5] & 0x10 == 0 { 0 } else { 10 };
    match input.header_at(10 + size + footer) {
        Ok([b'f', b'L', b'a', b'C']) => Ok((Kind::Flac, 10 + size + footer)),
        Ok(_) | Err(Problem::CutHeader) => Ok((Kind::Mp3, 0)),
        Err(problem) => Err(problem),
    }
}

#[cfg(feature = "mp3")]
fn is_mp3(start: &[u8]) -> bool {
    nanomp3::detect(start)
}

/// Without a decoder only a frame's sync word and a layer that exists are looked for (ISO/IEC 11172-3, 2.4.2.3).
#[cfg(not(feature = "mp3"))]
fn is_mp3(start: &[u8]) -> bool {
    matches!(start, [0xff, second, third, ..] if second & 0xe6 == 0xe2 && third & 0xf0 != 0xf0 && third & 0x0c != 0x0c)
}
