//! Changes between filters of different structure: nothing is heard but the change, and nothing is louder than both ends.

use std::f64::consts::TAU;

use crate::common::{
    Heard, RATES, assert_clean, change, corner, difference, every_pair, higher_order, music_like_noise, peak,
    residue_db, run, switch_residue_db,
};
use dsp_core::processor::Processor;
use dsp_core::response::{Ceiling, Root, Roots, Shape};

/// All of higher order, and what they are changed from and to: as recorded, a load, an undo.
fn choices() -> Vec<(String, Heard)> {
    let first_order = [
        ("as recorded", Shape::UNCHANGED),
        ("loaded", change("680p", "22M", "56k").shape(Ceiling::default())),
        ("undone", change("680p", "1M", "none").shape(Ceiling::default())),
    ];
    let all = first_order.into_iter().chain(higher_order());
    all.map(|(name, shape)| (name.to_owned(), Heard::matched(shape))).collect()
}

#[test]
fn every_pair_switches_cleanly() {
    let choices = choices();
    assert_clean(RATES.into_iter().flat_map(|rate_hz| {
        every_pair(&choices).map(move |pair| {
            let which = format!("{} to {} at {rate_hz} Hz", pair[0].0, pair[1].0);
            (switch_residue_db(pair, rate_hz, 0.0), which)
        })
    }));
}

#[test]
fn any_moment_of_the_tone_will_do() {
    let choices = choices();
    assert_clean(every_pair(&choices).enumerate().flat_map(|(i, pair)| {
        (0..3).map(move |step| {
            let phase_turns = f64::from(3 * u32::try_from(i).unwrap() + step) * 0.061;
            let which = format!("{} to {}, {phase_turns} turns", pair[0].0, pair[1].0);
            (switch_residue_db(pair, 44_100.0, phase_turns), which)
        })
    }));
}

/// As automation does it: a new target again and again, long before the last one is reached.
#[test]
fn turning_in_mid_fade_is_clean() {
    let heard: Vec<Heard> = choices().iter().map(|(_, heard)| *heard).collect();
    let order = [0, 6, 5, 0, 1, 8, 2, 3, 7, 4, 6, 0, 5, 3, 8, 4, 0, 2, 0, 6, 1];
    assert_clean([1, 17, 333, 1_000, 1_500].into_iter().map(|every| {
        let mut choices = vec![(heard[3], 9_000)];
        choices.extend(order.iter().cycle().take(order.len() * 3).map(|&index| (heard[index], every)));
        choices.push((heard[3], 9_000));
        (residue_db(&choices, 44_100.0, 0.0), format!("every {every} frames"))
    }));
}

/// The whole of a change: catching up, then fading in. None of the shapes here remembers longer.
const CHANGE_FRAMES: usize = 2 * FADE_FRAMES;

const FADE_FRAMES: usize = 1_440;

/// After a change and a silence in which all that was stored has died away, the processor is, to the last bit, one that never had
/// another shape. Before that the difference falls with the slowest pole.
#[test]
fn a_change_lands_on_its_target() {
    let (rate_hz, choices) = (48_000.0, choices());
    let input = music_like_noise(3, rate_hz, 30_000);
    for [from, to] in every_pair(&choices) {
        let name = format!("{} to {}", from.0, to.0);
        let new = || Processor::new(rate_hz, 1).unwrap();
        let (mut changed, mut always) = (new(), new());
        from.1.apply(&mut changed);
        to.1.apply(&mut always);
        run(&mut changed, &input[..9_000]);
        run(&mut always, &input[..9_000]);
        to.1.apply(&mut changed);
        let split = 9_000 + CHANGE_FRAMES;
        run(&mut changed, &input[9_000..split]);
        run(&mut always, &input[9_000..split]);
        let rest = &input[split..];
        let difference = difference(&run(&mut changed, rest), &run(&mut always, rest));
        let slowest = to.1.shape.poles.iter().map(|pole| pole.decay_rad_s).fold(1e9, f64::min);
        let seconds = 12_000.0 / rate_hz;
        let left = 10.0 * peak(&difference[..1_200]) * (-slowest * (seconds - 0.025)).exp();
        // It was caught up with: what is left of the beginning is below -55 dB from the first frame on.
        assert!(
            peak(&difference) <= 10f64.powf(-55.0 / 20.0) * peak(&run(&mut always.clone(), rest)),
            "{name}"
        );
        assert!(peak(&difference[12_000..]) <= left + 1e-10, "{name}: {:e}", peak(&difference[12_000..]));

        let silence = vec![0.0; 250_000];
        assert_eq!(run(&mut changed, &silence)[249_999], 0.0, "{name}");
        run(&mut always, &silence);
        assert_eq!(run(&mut changed, &input), run(&mut always, &input), "{name}");
    }
}

