use crate::units::Pitch;

/// A loss as it is said: whole decibels from 10 dB on, tenths below.
pub fn spoken_db(db: f64) -> String {
    let size = db.abs();
    if size < 0.05 {
        "less than 0.1 dB".to_owned()
    } else if size < 9.95 {
        format!("{size:.1} dB")
    } else {
        format!("{size:.0} dB")
    }
}

/// The first line of every screen and report: "low A loses 13 dB through the tuner".
///
/// `string` is the lowest string, `db` its loss (negative for a gain), `place` says where: "through the tuner".
pub fn verdict(string: &Pitch, db: f64, place: &str) -> String {
    let verb = if db < -0.05 { "gains" } else { "loses" };
    format!("low {} {verb} {} {place}", string.letter(), spoken_db(db))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The sentence of product.md, from the loss of 680 pF into 1 MΩ at 55 Hz (textbook RC: 12.8 dB).
    #[test]
    fn says_it_as_the_trade_does() {
        let low_a = "A1".parse().unwrap();
        assert_eq!(verdict(&low_a, 12.8, "through the tuner"), "low A loses 13 dB through the tuner");
        assert_eq!(verdict(&low_a, 0.16, "into 22 MΩ"), "low A loses 0.2 dB into 22 MΩ");
        assert_eq!(verdict(&low_a, 0.01, "into 1 GΩ"), "low A loses less than 0.1 dB into 1 GΩ");
        assert_eq!(verdict(&low_a, -3.0, "by undoing"), "low A gains 3.0 dB by undoing");
    }
}
