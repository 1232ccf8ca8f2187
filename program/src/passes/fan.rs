use std::num::NonZero;
use std::sync::Arc;
use std::sync::mpsc;
use std::thread;

use crate::error::Failure;
use crate::interrupt;
use crate::progress::Progress;
use crate::render::Take;

/// Frames in a block: two channels of it fit in a second-level cache.
const FRAMES: usize = 4096;

/// Blocks that wait for a thread; bounds the memory.
const BLOCKS: usize = 4;

/// One vector a channel.
pub type Block = Vec<Vec<f64>>;

/// What is done with each block, in order.
pub type Work<'a> = Box<dyn FnMut(&Block) -> Result<(), Failure> + Send + 'a>;

/// How many parts can be worked on at the same time.
pub fn threads() -> usize {
    thread::available_parallelism().map_or(1, NonZero::get)
}

/// Reads the whole take block by block, and hands every block to all parts, which share as many threads as there are cores.
///
/// # Errors
/// The first of reading or of a part; Ctrl-C.
pub fn run(take: &mut Take, progress: &Progress, parts: Vec<Work>) -> Result<(), Failure> {
    take.rewind()?;
    let count = threads().min(parts.len()).max(1);
    let mut shares: Vec<Vec<Work>> = Vec::new();
    shares.resize_with(count, Vec::new);
    parts.into_iter().enumerate().for_each(|(index, part)| shares[index % count].push(part));
    let (give_back, spare) = mpsc::channel();
    thread::scope(|scope| {
        let (queues, workers): (Vec<_>, Vec<_>) = shares
            .into_iter()
            .map(|share| {
                let (queue, blocks) = mpsc::sync_channel(BLOCKS);
                let give_back = give_back.clone();
                (queue, scope.spawn(move || work(share, &blocks, &give_back)))
            })
            .unzip();
        let read = feed(take, progress, &queues, &spare);
        drop(queues);
        let worked = workers
            .into_iter()
            .map(|worker| worker.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)));
        worked.fold(read, Result::and)
    })
}

/// Works on each block; the last one that does so gives it back to be filled again.
fn work(
    mut share: Vec<Work>,
    blocks: &mpsc::Receiver<Arc<Block>>,
    give_back: &mpsc::Sender<Block>,
) -> Result<(), Failure> {
    for block in blocks {
        share.iter_mut().try_for_each(|part| part(&block))?;
        if let Some(block) = Arc::into_inner(block) {
            // The reader may have stopped already.
            let _ = give_back.send(block);
        }
    }
    Ok(())
}

fn feed(
    take: &mut Take,
    progress: &Progress,
    queues: &[mpsc::SyncSender<Arc<Block>>],
    spare: &mpsc::Receiver<Block>,
) -> Result<(), Failure> {
    let channels = usize::from(take.format().channels);
    loop {
        interrupt::check()?;
        let mut block = spare.try_recv().unwrap_or_else(|_| vec![Vec::with_capacity(FRAMES); channels]);
        if !take.read(&mut block, FRAMES)? {
            return Ok(());
        }
        progress.advance(block[0].len() as u64);
        let block = Arc::new(block);
        for queue in queues {
            // A thread that is gone has failed; its error is the one to report.
            if queue.send(Arc::clone(&block)).is_err() {
                return Ok(());
            }
        }
    }
}