/// What a pole at DC has stored depends on all that ever was, so it begins with nothing, and at once: there is no past that would do.
#[test]
fn an_undo_without_ceiling_does_not_catch_up() {
    let mut processor = Processor::new(48_000.0, 1).unwrap();
    run(&mut processor, &music_like_noise(8, 48_000.0, 60_000));
    processor.change(&change("680p", "1M", "none").shape(Ceiling::Off), 1.0).unwrap();
    assert_eq!(processor.frames_left(), Some(FADE_FRAMES));
    // Another pole beside it is caught up with: 60 dB of 20 Hz, 55 ms, at 15 frames in each.
    let poles = Roots::from_iter([Root::real(0.0), corner(20.0)]);
    let shape = Shape { poles, zeros: Roots::from_iter([corner(200.0), corner(90.0)]), gain: 1.0 };
    let mut processor = Processor::new(48_000.0, 1).unwrap();
    run(&mut processor, &music_like_noise(8, 48_000.0, 60_000));
    processor.change(&shape, 1.0).unwrap();
    let past = (1e3_f64.ln() / (TAU * 20.0) * 48_000.0 / 15.0).ceil();
    let past = usize::try_from((0_u32..).find(|n| f64::from(*n) >= past).unwrap()).unwrap();
    assert_eq!(processor.frames_left(), Some(FADE_FRAMES + past));
}

/// What a file is rendered with keeps no past, sounds the same, and fades at once in what comes in later all the same.
#[test]
fn without_past_there_is_nothing_to_catch_up_with() {
    let input = music_like_noise(9, 48_000.0, 20_000);
    let [(_, first), (_, then)] = [0, 1].map(|index| higher_order()[index]);
    let mut with = Processor::new(48_000.0, 1).unwrap();
    let mut without = Processor::new(48_000.0, 1).unwrap().without_past();
    for processor in [&mut with, &mut without] {
        processor.change(&first, 2.0).unwrap();
    }
    assert_eq!(run(&mut with, &input), run(&mut without, &input));
    for processor in [&mut with, &mut without] {
        processor.change(&then, 1.0).unwrap();
    }
    assert!(with.frames_left() > Some(FADE_FRAMES));
    assert_eq!(without.frames_left(), Some(FADE_FRAMES));
    assert!(run(&mut without, &input).iter().all(|value| value.abs() < 10.0));
}

/// On "as recorded" it lands on the input itself, bit for bit, and does not wait: there is nothing to be heard too early.
#[test]
fn a_change_to_as_recorded_lands_on_the_bits() {
    let input = music_like_noise(4, 48_000.0, 10_000);
    for (name, shape) in higher_order() {
        let mut processor = Processor::new(48_000.0, 1).unwrap();
        Heard::matched(shape).apply(&mut processor);
        run(&mut processor, &input[..5_000]);
        processor.change(&Shape::UNCHANGED, 1.0).unwrap();
        run(&mut processor, &input[5_000..5_000 + CHANGE_FRAMES / 2 - 1]);
        assert!(!processor.is_transparent(), "{name}");
        run(&mut processor, &input[..1]);
        assert!(processor.is_transparent(), "{name}");
        assert_eq!(run(&mut processor, &input), input, "{name}");
    }
}

