//! What becomes of metadata when only a part of the take is read: the place in time moves along, and marks and loops that lie outside
//! go.

use super::{Block, Chunk, Family, Metadata};

impl Metadata {
    /// Leaves what holds for `frames` frames from `from` on.
    pub fn cut(&mut self, from: u64, frames: u64) {
        let part = Part { from, end: from.saturating_add(frames) };
        match self.family {
            Family::Riff => part.cut_riff(&mut self.chunks),
            Family::Aiff => part.cut_aiff(&mut self.chunks),
        }
        // Its tracks are places in the whole; there is no telling which a part still has.
        let all = self.blocks.len();
        self.blocks.retain(|block| block.kind != Block::CUESHEET);
        if self.blocks.len() < all {
            self.dropped.push(Block::name(Block::CUESHEET).to_owned());
        }
    }
}

/// Of a take, in frames.
#[derive(Clone, Copy)]
struct Part {
    from: u64,
    end: u64,
}

/// Of an entry of a `cue ` chunk, and of a loop in `smpl`.
const ENTRY_BYTES: usize = 24;

/// Before the loops in `smpl`.
const SAMPLER_BYTES: usize = 36;

/// The place of a `bext` chunk's time reference (EBU Tech 3285): frames since midnight, 64 bits.
const TIME_REFERENCE: std::ops::Range<usize> = 338..346;

/// The same in `iXML`, its upper and its lower half.
const TIMES: [[&str; 2]; 2] = [
    ["TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_HI", "TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_LO"],
    ["BWF_TIME_REFERENCE_HIGH", "BWF_TIME_REFERENCE_LOW"],
];

impl Part {
    /// A frame of the whole as one of the part, if it has it.
    fn frame(self, frame: u32) -> Option<u32> {
        let frame = u64::from(frame);
        (self.from..self.end).contains(&frame).then(|| u32::try_from(frame - self.from).ok()).flatten()
    }

    fn cut_riff(self, chunks: &mut [Chunk]) {
        let mut gone = Vec::new();
        for chunk in chunks.iter_mut() {
            match &chunk.id {
                b"bext" => self.move_time(&mut chunk.bytes),
                b"iXML" => self.move_times(&mut chunk.bytes),
                b"cue " => self.cut_cues(&mut chunk.bytes, &mut gone),
                b"smpl" => self.cut_loops(&mut chunk.bytes),
                _ => {}
            }
        }
        // Labels may stand before the cues.
        let lists =
            chunks.iter_mut().filter(|chunk| &chunk.id == b"LIST" && chunk.bytes.starts_with(b"adtl"));
        lists.for_each(|list| cut_labels(&mut list.bytes, &gone));
    }

    fn move_time(self, bext: &mut [u8]) {
        if let Some(time) = bext.get_mut(TIME_REFERENCE) {
            let frames = u64::from_le_bytes(time.first_chunk().copied().unwrap_or_default());
            time.copy_from_slice(&frames.saturating_add(self.from).to_le_bytes());
        }
    }

    fn move_times(self, ixml: &mut Vec<u8>) {
        let Ok(mut text) = String::from_utf8(ixml.clone()) else { return };
        for [high, low] in TIMES {
            let number = |tag| element(&text, tag).and_then(|range| text[range].trim().parse::<u32>().ok());
            let (Some(upper), Some(lower)) = (number(high), number(low)) else { continue };
            let frames = (u64::from(upper) << 32 | u64::from(lower)).saturating_add(self.from);
            for (tag, half) in [(high, frames >> 32), (low, frames & u64::from(u32::MAX))] {
                if let Some(range) = element(&text, tag) {
                    text.replace_range(range, &half.to_string());
                }
            }
        }
        *ixml = text.into_bytes();
    }

    fn cut_cues(self, cue: &mut Vec<u8>, gone: &mut Vec<[u8; 4]>) {
        let Some((_, entries)) = cue.split_first_chunk::<4>() else { return };
        let mut kept = Vec::new();
        for entry in entries.chunks_exact(ENTRY_BYTES) {
            match self.frame(little(entry, 20)) {
                Some(frame) => {
                    let mut entry = entry.to_vec();
                    // The place in the play list is that of the sample where there is no list.
                    if entry[4..8] == entry[20..24] {
                        entry[4..8].copy_from_slice(&frame.to_le_bytes());
                    }
                    entry[20..24].copy_from_slice(&frame.to_le_bytes());
                    kept.extend(entry);
                }
                None => gone.extend(entry.first_chunk::<4>()),
            }
        }
        *cue = [count(kept.len()).to_le_bytes().as_slice(), &kept].concat();
    }

