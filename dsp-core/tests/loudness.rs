//! The prediction of a setup's loudness against the loudness of the setup when it is rendered, by a meter that is not
//! ours (the `ebur128` crate, ITU-R BS.1770, ungated over the same span).

#[path = "../../xtask/src/take/mod.rs"]
#[allow(dead_code, reason = "the demo's take alone is used")]
mod take;

use crate::common::{change, demo, demo_shape, music_like_noise, tone, white_noise};
use biquad::{Biquad, Coefficients, DirectForm2Transposed};
use dsp_core::loudness::{LoudnessPredictor, Spectrum};
use dsp_core::processor::Processor;
use dsp_core::response::{Ceiling, Shape};
use ebur128::{EbuR128, Mode};

/// The bar: less is not heard as louder.
const BAR_LU: f64 = 0.3;
/// What the predictor remembers.
const MEMORY_SECONDS: u32 = 4;

/// Loudness of a whole signal, ungated, in LUFS.
fn lufs(channels: &[&[f64]], rate: u32) -> f64 {
    let frames = u64::try_from(channels[0].len()).unwrap();
    let milliseconds = u32::try_from(frames * 1_000 / u64::from(rate)).unwrap();
    let mut meter = EbuR128::new(u32::try_from(channels.len()).unwrap(), rate, Mode::M).unwrap();
    meter.set_max_window(milliseconds).unwrap();
    meter.add_frames_planar_f64(channels).unwrap();
    meter.loudness_window(milliseconds).unwrap()
}

/// The setups of the demo, an undo, and what is of higher order.
fn shapes() -> Vec<(String, Shape)> {
    let demo = demo();
    let mut shapes: Vec<_> =
        demo.setups.iter().map(|setup| (setup.name.clone(), demo_shape(&demo, setup))).collect();
    shapes.push(("undo".into(), change("680p", "22M", "none").shape(Ceiling::default())));
    shapes.push(("primary".into(), change("680p", "22M", "47 H || 220k || 3 m").shape(Ceiling::default())));
    shapes.push(("primary undone".into(), change("680p", "47 H || 220k", "none").shape(Ceiling::default())));
    shapes
}

fn rendered(shape: &Shape, channels: &[Vec<f64>], rate: u32) -> Vec<Vec<f64>> {
    let mut processor = Processor::new(rate.into(), channels.len()).unwrap();
    processor.change(shape, 1.0).unwrap();
    let mut block = channels.to_vec();
    processor.process(&mut block);
    block
}

/// The start of the last four seconds of sound before `end`: silence is held through and does not count. Tenths of a second
/// are silent that lie below -70 dB, the standard's gate without its weighting, which hardly matters to a bass here.
fn span_start(channel: &[f64], rate: u32, end: usize) -> usize {
    let tenth = usize::try_from(rate / 10).unwrap();
    let sounds = |start: usize| {
        let mean = channel[start..start + tenth].iter().map(|x| x * x).sum::<f64>() / f64::from(rate / 10);
        mean > 1e-7
    };
    let wanted = usize::try_from(MEMORY_SECONDS * 10).unwrap();
    (0..end / tenth)
        .rev()
        .map(|index| end - (end / tenth - index) * tenth)
        .filter(|start| sounds(*start))
        .take(wanted)
        .last()
        .unwrap()
}

/// Plays `channels` to a predictor and compares, at each full second, with the rendering of what it has just heard.
fn assert_predicts(name: &str, channels: &[Vec<f64>], rate: u32) {
    let second = usize::try_from(rate).unwrap();
    let mut predictor = LoudnessPredictor::new(rate.into(), channels.len());
    let renderings: Vec<_> =
        shapes().into_iter().map(|(name, shape)| (name, shape, rendered(&shape, channels, rate))).collect();
    let mut input = channels.to_vec();
    let mut worst_lu = 0.0_f64;
    for start in (0..channels[0].len() - second + 1).step_by(second) {
        let end = start + second;
        predictor.push(&mut input, start, end);
        let from = span_start(&channels[0], rate, end);
        let span = |channels: &[Vec<f64>]| {
            lufs(&channels.iter().map(|channel| &channel[from..end]).collect::<Vec<_>>(), rate)
        };
        let before = span(channels);
        for (setup, shape, rendering) in &renderings {
            let error_lu = predictor.change_lu(shape) - (span(rendering) - before);
            assert!(error_lu.abs() <= BAR_LU, "{name} at {rate} Hz, {setup}, {} s: {error_lu}", end / second);
            worst_lu = worst_lu.max(error_lu.abs());
        }
    }
    println!("{name} at {rate} Hz: worst error {worst_lu:.3} LU");
}

