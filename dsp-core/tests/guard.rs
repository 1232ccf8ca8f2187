//! What is no sound, or runs away, fades to silence, is told, and passes.

use crate::common;
use crate::common::{
    above_5_khz, change, corner, db, demo, demo_shape, difference, higher_order, music_like_noise, peak, run,
    tone,
};
use dsp_core::processor::{GuardCause, GuardStatus, Processor, Sample};
use dsp_core::response::{Ceiling, Root, Roots, Shape};

const RATE_HZ: f64 = 48_000.0;
/// In frames at 48 kHz: the fade to silence (5 ms), the calm that is waited for (50 ms) and the way back (20 ms).
const FADE: usize = 240;
const CALM: usize = 2_400;
const RISE: usize = 960;
/// 30 dB over full scale.
const LIMIT: f64 = 31.622_776_601_683_793;

/// A processor to which something happens.
struct Case {
    name: &'static str,
    processor: Processor,
    /// How fast what is stored dies away at least, in rad/s.
    decay_rad_s: f64,
    /// Frames that it has already run.
    ran: u64,
}

/// Unchanged, the demo's heaviest load with its gain, and an undo; one of higher order, and a change from one to another under way.
fn cases() -> Vec<Case> {
    let demo = demo();
    let loaded = demo_shape(&demo, &demo.setups[0]);
    let undo = change("680p", "56k", "none").shape(Ceiling::default());
    let higher = higher_order();
    let (transformer, fifth_order) = (higher[0].1, higher[5].1);
    let case = |name, shape: Shape, gain| {
        let mut processor = Processor::new(RATE_HZ, 1).unwrap();
        processor.change(&shape, gain).unwrap();
        let decay_rad_s = shape.poles.iter().map(|pole| pole.decay_rad_s).fold(1e9, f64::min);
        Case { name, processor, decay_rad_s, ran: 0 }
    };
    let mut changing = Case { ran: 100, ..case("changing", fifth_order, 2.0) };
    run(&mut changing.processor, &music_like_noise(5, RATE_HZ, 100));
    changing.processor.change(&transformer, 1.0).unwrap();
    vec![
        case("unchanged", Shape::UNCHANGED, 1.0),
        case("loaded", loaded, 30.0),
        case("undone", undo, 0.5),
        case("transformer", transformer, 2.0),
        Case { decay_rad_s: transformer.poles[0].decay_rad_s, ..changing },
    ]
}

/// What is told of a bad sample: too large a number is a runaway, as is what a filter makes of it.
fn cause(fault: f64) -> Option<GuardCause> {
    Some(if fault.is_finite() { GuardCause::Runaway } else { GuardCause::NotFinite })
}

/// One bad sample at `at` in 300 ms of music: silence within 5 ms, then, calm waited for, the sound is back, and with it
/// what would have been there without the fault, but for the charge that the fault cost, which falls with the pole.
fn assert_passes(fault: f64, at: usize) {
    let music = music_like_noise(1, RATE_HZ, 40_000);
    for Case { name, mut processor, decay_rad_s, ran } in cases() {
        let one_pole = !["transformer", "changing"].contains(&name);
        let name = format!("{name}, {fault} at {at}");
        let undisturbed = run(&mut processor.clone(), &music);
        let mut input = music.clone();
        input[at] = fault;
        let mut output = run(&mut processor, &input[..at + FADE]);
        let status = GuardStatus {
            active: true,
            closures: 1,
            first_frame: Some(ran + u64::try_from(at).unwrap()),
            cause: cause(fault),
        };
        assert_eq!(processor.guard_status(), status, "{name}");
        output.extend(run(&mut processor, &input[at + FADE..]));
        assert_eq!(processor.guard_status(), GuardStatus { active: false, ..status }, "{name}");

        assert!(output.iter().all(|value| value.abs() <= LIMIT), "{name}");
        assert_eq!(output[..at], undisturbed[..at], "{name}");
        assert!(
            at == 0 || output[at..at + FADE / 2].iter().any(|value| *value != 0.0),
            "a fade, no cut: {name}"
        );
        assert_eq!(peak(&output[at + FADE - 1..at + FADE + CALM]), 0.0, "{name}");
        let back = at + FADE + CALM + RISE;
        let difference = difference(&output[back..], &undisturbed[back..]);
        let decay = |frame: usize| (-decay_rad_s * f64::from(u32::try_from(frame).unwrap()) / RATE_HZ).exp();
        // With one pole it falls from where it is. With more it may rise before it falls.
        let reach = if one_pole { 1.01 * difference[0].abs() } else { 2.0 * peak(&difference[..2_400]) };
        for (frame, value) in difference.iter().enumerate() {
            assert!(value.abs() <= reach * decay(frame) + 1e-9, "{name}: {value} at {frame}");
        }
    }
}

