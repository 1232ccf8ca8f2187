//! The same sound whatever the block sizes, channels and formats, after a reset as in a first run, and silence that
//! is silence.

use crate::common;
use crate::common::{change, demo, demo_shape, higher_order, music_like_noise, peak, run, white_noise};
use dsp_core::processor::{Processor, ProcessorError, Sample};
use dsp_core::response::{Ceiling, Shape};
use proptest::prelude::*;

/// What happens in the test's run, before which frame.
enum Event {
    Change(Box<Shape>, f64),
    Gain(f64),
    Guard(bool),
}

/// Changes that overtake each other, also inside a chunk, one to the very same, and a guard that goes off and on; then the same between
/// filters of different structure.
fn events() -> Vec<(usize, Event)> {
    let demo = demo();
    let change_to = |shape, gain| Event::Change(Box::new(shape), gain);
    let demo_change = |index: usize, gain| change_to(demo_shape(&demo, &demo.setups[index]), gain);
    let undo = change("680p", "56k", "none").shape(Ceiling::Off);
    let higher = higher_order();
    vec![
        (0, demo_change(0, 30.0)),
        (777, demo_change(1, 4.0)),
        (1_001, change_to(Shape::UNCHANGED, 4.0)),
        (1_500, demo_change(2, 4.0)),
        (1_500, demo_change(2, 4.0)),
        (1_533, Event::Gain(1.0)),
        (2_900, change_to(undo, 1.0)),
        (6_000, Event::Guard(false)),
        (6_500, Event::Guard(true)),
        (7_000, change_to(Shape::UNCHANGED, 1.0)),
        (9_001, change_to(higher[0].1, 2.0)),
        (9_500, Event::Gain(1.5)),
        (10_333, change_to(higher[5].1, 1.0)),
        (10_500, demo_change(1, 4.0)),
        (10_700, change_to(higher[4].1, 1.0)),
        (10_701, Event::Gain(0.5)),
        (15_100, demo_change(3, 2.0)),
        (15_700, demo_change(2, 4.0)),
        (18_200, change_to(higher[1].1, 1.0)),
        (19_000, change_to(Shape::UNCHANGED, 1.0)),
    ]
}

/// Channels of noise with what wakes the guard: a sample that is no number, one that is far too large, and a constant
/// that runs the undo away; more of them where a filter fades in, is still unheard, and has just landed.
fn input(channels: usize) -> Vec<Vec<f64>> {
    let mut input: Vec<Vec<f64>> =
        (1..).take(channels).map(|seed| music_like_noise(seed, 48_000.0, 24_000)).collect();
    input[0][400] = f64::NAN;
    let last = input.last_mut().unwrap();
    last[4_321] = 1e20;
    last[6_200] = f64::NEG_INFINITY;
    last[5_000..5_700].fill(3.0);
    last[10_900] = 1e20;
    last[15_300] = 1e3;
    last[21_085] = f64::NAN;
    input
}

fn as_f32(input: &[Vec<f64>]) -> Vec<Vec<f32>> {
    input.iter().map(|channel| channel.iter().map(|&value| Sample::from_f64(value)).collect()).collect()
}

/// Runs `input` in blocks of the sizes that `next_size` gives, cut where an event stands.
fn process<S: Sample>(
    processor: &mut Processor,
    mut input: Vec<Vec<S>>,
    mut next_size: impl FnMut() -> usize,
) -> Vec<Vec<S>> {
    let (events, length) = (events(), input[0].len());
    let mut start = 0;
    while start < length {
        for (_, event) in events.iter().filter(|(frame, _)| *frame == start) {
            match event {
                Event::Change(shape, gain) => processor.change(shape, *gain).unwrap(),
                Event::Gain(gain) => processor.set_gain(*gain, 25.0).unwrap(),
                Event::Guard(on) => processor.set_guard(*on),
            }
        }
        let next_event = events.iter().map(|(frame, _)| *frame).filter(|frame| *frame > start).min();
        let end = (start + next_size()).min(next_event.unwrap_or(length)).min(length);
        let mut block: Vec<&mut [S]> = input.iter_mut().map(|channel| &mut channel[start..end]).collect();
        processor.process(&mut block);
        start = end;
    }
    input
}