/// The demo's take as it was recorded: through 22 MΩ, with a noise floor 80 dB below full scale.
fn demo_take(rate: u32) -> Vec<f64> {
    let mut take = take::guitarron_take(rate.into());
    let noise = take::noise_floor(rate.into(), take.len(), 1e-4, 1);
    take.iter_mut().zip(noise).for_each(|(sample, noise)| *sample += noise);
    rendered(&change("680p", "none", "22M").shape(Ceiling::Off), &[take], rate).remove(0)
}

#[test]
fn predicts_the_demo_s_music() {
    for rate in [44_100, 48_000, 96_000] {
        assert_predicts("take", &[demo_take(rate)], rate);
    }
}

/// K-weighted (the standard's table at 48 kHz, from memory), in windows of 50 ms, every 10 ms.
fn weighted_powers(signal: &[f64]) -> Vec<f64> {
    let section = |b0, b1, b2, a1, a2| DirectForm2Transposed::<f64>::new(Coefficients { a1, a2, b0, b1, b2 });
    let mut shelf = section(
        1.535_124_859_586_97,
        -2.691_696_189_406_38,
        1.198_392_810_852_85,
        -1.690_659_293_182_41,
        0.732_480_774_215_85,
    );
    let mut high_pass = section(1.0, -2.0, 1.0, -1.990_047_454_833_98, 0.990_072_250_366_21);
    let weighted: Vec<f64> = signal.iter().map(|value| high_pass.run(shelf.run(*value))).collect();
    weighted
        .windows(2_400)
        .step_by(480)
        .map(|window| window.iter().map(|value| value * value).sum())
        .collect()
}

/// On the demo's music: matched, a change of setup is nowhere more than 1 dB louder than the louder of what it
/// leads from and to, window by window.
#[test]
fn no_switch_is_louder_than_both_ends() {
    let rate = 48_000;
    let take = demo_take(rate)[..8 * 48_000].to_vec();
    let mut predictor = LoudnessPredictor::new(rate.into(), 1);
    predictor.push(&mut [take.clone()], 0, take.len());
    let mut choices = shapes();
    choices.push(("as recorded".into(), Shape::UNCHANGED));
    let gain = |shape: &Shape| 10f64.powf(-predictor.change_lu(shape) / 20.0);
    let play = |changes: &[(usize, Shape)]| {
        let mut processor = Processor::new(rate.into(), 1).unwrap();
        let mut output = take.clone();
        for (index, (start, shape)) in changes.iter().enumerate() {
            let end = changes.get(index + 1).map_or(output.len(), |next| next.0);
            processor.change(shape, gain(shape)).unwrap();
            processor.process(&mut [&mut output[*start..end]]);
        }
        weighted_powers(&output)
    };
    let steady: Vec<Vec<f64>> = choices.iter().map(|(_, shape)| play(&[(0, *shape)])).collect();
    let loudest = steady.iter().flatten().copied().fold(0.0, f64::max);
    let mut worst = (f64::NEG_INFINITY, String::new());
    for (a, (from, from_shape)) in choices.iter().enumerate() {
        for (b, (to, to_shape)) in choices.iter().enumerate().filter(|(b, _)| *b != a) {
            let starts = [1.0, 3.31, 5.77].map(|seconds| seconds * f64::from(rate));
            for start in starts.map(|frames| (0..).find(|frame| f64::from(*frame) >= frames).unwrap()) {
                let start = usize::try_from(start).unwrap();
                let changed = play(&[(0, *from_shape), (start, *to_shape)]);
                for window in start / 480 - 4..start / 480 + 40 {
                    // 50 dB below the loudest there is nothing to be loud.
                    let ends = steady[a][window].max(steady[b][window]).max(1e-5 * loudest);
                    let rise_db = 10.0 * (changed[window] / ends).log10();
                    if rise_db > worst.0 {
                        worst = (rise_db, format!("{from} to {to} at {start}, window {window}"));
                    }
                }
            }
        }
    }
    println!("loudest on the way, above both ends: {worst:?}");
    assert!(worst.0 <= 1.0, "{worst:?}");
}

