use std::collections::VecDeque;
use std::fs::File;
use std::io::{self, BufWriter, Write};

use ogg::PacketWriter;
use ogg::writing::PacketWriteEndInfo;
use ropus::{Application, Bitrate, Channels, DecodeMode, Decoder, Encoder as Ropus, Signal};

use super::decoded::{DecodedError, ErrorMeter};
use super::spool::{Encoder, Encoding};

/// What Opus works at, and the unit of its positions (RFC 7845, section 4).
pub const RATE_HZ: u32 = 48_000;

/// Frames of a packet: 20 ms, the usual.
const PACKET: usize = 960;

/// Packets of an Ogg page: a second, as RFC 7845 (section 6) advises at most.
const PACKETS_A_PAGE: u64 = 50;

/// More than any packet has, in bytes (RFC 6716, section 3.4: 1275 a frame).
const MOST_BYTES: usize = 1500;

/// Of the one stream in each file; always the same, so that the same sound gives the same file.
const SERIAL: u32 = 1;

/// Opus (RFC 6716) in Ogg (RFC 7845): as many frames come out as went in, none earlier or later.
pub struct OpusEncoder {
    encoder: Ropus,
    decoder: Decoder,
    ogg: PacketWriter<'static, BufWriter<File>>,
    channels: usize,
    /// Frames that a decoder drops at the start.
    skip: u64,
    frames: u64,
    packets: u64,
    written: u64,
    /// Interleaved, not yet encoded.
    waiting: Vec<f32>,
    /// Encoded, not yet compared, one a channel.
    original: Vec<VecDeque<f64>>,
    /// Still to be dropped of what is decoded.
    to_skip: usize,
    meter: ErrorMeter,
}

impl OpusEncoder {
    pub fn new(file: File, format: Encoding, bits_per_second: u32) -> io::Result<Self> {
        let layout = if format.channels == 1 { Channels::Mono } else { Channels::Stereo };
        let encoder = Ropus::builder(RATE_HZ, layout, Application::Audio)
            .bitrate(Bitrate::Bits(bits_per_second))
            .complexity(10)
            .signal(Signal::Music)
            .vbr(true)
            .vbr_constraint(true)
            .build()
            .map_err(io::Error::other)?;
        let skip = u64::from(encoder.lookahead());
        let channels = usize::from(format.channels);
        let mut opus = Self {
            decoder: Decoder::new(RATE_HZ, layout).map_err(io::Error::other)?,
            ogg: PacketWriter::new(BufWriter::new(file)),
            channels,
            skip,
            frames: format.frames,
            packets: (format.frames + skip).div_ceil(PACKET as u64),
            written: 0,
            waiting: Vec::new(),
            original: vec![VecDeque::new(); channels],
            to_skip: usize::try_from(skip).unwrap_or(0),
            meter: ErrorMeter::new(RATE_HZ, channels),
            encoder,
        };
        let page = PacketWriteEndInfo::EndPage;
        opus.ogg.write_packet(opus.head(), SERIAL, page, 0)?;
        let page = PacketWriteEndInfo::EndPage;
        opus.ogg.write_packet(tags(), SERIAL, page, 0)?;
        Ok(opus)
    }

    /// The identification header (RFC 7845, section 5.1).
    fn head(&self) -> Vec<u8> {
        let skip = u16::try_from(self.skip).unwrap_or(u16::MAX);
        let channels = u8::try_from(self.channels).unwrap_or(u8::MAX);
        let mut head = b"OpusHead\x01".to_vec();
        head.push(channels);
        head.extend(skip.to_le_bytes());
        head.extend(RATE_HZ.to_le_bytes());
        // No output gain; channel mapping family 0: mono or stereo.
        head.extend([0, 0, 0]);
        head
    }

    fn encode_waiting(&mut self) -> io::Result<()> {
        let samples = PACKET * self.channels;
        let mut from = 0;
        while self.written < self.packets && self.waiting.len() - from >= samples {
            let mut packet = vec![0; MOST_BYTES];
            let pcm = &self.waiting[from..from + samples];
            let bytes = self.encoder.encode_float(pcm, &mut packet).map_err(io::Error::other)?;
            packet.truncate(bytes);
            self.compare(&packet)?;
            self.write_packet(packet)?;
            from += samples;
        }
        self.waiting.drain(..from);
        Ok(())
    }

    /// The position of a page counts all frames up to its end; that of the last, fewer than there are, trims the end (RFC 7845,
    /// section 4.4).
    fn write_packet(&mut self, packet: Vec<u8>) -> io::Result<()> {
        self.written += 1;
        let is_last = self.written == self.packets;
        let end = match self.written % PACKETS_A_PAGE {
            _ if is_last => PacketWriteEndInfo::EndStream,
            0 => PacketWriteEndInfo::EndPage,
            _ => PacketWriteEndInfo::NormalPacket,
        };
        let position = if is_last { self.skip + self.frames } else { self.written * PACKET as u64 };
        self.ogg.write_packet(packet, SERIAL, end, position)
    }

    fn compare(&mut self, packet: &[u8]) -> io::Result<()> {
        let mut pcm = vec![0.0; PACKET * self.channels];
        let frames =
            self.decoder.decode_float(packet, &mut pcm, DecodeMode::Normal).map_err(io::Error::other)?;
        let drop = self.to_skip.min(frames);
        self.to_skip -= drop;
        let there = self.original[0].len().min(frames - drop);
        let decoded: Vec<Vec<f64>> = (0..self.channels)
            .map(|channel| {
                let samples = pcm.iter().skip(drop * self.channels + channel).step_by(self.channels);
                samples.take(there).map(|value| f64::from(*value)).collect()
            })
            .collect();
        let original: Vec<Vec<f64>> =
            self.original.iter_mut().map(|channel| channel.drain(..there).collect()).collect();
        self.meter.add(&original, &decoded);
        Ok(())
    }
}

impl Encoder for OpusEncoder {
    #[expect(clippy::cast_possible_truncation, reason = "the encoder's samples are f32")]
    fn write(&mut self, block: &[Vec<f64>]) -> io::Result<()> {
        for frame in 0..block.first().map_or(0, Vec::len) {
            for (channel, original) in block.iter().zip(&mut self.original) {
                self.waiting.push(channel[frame] as f32);
                original.push_back(channel[frame]);
            }
        }
        self.encode_waiting()
    }

    fn finish(mut self: Box<Self>) -> io::Result<(DecodedError, u64)> {
        // Silence pushes the end through the encoder's lookahead.
        let samples = PACKET * self.channels;
        while self.written < self.packets {
            self.waiting.resize(self.waiting.len().max(1).next_multiple_of(samples), 0.0);
            self.encode_waiting()?;
        }
        self.ogg.into_inner().flush()?;
        Ok((self.meter.finish(), 0))
    }
}

/// The comment header (RFC 7845, section 5.2): a vendor, and no comments.
fn tags() -> Vec<u8> {
    let vendor = b"firstjack";
    let mut tags = b"OpusTags".to_vec();
    tags.extend([9, 0, 0, 0]);
    tags.extend(vendor);
    tags.extend([0; 4]);
    tags
}
