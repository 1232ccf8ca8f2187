//! A change of setup while sound runs: nothing is heard but the change.
//!
//! The bar of the design: above 5 kHz a change leaves at most -100 dB of the louder of the two steady peaks, on a
//! full-scale tone of 55 Hz.

use crate::common::{
    Heard, RATES, above_5_khz, assert_clean, change, db, demo, demo_shape, difference, every_pair,
    milliseconds, music_like_noise, peak, residue_db, run, switch_residue_db, tone,
};
use dsp_core::processor::{Processor, ProcessorError};
use dsp_core::response::{Ceiling, Root, Roots, Shape};

/// The demo's six setups and "as recorded".
fn demo_choices() -> Vec<(String, Heard)> {
    let demo = demo();
    let setups = demo.setups.iter().map(|setup| (setup.name.clone(), demo_shape(&demo, setup)));
    let all = setups.chain([("as recorded".to_owned(), Shape::UNCHANGED)]);
    all.map(|(name, shape)| (name, Heard::matched(shape))).collect()
}

/// Unloaded takes heard loaded, and loaded ones undone.
fn unloaded_choices() -> Vec<(String, Heard)> {
    let shape = |through: &str, to: &str, ceiling| {
        (format!("{through} to {to}"), change("680p", through, to).shape(ceiling))
    };
    [
        ("unchanged".to_owned(), Shape::UNCHANGED),
        shape("none", "56k", Ceiling::default()),
        shape("none", "1M || 6 m", Ceiling::default()),
        shape("none", "22M", Ceiling::default()),
        shape("1M", "none", Ceiling::default()),
        shape("56k", "none", Ceiling::Db(40.0)),
        shape("470k", "none", Ceiling::Off),
    ]
    .map(|(name, shape)| (name, Heard::matched(shape)))
    .into()
}

#[test]
fn every_pair_of_the_demo_switches_cleanly() {
    let choices = demo_choices();
    assert_eq!(choices.len(), 7);
    assert_clean(RATES.into_iter().flat_map(|rate_hz| {
        every_pair(&choices).map(move |pair| {
            let which = format!("{} to {} at {rate_hz} Hz", pair[0].0, pair[1].0);
            (switch_residue_db(pair, rate_hz, 0.0), which)
        })
    }));
}

#[test]
fn unloaded_takes_and_undo_switch_cleanly() {
    let choices = unloaded_choices();
    assert_clean(
        every_pair(&choices)
            .map(|pair| (switch_residue_db(pair, 44_100.0, 0.0), format!("{} to {}", pair[0].0, pair[1].0))),
    );
}

#[test]
fn any_moment_of_the_tone_will_do() {
    let choices = demo_choices();
    let widest = [&choices[0], &choices[6]];
    let next = [&choices[0], &choices[5]];
    let both_ways = [widest, next].into_iter().flat_map(|[from, to]| [[from, to], [to, from]]);
    assert_clean(both_ways.flat_map(|pair| {
        (0..16).map(move |step| {
            let phase_turns = f64::from(step) / 16.0;
            let which = format!("{} to {}, {phase_turns} turns", pair[0].0, pair[1].0);
            (switch_residue_db(pair, 44_100.0, phase_turns), which)
        })
    }));
}

/// As automation does it: a new target again and again, long before the last one is reached.
#[test]
fn turning_in_mid_change_is_clean() {
    let heard: Vec<Heard> = demo_choices().iter().map(|(_, heard)| *heard).collect();
    let order = [0, 6, 5, 0, 1, 6, 0, 2, 6, 0, 5, 3, 6, 4, 0, 6, 0, 6, 0, 6, 0];
    assert_clean([1, 17, 64, 333, 661, 1_000].into_iter().map(|every| {
        let mut choices = vec![(heard[0], 9_000)];
        choices.extend(order.iter().cycle().take(order.len() * 3).map(|&index| (heard[index], every)));
        choices.push((heard[0], 9_000));
        (residue_db(&choices, 44_100.0, 0.0), format!("every {every} frames"))
    }));
}

#[test]
fn a_change_of_gain_alone_is_clean() {
    let at = |gain: f64| Heard { shape: Shape::UNCHANGED, gain };
    assert_clean([(1.0, 0.05), (0.05, 1.0), (1.0, 4.0), (1.0, 1.05), (1.0, 0.94)].into_iter().map(
        |(from, to)| {
            (residue_db(&[(at(from), 9_000), (at(to), 9_000)], 44_100.0, 0.1), format!("gain {from} to {to}"))
        },
    ));
}

/// A level match follows the music over seconds, on its own clock and while setups change.
#[test]
fn a_slow_gain_is_clean() {
    let (rate_hz, choices) = (44_100.0, demo_choices());
    let input = tone(55.0, rate_hz, 150_000, 0.0);
    let both_ways = [[choices[1].1, choices[6].1], [choices[6].1, choices[1].1]];
    let cases = [(1.0, 2.0), (2.0, 1.0), (1.0, 0.9)]
        .into_iter()
        .flat_map(|gains| both_ways.map(|ends| (gains, ends)));
    assert_clean(cases.map(|((from, to), [before, after])| {
        let mut processor = Processor::new(rate_hz, 1).unwrap();
        processor.change(&before.shape, from * before.gain).unwrap();
        let mut output = run(&mut processor, &input[..9_000]);
        processor.set_gain(to * before.gain, 3_000.0).unwrap();
        output.extend(run(&mut processor, &input[9_000..60_000]));
        // Turned from on the way, together with the setup.
        after.apply(&mut processor);
        output.extend(run(&mut processor, &input[60_000..]));
        let residue = above_5_khz(&output, rate_hz);
        let louder = before.steady_peak().max(after.steady_peak());
        (db(peak(&residue[9_000..]) / louder), format!("{from} to {to} over 3 s, {:?}", before.shape))
    }));
}