trait Bits {
    fn bits(&self) -> u64;
}

impl Bits for f32 {
    fn bits(&self) -> u64 {
        self.to_bits().into()
    }
}

impl Bits for f64 {
    fn bits(&self) -> u64 {
        self.to_bits()
    }
}

fn assert_same_bits<S: Bits>(a: &[Vec<S>], b: &[Vec<S>]) {
    for (channel, (a, b)) in a.iter().zip(b).enumerate() {
        let differs = a.iter().zip(b).position(|(a, b)| a.bits() != b.bits());
        assert_eq!(differs, None, "first frame that differs, in channel {channel}");
    }
}

fn assert_blocks_do_not_matter<S: Sample + Bits>(input: &[Vec<S>], sizes: &[usize]) {
    let new = || Processor::new(48_000.0, input.len()).unwrap();
    let (mut whole, mut cut) = (new(), new());
    let expected = process(&mut whole, input.to_vec(), || usize::MAX / 2);
    let mut sizes = sizes.iter().copied().cycle();
    assert_same_bits(&expected, &process(&mut cut, input.to_vec(), || sizes.next().unwrap()));
    assert_eq!(whole.guard_status(), cut.guard_status());
    assert!(whole.guard_status().closures >= 5, "the guard has been at work: {:?}", whole.guard_status());
}

proptest! {
    #![proptest_config(common::cases(12))]

    #[test]
    fn block_sizes_change_nothing(
        sizes in proptest::collection::vec(prop_oneof![1..8_usize, 1..300_usize, Just(64)], 1..40),
        channels in prop_oneof![Just(1), Just(2), Just(3), Just(7)],
    ) {
        assert_blocks_do_not_matter(&input(channels), &sizes);
        assert_blocks_do_not_matter(&as_f32(&input(channels)), &sizes);
    }
}

#[test]
fn single_frames_are_a_block_too() {
    assert_blocks_do_not_matter(&input(2), &[1]);
}

#[test]
fn a_reset_brings_the_first_run_back() {
    for channels in [1, 2, 3, 7] {
        let mut processor = Processor::new(48_000.0, channels).unwrap();
        let first = process(&mut processor, input(channels), || 512);
        let status = processor.guard_status();
        // Once in the middle of the sound, once with the guard closed; both in the middle of a change, while it is unheard, and of
        // one for which another waits.
        let loaded = change("680p", "22M", "56k").shape(Ceiling::Off);
        let higher = higher_order();
        for (value, shapes) in [0.5, f64::NAN].into_iter().flat_map(|value| {
            [vec![loaded], vec![higher[0].1], vec![higher[5].1, loaded]].map(|shapes| (value, shapes))
        }) {
            for shape in shapes {
                processor.change(&shape, 1.0).unwrap();
                processor.process(&mut vec![vec![value; 333]; channels]);
            }
            processor.reset();
            assert_eq!(processor.guard_status(), Default::default());
            processor.set_gain(1.0, 0.0).unwrap();
            assert_same_bits(&first, &process(&mut processor, input(channels), || 512));
            assert_eq!(processor.guard_status(), status);
        }
    }
}

/// Every channel is what it would be alone: nothing leaks from one to another.
#[test]
fn channels_do_not_touch_each_other() {
    // Quiet enough that the undo without ceiling does not run away: that would silence all of them.
    let quiet = |seed| white_noise(seed, 24_000).into_iter().map(|value| 0.1 * value).collect();
    let clean: Vec<Vec<f64>> = (1..8).map(quiet).collect();
    let mut together = Processor::new(44_100.0, 7).unwrap();
    let output = process(&mut together, clean.clone(), || 512);
    for (channel, expected) in clean.into_iter().zip(output) {
        let mut alone = Processor::new(44_100.0, 1).unwrap();
        assert_same_bits(&process(&mut alone, vec![channel], || 512), &[expected]);
    }
}

