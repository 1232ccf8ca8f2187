//! Which files are read, and which channel of them.

use super::{RATE_HZ, STEPS, pickup, take, tone};
use crate::support::Sandbox;
use crate::support::wav::{KINDS, Kind, Wav};

/// Channels side by side.
fn wav(channels: &[&[f64]]) -> Vec<u8> {
    let count = u16::try_from(channels.len()).unwrap();
    let frames = channels[0].len();
    let samples: Vec<f64> =
        (0..frames).flat_map(|frame| channels.iter().map(move |channel| channel[frame])).collect();
    Wav::new(Kind::Int(3), count, RATE_HZ, &samples).bytes()
}

#[test]
fn the_test_sound_is_written() {
    let sandbox = Sandbox::new();
    for (rate, level, seconds) in [("44100", "-40", 7.6), ("48 kHz", "-20", 7.6), ("192k", "-6", 7.6)] {
        let said = sandbox.done(&[
            "measure",
            "sweep",
            "-o",
            "sweep.wav",
            "--rate",
            rate,
            "--level",
            level,
            "--overwrite",
        ]);
        assert!(said.contains(&format!("peak {level} dBFS")) && said.contains("monitors down"), "{said}");
        let sweep = sandbox.wav("sweep.wav");
        assert_eq!((sweep.kind, sweep.channels), (Kind::Int(3), 1));
        let frames = u32::try_from(sweep.frames()).unwrap();
        assert!((f64::from(frames) / f64::from(sweep.rate_hz) - seconds).abs() < 1e-3);
        let peak = sweep.samples().iter().fold(0.0, |peak: f64, sample| peak.max(sample.abs()));
        let level: f64 = level.parse().unwrap();
        assert!((20.0 * peak.log10() - level).abs() < 0.01, "{peak}");
    }
    let before = sandbox.listing();
    let outcome = sandbox.run(&["measure", "sweep", "-o", "sweep.wav"]);
    assert!(outcome.code == Some(2) && outcome.stderr.contains("it exists"), "{outcome:?}");
    assert!(sandbox.listing() == before);
}

/// Every sample format; what is wrong is told of the last recording, so that all others were read.
#[test]
fn every_kind_of_file() {
    for kind in KINDS {
        let sandbox = Sandbox::new();
        let file = |samples: &[f64]| Wav::new(kind, 1, RATE_HZ, samples).bytes();
        sandbox.write("reference.wav", file(&STEPS.reference));
        sandbox.write("empty.wav", file(&STEPS.empty));
        sandbox.write("plugged.wav", file(&vec![0.0; 400_000]));
        let outcome = sandbox.run(&pickup("reference.wav", "empty.wav", "plugged.wav"));
        assert_eq!(outcome.code, Some(3), "{kind:?}: {outcome:?}");
        assert!(outcome.stderr.contains("'plugged' is silent"), "{kind:?}: {outcome:?}");
    }
}

/// The channel that sounds, one of equal channels, or the one that is asked for.
#[test]
fn one_channel_of_several() {
    let (sound, silence) = (&STEPS.reference[..], vec![0.0; STEPS.reference.len()]);
    let sandbox = Sandbox::new();
    sandbox.write("two.wav", wav(&[sound, sound]));
    sandbox.write("right.wav", wav(&[&silence, sound]));
    sandbox.write(
        "six.wav",
        wav(&[&silence, sound, &silence, &tone(u32::try_from(sound.len()).unwrap()), &silence, &silence]),
    );
    sandbox.write("silent.wav", take(&silence).bytes());
    sandbox.write("left.wav", wav(&[sound, &silence]));
    for reference in ["two.wav", "right.wav"] {
        let outcome = sandbox.run(&pickup(reference, "silent.wav", "left.wav"));
        assert_eq!(
            (outcome.code, reference == "right.wav"),
            (Some(if reference == "two.wav" { 3 } else { 2 }), reference == "right.wav"),
            "{outcome:?}"
        );
    }
    let outcome = sandbox.run(&pickup("right.wav", "silent.wav", "left.wav"));
    assert!(
        outcome.stderr.contains("left.wav: it sounds on channel 1, and the reference recording on channel 2"),
        "{outcome:?}"
    );
    let outcome = sandbox.run(&pickup("six.wav", "silent.wav", "two.wav"));
    assert!(
        outcome
            .stderr
            .contains("six.wav: channels 2, 4 of it sound, each differently: choose one with --channel 2"),
        "{outcome:?}"
    );
    let chosen =
        sandbox.run(&[&pickup("six.wav", "right.wav", "left.wav")[..], &["--channel", "2"]].concat());
    assert!(chosen.code == Some(3) && chosen.stderr.contains("'plugged' is silent"), "{chosen:?}");
    let none = sandbox.run(&[&pickup("two.wav", "right.wav", "left.wav")[..], &["--channel", "3"]].concat());
    assert!(
        none.code == Some(2) && none.stderr.contains("it has 2 channels: accepted are --channel 1 to 2"),
        "{none:?}"
    );
}