/// There and back again, having been "as recorded" long enough to pass the input itself: nothing stored before that
/// may come back.
#[test]
fn coming_back_from_as_recorded_is_clean() {
    let choices = demo_choices();
    let unchanged = choices[6].1;
    assert_clean((0..32).flat_map(|step| {
        let stay = 3_000 + 97 * step;
        choices[..6].iter().map(move |(name, heard)| {
            let there_and_back = [(*heard, 9_000 + 61 * step), (unchanged, stay), (*heard, 4_000)];
            (residue_db(&there_and_back, 44_100.0, 0.0), format!("{name}, {stay} frames as recorded"))
        })
    }));
}

/// After a change the processor is one that never had another shape, but for the charge that is still stored: the difference
/// falls with the pole, `exp(-pole · t)`, and is gone for good.
#[test]
fn a_change_lands_on_its_target() {
    let rate_hz = 48_000.0;
    let input = music_like_noise(3, rate_hz, 60_000);
    for [from, to] in every_pair(&demo_choices()) {
        let (mut changed, mut always) =
            (Processor::new(rate_hz, 1).unwrap(), Processor::new(rate_hz, 1).unwrap());
        from.1.apply(&mut changed);
        to.1.apply(&mut always);
        run(&mut changed, &input[..10_000]);
        run(&mut always, &input[..10_000]);
        to.1.apply(&mut changed);
        let ride = changed.frames_left().unwrap();
        run(&mut changed, &input[10_000..10_000 + ride]);
        run(&mut always, &input[10_000..10_000 + ride]);
        let rest = &input[10_000 + ride..];
        let difference = difference(&run(&mut changed, rest), &run(&mut always, rest));
        let pole = if to.1.shape.is_flat() { 1e9 } else { to.1.shape.poles[0].decay_rad_s };
        let envelope = |frame: usize| {
            difference[0].abs() * (-pole * f64::from(u32::try_from(frame).unwrap()) / rate_hz).exp()
        };
        for (frame, value) in difference.iter().enumerate().step_by(97) {
            assert!(
                value.abs() <= 1.001 * envelope(frame) + 1e-12,
                "{frame}: {value}, {} to {}",
                from.0,
                to.0
            );
        }
    }
}

/// On "as recorded" a change lands on the input itself, bit for bit.
#[test]
fn a_change_to_as_recorded_lands_on_the_bits() {
    let input = music_like_noise(4, 44_100.0, 10_000);
    let choices = [demo_choices(), unloaded_choices()].concat();
    for (name, heard) in choices.iter().filter(|(_, heard)| !heard.shape.is_flat()) {
        let mut processor = Processor::new(44_100.0, 1).unwrap();
        heard.apply(&mut processor);
        run(&mut processor, &input[..5_000]);
        Heard::matched(Shape::UNCHANGED).apply(&mut processor);
        assert!(!processor.is_transparent());
        run(&mut processor, &input[5_000..5_000 + milliseconds(30, 44_100.0) as usize]);
        assert!(processor.is_transparent(), "{name}");
        assert_eq!(run(&mut processor, &input), input, "{name}");
    }
}

/// The first change of all, before any sound, has nothing to lead from.
#[test]
fn a_change_before_the_first_frame_is_there_at_once() {
    let input = music_like_noise(5, 48_000.0, 4_000);
    let heard = demo_choices()[0].1;
    let mut processor = Processor::new(48_000.0, 1).unwrap();
    demo_choices()[1].1.apply(&mut processor);
    heard.apply(&mut processor);
    let output = run(&mut processor, &input);
    let mut alone = Processor::new(48_000.0, 1).unwrap();
    heard.apply(&mut alone);
    assert_eq!(output, run(&mut alone, &input));
    // Of the gain of 31.6 dB, and not of the 0 dB before it.
    assert!(db(output[0] / input[0]) > 25.0);
}

#[test]
fn what_cannot_be_played_is_refused_and_changes_nothing() {
    let mut processor = Processor::new(48_000.0, 1).unwrap();
    for shape in [
        Shape::first_order(f64::NAN, 1.0, 2.0),
        Shape::first_order(0.0, 1.0, 2.0),
        Shape::first_order(1.0, -1.0, 2.0),
        Shape::first_order(1.0, 1.0, f64::INFINITY),
        Shape { poles: Roots::from_iter([Root::pair(0.0, 1e3)]), ..Shape::UNCHANGED },
    ] {
        assert_eq!(processor.change(&shape, 1.0), Err(ProcessorError::Shape), "{shape:?}");
        assert!(processor.is_transparent(), "{shape:?}");
    }
    for gain in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        let refused =
            [processor.set_gain(gain, 10.0), processor.change(&Shape::first_order(1.0, 1.0, 2.0), gain)];
        for refused in refused {
            let message = refused.unwrap_err().to_string();
            assert_eq!(
                message,
                format!("a gain of {gain} cannot be played: accepted are finite factors above zero")
            );
        }
        assert!(processor.is_transparent(), "{gain}");
    }
    let input = music_like_noise(6, 48_000.0, 1_000);
    for over_ms in [f64::NAN, -5.0, 0.0] {
        processor.set_gain(2.0, over_ms).unwrap();
        processor.set_gain(1.0, over_ms).unwrap();
        assert!(run(&mut processor, &input).iter().all(|value| value.is_finite()));
    }
}
