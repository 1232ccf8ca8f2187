use statrs::distribution::{Beta, Binomial, ContinuousCDF, DiscreteCDF};

/// What is beyond either end of a 95 % interval.
const TAIL: f64 = 0.025;
/// Most trials that are counted through for [`needed`].
const MOST_NEEDED: u64 = 2000;

/// Which results speak against chance.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sides {
    /// More right than wrong.
    One,
    /// More of either.
    Two,
}

/// The exact chance of at least `right` of `trials` where either answer is as likely: the upper tail of the binomial distribution
/// with one half.
pub fn p_at_least(right: u64, trials: u64) -> f64 {
    if right == 0 { 1.0 } else { binomial(0.5, trials).sf(right - 1) }
}

/// The exact chance of a split as uneven as `one` to `other`, or more, where either is as likely: the sign test.
pub fn p_two_sided(one: u64, other: u64) -> f64 {
    (2.0 * p_at_least(one.max(other), one + other)).min(1.0)
}

/// The 95 % interval of the proportion of which `right` of `trials` are a sample, by C. J. Clopper and E. S. Pearson (Biometrika
/// 26, 1934): beyond either end the tail of the binomial distribution is less than 2.5 %. Ends are quantiles of beta distributions.
pub fn interval(right: u64, trials: u64) -> (f64, f64) {
    let quantile = |a: u64, b: u64, p: f64| beta(a, b).inverse_cdf(p);
    let wrong = trials - right;
    let low = if right == 0 { 0.0 } else { quantile(right, wrong + 1, TAIL) };
    let high = if wrong == 0 { 1.0 } else { quantile(right + 1, wrong, 1.0 - TAIL) };
    (low, high)
}

/// The number of trials from which on a `share` of right answers always comes out at the level `alpha` with at least this power, by
/// counting through; `None` beyond 2000. With each right answer more that is called for the power falls, and rises again until the next:
/// the first number with which it is reached is often followed by some that fall short.
pub fn needed(share: f64, alpha: f64, power: f64, sides: Sides) -> Option<u64> {
    let alpha = if sides == Sides::Two { alpha / 2.0 } else { alpha };
    // What has to be right grows with the trials, never by more than one at a time.
    let mut critical = 0;
    let falls_short = |trials: &u64| {
        while critical <= *trials && p_at_least(critical, *trials) > alpha {
            critical += 1;
        }
        critical > *trials || binomial(share, *trials).sf(critical - 1) < power
    };
    let last = (1..=MOST_NEEDED).filter(falls_short).last().unwrap_or(0);
    (last < MOST_NEEDED).then_some(last + 1)
}

fn binomial(share: f64, trials: u64) -> Binomial {
    Binomial::new(share, trials).expect("a share between 0 and 1")
}

#[expect(clippy::cast_precision_loss, reason = "counts of answers")]
fn beta(a: u64, b: u64) -> Beta {
    Beta::new(a as f64, b as f64).expect("counts above zero")
}