#[test]
fn faults_fade_and_pass() {
    for fault in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e30, -1e308] {
        for at in [0, 1, 63, 64, 4_000] {
            assert_passes(fault, at);
        }
    }
}

/// As long as it lasts, it is silent, and it counts as one.
#[test]
fn a_fault_that_lasts() {
    for fault in [f32::NAN, f32::NEG_INFINITY, 1e30] {
        for Case { name, mut processor, ran, .. } in cases() {
            let mut block = [vec![0.1_f32; 1_000]];
            processor.process(&mut block);
            let mut output = Vec::new();
            for _ in 0..20 {
                let mut block = [vec![fault; 500]];
                processor.process(&mut block);
                output.extend(block[0].iter().map(|value| value.to_f64()));
            }
            assert!(output.iter().all(|value| value.abs() <= LIMIT), "{name}");
            assert_eq!(peak(&output[FADE - 1..]), 0.0, "{name}");
            let status = GuardStatus {
                active: true,
                closures: 1,
                first_frame: Some(ran + 1_000),
                cause: cause(f64::from(fault)),
            };
            assert_eq!(processor.guard_status(), status, "{name}");
        }
    }
}

/// One channel's fault silences all, and all come back together: half a stereo image is no repair.
#[test]
fn all_channels_fade_together() {
    let mut processor = Processor::new(RATE_HZ, 3).unwrap();
    let mut block = vec![vec![0.5; 5_000]; 3];
    block[1][100] = f64::NAN;
    processor.process(&mut block);
    for channel in &block {
        assert!(channel[..100].iter().all(|&value| value == 0.5));
        assert_eq!(peak(&channel[100 + FADE - 1..100 + FADE + CALM]), 0.0);
        assert_eq!(channel, &block[0]);
    }
    assert_eq!(block[0][4_999], 0.5);
}

/// An undo without ceiling integrates: a constant `x` grows as `x (1 + w t)` (closed form), and is silenced when that
/// passes the limit. While the constant stays it would run away again within the time of calm that is waited for, and so it
/// stays silent; when it ends, the sound comes back.
#[test]
fn a_runaway_is_caught_where_the_closed_form_says() {
    let shape = change("680p", "470k", "none").shape(Ceiling::Off);
    let mut processor = Processor::new(RATE_HZ, 2).unwrap();
    processor.change(&shape, 1.0).unwrap();
    let mut block = vec![vec![0.5_f64; 30_000]; 2];
    processor.process(&mut block);
    let expected_frame = (LIMIT / 0.5 - 1.0) / shape.zeros[0].decay_rad_s * RATE_HZ;
    let status = processor.guard_status();
    let first = status.first_frame.unwrap();
    assert!(
        (f64::from(u32::try_from(first).unwrap()) - expected_frame).abs() <= 2.0,
        "{first} {expected_frame}"
    );
    assert!(status.active && status.closures == 1);
    assert!(block.iter().flatten().all(|value| value.abs() <= LIMIT));
    let silent_from = usize::try_from(first).unwrap() + FADE - 1;
    assert_eq!(peak(&block[0][silent_from..]), 0.0);

    let mut silence = vec![vec![0.0; 10_000]; 2];
    processor.process(&mut silence);
    let closures = processor.guard_status().closures;
    let take = music_like_noise(2, RATE_HZ, 20_000);
    let output = run(&mut processor, &take);
    assert_eq!(processor.guard_status(), GuardStatus { active: false, closures, ..status });
    assert!(peak(&output) > 0.1 && peak(&output) <= LIMIT);
}

