//! A gain, at rest or on its way.

use arrayvec::ArrayVec;

use super::ramp::Ramp;

/// Ramps that can be under way at once.
const MOST_RAMPS: usize = 4;

/// A gain (a plain factor). What arrives while it is on its way leads on from the moving value: each ramp mixes what comes before it
/// with its own target, so that the gain stays among those that were asked for, and is as smooth as one ramp.
#[derive(Debug, Clone)]
pub(super) struct Gain {
    from: f64,
    /// Where each leads, the oldest first.
    ramps: ArrayVec<(f64, Ramp), MOST_RAMPS>,
    /// A target and a length in frames, until there is room.
    waiting: Option<(f64, f64)>,
    #[cfg(test)]
    pub fault: Option<super::fault::Fault>,
}

impl Gain {
    pub const fn at_rest(value: f64) -> Self {
        Self {
            from: value,
            ramps: ArrayVec::new_const(),
            waiting: None,
            #[cfg(test)]
            fault: None,
        }
    }

    pub fn target(&self) -> f64 {
        let last = self.ramps.last().map(|(to, _)| *to);
        self.waiting.map(|(to, _)| to).or(last).unwrap_or(self.from)
    }

    pub fn is_moving(&self) -> bool {
        !self.ramps.is_empty()
    }

    /// Goes to `target` in `length` frames. Of several for which there is no room yet only the last one counts.
    pub fn set(&mut self, target: f64, length: f64) {
        if target == self.target() {
            return;
        }
        #[cfg(test)]
        if let Some(fault) = &mut self.fault {
            fault.set(target, length);
        }
        self.waiting = Some((target, length));
        self.follow();
    }

    fn follow(&mut self) {
        if !self.ramps.is_full()
            && let Some((target, length)) = self.waiting.take()
        {
            self.ramps.push((target, Ramp::start(length)));
        }
    }

    /// Ends on exactly the target.
    pub fn land(&mut self) {
        self.from = self.target();
        self.ramps.clear();
        self.waiting = None;
    }

    /// For the next frame.
    pub fn value(&self) -> f64 {
        #[cfg(test)]
        if let Some(fault) = &self.fault {
            return fault.value();
        }
        self.ramps.iter().fold(self.from, |value, (to, ramp)| {
            let weight = ramp.weight();
            (1.0 - weight) * value + weight * to
        })
    }

    /// The largest of what was asked for and may still be on the way.
    pub fn largest(&self) -> f64 {
        self.ramps.iter().fold(self.from, |largest, (to, _)| largest.max(*to))
    }

    /// Moves on by one frame.
    pub fn step(&mut self) {
        #[cfg(test)]
        if let Some(fault) = &mut self.fault {
            fault.step();
        }
        self.ramps.iter_mut().for_each(|(_, ramp)| ramp.step());
        if let Some(landed) = self.ramps.iter().rposition(|(_, ramp)| !ramp.is_moving()) {
            self.from = self.ramps[landed].0;
            self.ramps.drain(..=landed);
            self.follow();
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(2_000) })]

        /// Whatever comes and whenever, among the values that were asked for in the last while, without a jump, and at last exactly the last
        /// one.
        #[test]
        fn stays_among_what_was_asked_for(
            steps in prop::collection::vec((1e-3..1e3_f64, 1..400_u16, 0..500_u16), 1..30),
        ) {
            let mut gain = Gain::at_rest(1.0);
            let (mut asked, mut steepest) = (vec![1.0_f64], 0.0_f64);
            for (target, length, frames) in steps {
                gain.set(target, f64::from(length));
                asked.push(target);
                let range = asked.iter().fold((f64::INFINITY, 0.0_f64), |(low, high), v| (low.min(*v), high.max(*v)));
                steepest = steepest.max(f64::from(length).recip());
                for _ in 0..frames {
                    let before = gain.value();
                    gain.step();
                    let now = gain.value();
                    prop_assert!(now >= range.0 * (1.0 - 1e-12) && now <= range.1 * (1.0 + 1e-12), "{now} {range:?}");
                    // 15/8 is the smoothstep's steepest slope; so many ramps may be as steep at once.
                    let most = 1.875 * steepest * 4.0 * (range.1 - range.0) * 1.001;
                    prop_assert!((now - before).abs() <= most, "{before} {now}");
                }
                if !gain.is_moving() {
                    prop_assert_eq!(gain.value(), target);
                    asked = vec![target];
                }
            }
            let target = gain.target();
            (0..5 * 400).for_each(|_| gain.step());
            prop_assert!(!gain.is_moving());
            prop_assert_eq!(gain.value(), target);
        }
    }

    /// A new target leads on at once: half of a ramp's length later it is nearer to it than to any other.
    #[test]
    fn does_not_wait_for_a_slow_ramp() {
        let mut gain = Gain::at_rest(1.0);
        gain.set(2.0, 9_600.0);
        (0..100).for_each(|_| gain.step());
        gain.set(0.5, 1_440.0);
        (0..1_440).for_each(|_| gain.step());
        assert_eq!((gain.value(), gain.is_moving()), (0.5, false));
    }
}
