//! What a parameter's value reads as in a host, and what may be typed. One text for CLAP and VST3: the unit
//! is part of it.

use std::str::FromStr;

use dsp_core::units::{Capacitance, Inductance, Length, Problem, Resistance, Tolerance, UnitError};

use crate::sound::shown;

const NONE: &str = "none";
const OFF: &str = "off";
const ON: &str = "on";

pub(crate) fn resistance(stored_ohms: f32) -> String {
    shown::resistance(stored_ohms).map_or_else(|| NONE.to_owned(), |value| value.to_string())
}

/// A bare number below the range is refused: it could mean kΩ or MΩ, whichever was on the screen.
pub(crate) fn read_resistance(text: &str) -> Option<f32> {
    if is(text, NONE) {
        return Some(shown::RESISTANCE_OHMS.1);
    }
    let ohms = exact(text.trim().parse::<Resistance>().ok()?, Resistance::tolerance)?.ohms();
    let bare = text.trim().parse::<f64>().is_ok();
    if bare && ohms < f64::from(shown::RESISTANCE_OHMS.0) { None } else { Some(narrow(ohms)) }
}

pub(crate) fn pickup_capacitance(stored_picofarads: f32) -> String {
    shown::pickup_capacitance(stored_picofarads).map_or_else(String::new, |value| value.to_string())
}

/// A bare number is picofarads.
pub(crate) fn read_pickup_capacitance(text: &str) -> Option<f32> {
    read_or_bare(text, Capacitance::tolerance, |value| value.farads() * 1e12)
        .filter(|picofarads| *picofarads > 0.0)
}

pub(crate) fn coil_inductance(stored_henries: f32) -> String {
    shown::coil_inductance(stored_henries).map_or_else(String::new, |value| value.to_string())
}

pub(crate) fn primary_inductance(stored_henries: f32) -> String {
    shown::primary_inductance(stored_henries).map_or_else(String::new, |value| value.to_string())
}

/// A bare number is henries. There is no "none": without a coil or a transformer the value counts for nothing anyway.
pub(crate) fn read_inductance(text: &str) -> Option<f32> {
    read_or_bare(text, Inductance::tolerance, Inductance::henries).filter(|henries| *henries > 0.0)
}

pub(crate) fn shunt_capacitance(stored_picofarads: f32) -> String {
    shown::shunt_capacitance(stored_picofarads).map_or_else(|| "0 pF".to_owned(), |value| value.to_string())
}

/// A bare number is picofarads.
pub(crate) fn read_shunt_capacitance(text: &str) -> Option<f32> {
    read_or_bare(text, Capacitance::tolerance, |value| value.farads() * 1e12)
}

pub(crate) fn cable(stored_metres: f32) -> String {
    shown::cable(stored_metres).map_or_else(|| "0 m".to_owned(), |value| value.to_string())
}

/// A bare number is metres.
pub(crate) fn read_cable(text: &str) -> Option<f32> {
    read_or_bare(&text.to_lowercase(), Length::tolerance, Length::metres)
}

pub(crate) fn level(stored_db: f32) -> String {
    format!("{} dB", shown::level_db(stored_db))
}

/// A bare number is dB.
pub(crate) fn read_level(text: &str) -> Option<f32> {
    let text = text.trim().to_lowercase().replace('−', "-");
    let number = text.strip_suffix("db").unwrap_or(&text).trim_end();
    number.parse().ok().filter(|db: &f64| db.is_finite()).map(narrow)
}

pub(crate) fn ceiling(stored_db: f32) -> String {
    shown::ceiling(stored_db, true).db().map_or(OFF.to_owned(), |db| format!("{db} dB"))
}

/// A bare number is dB. A typed number never turns the ceiling off.
pub(crate) fn read_ceiling(text: &str) -> Option<f32> {
    if is(text, OFF) {
        return Some(shown::CEILING_DB.1);
    }
    read_level(text).map(|db| db.min(shown::MOST_CEILING_DB))
}

pub(crate) fn floor(stored_hz: f32) -> String {
    shown::floor(stored_hz).map_or(OFF.to_owned(), |floor| format!("{} Hz", floor.hz))
}