#[test]
fn predicts_noise() {
    for rate in [44_100, 96_000] {
        let frames = usize::try_from(rate * 8).unwrap();
        assert_predicts("white noise", &[white_noise(5, frames)], rate);
        assert_predicts("music-like noise", &[music_like_noise(5, rate.into(), frames)], rate);
    }
}

/// Loudness adds up over channels, so channels of unlike spectra and levels make a prediction of their own.
#[test]
fn predicts_stereo() {
    let bright: Vec<f64> = white_noise(1, 8 * 48_000).iter().map(|x| 0.3 * x).collect();
    let dark = music_like_noise(2, 48_000.0, 8 * 48_000);
    assert_predicts("stereo", &[dark.clone(), bright.clone()], 48_000);
    assert_predicts("three channels", &[bright.clone(), dark.clone(), bright.clone()], 48_000);
    let through_56k = &shapes()[0].1;
    let change = |channels: Vec<Vec<f64>>| {
        let mut predictor = LoudnessPredictor::new(48_000.0, channels.len());
        let mut channels = channels;
        predictor.push(&mut channels, 0, 8 * 48_000);
        predictor.change_lu(through_56k)
    };
    let (left, right) = (change(vec![dark.clone()]), change(vec![bright.clone()]));
    let (both, swapped) = (change(vec![dark.clone(), bright.clone()]), change(vec![bright, dark]));
    assert!(left < both && both < right, "{left} {both} {right}");
    assert!((both - swapped).abs() < 1e-3);
}

/// A tone between two bins: what it loses is what the circuit takes at its frequency (textbook RC).
#[test]
fn predicts_a_tone() {
    for (name, shape) in shapes() {
        let mut predictor = LoudnessPredictor::new(48_000.0, 1);
        predictor.push(&mut [tone(82.4, 48_000.0, 200_000, 0.0)], 0, 200_000);
        let error_lu = predictor.change_lu(&shape) - shape.db(82.4);
        // A slope of 12 dB an octave weighs the tone's two neighbouring bins apart.
        let bar_lu = if shape.poles.degree() > 1 { BAR_LU } else { 0.1 };
        assert!(error_lu.abs() < bar_lu, "{name}: {error_lu}");
    }
}

#[test]
fn holds_through_silence() {
    let mut predictor = LoudnessPredictor::new(48_000.0, 1);
    let shape = shapes()[0].1;
    predictor.push(&mut [music_like_noise(1, 48_000.0, 200_000)], 0, 200_000);
    // The last spectra still have the end of the sound in them.
    predictor.push(&mut [vec![0.0; 10_000]], 0, 10_000);
    let (held, version) = (predictor.change_lu(&shape), predictor.version());
    let hiss: Vec<f64> = white_noise(2, 480_000).iter().map(|x| 1e-5 * x).collect();
    for mut quiet in [[vec![0.0; 480_000]], [hiss]] {
        predictor.push(&mut quiet, 0, 480_000);
        assert_eq!(predictor.change_lu(&shape).to_bits(), held.to_bits());
        assert_eq!(predictor.version(), version);
    }
}

/// Nothing that comes in can spoil what is predicted: it is left out.
#[test]
fn holds_through_what_is_no_sound() {
    let shape = shapes()[0].1;
    let music = music_like_noise(1, 48_000.0, 200_000);
    let mut predictor = LoudnessPredictor::new(48_000.0, 2);
    predictor.push(&mut [music.clone(), music.clone()], 0, 200_000);
    let before = predictor.change_lu(&shape);
    for fault in [f64::NAN, f64::INFINITY, 1e10, 1e25, -1e300] {
        predictor.push(&mut [vec![fault; 50_000], vec![0.0; 50_000]], 0, 50_000);
        let change = predictor.change_lu(&shape);
        assert!((change - before).abs() < 3.0, "{fault}: {change} {before}");
    }
    predictor.push(&mut [music.clone(), music], 0, 200_000);
    // The same music, divided elsewhere into spectra.
    assert!((predictor.change_lu(&shape) - before).abs() < 0.1);
}

