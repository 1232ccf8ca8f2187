//! Noise of synthesised takes: what was put in is what is found. (`tests/python/test_noise.py` asks the same of the program, of takes that numpy makes.)

use std::f64::consts::TAU;

use firstjack_measure::noise::{Heard, NoiseListener, NoiseMeter, Quiet, TakeNoise};

const STRINGS_HZ: [f64; 3] = [55.0, 73.416, 97.999];

/// Gaussian noise by sums of twelve.
struct Noise(fastrand::Rng);

impl Noise {
    fn next(&mut self) -> f64 {
        (0..12).map(|_| self.0.f64()).sum::<f64>() - 6.0
    }
}

struct Take {
    rate_hz: f64,
    samples: Vec<f64>,
}

impl Take {
    fn new(rate_hz: f64, seconds: f64, sound: impl Fn(f64) -> f64) -> Self {
        let count = (0_u32..).take_while(|frame| f64::from(*frame) < seconds * rate_hz);
        Self { rate_hz, samples: count.map(|frame| sound(f64::from(frame) / rate_hz)).collect() }
    }

    /// White noise of this density in dB re full scale per hertz: `10 log10(2 σ²/rate)`.
    fn with_white(mut self, density_db: f64, seed: u64) -> Self {
        let sigma = (0.5 * self.rate_hz * 10f64.powf(density_db / 10.0)).sqrt();
        let mut noise = Noise(fastrand::Rng::with_seed(seed));
        self.samples.iter_mut().for_each(|sample| *sample += sigma * noise.next());
        self
    }

    fn heard(&self, named: Option<(f64, f64)>) -> Heard {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "seconds of a take")]
        let frame = |seconds: f64| (seconds * self.rate_hz) as u64;
        let named = named.map(|(from, to)| (frame(from), frame(to)));
        let mut meter = NoiseMeter::new(self.rate_hz, &STRINGS_HZ, named);
        // As files are read.
        self.samples.chunks(4096).for_each(|block| meter.add([block]));
        meter.finish()
    }
}

/// Notes of two seconds on each string in turn, dying away, then so many seconds of rest.
fn notes(rest: f64) -> impl Fn(f64) -> f64 {
    move |time| {
        let period = 2.0 + rest;
        let (turn, since) = ((time / period).floor(), time % period);
        let hz =
            if turn % 3.0 == 0.0 { STRINGS_HZ[0] } else { STRINGS_HZ[if turn % 3.0 == 1.0 { 1 } else { 2 }] };
        let partial = |n: f64| (TAU * n * hz * since).sin() / n * (-2.5 * n.sqrt() * since).exp();
        if since < 2.0 {
            0.2 * (1..8).map(|n| partial(f64::from(n))).sum::<f64>() * ((2.0 - since) / 0.1).min(1.0)
        } else {
            0.0
        }
    }
}

fn noise(heard: &Heard) -> &TakeNoise {
    match &heard.noise {
        Quiet::Noise(noise) => noise,
        other => panic!("{other:?}"),
    }
}

fn assert_floor(noise: &TakeNoise, density_db: f64, within_db: f64) {
    for third in &noise.thirds {
        let off_db = 10.0 * third.density.log10() - density_db;
        assert!(off_db.abs() < within_db, "{off_db} dB off at {} Hz", third.hz);
    }
}

#[test]
fn a_white_floor_is_found_between_notes_and_alone() {
    for rate_hz in [44.1e3, 48e3, 96e3] {
        let take = Take::new(rate_hz, 90.0, notes(2.0)).with_white(-130.0, 1);
        assert_floor(noise(&take.heard(None)), -130.0, 1.0);
        assert_eq!(noise(&take.heard(None)).hum, None);
    }
    let alone = Take::new(48e3, 60.0, |_| 0.0).with_white(-130.0, 2);
    assert_floor(noise(&alone.heard(None)), -130.0, 1.0);
    assert_floor(noise(&alone.heard(Some((0.0, 60.0)))), -130.0, 1.0);
}

#[test]
fn hum_is_found_apart_from_the_floor() {
    for (mains_hz, wanders_hz) in [(50.03, 0.0), (59.96, 0.0), (50.0, 0.08), (60.0, 0.05)] {
        let lines = [(1.0, -70.0), (2.0, -88.0), (3.0, -76.0), (7.0, -90.0), (20.0, -95.0)];
        let hum = move |time: f64| -> f64 {
            // The phase of mains_hz + wanders_hz sin(2π t/40).
            let turns = mains_hz * time + wanders_hz * 40.0 / TAU * (1.0 - (TAU * time / 40.0).cos());
            lines
                .iter()
                .map(|(n, db)| 2f64.sqrt() * 10f64.powf(db / 20.0) * (TAU * n * turns + n).sin())
                .sum()
        };
        let music = notes(2.0);
        let take = Take::new(48e3, 80.0, |time| music(time) + hum(time)).with_white(-135.0, 3);
        let heard = take.heard(None);
        let found = noise(&heard).hum.as_ref().unwrap();
        assert!((found.hz - mains_hz).abs() < 0.05, "{} not {mains_hz}", found.hz);
        let (low, high) = found.wanders_hz;
        assert!((low - mains_hz + wanders_hz).abs() < 0.05 && (high - mains_hz - wanders_hz).abs() < 0.05);
        assert_eq!(found.lines.len(), lines.len(), "{found:?}");
        for (line, (n, db)) in found.lines.iter().zip(lines) {
            assert!((line.hz / mains_hz - n).abs() < 0.01 * n, "{line:?}");
            let off_db = 10.0 * line.power.log10() - db;
            assert!(off_db.abs() < 0.5, "{off_db} dB off at {} Hz", line.hz);
        }
        assert_floor(noise(&heard), -135.0, 1.0);
    }
}