/// A bare number is Hz. One between nothing and the lowest floor is refused: it could mean a part of the lowest string's frequency.
pub(crate) fn read_floor(text: &str) -> Option<f32> {
    let text = text.trim().to_lowercase();
    if is(&text, OFF) {
        return Some(shown::FLOOR_HZ.0);
    }
    let hz: f64 = text.strip_suffix("hz").unwrap_or(&text).trim_end().parse().ok()?;
    let (off, least) = (shown::FLOOR_HZ.0, shown::LEAST_FLOOR_HZ);
    (hz == f64::from(off) || (hz >= f64::from(least) && hz.is_finite())).then(|| narrow(hz))
}

pub(crate) fn switch(on: bool) -> String {
    if on { ON } else { OFF }.to_owned()
}

pub(crate) fn read_switch(text: &str) -> Option<bool> {
    match text.trim().to_lowercase().as_str() {
        ON | "true" | "yes" | "1" => Some(true),
        OFF | "false" | "no" | "0" => Some(false),
        _ => None,
    }
}

fn is(text: &str, word: &str) -> bool {
    text.trim().eq_ignore_ascii_case(word)
}

/// A value without a tolerance: a parameter is one number, and a circuit's value keeps its own tolerance.
fn exact<T: Copy>(value: T, tolerance: impl Fn(T) -> Tolerance) -> Option<T> {
    tolerance(value).is_none().then_some(value)
}

/// Reads a quantity with its unit, a bare number in the unit that is stored, or `none` or a zero, with or
/// without a unit.
fn read_or_bare<T: FromStr<Err = UnitError> + Copy>(
    text: &str,
    tolerance: impl Fn(T) -> Tolerance,
    stored: impl Fn(T) -> f64,
) -> Option<f32> {
    let text = text.trim();
    if is(text, NONE) {
        return Some(0.0);
    }
    if let Ok(bare) = text.parse::<f64>() {
        return (bare.is_finite() && bare >= 0.0).then(|| narrow(bare));
    }
    match text.parse::<T>() {
        Ok(value) => Some(narrow(stored(exact(value, tolerance)?))),
        Err(UnitError { problem: Problem::NotPositive, .. }) if !text.starts_with(['-', '−']) => Some(0.0),
        Err(_) => None,
    }
}

#[expect(clippy::cast_possible_truncation, reason = "the precision in which hosts keep parameters")]
fn narrow(value: f64) -> f32 {
    value as f32
}

#[cfg(test)]
mod tests {
    use super::*;

    /// They would be lost without a word: they are typed where the circuit is.
    #[test]
    fn tolerances_are_refused() {
        for text in ["1M ±20 %", "1MM", "470k+-5%"] {
            assert_eq!(read_resistance(text), None, "{text}");
        }
        for text in ["680p ±30 %", "220pK"] {
            assert_eq!((read_pickup_capacitance(text), read_shunt_capacitance(text)), (None, None), "{text}");
        }
        assert_eq!((read_inductance("47 H ±5 %"), read_cable("6 m ±10 %")), (None, None));
    }

    #[test]
    fn writes_what_the_trade_writes() {
        assert_eq!(resistance(470e3), "470 kΩ");
        assert_eq!(resistance(2.2e6), "2.2 MΩ");
        assert_eq!(resistance(319_727.9), "319.7 kΩ");
        assert_eq!(resistance(1e9), "none");
        assert_eq!(pickup_capacitance(680.0), "680 pF");
        assert_eq!(pickup_capacitance(100_000.0), "100 nF");
        assert_eq!(coil_inductance(4.7), "4.7 H");
        assert_eq!(coil_inductance(0.47), "470 mH");
        assert_eq!(primary_inductance(319.727), "319.7 H");
        assert_eq!(shunt_capacitance(0.0), "0 pF");
        assert_eq!(shunt_capacitance(4.7), "4.7 pF");
        assert_eq!(shunt_capacitance(10_000.0), "10 nF");
        assert_eq!(cable(6.0), "6 m");
        assert_eq!(cable(0.05), "0.05 m");
        assert_eq!(cable(0.0), "0 m");
        assert_eq!(level(-0.0), "0 dB");
        assert_eq!(level(-3.5), "-3.5 dB");
        assert_eq!(ceiling(24.0), "24 dB");
        assert_eq!(ceiling(60.0), "off");
        assert_eq!(floor(27.5), "27.5 Hz");
        assert_eq!(floor(98.0), "98 Hz");
        assert_eq!(floor(0.0), "off");
        assert_eq!(switch(true), "on");
    }