    fn cut_loops(self, smpl: &mut Vec<u8>) {
        let Some((head, rest)) = smpl.split_at_checked(SAMPLER_BYTES) else { return };
        let loops = usize::try_from(little(head, 28)).unwrap_or(usize::MAX).min(rest.len() / ENTRY_BYTES);
        let (loops, of_sampler) = rest.split_at(loops * ENTRY_BYTES);
        let mut kept = Vec::new();
        for entry in loops.chunks_exact(ENTRY_BYTES) {
            if let (Some(start), Some(end)) = (self.frame(little(entry, 8)), self.frame(little(entry, 12))) {
                kept.extend([&entry[..8], &start.to_le_bytes(), &end.to_le_bytes(), &entry[16..]].concat());
            }
        }
        let count = count(kept.len()).to_le_bytes();
        *smpl = [&head[..28], &count, &head[32..], &kept, of_sampler].concat();
    }

    fn cut_aiff(self, chunks: &mut [Chunk]) {
        let mut gone = Vec::new();
        for chunk in chunks.iter_mut().filter(|chunk| &chunk.id == b"MARK") {
            self.cut_marks(&mut chunk.bytes, &mut gone);
        }
        for chunk in chunks.iter_mut().filter(|chunk| &chunk.id == b"INST") {
            // Two loops of three numbers: how they are played, and the marks at their ends.
            for place in [8, 14] {
                if let Some([_, _, begin @ .., c, d]) = chunk.bytes.get_mut(place..place + 6)
                    && let [a, b] = begin
                    && (gone.contains(&[*a, *b]) || gone.contains(&[*c, *d]))
                {
                    chunk.bytes[place..place + 2].fill(0);
                }
            }
        }
    }

    fn cut_marks(self, mark: &mut Vec<u8>, gone: &mut Vec<[u8; 2]>) {
        let Some((_, mut rest)) = mark.split_first_chunk::<2>() else { return };
        let (mut kept, mut number) = (Vec::new(), 0_u16);
        // A mark lies between frames, so the last one may lie behind them.
        let between = Self { end: self.end.saturating_add(1), ..self };
        // Its name has its length in front and fills an even number of bytes with it.
        while let Some((head, behind)) = rest.split_at_checked(7) {
            let name_bytes = usize::from(head[6]) | 1;
            let Some((name, behind)) = behind.split_at_checked(name_bytes) else { break };
            let position = head[2..].first_chunk().map_or(0, |field| u32::from_be_bytes(*field));
            match between.frame(position) {
                Some(frame) => {
                    kept.extend([&head[..2], &frame.to_be_bytes(), &head[6..], name].concat());
                    number = number.saturating_add(1);
                }
                None => gone.push([head[0], head[1]]),
            }
            rest = behind;
        }
        *mark = [number.to_be_bytes().as_slice(), &kept].concat();
    }
}

/// Takes labels, notes and regions of cues that are gone out of an associated data list.
fn cut_labels(list: &mut Vec<u8>, gone: &[[u8; 4]]) {
    let mut kept = list[..4].to_vec();
    let mut rest = &list[4..];
    while let Some((head, behind)) = rest.split_at_checked(8) {
        let bytes = usize::try_from(little(head, 4)).unwrap_or(usize::MAX);
        let bytes = bytes.saturating_add(bytes % 2).min(behind.len());
        let (contents, behind) = behind.split_at(bytes);
        if contents.first_chunk().is_none_or(|id| !gone.contains(id)) {
            kept.extend([head, contents].concat());
        }
        rest = behind;
    }
    *list = kept;
}

/// Where the text of an element lies, which has no attributes and stands once.
fn element(text: &str, tag: &str) -> Option<std::ops::Range<usize>> {
    let start = text.find(&format!("<{tag}>"))? + tag.len() + 2;
    Some(start..start + text[start..].find(&format!("</{tag}>"))?)
}

fn count(bytes: usize) -> u32 {
    u32::try_from(bytes / ENTRY_BYTES).unwrap_or(u32::MAX)
}

fn little(bytes: &[u8], start: usize) -> u32 {
    bytes.get(start..).and_then(<[u8]>::first_chunk).map_or(0, |field| u32::from_le_bytes(*field))
}