/// After 20 dB less, four seconds later nothing is left of the louder past, whatever was summed up before.
#[test]
fn forgets_what_is_older_than_its_memory() {
    let shape = shapes()[0].1;
    let loud = music_like_noise(1, 48_000.0, 480_000);
    let quiet: Vec<f64> = white_noise(2, 240_000).iter().map(|x| 2e-3 * x).collect();
    let mut after = LoudnessPredictor::new(48_000.0, 1);
    after.push(&mut [loud], 0, 480_000);
    let mut fresh = LoudnessPredictor::new(48_000.0, 1);
    // A whole number of the 85 ms in which it takes sound in, so that both divide the noise alike.
    for predictor in [&mut after, &mut fresh] {
        let to_update = predictor.frames_to_update();
        predictor.push(&mut [vec![0.0; 4_096]], 0, to_update);
        predictor.push(&mut [quiet.clone()], 0, 240_000);
    }
    assert!((after.change_lu(&shape) - fresh.change_lu(&shape)).abs() < 1e-6);
}

/// The gate of BS.1770 is at -70 LUFS: what a meter that is not ours puts a quarter of a decibel above is heard, what it puts as far
/// below is not. In stereo, both channels together.
#[test]
fn hears_from_the_standard_s_gate_on() {
    for channels in [1, 2] {
        for (lufs_wanted, is_heard) in [(-69.75, true), (-70.25, false)] {
            let tone = tone(997.0, 48_000.0, 96_000, 0.0);
            let gain_db = lufs_wanted - lufs(&vec![&*tone; channels], 48_000);
            let quiet: Vec<f64> = tone.iter().map(|x| 10f64.powf(gain_db / 20.0) * x).collect();
            let mut predictor = LoudnessPredictor::new(48_000.0, channels);
            let before = predictor.version();
            predictor.push(&mut vec![quiet; channels], 0, 96_000);
            assert_eq!(predictor.version() > before, is_heard, "{channels} channels, {lufs_wanted} LUFS");
            let (recent_lufs, learned_lufs) = predictor.lufs();
            for heard_lufs in [recent_lufs, learned_lufs] {
                assert!(!is_heard || (heard_lufs - lufs_wanted).abs() < 0.1, "{heard_lufs}");
            }
        }
    }
}

/// |K|² of the weighting: ITU-R BS.1770, annex 1, tables 1 and 2, at 48 kHz (from memory).
fn weighting(hz: f64) -> f64 {
    let part = |c: [f64; 3]| {
        let w = std::f64::consts::TAU * hz / 48_000.0;
        (c[0] + c[1] * w.cos() + c[2] * (2.0 * w).cos()).powi(2)
            + (c[1] * w.sin() + c[2] * (2.0 * w).sin()).powi(2)
    };
    let shelf = part([1.535_124_859_586_97, -2.691_696_189_406_38, 1.198_392_810_852_85])
        / part([1.0, -1.690_659_293_182_41, 0.732_480_774_215_85]);
    shelf * part([1.0, -2.0, 1.0]) / part([1.0, -1.990_047_454_833_98, 0.990_072_250_366_21])
}

/// What is guessed before the first sound, in closed form: plucked strings whose partials have the power 1/n³, five semitones of each,
/// K-weighted, through the textbook's RC high-passes.
#[test]
fn the_guess_is_plucked_strings() {
    let strings_hz = [55.0, 73.416, 220.0];
    let guess = Spectrum::usual(strings_hz);
    for load in ["56k", "470k", "10M"] {
        let ohms: f64 = load.parse::<dsp_core::units::Resistance>().unwrap().ohms();
        let corner_hz = |ohms: f64| 1.0 / (std::f64::consts::TAU * ohms * 680e-12);
        let kept = |hz: f64, corner_hz: f64| hz * hz / (hz * hz + corner_hz * corner_hz);
        let (mut before, mut after) = (0.0, 0.0);
        for open_hz in strings_hz {
            for note_hz in (0..5).map(|semitone| open_hz * 2f64.powf(f64::from(semitone) / 12.0)) {
                for n in (1..=100).map(f64::from).filter(|n| n * note_hz < 24_000.0) {
                    let power = weighting(n * note_hz) / n.powi(3);
                    before += power;
                    after += power * kept(n * note_hz, corner_hz(ohms)) / kept(n * note_hz, corner_hz(22e6));
                }
            }
        }
        let shape = change("680p", "22M", load).shape(Ceiling::Off);
        let error_lu = Spectrum::change_lu([(&guess, &shape)]) - 10.0 * (after / before).log10();
        assert!(error_lu.abs() < 0.02, "{load}: {error_lu}");
    }
    assert!(Spectrum::change_lu([(&guess, &Shape::UNCHANGED)]).abs() < 1e-12);
    assert_eq!(Spectrum::change_lu([(&Spectrum::SILENT, &shapes()[0].1)]), 0.0);
}

