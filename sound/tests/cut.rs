//! Metadata of a part of a take.

use firstjack_sound::{Container, Metadata, Reading};

use crate::metadata::{
    FORMAT, HOUR, bext, chunk, cue, inst, ixml, labels, marks, smpl, with_blocks, with_chunks,
};
use crate::support::{made, opened, planes, rest};

/// A rendering of 100 frames from frame 1000 of a take that has these chunks.
fn part(container: Container, chunks: &[Vec<u8>]) -> Vec<u8> {
    let take = made(container, FORMAT, &planes(FORMAT.encoding, 2, 3_000, 1), &Metadata::default());
    let mut source = opened(&with_chunks(&take, chunks, &[]), Reading::default()).unwrap();
    source.cut(1_000, 100);
    source.rewind().unwrap();
    let samples = rest(&mut source).unwrap();
    made(container, FORMAT, &samples, source.metadata())
}

#[track_caller]
fn has(file: &[u8], chunk: &[u8]) {
    assert!(file.windows(chunk.len()).any(|window| window == chunk), "{}", chunk.escape_ascii());
}

#[test]
fn the_place_in_time_moves_along() {
    // Beyond 32 bits too.
    for time in [0, HOUR, u64::from(u32::MAX) - 5, u64::MAX - 5] {
        let moved = time.saturating_add(1_000);
        let file =
            part(Container::Wav, &[chunk(b"bext", &bext(time), false), chunk(b"iXML", &ixml(time), false)]);
        has(&file, &chunk(b"bext", &bext(moved), false));
        has(&file, &chunk(b"iXML", &ixml(moved), false));
    }
}

#[test]
fn marks_outside_go_and_the_others_move() {
    let cues = cue(&[(1, 999), (2, 1_000), (3, 1_099), (4, 1_100), (9, 1_050)]);
    let names = labels(&[(1, "one"), (2, "two"), (3, "three"), (4, "four"), (9, "nine")]);
    let loops = smpl(&[(999, 1_050), (1_010, 1_090), (1_010, 1_100)]);
    let chunks =
        [(b"LIST", &names), (b"cue ", &cues), (b"smpl", &loops)].map(|(id, bytes)| chunk(id, bytes, false));
    let file = part(Container::Wav, &chunks);
    has(&file, &chunk(b"cue ", &cue(&[(2, 0), (3, 99), (9, 50)]), false));
    has(&file, &chunk(b"LIST", &labels(&[(2, "two"), (3, "three"), (9, "nine")]), false));
    has(&file, &chunk(b"smpl", &smpl(&[(10, 90)]), false));
}

/// They lie between frames, so that the one behind the last belongs to it; a loop whose end is gone is no loop.
#[test]
fn marks_of_aiff() {
    let all = marks(&[(1, 999, "one"), (2, 1_000, "two!"), (3, 1_100, ""), (4, 1_101, "four")]);
    let file = part(Container::Aiff, &[chunk(b"MARK", &all, true), chunk(b"INST", &inst(2, 3), true)]);
    has(&file, &chunk(b"MARK", &marks(&[(2, 0, "two!"), (3, 100, "")]), true));
    has(&file, &chunk(b"INST", &inst(2, 3), true));
    let file = part(Container::Aiff, &[chunk(b"INST", &inst(2, 4), true), chunk(b"MARK", &all, true)]);
    let mut no_loop = inst(2, 4);
    no_loop[9] = 0;
    has(&file, &chunk(b"INST", &no_loop, true));
}

/// A cue sheet of FLAC is of the whole.
#[test]
fn cue_sheets_go_and_are_told() {
    let take = made(Container::Flac, FORMAT, &planes(FORMAT.encoding, 2, 3_000, 1), &Metadata::default());
    let mut source = opened(&with_blocks(&take, &[(5, vec![0; 396])]), Reading::default()).unwrap();
    source.cut(1_000, 100);
    assert_eq!(source.metadata().left_behind(Container::Flac), ["cue sheet"]);
}
