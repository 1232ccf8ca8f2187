//! TPDF dither: the sum of two evenly spread noises of one step each. Its error has mean zero and a variance of a quarter of a squared
//! step, 2·1/12 from the noises and 1/12 from rounding, whatever the signal (Lipshitz, Wannamaker and Vanderkooy, J. Audio Eng.
//! Soc. 40 (1992); from memory).

use super::rendered;
use crate::support::wav::{Kind, Wav};
use crate::support::{float_take, noise};

const FRAMES: usize = 200_000;
const UNCHANGED: [&str; 5] = ["--through", "none", "--load", "none", "--no-match"];

/// The error of every sample of a dithered rendering, in steps.
fn errors(take: &Wav, kind: Kind) -> Vec<f64> {
    let out = rendered(take, &[UNCHANGED.as_slice(), &["--sample-format", kind.option()]].concat());
    assert_eq!(out.kind, kind);
    let error = |(out, exact): (f64, f64)| (out - exact) * kind.full_scale();
    out.samples().into_iter().zip(take.samples()).map(error).collect()
}

fn mean(values: impl Iterator<Item = f64>) -> f64 {
    values.sum::<f64>() / f64::from(u32::try_from(FRAMES).unwrap())
}

/// Six standard errors of a mean of so many values of this spread.
fn bar(deviation: f64) -> f64 {
    6.0 * deviation / f64::from(u32::try_from(FRAMES).unwrap()).sqrt()
}

/// Without dither, or with an evenly spread one, mean or variance would depend on where between two steps the signal lies.
#[test]
fn errors_are_those_of_tpdf_wherever_the_signal_lies() {
    let step = Kind::Int(2).full_scale().recip();
    let mut takes: Vec<Wav> =
        [0.0, 0.25, 0.5, 0.75].map(|at| float_take(48_000, &vec![(100.0 + at) * step; FRAMES])).to_vec();
    takes.push(float_take(48_000, &noise(0.5, 200_000, 11)));
    for (index, take) in takes.iter().enumerate() {
        let errors = errors(take, Kind::Int(2));
        let average = mean(errors.iter().copied());
        assert!(average.abs() < bar(0.5), "take {index}: mean {average}");
        let variance = mean(errors.iter().map(|error| error * error));
        // The fourth moment of this error is at most 3 σ⁴, so that a square's deviation is at most √2 σ².
        assert!((variance - 0.25).abs() < bar(0.36), "take {index}: variance {variance}");
        let neighbours = mean(errors.iter().zip(&errors[1..]).map(|(a, b)| a * b));
        assert!(neighbours.abs() < bar(0.25), "take {index}: neighbours {neighbours}");
        assert!(errors.iter().all(|error| error.abs() <= 1.5), "take {index}");
    }
}

/// Not the same noise twice.
#[test]
fn channels_have_noises_of_their_own() {
    let take = Wav::new(Kind::Float, 2, 48_000, &vec![0.25; 2 * FRAMES]);
    let errors = errors(&take, Kind::Int(2));
    let product = mean(errors.chunks(2).map(|frame| frame[0] * frame[1]));
    assert!(product.abs() < bar(0.25), "{product}");
}

#[test]
fn longer_words_are_only_rounded() {
    let take = float_take(48_000, &noise(0.5, 200_000, 11));
    let errors = errors(&take, Kind::Int(3));
    assert!(errors.iter().all(|error| error.abs() <= 0.5));
}

#[test]
fn the_same_take_gives_the_same_file() {
    let take = float_take(48_000, &noise(0.5, 10_000, 5));
    for option in ["16", "24", "float"] {
        let rest = ["--through", "22M", "--load", "56k", "--sample-format", option];
        assert!(rendered(&take, &rest).bytes() == rendered(&take, &rest).bytes(), "{option}");
    }
}