/// Loudness of a whole signal, gated, in LUFS.
fn integrated_lufs(channel: &[f64], rate: u32) -> f64 {
    let mut meter = EbuR128::new(1, rate, Mode::I).unwrap();
    meter.add_frames_f64(channel).unwrap();
    meter.loudness_global().unwrap()
}

/// What has been learned of the whole take matches it like the gated loudness of its renderings; what is guessed, about so.
#[test]
fn what_is_learned_matches_the_whole_take() {
    let rate = 48_000;
    let take = demo_take(rate);
    let mut predictor = LoudnessPredictor::new(rate.into(), 1);
    predictor.push(&mut [take.clone()], 0, take.len());
    // As it is kept.
    let learned = Spectrum::from_levels(&predictor.learned()[0].levels());
    let instruments = dsp_core::preset::Instrument::all();
    let guitarron = instruments.iter().find(|instrument| instrument.id == "guitarron").unwrap();
    let guess = Spectrum::usual(guitarron.strings.iter().map(|string| string.hz(440.0)));
    for (index, (name, shape)) in shapes().into_iter().take(6).enumerate() {
        let rendering = rendered(&shape, std::slice::from_ref(&take), rate).remove(0);
        let change_lu = integrated_lufs(&rendering, rate) - integrated_lufs(&take, rate);
        let off = |spectrum: &Spectrum| Spectrum::change_lu([(spectrum, &shape)]) - change_lu;
        println!(
            "{name}: {change_lu:.2} LU, learned {:.2} off, guessed {:.2} off",
            off(&learned),
            off(&guess)
        );
        assert!(off(&learned).abs() <= BAR_LU, "{name}: {}", off(&learned));
        // 56k, the first, is far from all others.
        assert!(off(&guess).abs() <= if index == 0 { 3.5 } else { 0.75 }, "{name}: {}", off(&guess));
    }
}

/// Rests, 10 LU and more below the music, are not learned; a reset forgets nothing of it, learning anew all but the last seconds.
#[test]
fn learns_music_and_not_its_rests() {
    let shape = shapes()[0].1;
    let change = |predictor: &LoudnessPredictor| Spectrum::change_lu([(&predictor.learned()[0], &shape)]);
    let mut predictor = LoudnessPredictor::new(48_000.0, 1);
    predictor.push(&mut [music_like_noise(1, 48_000.0, 240_000)], 0, 240_000);
    predictor.push(&mut [vec![0.0; 9_600]], 0, 9_600);
    let (music_lu, seconds) = (change(&predictor), predictor.learned_seconds());
    assert!((4.5..=5.2).contains(&seconds), "{seconds}");
    let loud = white_noise(2, 480_000);
    let quieter_by = |db: f64| -> Vec<f64> {
        let gain_db = predictor.lufs().1 - lufs(&[&loud], 48_000) - db;
        loud.iter().map(|x| 10f64.powf(gain_db / 20.0) * x).collect()
    };
    let (rest, bright) = (quieter_by(12.0), quieter_by(0.0));
    predictor.push(&mut [rest], 0, 480_000);
    assert_eq!((change(&predictor).to_bits(), predictor.learned_seconds()), (music_lu.to_bits(), seconds));
    predictor.reset();
    assert_eq!((change(&predictor).to_bits(), predictor.learned_seconds()), (music_lu.to_bits(), seconds));
    predictor.push(&mut [bright], 0, 480_000);
    let learned = predictor.learned_seconds() - seconds;
    // Of the 10 s all but the first two, in which it may be a knock.
    assert!(change(&predictor) > music_lu + 0.5 && (7.8..=8.1).contains(&learned), "{learned}");
    let recent_lu = predictor.change_lu(&shape);
    assert!((change(&predictor) - recent_lu).abs() > 0.2);
    predictor.learn_anew();
    assert!((change(&predictor) - recent_lu).abs() < 0.05, "{} {recent_lu}", change(&predictor));
    assert!((3.9..=4.1).contains(&predictor.learned_seconds()));
    // From what is kept it goes on as if it had been heard here.
    let kept = *predictor.learned().first().unwrap();
    let mut other = LoudnessPredictor::new(96_000.0, 1);
    other.learn_from([&kept], predictor.learned_seconds());
    assert_eq!(change(&other).to_bits(), change(&predictor).to_bits());
}

