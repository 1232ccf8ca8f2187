use crate::units::{Pitch, Resistance};

/// A loss beyond this is rounding's: two pickups cancel.
const EVERYTHING_DB: f64 = 150.0;

/// A loss or a gain as far as it is said.
#[derive(Debug, Clone, PartialEq)]
pub enum SpokenDb {
    /// Everything is lost.
    Everything,
    /// Less than 0.1 dB.
    Hardly,
    /// A figure with its unit: whole decibels from 10 dB on, tenths below.
    Figure(String),
}

impl SpokenDb {
    /// Of a number of dB, without its sign.
    pub fn of(db: f64) -> Self {
        match db.abs() {
            size if size > EVERYTHING_DB => Self::Everything,
            ..0.05 => Self::Hardly,
            size @ ..9.95 => Self::Figure(format!("{size:.1} dB")),
            size => Self::Figure(format!("{size:.0} dB")),
        }
    }
}

/// A loss as it is said in English.
pub fn spoken_db(db: f64) -> String {
    match SpokenDb::of(db) {
        SpokenDb::Everything => "everything".to_owned(),
        SpokenDb::Hardly => "less than 0.1 dB".to_owned(),
        SpokenDb::Figure(figure) => figure,
    }
}

/// A frequency as it is said, to two figures and more: "27 Hz", "140 Hz", "4.1 kHz".
pub fn spoken_hz(hz: f64) -> String {
    match hz {
        ..9.95 => format!("{hz:.1} Hz"),
        ..999.5 => format!("{hz:.0} Hz"),
        ..9950.0 => format!("{:.1} kHz", hz / 1e3),
        _ => format!("{:.0} kHz", hz / 1e3),
    }
}

/// A resistance as the trade writes it, to three figures.
pub fn spoken_ohms(ohms: f64) -> String {
    Resistance::from_ohms(ohms).map_or_else(|_| format!("{ohms:.3e} Ω"), |value| format!("{value:.3}"))
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
        assert_eq!(verdict(&low_a, f64::INFINITY, "into 1 MΩ"), "low A loses everything into 1 MΩ");
    }

    #[test]
    fn frequencies_and_resistances_are_said_to_as_many_figures_as_matter() {
        for (hz, said) in [
            (4.82, "4.8 Hz"),
            (26.9, "27 Hz"),
            (139.6, "140 Hz"),
            (999.6, "1.0 kHz"),
            (4149.0, "4.1 kHz"),
            (12_345.0, "12 kHz"),
        ] {
            assert_eq!(spoken_hz(hz), said);
        }
        assert_eq!((spoken_ohms(216e3), spoken_ohms(8.401e6)), ("216 kΩ".to_owned(), "8.4 MΩ".to_owned()));
    }
}