    #[test]
    fn reads_what_the_trade_writes() {
        for (text, ohms) in [
            ("470k", 470e3),
            (" 4.7 MΩ ", 4.7e6),
            ("2M2", 2.2e6),
            ("1000000", 1e6),
            ("None", 1e9),
            ("1G", 1e9),
            ("47R", 47.0),
        ] {
            assert_eq!(read_resistance(text), Some(ohms), "{text}");
        }
        for (text, picofarads) in [("680p", 680.0), ("680", 680.0), ("1n5", 1500.0), ("0.1 uF", 100_000.0)] {
            assert_eq!(read_pickup_capacitance(text), Some(picofarads), "{text}");
            assert_eq!(read_shunt_capacitance(text), Some(picofarads), "{text}");
        }
        for (text, henries) in [("2H2", 2.2), ("470 mH", 0.47), (" 47 H ", 47.0), ("3.3", 3.3)] {
            assert_eq!(read_inductance(text), Some(henries), "{text}");
        }
        for text in ["0", "0 pF", "0p", "none"] {
            assert_eq!(read_shunt_capacitance(text), Some(0.0), "{text}");
            assert_eq!(read_pickup_capacitance(text), None, "{text}");
        }
        for (text, metres) in [("6 m", 6.0), ("6", 6.0), ("30 cm", 0.3), ("6 M", 6.0), ("0 m", 0.0)] {
            assert_eq!(read_cable(text), Some(metres), "{text}");
        }
        for (text, db) in [("-3.5 dB", -3.5), ("+6", 6.0), ("−12 DB", -12.0), ("0db", 0.0)] {
            assert_eq!(read_level(text), Some(db), "{text}");
        }
        assert_eq!(read_ceiling("OFF"), Some(60.0));
        assert_eq!(read_ceiling("12 dB"), Some(12.0));
        for (text, hz) in
            [("27.5 Hz", 27.5), ("27.5", 27.5), (" 41HZ ", 41.0), ("Off", 0.0), ("0", 0.0), ("0 Hz", 0.0)]
        {
            assert_eq!(read_floor(text), Some(hz), "{text}");
        }
        assert_eq!(read_switch(" On "), Some(true));
        assert_eq!(read_switch("0"), Some(false));
    }

    /// Whoever types a number wants a limit.
    #[test]
    fn no_number_turns_the_ceiling_off() {
        for text in ["60", "60 dB", "1e9"] {
            assert_eq!(ceiling(read_ceiling(text).unwrap()), "59.99 dB", "{text}");
        }
    }

    #[test]
    fn refuses_what_cannot_be_meant() {
        for text in ["", "x", "470", "-470k", "4k7k", "1 kg", "0", "inf", "NaN", "2m2"] {
            assert_eq!(read_resistance(text), None, "{text}");
        }
        for text in ["", "pF", "-1 pF", "-0 pF", "-5", "6 m", "inf", "NaN"] {
            assert_eq!(read_shunt_capacitance(text), None, "{text}");
            assert_eq!(read_pickup_capacitance(text), None, "{text}");
        }
        for text in ["", "H", "0", "0 H", "none", "-2 H", "6 m", "470p", "inf", "NaN"] {
            assert_eq!(read_inductance(text), None, "{text}");
        }
        for text in ["", "m", "-6 m", "6 s"] {
            assert_eq!(read_cable(text), None, "{text}");
        }
        for text in ["", "dB", "3 s", "inf dB", "NaN", "off"] {
            assert_eq!(read_level(text), None, "{text}");
        }
        for text in ["", "Hz", "0.5", "half", "-27.5 Hz", "27.5 dB", "inf", "NaN"] {
            assert_eq!(read_floor(text), None, "{text}");
        }
        assert_eq!(read_switch("maybe"), None);
    }
}