/// A knock of 200 ms, however bright and loud, is not learned.
#[test]
fn a_short_strange_sound_is_not_learned() {
    let shape = shapes()[1].1;
    let change = |predictor: &LoudnessPredictor| Spectrum::change_lu([(&predictor.learned()[0], &shape)]);
    let mut predictor = LoudnessPredictor::new(48_000.0, 1);
    let take = demo_take(48_000);
    predictor.push(&mut [take], 0, 10 * 48_000);
    predictor.push(&mut [vec![0.0; 9_600]], 0, 9_600);
    let before_lu = change(&predictor);
    predictor.push(&mut [white_noise(3, 9_600)], 0, 9_600);
    predictor.push(&mut [vec![0.0; 9_600]], 0, 9_600);
    assert_eq!(change(&predictor).to_bits(), before_lu.to_bits());
    predictor.push(&mut [white_noise(3, 3 * 48_000)], 0, 3 * 48_000);
    assert!(change(&predictor) > before_lu + 3.0);
}

#[test]
fn levels_come_back_as_they_are() {
    let spectrum = Spectrum::from_levels(&Spectrum::usual([82.4]).levels());
    assert_eq!(Spectrum::from_levels(&spectrum.levels()), spectrum);
    for level in [i16::MIN, -2_000, -1_999, 0, 2_000, i16::MAX] {
        let spectrum = Spectrum::from_levels(&[level; Spectrum::BANDS]);
        assert!(spectrum.power().is_finite());
        assert_eq!(Spectrum::from_levels(&spectrum.levels()), spectrum);
    }
    assert_eq!(Spectrum::from_levels(&Spectrum::SILENT.levels()), Spectrum::SILENT);
}

#[test]
fn a_reset_brings_the_first_run_back() {
    let shape = shapes()[0].1;
    let music = music_like_noise(1, 48_000.0, 50_000);
    let mut predictor = LoudnessPredictor::new(48_000.0, 1);
    let guess = predictor.change_lu(&shape);
    let run = |predictor: &mut LoudnessPredictor| {
        predictor.push(&mut [music.clone()], 0, 50_000);
        predictor.change_lu(&shape)
    };
    let first = run(&mut predictor);
    assert_ne!(guess, first);
    let version = predictor.version();
    predictor.reset();
    assert!(predictor.version() > version, "a reset is a change of the prediction");
    assert_eq!(predictor.change_lu(&shape).to_bits(), guess.to_bits());
    assert_eq!(run(&mut predictor).to_bits(), first.to_bits());
}

/// Also with a sample here and there that is no number: it counts as zero and costs no update.
#[test]
fn updates_when_it_says() {
    let mut predictor = LoudnessPredictor::new(48_000.0, 1);
    let mut block = [music_like_noise(1, 48_000.0, 60_000)];
    block[0][1_000] = f64::NAN;
    for _ in 0..5 {
        let (version, due) = (predictor.version(), predictor.frames_to_update());
        predictor.push(&mut block, 0, due - 1);
        assert_eq!((predictor.version(), predictor.frames_to_update()), (version, 1));
        predictor.push(&mut block, due - 1, due);
        assert_eq!(predictor.version(), version + 1);
    }
}

#[test]
fn block_sizes_change_nothing() {
    let music = music_like_noise(1, 48_000.0, 60_000);
    let shape = shapes()[0].1;
    let mut whole = LoudnessPredictor::new(48_000.0, 1);
    whole.push(&mut [music.clone()], 0, 60_000);
    let mut cut = LoudnessPredictor::new(48_000.0, 1);
    let mut block = [music];
    let (mut start, mut size) = (0, 1);
    while start < 60_000 {
        size = (size * 7) % 611 + 1;
        let end = (start + size).min(60_000);
        cut.push(&mut block, start, end);
        start = end;
    }
    assert_eq!(cut.version(), whole.version());
    assert_eq!(cut.change_lu(&shape).to_bits(), whole.change_lu(&shape).to_bits());
}