/// The same with two poles at DC, as an undone transformer without ceiling has: through `(s + w)² / s²` a constant `x` grows
/// as `x (1 + 2 w t + w² t² / 2)` (closed form).
#[test]
fn a_runaway_of_second_order_is_caught_too() {
    let (corner, origin) = (corner(5.0), Root::real(0.0));
    let roots = |root| Roots::from_iter([root, root]);
    let mut processor = Processor::new(RATE_HZ, 2).unwrap();
    processor.change(&Shape { gain: 1.0, zeros: roots(corner), poles: roots(origin) }, 1.0).unwrap();
    let mut block = vec![vec![0.5_f64; 30_000]; 2];
    processor.process(&mut block);
    // For v = w t: v² / 2 + 2 v + 1 = limit / x.
    let v = (4.0 + 2.0 * (LIMIT / 0.5 - 1.0)).sqrt() - 2.0;
    let expected_frame = v / corner.decay_rad_s * RATE_HZ;
    let status = processor.guard_status();
    let first = f64::from(u32::try_from(status.first_frame.unwrap()).unwrap());
    assert!((first - expected_frame).abs() <= 3.0, "{first} {expected_frame}");
    assert!(block.iter().flatten().all(|value| value.abs() <= LIMIT));
}

/// Within the default ceiling no signal up to full scale reaches the limit: 24 dB stay 6 dB below it.
#[test]
fn no_undo_within_the_default_ceiling_wakes_the_guard() {
    let mut processor = Processor::new(RATE_HZ, 1).unwrap();
    processor.change(&change("680p", "56k", "none").shape(Ceiling::default()), 1.0).unwrap();
    let output = run(&mut processor, &vec![1.0; 48_000]);
    assert!(peak(&output) > 15.0);
    assert_eq!(processor.guard_status(), GuardStatus::default());
}

/// Music, hits after silence, full-scale squares, impulses and a silent start, through loads, undos at their ceiling and resonances, at
/// rest and while they change: nothing of it needs the guard.
#[test]
fn nothing_that_is_played_wakes_the_guard() {
    let frames = 24_000_u32;
    let square =
        |hz: f64| -> Vec<f64> { tone(hz, RATE_HZ, frames, 0.1).iter().map(|value| value.signum()).collect() };
    let hits = |every: usize, decay: f64| -> Vec<f64> {
        let noise = common::white_noise(9, 24_000);
        let envelope = |n: usize| (-f64::from(u32::try_from(n % every).unwrap()) / decay).exp();
        noise.iter().enumerate().map(|(n, value)| 2.0 * value * envelope(n)).collect()
    };
    let mut late = vec![0.0; 12_000];
    late.extend(square(82.4).into_iter().take(12_000));
    let mut impulses = vec![0.0; 24_000];
    impulses.iter_mut().step_by(4_801).for_each(|value| *value = 1.0);
    let inputs = [
        ("noise", music_like_noise(7, RATE_HZ, 24_000)),
        ("strings", common::plucked(RATE_HZ, 6_000, 4)),
        ("hits", hits(6_000, 240.0)),
        ("clicks", hits(2_400, 6.0)),
        ("square 30 Hz", square(30.0)),
        ("square 100 Hz", square(100.0)),
        ("square 997 Hz", square(997.0)),
        ("square 6 kHz", square(6_000.0)),
        ("late", late),
        ("impulses", impulses),
    ];
    let demo = demo();
    let undo = |load: &str| change("680p", load, "none").shape(Ceiling::default());
    let mut shapes: Vec<Shape> = demo.setups.iter().map(|setup| demo_shape(&demo, setup)).collect();
    shapes.extend([undo("56k"), undo("1M"), undo("22M"), undo("1M || 30 m"), Shape::UNCHANGED]);
    shapes.extend(higher_order().into_iter().map(|(_, shape)| shape));
    for (name, input) in &inputs {
        for (index, shape) in shapes.iter().enumerate() {
            let mut processor = Processor::new(RATE_HZ, 1).unwrap();
            processor.change(shape, 1.0).unwrap();
            run(&mut processor, &input[..15_000]);
            processor.change(&shapes[(index * 7 + 3) % shapes.len()], 1.0).unwrap();
            run(&mut processor, &input[15_000..15_700]);
            processor.set_gain(0.1, 200.0).unwrap();
            run(&mut processor, &input[15_700..]);
            assert_eq!(processor.guard_status(), GuardStatus::default(), "{name}, {shape:?}");
        }
    }
}

