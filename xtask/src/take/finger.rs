//! The fingertip: the soft rub just before a string leaves it and just after.

use super::Pluck;
use super::clock::Clock;
use super::noise::Generator;
use super::voice::smoothstep;

/// Level of the rub as the bridge feels it, for the hardest pluck.
const LEVEL: f64 = 0.11;
/// How much of it the pickup hears directly; the rest reaches it through the body.
pub(super) const DIRECT: f64 = 0.12;
/// The rub grows for this long before the pluck, in seconds.
const BEFORE_S: f64 = 0.012;
/// It dies away after the pluck with this time constant, in seconds.
const AFTER_S: f64 = 0.014;
/// Time constants after which the rub ends; it is 104 dB down by then.
const TAIL: f64 = 12.0;
/// Skin on string catches and slips: random values per second, joined by straight lines. As a
/// function of time, not of samples, they are the same at every rate.
const GRAINS_PER_S: f64 = 4_000.0;

/// Adds the rub of `pluck` to `track`, which starts at time 0. `seed` tells the plucks apart.
pub(super) fn add(track: &mut [f64], pluck: &Pluck, seed: u64, clock: Clock) {
    let begin_s = pluck.onset_s - BEFORE_S;
    let end_s = pluck.onset_s + TAIL * AFTER_S;
    let start = clock.first_sample_at(begin_s).min(track.len());
    let end = clock.first_sample_at(end_s).min(track.len());
    let mut grains = Grains::new(seed);
    for (offset, sample) in track[start..end].iter_mut().enumerate() {
        let time_s = clock.time_of(start + offset) - begin_s;
        *sample += LEVEL * pluck.strength * swell(time_s) * grains.at(time_s);
    }
}

/// Loudness of the rub, 0 to 1, `time_s` after its beginning.
fn swell(time_s: f64) -> f64 {
    if time_s < BEFORE_S { smoothstep(time_s / BEFORE_S) } else { ((BEFORE_S - time_s) / AFTER_S).exp() }
}

/// Random values joined by straight lines, read forwards in time.
struct Grains {
    generator: Generator,
    /// Number of the grain `earlier`.
    number: f64,
    earlier: f64,
    later: f64,
}

impl Grains {
    fn new(seed: u64) -> Self {
        let mut generator = Generator::new(seed);
        let (earlier, later) = (generator.gaussian(), generator.gaussian());
        Self { generator, number: 0.0, earlier, later }
    }

    /// The value at `time_s`, which must not be before the last one asked for.
    fn at(&mut self, time_s: f64) -> f64 {
        let position = time_s * GRAINS_PER_S;
        while position - self.number >= 1.0 {
            self.earlier = self.later;
            self.later = self.generator.gaussian();
            self.number += 1.0;
        }
        self.earlier + (position - self.number) * (self.later - self.earlier)
    }
}
