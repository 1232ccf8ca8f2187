//! One plucked string as sound: its partials, the finger that lets go, the finger that damps.

use super::Pluck;
use super::clock::Clock;
use super::partials::{self, Partial};
use super::phrase::DAMP_S;
use std::f64::consts::TAU;

/// The string slips off the fingertip in this time, in seconds.
const ATTACK_S: f64 = 0.003;
/// A partial ends where it has fallen to this amplitude: 140 dB below full scale.
const INAUDIBLE: f64 = 1e-7;

/// Adds the string's pull on the bridge to `track`, which starts at time 0.
pub(super) fn add(track: &mut [f64], pluck: &Pluck, clock: Clock) {
    let start = clock.first_sample_at(pluck.onset_s).min(track.len());
    let end = clock.first_sample_at(pluck.silent_s).min(track.len());
    let mut note = vec![0.0; end - start];
    // The first sample lies up to one period after the pluck, so every rate starts at the right phase.
    let first_s = clock.time_of(start) - pluck.onset_s;
    for partial in partials::of(pluck, clock.highest_hz()) {
        add_partial(&mut note, partial, first_s, clock);
    }
    for (index, (sample, sounding)) in track[start..end].iter_mut().zip(note).enumerate() {
        let time_s = clock.time_of(start + index);
        let attack = smoothstep((time_s - pluck.onset_s) / ATTACK_S);
        let hold = smoothstep((pluck.silent_s - time_s) / DAMP_S);
        *sample += sounding * attack * hold;
    }
}

/// Adds one partial by turning and shrinking a phasor: exact in frequency and decay.
fn add_partial(note: &mut [f64], partial: Partial, first_s: f64, clock: Clock) {
    let life_s = (partial.amplitude.abs() / INAUDIBLE).ln() / partial.decay_per_s;
    let life = clock.first_sample_at(life_s).min(note.len());
    let (step_re, step_im) = phasor(partial, clock.period_s());
    let (start_re, start_im) = phasor(partial, first_s);
    let (mut re, mut im) = (partial.amplitude * start_re, partial.amplitude * start_im);
    for sample in &mut note[..life] {
        *sample += re;
        (re, im) = (re * step_re - im * step_im, re * step_im + im * step_re);
    }
}

/// `exp((-decay + j 2 pi f) t)` as real and imaginary part.
fn phasor(partial: Partial, time_s: f64) -> (f64, f64) {
    let size = (-partial.decay_per_s * time_s).exp();
    let (sin, cos) = (TAU * partial.hz * time_s).sin_cos();
    (size * cos, size * sin)
}

/// Quintic step from 0 to 1 over `[0, 1]`, with two continuous derivatives at both ends.
pub(super) fn smoothstep(x: f64) -> f64 {
    let x = x.clamp(0.0, 1.0);
    x * x * x * (10.0 + x * (6.0 * x - 15.0))
}

#[cfg(test)]
mod tests {
    use super::super::measure::{amplitude, band_power, peak_cents, peak_db};
    use super::super::strings::StringName;
    use super::*;

    /// A hard pluck of an open string alone, 0.1 s into a track of `length_s`.
    fn alone(string: StringName, rate_hz: f64, silent_s: f64, length_s: f64) -> Vec<f64> {
        let clock = Clock::new(rate_hz);
        let pluck = Pluck { string, semitones: 0, strength: 1.0, onset_s: 0.1, silent_s };
        let mut track = vec![0.0; clock.first_sample_at(length_s)];
        add(&mut track, &pluck, clock);
        track
    }

    /// Equal-tempered pitches with A4 = 440 Hz (ISO 16), as tables print them (from memory).
    const PITCHES_HZ: [(StringName, f64); 6] = [
        (StringName::A1, 55.000),
        (StringName::D2, 73.416),
        (StringName::G2, 97.999),
        (StringName::C3, 130.813),
        (StringName::E3, 164.814),
        (StringName::A2, 110.000),
    ];

    #[test]
    fn open_strings_are_in_tune_at_every_rate() {
        for rate_hz in [8_000.0, 44_100.0, 192_000.0] {
            for (name, hz) in PITCHES_HZ {
                let off = peak_cents(&alone(name, rate_hz, 2.0, 2.0), rate_hz, hz);
                println!("{name:?} at {rate_hz} Hz: {off:+.2} cents");
                assert!(off.abs() < 3.0, "{name:?} at {rate_hz} Hz: {off} cents");
            }
        }
    }

    /// The tenth partial of the low A, with B = 1.6e-4, is 600 log2(1.016) = 13.74 cents sharp.
    #[test]
    fn upper_partials_are_stretched() {
        let off = peak_cents(&alone(StringName::A1, 8_000.0, 2.0, 2.0), 8_000.0, 550.0);
        assert!((off - 13.74).abs() < 3.0, "{off}");
    }

    #[test]
    fn level_does_not_depend_on_the_rate() {
        let level_db = |rate_hz: f64| {
            let note = alone(StringName::A1, rate_hz, 2.0, 2.0);
            20.0 * amplitude(&note, rate_hz, 55.0).log10()
        };
        let reference = level_db(48_000.0);
        for rate_hz in [8_000.0, 11_025.0, 192_000.0] {
            let off = level_db(rate_hz) - reference;
            assert!(off.abs() < 0.001, "{rate_hz}: {off} dB");
        }
    }

    /// The 25th partial of E3 lies at 4.3 kHz: at 8 kHz it would come back as 3.7 kHz.
    #[test]
    fn nothing_folds_back() {
        let note = alone(StringName::E3, 8_000.0, 1.0, 0.4);
        let after_attack = &note[960..];
        let top = band_power(after_attack, 8_000.0, 3_640.0, 3_990.0);
        let whole = band_power(after_attack, 8_000.0, 20.0, 3_990.0);
        let share_db = 10.0 * (top / whole).log10();
        assert!(share_db < -110.0, "{share_db} dB");
    }

    #[test]
    fn damping_makes_no_click() {
        let note = alone(StringName::A1, 16_000.0, 0.6, 0.8);
        let damping = &note[6_400..];
        let bright = band_power(damping, 16_000.0, 5_000.0, 7_900.0);
        let residue_db = 10.0 * bright.log10() - peak_db(&note);
        assert!(residue_db < -120.0, "{residue_db} dB");
        assert!(note[9_600..].iter().all(|&sample| sample == 0.0));
    }

    /// With no attack at all it is -39 dB (measured).
    #[test]
    fn attack_makes_no_click() {
        let note = alone(StringName::A2, 16_000.0, 1.0, 0.3);
        assert!(note[..1_600].iter().all(|&sample| sample == 0.0));
        let attack = &note[800..2_400];
        let bright = band_power(attack, 16_000.0, 5_000.0, 7_900.0);
        let residue_db = 10.0 * bright.log10() - peak_db(&note);
        println!("attack above 5 kHz: {residue_db:.1} dB re peak");
        assert!(residue_db < -60.0, "{residue_db} dB");
    }
}
