use std::io;

use super::{Block, Chunk, Family, Metadata, WavHeader, name_of};
use crate::Problem;

/// The most that is kept, in bytes; a little less than a block of FLAC holds.
const MOST_BYTES: u64 = (1 << 24) - 1024;

/// What is found on the way through a take.
pub struct Gathered {
    pub wav: Option<WavHeader>,
    metadata: Metadata,
    room: u64,
}

impl Default for Gathered {
    fn default() -> Self {
        Self::new(Family::default())
    }
}

impl Gathered {
    pub fn new(family: Family) -> Self {
        Self { wav: None, metadata: Metadata { family, ..Metadata::default() }, room: MOST_BYTES }
    }

    /// Keeps a chunk, if there is a use and room for it.
    pub fn chunk(
        &mut self,
        id: [u8; 4],
        bytes: u64,
        before: bool,
        read: impl FnOnce() -> io::Result<Vec<u8>>,
    ) -> Result<(), Problem> {
        if self.metadata.family.keeps(id)
            && let Some(bytes) = self.contents(&name_of(id), bytes, read)?
        {
            self.metadata.chunks.push(Chunk { id, bytes, before });
        }
        Ok(())
    }

    /// Keeps a block of FLAC, if there is room for it, and no icon of its kind before it.
    pub fn block(
        &mut self,
        kind: u8,
        bytes: u64,
        read: impl FnOnce() -> io::Result<Vec<u8>>,
    ) -> Result<(), Problem> {
        if let Some(bytes) = self.contents(Block::name(kind), bytes, read)? {
            let block = Block { kind, bytes };
            if block.icon().is_some() && self.metadata.blocks.iter().any(|other| other.icon() == block.icon())
            {
                self.metadata.dropped.push(Block::name(kind).to_owned());
            } else {
                self.metadata.blocks.push(block);
            }
        }
        Ok(())
    }

    fn contents(
        &mut self,
        name: &str,
        bytes: u64,
        read: impl FnOnce() -> io::Result<Vec<u8>>,
    ) -> Result<Option<Vec<u8>>, Problem> {
        if bytes > self.room {
            self.metadata.dropped.push(name.to_owned());
            return Ok(None);
        }
        let contents = read()?;
        if contents.len() as u64 != bytes {
            return Err(Problem::CutHeader);
        }
        self.room -= bytes;
        Ok(Some(contents))
    }

    pub fn finish(mut self) -> Metadata {
        self.metadata.wav = self.wav;
        self.metadata.unwrap_foreign();
        self.metadata
    }
}