/// f32 goes in and out of the same f64 sound.
#[test]
fn formats_differ_only_in_rounding() {
    let exact: Vec<Vec<f64>> = as_f32(&[white_noise(1, 24_000)])
        .iter()
        .map(|channel| channel.iter().map(|&value| value.to_f64()).collect())
        .collect();
    let new = || Processor::new(48_000.0, 1).unwrap();
    let wide = process(&mut new(), exact.clone(), || 100);
    let narrow = process(&mut new(), as_f32(&exact), || 100);
    assert_same_bits(&as_f32(&wide), &narrow);
}

/// Channels beyond the processor's are left alone, missing ones are silence, and unequal ones count to the shortest.
#[test]
fn blocks_of_another_width() {
    let shape = change("680p", "22M", "56k").shape(Ceiling::Off);
    let mut processor = Processor::new(48_000.0, 2).unwrap();
    processor.change(&shape, 1.0).unwrap();
    let noise = white_noise(1, 1_000);
    let mut block = vec![noise.clone(); 3];
    processor.process(&mut block);
    assert_eq!(block[2], noise);
    assert_ne!(block[1], noise);

    let mut expected = Processor::new(48_000.0, 1).unwrap();
    expected.change(&shape, 1.0).unwrap();
    let mut processor = Processor::new(48_000.0, 3).unwrap();
    processor.change(&shape, 1.0).unwrap();
    for start in [0, 250, 500, 750] {
        let part = &noise[start..start + 250];
        assert_eq!(run(&mut processor, part), run(&mut expected, part));
    }
    assert_eq!(processor.guard_status().closures, 0);
    // Nothing of the first channel is left over in the others.
    let mut rest = vec![vec![0.0; 100]; 3];
    processor.process(&mut rest);
    assert!(peak(&rest[0]) > 0.0 && peak(&rest[1]) == 0.0 && peak(&rest[2]) == 0.0);

    // A channel that goes missing is silent from then on, as if zeros had come.
    let (mut missing, mut silent) =
        (Processor::new(48_000.0, 2).unwrap(), Processor::new(48_000.0, 2).unwrap());
    for processor in [&mut missing, &mut silent] {
        processor.change(&shape, 1.0).unwrap();
        processor.process(&mut [noise.clone(), noise.clone()]);
    }
    missing.process(&mut [noise[..300].to_vec()]);
    silent.process(&mut [noise[..300].to_vec(), vec![0.0; 300]]);
    let (mut a, mut b) = (vec![vec![0.0_f64; 100]; 2], vec![vec![0.0_f64; 100]; 2]);
    missing.process(&mut a);
    silent.process(&mut b);
    assert_same_bits(&a, &b);

    let mut unequal = vec![vec![1.0; 100], vec![1.0; 40]];
    processor.process(&mut unequal);
    assert!(unequal[0][39] != 1.0 && unequal[0][40..].iter().all(|&value| value == 1.0));
    processor.process::<f64, Vec<f64>>(&mut []);
    processor.process(&mut [Vec::<f32>::new()]);
}

#[test]
fn what_no_processor_can_be_made_for() {
    for given in [0.0, -48_000.0, 7_999.0, 384_001.0, f64::NAN, f64::INFINITY] {
        let error = Processor::new(given, 2).unwrap_err();
        assert!(matches!(error, ProcessorError::Rate { .. }), "{error:?}");
        assert_eq!(
            error.to_string(),
            format!("cannot process at {given} Hz: accepted are 8000 to 384000 Hz")
        );
    }
    let error = Processor::new(48_000.0, 0).unwrap_err();
    assert_eq!(error, ProcessorError::NoChannels);
    assert_eq!(error.to_string(), "cannot process 0 channels: accepted are 1 or more");
    for rate_hz in [8_000.0, 384_000.0] {
        assert!(Processor::new(rate_hz, 64).is_ok());
    }
}