/// Without the guard a runaway is left alone, but nothing that is no number goes in or comes out.
#[test]
fn without_the_guard_numbers_stay_numbers() {
    for Case { name, mut processor, .. } in cases() {
        processor.set_guard(false);
        let music = music_like_noise(3, RATE_HZ, 20_000);
        let mut input = music.clone();
        for (frame, fault) in
            [(100, f64::NAN), (101, f64::INFINITY), (164, f64::NEG_INFINITY), (300, 1e300), (301, -1e300)]
        {
            input[frame] = fault;
        }
        let output = run(&mut processor, &input);
        assert!(output.iter().all(|value| value.abs() <= 1e30), "{name}");
        assert_eq!(processor.guard_status(), GuardStatus::default(), "{name}");
        // The state is whole: half a second later only music is there.
        assert!(peak(&output[10_000..]) < 100.0, "{name}");
    }
    // A sample that is no number counts as zero, and what is stored stays.
    for Case { name, mut processor, .. } in cases() {
        processor.set_guard(false);
        let mut input = music_like_noise(3, RATE_HZ, 2_000);
        input[700] = 0.0;
        let expected = run(&mut processor.clone(), &input);
        input[700] = f64::NAN;
        assert_eq!(run(&mut processor, &input), expected, "{name}");
    }
    let mut runaway = Processor::new(RATE_HZ, 1).unwrap();
    runaway.set_guard(false);
    runaway.change(&change("680p", "56k", "none").shape(Ceiling::Off), 1.0).unwrap();
    assert!(peak(&run(&mut runaway, &vec![1.0; 48_000])) > 1_000.0);
}

/// Switched off while it is closed, it still opens smoothly and then stays open.
#[test]
fn switched_off_in_mid_fade() {
    let mut processor = Processor::new(RATE_HZ, 1).unwrap();
    run(&mut processor, &[f64::NAN; 100]);
    processor.set_guard(false);
    let output = run(&mut processor, &[0.5; 10_000]);
    assert!(!processor.guard_status().active);
    assert_eq!(output[9_999], 0.5);
    let largest_step = output.windows(2).map(|pair| (pair[1] - pair[0]).abs()).fold(0.0, f64::max);
    assert!(largest_step < 0.01, "{largest_step}");
}

/// A missing sample at any moment of the tone of the switching tests: the way back keeps to their bar. A fade within 5 ms of
/// what was there cannot; it stays 60 dB below.
#[test]
fn the_fade_is_smooth() {
    let tone = tone(55.0, RATE_HZ, 20_000, 0.0);
    for Case { name, processor, .. } in cases() {
        let (mut worst_closing, mut worst_opening) = (0.0_f64, 0.0_f64);
        for at in (10_000..10_880).step_by(55) {
            let mut input = tone.clone();
            input[at] = f64::NAN;
            let output = run(&mut processor.clone(), &input);
            let residue = above_5_khz(&output, RATE_HZ);
            let louder = peak(&output[5_000..10_000]);
            worst_closing = worst_closing.max(peak(&residue[at - 10..at + 1_000]) / louder);
            worst_opening = worst_opening.max(peak(&residue[at + FADE + CALM / 2..]) / louder);
        }
        println!("{name}: closing {:.1} dB, opening {:.1} dB", db(worst_closing), db(worst_opening));
        assert!(db(worst_closing) <= -60.0 && db(worst_opening) <= -100.0, "{name}");
    }
}

/// A sample a billion times too large, and what is heard instead is no louder than the music before it.
#[test]
fn the_fault_itself_is_not_heard() {
    for Case { name, mut processor, .. } in cases() {
        let mut input = music_like_noise(4, RATE_HZ, 2_000);
        input[1_100..].fill(1e9);
        let output = run(&mut processor, &input);
        let (before, after) = output.split_at(1_100);
        assert!(peak(after) <= 1.2 * peak(before), "{name}: {} {}", peak(after), peak(before));
    }
}
