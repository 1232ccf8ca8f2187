/// Seconds in frames.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a few minutes of any rate; below nothing is nothing"
)]
pub(crate) fn frames(seconds: f64, rate_hz: f64) -> usize {
    (seconds * rate_hz).round() as usize
}

/// The next length that is a product of twos, threes and fives, even, for which the transform is fast.
pub(crate) fn fast_length(least: usize) -> usize {
    (least.div_ceil(2)..).find(|half| is_smooth(*half)).map_or(least, |half| 2 * half)
}

fn is_smooth(mut length: usize) -> bool {
    for prime in [2, 3, 5] {
        while length > 1 && length.is_multiple_of(prime) {
            length /= prime;
        }
    }
    length == 1
}
