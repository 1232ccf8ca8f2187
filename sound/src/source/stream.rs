use crate::Problem;

/// A decoder that gives frames in order only.
pub trait Stream: Send {
    /// How many frames are decoded and not yet taken; when all are taken, more are decoded. None at the end.
    fn fill(&mut self) -> Result<usize, Problem>;

    /// Appends so many of them to `channels`.
    fn take(&mut self, frames: usize, channels: &mut [Vec<f64>]);

    /// Goes to a frame, which must be there.
    fn go_to(&mut self, frame: u64) -> Result<(), Problem>;
}

/// Reads so many frames into `channels`, which must be empty.
pub fn read(stream: &mut dyn Stream, channels: &mut [Vec<f64>], frames: usize) -> Result<(), Problem> {
    let mut left = frames;
    while left > 0 {
        let frames = stream.fill()?.min(left);
        if frames == 0 {
            return Err(Problem::Read(std::io::ErrorKind::UnexpectedEof.into()));
        }
        stream.take(frames, channels);
        left -= frames;
    }
    Ok(())
}

/// Passes over so many frames, or as many as there are; how many that were, and what ended them.
pub fn skip(stream: &mut dyn Stream, most: u64) -> (u64, Option<Problem>) {
    let mut skipped = 0;
    while skipped < most {
        match stream.fill() {
            Ok(0) => break,
            Ok(frames) => {
                let left = usize::try_from(most - skipped).unwrap_or(usize::MAX);
                let frames = frames.min(left);
                stream.take(frames, &mut []);
                skipped += frames as u64;
            }
            Err(problem) => return (skipped, Some(problem)),
        }
    }
    (skipped, None)
}

/// How much of a stream can be decoded, and what is wrong with it: of what its header `promised`, if it did, and of what ended it.
pub fn count(stream: &mut dyn Stream, promised: Option<u64>) -> (u64, Option<Problem>) {
    let (there, problem) = skip(stream, promised.unwrap_or(u64::MAX));
    match promised {
        Some(promised) if there < promised => (there, Some(Problem::Short { promised, there })),
        Some(_) => (there, None),
        None => (there, problem),
    }
}
