//! Decibels as views write them.

/// With a sign and tenths: "−12.8". A level beyond 150 dB is rounding's, or nothing at all.
pub(crate) fn signed(db: f64) -> String {
    let tenths = (db * 10.0).round() / 10.0;
    if tenths.is_nan() {
        "?".to_owned()
    } else if tenths < -150.0 {
        "−∞".to_owned()
    } else if tenths < 0.0 {
        format!("−{:.1}", -tenths)
    } else if tenths > 0.0 {
        format!("+{tenths:.1}")
    } else {
        "0.0".to_owned()
    }
}

/// Under a heading that says loss: "12.8", a gain "−3.0".
pub(crate) fn loss(db: f64) -> String {
    let text = signed(db);
    if db > 150.0 { "∞".to_owned() } else { text.trim_start_matches('+').to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn zero_has_no_sign_and_nothing_is_minus_infinity() {
        let texts = [-12.84, 3.0, -0.04, 0.0, f64::NEG_INFINITY, f64::NAN].map(signed);
        assert_eq!(texts, ["−12.8", "+3.0", "0.0", "0.0", "−∞", "?"]);
        assert_eq!([12.84, -3.0, -0.04, f64::INFINITY].map(loss), ["12.8", "−3.0", "0.0", "∞"]);
    }
}
