use std::io::{self, BufWriter, Seek, SeekFrom, Write};
use std::sync::{Arc, Mutex, PoisonError};

use flac_codec::encode::{FlacChannelWriter, Options};
use flac_codec::metadata::{Application, BlockList, Cuesheet, Picture, VorbisComment};

use super::Making;
use super::quantiser::Quantiser;
use super::wav::foreign;
use crate::metadata::{Block, Family};

/// FLAC (RFC 9639).
pub struct Flac<W: Write + Seek> {
    writer: FlacChannelWriter<BufWriter<Shared<W>>>,
    shared: Arc<Mutex<Written<W>>>,
    planes: Vec<Vec<i32>>,
}

/// What the encoder does not give back, and does not tell when it is dropped.
struct Written<W> {
    to: W,
    failure: Option<io::Error>,
}

/// The encoder's side of it.
struct Shared<W>(Arc<Mutex<Written<W>>>);

impl<W: Write + Seek> Flac<W> {
    pub fn new(to: W, making: Making) -> io::Result<Self> {
        let format = making.format;
        let shared = Arc::new(Mutex::new(Written { to, failure: None }));
        // Without frames there is no telling how many there are.
        let total = (making.frames > 0).then_some(making.frames);
        let writer = FlacChannelWriter::new(
            BufWriter::new(Shared(shared.clone())),
            options(making),
            format.rate_hz,
            format.encoding.bits().into(),
            u8::try_from(format.channels).unwrap_or(u8::MAX),
            total,
        );
        let planes = vec![Vec::new(); format.channels.into()];
        Ok(Self { writer: writer.map_err(io_error)?, shared, planes })
    }

    pub fn write(&mut self, channels: &[Vec<f64>], gain: f64, quantiser: &mut Quantiser) -> io::Result<()> {
        for (plane, channel) in self.planes.iter_mut().zip(channels) {
            plane.clear();
            plane.extend(quantiser.integers(channel, gain));
        }
        self.writer.write(&self.planes).map_err(io_error)
    }

    pub fn finish(self) -> io::Result<W> {
        match self.writer.finalize() {
            // A stream without frames is one all the same.
            Ok(()) | Err(flac_codec::Error::NoSamples) => {}
            Err(error) => return Err(io_error(error)),
        }
        let written = Arc::into_inner(self.shared).ok_or_else(|| io::Error::other("the encoder goes on"))?;
        let Written { mut to, failure } = written.into_inner().unwrap_or_else(PoisonError::into_inner);
        match failure {
            Some(failure) => Err(failure),
            None => to.flush().map(|()| to),
        }
    }
}

/// Frames of a block.
const BLOCK: u16 = 4096;

/// A last block of fewer the encoder may write so that no decoder can read it: it loses count of the partitions of residuals where they are
/// as short as the predictor (up to twice its order, 8 here, 12 at its best effort).
const FEWEST: u16 = 32;

/// Blocks of which the last is not too short for flac-codec 1.3; in a file that is, residuals in one partition, which it counts right.
pub fn sound_blocks(options: Options, frames: u64) -> Options {
    let too_short = |block: u64| (1..u64::from(FEWEST)).contains(&(frames % block));
    if frames < FEWEST.into() {
        return options.clone().max_partition_order(0).unwrap_or(options);
    }
    let block = (FEWEST..=BLOCK).rev().find(|block| !too_short((*block).into()));
    options.clone().block_size(block.unwrap_or(BLOCK)).unwrap_or(options)
}

/// As the reference encoder's default: blocks of 4096, a place to seek to every ten seconds, room for tags.
fn options(making: Making) -> Options {
    let mut options = sound_blocks(Options::default().fast_channel_correlation(true), making.frames);
    let metadata = making.metadata;
    let chunks = match metadata.family() {
        Some(Family::Riff) => foreign(making.format, making.frames, metadata),
        Some(Family::Aiff) => super::aiff::foreign(making.format, making.frames, metadata),
        None => Vec::new(),
    };
    let family = metadata.family().unwrap_or_default();
    let chunks = chunks.iter().map(|chunk| Block::foreign(family, chunk));
    let blocks = chunks.chain(metadata.blocks().iter().cloned());
    for typed in blocks.filter_map(|block| block.typed()) {
        match typed {
            Typed::Application(block) => options.add_block(block),
            Typed::Comment(block) => options.add_block(block),
            Typed::Cuesheet(block) => options.add_block(block),
            Typed::Picture(block) => options.add_block(block),
        };
    }
    options
}

/// A block as the encoder takes it.
enum Typed {
    Application(Application),
    Comment(VorbisComment),
    Cuesheet(Cuesheet),
    Picture(Picture),
}

impl Block {
    /// Whether the encoder takes it: one that breaks a rule it does not.
    pub fn can_be_written(&self) -> bool {
        self.typed().is_some()
    }

    /// What the library reads in a stream that has no other block.
    fn typed(&self) -> Option<Typed> {
        let length = u32::try_from(self.bytes.len()).ok().filter(|length| *length < 1 << 24)?;
        // Blocks of 4096 frames, 44.1 kHz, one channel of 16 bits.
        let stream = [0x10, 0, 0x10, 0, 0, 0, 0, 0, 0, 0, 0x0a, 0xc4, 0x40, 0xf0, 0, 0, 0, 0]
            .into_iter()
            .chain([0; 16]);
        let mut file = b"fLaC\x00\x00\x00\x22".to_vec();
        file.extend(stream);
        file.push(0x80 | self.kind);
        file.extend(&length.to_be_bytes()[1..]);
        file.extend(&self.bytes);
        let list = BlockList::read(file.as_slice()).ok()?;
        match self.kind {
            Self::APPLICATION => list.get().cloned().map(Typed::Application),
            Self::COMMENT => list.get().cloned().map(Typed::Comment),
            Self::CUESHEET => list.get().cloned().map(Typed::Cuesheet),
            Self::PICTURE => list.get().cloned().map(Typed::Picture),
            _ => None,
        }
    }
}

impl<W: Write> Write for Shared<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let mut written = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let result = written.to.write(bytes);
        if let Err(error) = &result
            && error.kind() != io::ErrorKind::Interrupted
        {
            written.failure = Some(io::Error::new(error.kind(), error.to_string()));
        }
        result
    }

    fn flush(&mut self) -> io::Result<()> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).to.flush()
    }
}

impl<W: Seek> Seek for Shared<W> {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).to.seek(to)
    }
}

fn io_error(error: flac_codec::Error) -> io::Error {
    match error {
        flac_codec::Error::Io(error) => error,
        error => io::Error::other(error.to_string()),
    }
}