/// After sound, silence becomes zeros, with no number too small to be a normal one on the way.
#[test]
fn silence_ends_in_zeros() {
    let changes = [("22M", "56k"), ("22M", "10M"), ("56k", "none"), ("none", "22M")];
    let first_order =
        changes.map(|(through, to)| (to, change("680p", through, to).shape(Ceiling::default())));
    for (name, shape) in first_order.into_iter().chain(higher_order()) {
        let noise: Vec<f32> = white_noise(1, 4_800).into_iter().map(Sample::from_f64).collect();
        let new = |shape| {
            let mut processor = Processor::new(48_000.0, 2).unwrap();
            processor.change(shape, 1.0).unwrap();
            processor.process(&mut [noise.clone(), noise.clone()]);
            processor
        };
        assert_falls_silent(new(&shape), name);
        // The sound ends in the middle of a change.
        let mut changing = new(&higher_order()[1].1);
        changing.change(&shape, 1.0).unwrap();
        changing.process(&mut [noise[..2_000].to_vec(), noise[..2_000].to_vec()]);
        assert_falls_silent(changing, name);
    }
}

fn assert_falls_silent(mut processor: Processor, name: &str) {
    let mut silent = false;
    for _ in 0..200 {
        let mut block = vec![vec![0.0_f32; 4_800]; 2];
        processor.process(&mut block);
        assert!(block.iter().flatten().all(|value| !value.is_subnormal()), "{name}");
        silent = block.iter().flatten().all(|&value| value == 0.0);
        if silent {
            break;
        }
    }
    assert!(silent, "{name} still sounds after 20 s");
    // The state too: in f64 nothing comes any more either.
    assert_eq!(peak(&run(&mut processor, &[0.0; 1_000])), 0.0, "{name}");
}

/// The state is cleaned at the same frames whatever the block sizes: down to the very zero the bits are the same.
#[test]
fn silence_comes_at_the_same_frame_in_any_blocks() {
    let tail = |shape: &Shape, size: usize| {
        let mut processor = Processor::new(48_000.0, 1).unwrap();
        processor.change(shape, 1.0).unwrap();
        let mut sound = white_noise(1, 2_000);
        sound.resize(70_000, 0.0);
        sound.chunks_mut(size).for_each(|block| processor.process(&mut [block]));
        vec![sound]
    };
    let loaded = change("680p", "22M", "470k").shape(Ceiling::default());
    for shape in [loaded, higher_order()[0].1] {
        let whole = tail(&shape, 70_000);
        assert_eq!(whole[0][69_999], 0.0);
        for size in [1, 61, 97, 1_000] {
            assert_same_bits(&whole, &tail(&shape, size));
        }
    }
}

/// Input that is too small to be a normal number is silence as soon as anything is done to it, and passes as it is if not.
#[test]
fn subnormal_input() {
    let tiny = vec![f32::MIN_POSITIVE / 3.0; 500];
    let mut processor = Processor::new(48_000.0, 1).unwrap();
    let mut block = [tiny.clone()];
    processor.process(&mut block);
    assert_eq!(block[0], tiny);
    processor.set_gain(0.5, 1.0).unwrap();
    processor.process(&mut block);
    assert!(block[0].iter().all(|&value| value == 0.0));
    assert_eq!(peak(&run(&mut processor, &[f64::MIN_POSITIVE / 8.0; 100])), 0.0);
    // -700 dB already is nothing, so that no state can come near such numbers.
    assert_eq!(peak(&run(&mut processor, &[1e-35; 100])), 0.0);
    processor.change(&higher_order()[5].1, 1.0).unwrap();
    assert_eq!(peak(&run(&mut processor, &[1e-35; 5_000])), 0.0);
    assert_eq!((f32::from_f64(1e-40), f64::from_f64(1e-310)), (0.0, 0.0));
    assert_eq!(f32::from_f64(1.2e-38), 1.2e-38);
}

/// `exp(-pole · t)` is -120 dB after the tail; from the definition of the decibel.
#[test]
fn the_tail_is_the_pole_s() {
    let mut processor = Processor::new(48_000.0, 1).unwrap();
    assert_eq!(processor.tail_seconds(), 0.0);
    processor.change(&Shape::first_order(1.0, 66.8, 10.0), 1.0).unwrap();
    assert!((processor.tail_seconds() - 6.0 * 10f64.ln() / 10.0).abs() < 1e-12);
    processor.change(&change("680p", "56k", "none").shape(Ceiling::Off), 1.0).unwrap();
    assert_eq!(processor.tail_seconds(), f64::INFINITY);
}
