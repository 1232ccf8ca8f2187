use std::io::{self, Read, Seek, SeekFrom};
use std::sync::{Arc, Mutex, PoisonError};

use crate::Problem;

/// What a take is read from.
pub trait ReadSeek: Read + Seek + Send {}

impl<T: Read + Seek + Send> ReadSeek for T {}

/// Bytes that are read ahead for small reads.
const AHEAD: usize = 64 * 1024;

/// A place in a file. Copies have places of their own, so that a decoder can be kept as it was and go on from there again.
#[derive(Clone)]
pub struct Input {
    shared: Arc<Mutex<dyn ReadSeek>>,
    length: u64,
    /// Of the next byte that the file gives.
    place: u64,
    ahead: Vec<u8>,
    /// The next byte in `ahead`.
    next: usize,
}

impl Input {
    pub fn new(mut reader: impl ReadSeek + 'static) -> io::Result<Self> {
        let length = reader.seek(SeekFrom::End(0))?;
        Ok(Self { shared: Arc::new(Mutex::new(reader)), length, place: 0, ahead: Vec::new(), next: 0 })
    }

    /// In bytes.
    pub fn length(&self) -> u64 {
        self.length
    }

    pub fn position(&self) -> u64 {
        self.place - (self.ahead.len() - self.next) as u64
    }

    pub fn go_to(&mut self, place: u64) {
        let ahead = self.ahead.len() as u64;
        // Within what was read ahead nothing has to be read again.
        match place.checked_sub(self.place - ahead).and_then(|next| usize::try_from(next).ok()) {
            Some(next) if next <= self.ahead.len() => self.next = next,
            _ => {
                self.ahead.clear();
                (self.next, self.place) = (0, place);
            }
        }
    }

    /// Exactly so many bytes of a header.
    pub fn header_at<const N: usize>(&mut self, place: u64) -> Result<[u8; N], Problem> {
        let mut bytes = [0; N];
        self.go_to(place);
        self.read_exact(&mut bytes).map_err(|error| match error.kind() {
            io::ErrorKind::UnexpectedEof => Problem::CutHeader,
            _ => Problem::Read(error),
        })?;
        Ok(bytes)
    }

    /// So many bytes from a place, or as many as there are.
    pub fn some_at(&mut self, place: u64, most: u64) -> io::Result<Vec<u8>> {
        self.go_to(place);
        let mut bytes = Vec::new();
        self.by_ref().take(most).read_to_end(&mut bytes)?;
        Ok(bytes)
    }

    fn read_file(&mut self, bytes: &mut [u8]) -> io::Result<usize> {
        // A reader that panicked has no state that matters: every read begins with a seek.
        let mut file = self.shared.lock().unwrap_or_else(PoisonError::into_inner);
        file.seek(SeekFrom::Start(self.place))?;
        let count = file.read(bytes)?;
        self.place += count as u64;
        Ok(count)
    }
}

impl Read for Input {
    fn read(&mut self, bytes: &mut [u8]) -> io::Result<usize> {
        if self.next == self.ahead.len() {
            if bytes.len() >= AHEAD {
                return self.read_file(bytes);
            }
            let mut ahead = std::mem::take(&mut self.ahead);
            ahead.resize(AHEAD, 0);
            let count = self.read_file(&mut ahead);
            ahead.truncate(*count.as_ref().unwrap_or(&0));
            (self.ahead, self.next) = (ahead, 0);
            count?;
        }
        let count = (&self.ahead[self.next..]).read(bytes)?;
        self.next += count;
        Ok(count)
    }
}

impl Seek for Input {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        let place = match to {
            SeekFrom::Start(place) => Some(place),
            SeekFrom::End(by) => self.length.checked_add_signed(by),
            SeekFrom::Current(by) => self.position().checked_add_signed(by),
        };
        let place = place.ok_or(io::ErrorKind::InvalidInput)?;
        self.go_to(place);
        Ok(place)
    }
}
