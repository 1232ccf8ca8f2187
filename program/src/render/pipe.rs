use std::sync::mpsc;
use std::thread;

use super::take::Take;
use crate::error::Failure;
use crate::interrupt;
use crate::progress::Progress;

/// Frames in a block: two channels of it fit in a second-level cache.
const FRAMES: usize = 4096;

/// Blocks under way; bounds the memory.
const BLOCKS: usize = 6;

/// One vector a channel.
pub type Block = Vec<Vec<f64>>;

/// Reads the whole take block by block; `first` works on each block in this thread, `second` in another.
pub fn run(
    take: &mut Take,
    progress: &Progress,
    mut first: impl FnMut(&mut Block),
    mut second: impl FnMut(&mut Block) -> Result<(), Failure> + Send,
) -> Result<(), Failure> {
    take.rewind()?;
    let (to_second, from_first) = mpsc::sync_channel::<Block>(BLOCKS);
    let (to_first, from_second) = mpsc::sync_channel::<Block>(BLOCKS);
    let empty: Block = vec![Vec::with_capacity(FRAMES); usize::from(take.format().channels)];
    let mut spare = vec![empty; BLOCKS];
    thread::scope(|scope| {
        let worker = scope.spawn(move || {
            for mut block in from_first {
                second(&mut block)?;
                // The reader may have stopped already.
                let _ = to_first.send(block);
            }
            Ok(())
        });
        let read = feed(take, progress, &mut first, &mut spare, &to_second, &from_second);
        drop(to_second);
        let worked = worker.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic));
        read.and(worked)
    })
}

fn feed(
    take: &mut Take,
    progress: &Progress,
    first: &mut impl FnMut(&mut Block),
    spare: &mut Vec<Block>,
    to_second: &mpsc::SyncSender<Block>,
    from_second: &mpsc::Receiver<Block>,
) -> Result<(), Failure> {
    loop {
        // Both ends closing means that the second stage has failed; its error is the one to report.
        let Some(mut block) = spare.pop().or_else(|| from_second.recv().ok()) else { return Ok(()) };
        interrupt::check()?;
        if !take.read(&mut block, FRAMES)? {
            return Ok(());
        }
        progress.advance(block[0].len() as u64);
        first(&mut block);
        if to_second.send(block).is_err() {
            return Ok(());
        }
    }
}
