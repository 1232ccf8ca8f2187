//! How long a search is: as long as usual, or `FIRSTJACK_LONGER` times that; 0.25 is a quarter.

/// So many cases where `usual` are usual, at least one.
///
/// # Panics
/// If the variable is no number above zero.
pub fn cases(usual: u32) -> u32 {
    let times = std::env::var("FIRSTJACK_LONGER").map_or(1.0, |times| times.parse().expect("a number"));
    assert!(times > 0.0, "FIRSTJACK_LONGER is {times}, not a number above zero");
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "above zero; it saturates")]
    let cases = (f64::from(usual) * times).ceil() as u32;
    cases
}
