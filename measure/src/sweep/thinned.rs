use std::f64::consts::PI;

/// Half the length of the filter, in periods of the low rate.
const HALF: usize = 8;
/// Where the filter is at half, as a part of the low rate: it is flat to 0.3 and has nothing above 0.54.
const CUT_PART: f64 = 0.42;

/// Every `divisor`-th frame behind a low-pass: a sine's own, `sin(x)/x`, in a Hann window (any text on digital filters).
pub(super) fn thinned(samples: &[f64], divisor: usize) -> Vec<f64> {
    let half = HALF * divisor;
    let taps = taps(half, divisor);
    (0..samples.len())
        .step_by(divisor)
        .map(|frame| {
            let (first, skipped) = (frame.saturating_sub(half), half.saturating_sub(frame));
            let heard = &samples[first..(frame + half + 1).min(samples.len())];
            heard.iter().zip(&taps[skipped..]).map(|(sample, tap)| sample * tap).sum()
        })
        .collect()
}

fn taps(half: usize, divisor: usize) -> Vec<f64> {
    #[expect(clippy::cast_precision_loss, reason = "a filter of a few hundred taps")]
    let at = |frame: usize| (frame as f64 - half as f64) / divisor as f64;
    #[expect(clippy::cast_precision_loss, reason = "a few periods")]
    let width = HALF as f64;
    let tap = |periods: f64| {
        let x = 2.0 * PI * CUT_PART * periods;
        let sinc = if x == 0.0 { 1.0 } else { x.sin() / x };
        sinc * (0.5 + 0.5 * (PI * periods / width).cos())
    };
    let taps: Vec<f64> = (0..=2 * half).map(at).map(tap).collect();
    let sum: f64 = taps.iter().sum();
    taps.iter().map(|tap| tap / sum).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The gain of a sine's rms: 1 below 0.36 of the low rate, nothing above its half.
    #[test]
    #[expect(clippy::cast_precision_loss, reason = "a few thousand frames")]
    fn it_keeps_what_the_low_rate_holds_and_drops_the_rest() {
        for (part, gain) in
            [(0.05, 1.0), (0.2, 1.0), (0.3, 1.0), (0.54, 0.0), (0.7, 0.0), (1.3, 0.0), (2.9, 0.0)]
        {
            let sine: Vec<f64> =
                (0..12_000).map(|frame| (2.0 * PI * part * frame as f64 / 6.0).sin()).collect();
            let low = &thinned(&sine, 6)[20..1_980];
            let rms = (low.iter().map(|sample| sample * sample).sum::<f64>() / low.len() as f64).sqrt();
            assert!((rms * 2f64.sqrt() - gain).abs() < 0.02, "{part}: {rms}");
        }
    }
}