/// Of what comes during a change only the last one follows; one that goes back to where the change leads anyway leaves
/// nothing to follow.
#[test]
fn only_the_last_one_waits() {
    let input = music_like_noise(5, 48_000.0, 20_000);
    let shapes = higher_order();
    let [a, b, c, d] = [0, 1, 3, 5].map(|index| Heard::matched(shapes[index].1));
    let play = |changes: &[(usize, Heard)]| {
        let mut processor = Processor::new(48_000.0, 1).unwrap();
        a.apply(&mut processor);
        let mut output = Vec::new();
        for (until, heard) in changes {
            output.extend(run(&mut processor, &input[output.len()..*until]));
            heard.apply(&mut processor);
        }
        output.extend(run(&mut processor, &input[output.len()..]));
        output
    };
    let mut processor = Processor::new(48_000.0, 1).unwrap();
    a.apply(&mut processor);
    run(&mut processor, &input[..5_000]);
    b.apply(&mut processor);
    let landed = 5_000 + processor.frames_left().unwrap();
    assert!((6_600..7_300).contains(&landed), "{landed}");
    let followed = play(&[(5_000, b), (landed, c)]);
    assert_eq!(play(&[(5_000, b), (5_700, d), (5_701, a), (6_600, c)]), followed);
    assert_eq!(play(&[(5_000, b), (5_001, c)]), followed);
    assert_ne!(play(&[(5_000, b), (5_700, c), (5_701, d)]), followed);
    let alone = play(&[(5_000, b)]);
    assert_ne!(alone, followed);
    assert_eq!(play(&[(5_000, b), (5_000, b), (6_000, c), (6_500, b), (9_000, b)]), alone);
    assert_eq!(play(&[(5_000, a)]), play(&[]));
}

/// A gain that follows alone goes to the one that is on its way in, or to the one that waits for it.
#[test]
fn a_gain_follows_the_target() {
    let input = music_like_noise(6, 48_000.0, 20_000);
    let shapes = higher_order();
    let play = |gains: [f64; 2]| {
        let mut processor = Processor::new(48_000.0, 1).unwrap();
        processor.change(&shapes[0].1, 1.0).unwrap();
        run(&mut processor, &input[..5_000]);
        processor.change(&shapes[3].1, 1.0).unwrap();
        processor.set_gain(gains[0], 10.0).unwrap();
        let heard = 5_000 + processor.frames_left().unwrap() - FADE_FRAMES;
        let unheard = run(&mut processor, &input[5_000..heard]);
        processor.change(&shapes[5].1, 7.0).unwrap();
        processor.set_gain(gains[1], 10.0).unwrap();
        (unheard, run(&mut processor, &input[heard..]))
    };
    let (unheard, output) = play([1.0, 1.0]);
    let (still_unheard, other) = play([3.0, 1.0]);
    assert_eq!(unheard, still_unheard, "the one on its way out keeps its gain");
    assert!(!unheard.is_empty() && output[400..800] != other[400..800]);
    assert_eq!(output[CHANGE_FRAMES + 2_000..], other[CHANGE_FRAMES + 2_000..]);
    let (_, other) = play([1.0, 2.0]);
    assert_eq!(output[..FADE_FRAMES], other[..FADE_FRAMES], "what waits is not heard");
    let doubled: Vec<f64> = output.iter().map(|value| 2.0 * value).collect();
    assert_eq!(doubled[2 * CHANGE_FRAMES..], other[2 * CHANGE_FRAMES..]);
}

/// Before any sound there is nothing to fade from, and what waits is there after a reset.
#[test]
fn a_change_before_the_first_frame_is_there_at_once() {
    let input = music_like_noise(7, 48_000.0, 4_000);
    let shapes = higher_order();
    let new = |order: &[usize]| {
        let mut processor = Processor::new(48_000.0, 1).unwrap();
        order.iter().for_each(|&index| processor.change(&shapes[index].1, 2.0).unwrap());
        processor
    };
    let expected = run(&mut new(&[5]), &input);
    assert_eq!(run(&mut new(&[0, 3, 5]), &input), expected);
    let mut reset = new(&[2]);
    for index in [1, 4, 5] {
        run(&mut reset, &input[..500]);
        reset.change(&shapes[index].1, 2.0).unwrap();
    }
    reset.reset();
    assert_eq!(run(&mut reset, &input), expected);
}

#[test]
fn the_tail_is_the_target_s() {
    let mut processor = Processor::new(48_000.0, 1).unwrap();
    run(&mut processor, &[0.5; 100]);
    let shapes = higher_order();
    for index in [5, 0] {
        processor.change(&shapes[index].1, 1.0).unwrap();
        let slowest = shapes[index].1.poles[0].decay_rad_s;
        assert!((processor.tail_seconds() - 6.0 * 10f64.ln() / slowest).abs() < 1e-12);
    }
}