#[test]
fn silence_is_told_as_such_and_too_little_too() {
    let gated = Take::new(48e3, 30.0, notes(4.0));
    assert_eq!(gated.heard(None).noise, Quiet::Silence);
    let short = Take::new(48e3, 1.0, |_| 0.0).with_white(-120.0, 4);
    assert_eq!(short.heard(None).noise, Quiet::TooShort);
    let mut padded = Take::new(48e3, 60.0, |_| 0.0).with_white(-120.0, 5);
    padded.samples.splice(0..0, vec![0.0; 200_000]);
    padded.samples.extend(vec![0.0; 200_000]);
    assert_floor(noise(&padded.heard(None)), -120.0, 1.0);
}

/// Blocks of any size.
fn listened(listener: &mut NoiseListener, samples: &[f64]) {
    let mut rest = samples;
    for size in [441, 64, 4096, 1, 1009].into_iter().cycle() {
        let (block, more) = rest.split_at(size.min(rest.len()));
        listener.add([block]);
        rest = more;
        if rest.is_empty() {
            break;
        }
    }
}

fn sine(hz: f64, db: f64, time: f64) -> f64 {
    2f64.sqrt() * 10f64.powf(db / 20.0) * (TAU * hz * time).sin()
}

/// Of less than two minutes it says what a meter says.
#[test]
fn who_goes_on_listening_hears_the_same() {
    let music = notes(2.0);
    let take = Take::new(48e3, 90.0, |time| music(time) + sine(50.0, -80.0, time)).with_white(-130.0, 6);
    let mut listener = NoiseListener::new(take.rate_hz, &STRINGS_HZ);
    listened(&mut listener, &take.samples);
    assert_eq!(listener.heard(), take.heard(None));
    // Asking takes nothing away.
    assert_eq!(listener.heard(), take.heard(None));
    assert!((listener.seconds() - 89.0).abs() < 0.6, "{}", listener.seconds());
}

/// Hum that was turned off, and a floor that was.
#[test]
fn what_is_older_than_two_minutes_is_forgotten() {
    let mut listener = NoiseListener::new(48e3, &STRINGS_HZ);
    let music = notes(2.0);
    let loud = Take::new(48e3, 80.0, |time| music(time) + sine(50.0, -60.0, time)).with_white(-115.0, 7);
    listened(&mut listener, &loud.samples);
    assert_floor(noise(&listener.heard()), -115.0, 1.0);
    let line = noise(&listener.heard()).hum.as_ref().unwrap().lines[0];
    assert!((10.0 * line.power.log10() + 60.0).abs() < 0.5, "{line:?}");
    let quiet = Take::new(48e3, 122.0, notes(2.0)).with_white(-135.0, 8);
    listened(&mut listener, &quiet.samples);
    assert_floor(noise(&listener.heard()), -135.0, 1.0);
    assert_eq!(noise(&listener.heard()).hum, None);
}

/// A host that goes elsewhere, and stands still with zeros: hum turns no less evenly than it does, and nothing is a gate's.
#[test]
fn pieces_that_do_not_follow_are_not_taken_for_one() {
    let mut listener = NoiseListener::new(48e3, &STRINGS_HZ);
    let music = notes(2.0);
    let take =
        Take::new(48e3, 100.0, |time| music(time) + sine(50.1, -70.0, time) + sine(150.3, -80.0, time))
            .with_white(-130.0, 9);
    for (index, piece) in take.samples.chunks(24_000 * 7 - 1_234).enumerate() {
        listened(&mut listener, piece);
        if index % 3 == 1 {
            listener.add([[0.0; 200_000].as_slice()]);
        }
        listener.interrupt();
        if index % 3 == 2 {
            listener.add([[0.0; 200_000].as_slice()]);
        }
    }
    let heard = listener.heard();
    assert_floor(noise(&heard), -130.0, 1.0);
    let hum = noise(&heard).hum.as_ref().unwrap();
    assert!((hum.hz - 50.1).abs() < 0.05, "{hum:?}");
    assert_eq!(hum.lines.len(), 2, "{hum:?}");
    for (line, db) in hum.lines.iter().zip([-70.0, -80.0]) {
        assert!((10.0 * line.power.log10() - db).abs() < 0.5, "{line:?}");
    }
    // Between sounds that do follow it is one.
    listener.add([[0.0; 200_000].as_slice()]);
    listener.add([&take.samples[..100_000]]);
    assert!(matches!(listener.heard().noise, Quiet::Noise(_)), "zeros in front, behind an interruption");
    listener.add([[0.0; 200_000].as_slice()]);
    listener.add([&take.samples[..100_000]]);
    assert_eq!(listener.heard().noise, Quiet::Silence);
}
