//! From what a parameter stores to what it shows, which is also what is computed with.
//!
//! The host moves parameters as fractions of their range in f32, so what is stored seldom is a round
//! number. Every value is rounded to the digits of its text (four significant ones, or hundredths of a
//! dB) before it becomes part of a circuit: text and sound always agree, to the last bit. Nothing here
//! allocates, and every input, not a number included, gives a value within the range.

use dsp_core::response::{Ceiling, Floor};
use dsp_core::units::{Capacitance, Inductance, Length, Resistance};

/// Load resistances are stored in ohms; the top of the range means that nothing conducts.
pub(crate) const RESISTANCE_OHMS: (f32, f32) = (1e3, 1e9);
/// The pickup's capacitance is stored in picofarads.
pub(crate) const PICKUP_PICOFARADS: (f32, f32) = (100.0, 100_000.0);
/// The pickup's inductance is stored in henries.
pub(crate) const COIL_HENRIES: (f32, f32) = (0.01, 100.0);
/// Primary inductances are stored in henries.
pub(crate) const PRIMARY_HENRIES: (f32, f32) = (0.1, 1_000.0);
/// Load capacitances are stored in picofarads.
pub(crate) const SHUNT_PICOFARADS: (f32, f32) = (0.0, 10_000.0);
/// Cable lengths are stored in metres.
pub(crate) const CABLE_METRES: (f32, f32) = (0.0, 100.0);
/// Gains are stored in dB.
pub(crate) const LEVEL_DB: (f32, f32) = (-24.0, 24.0);
/// The ceiling is stored in dB; the top of the range means that there is none.
pub(crate) const CEILING_DB: (f32, f32) = (6.0, 60.0);
/// The floor is stored in hertz; the bottom of the range means that there is none.
pub(crate) const FLOOR_HZ: (f32, f32) = (0.0, 200.0);

/// The highest ceiling that is one.
pub(crate) const MOST_CEILING_DB: f32 = CEILING_DB.1 - 0.01;
/// The lowest floor that is one.
pub(crate) const LEAST_FLOOR_HZ: f32 = 1.0;
/// Less than this is no capacitance at all.
const LEAST_PICOFARADS: f64 = 0.1;
/// Less than this is no cable at all.
const LEAST_METRES: f64 = 0.01;

/// The resistance of a load; `None` where nothing conducts.
pub(crate) fn resistance(stored_ohms: f32) -> Option<Resistance> {
    let ohms = Decimal::new(within(stored_ohms, RESISTANCE_OHMS)).times_ten_to(0);
    if ohms < f64::from(RESISTANCE_OHMS.1) { Resistance::from_ohms(ohms).ok() } else { None }
}

/// The pickup's capacitance. Never `None`: the range lies within that of [`Capacitance`].
pub(crate) fn pickup_capacitance(stored_picofarads: f32) -> Option<Capacitance> {
    let rounded = Decimal::new(within(stored_picofarads, PICKUP_PICOFARADS));
    Capacitance::from_farads(rounded.times_ten_to(-12)).ok()
}

/// The pickup's inductance. Never `None`: the range lies within that of [`Inductance`].
pub(crate) fn coil_inductance(stored_henries: f32) -> Option<Inductance> {
    inductance(stored_henries, COIL_HENRIES)
}

/// The inductance of a primary. Never `None`, likewise.
pub(crate) fn primary_inductance(stored_henries: f32) -> Option<Inductance> {
    inductance(stored_henries, PRIMARY_HENRIES)
}

fn inductance(stored_henries: f32, range: (f32, f32)) -> Option<Inductance> {
    Inductance::from_henries(Decimal::new(within(stored_henries, range)).times_ten_to(0)).ok()
}

/// The capacitance of a load; `None` where there is none.
pub(crate) fn shunt_capacitance(stored_picofarads: f32) -> Option<Capacitance> {
    let rounded = Decimal::new(within(stored_picofarads, SHUNT_PICOFARADS));
    if rounded.times_ten_to(0) < LEAST_PICOFARADS {
        return None;
    }
    Capacitance::from_farads(rounded.times_ten_to(-12)).ok()
}

/// The length of a cable; `None` where there is none.
pub(crate) fn cable(stored_metres: f32) -> Option<Length> {
    let metres = Decimal::new(within(stored_metres, CABLE_METRES)).times_ten_to(0);
    if metres < LEAST_METRES { None } else { Length::from_metres(metres).ok() }
}

/// A gain in dB, in hundredths.
pub(crate) fn level_db(stored_db: f32) -> f64 {
    hundredths(within(stored_db, LEVEL_DB))
}

/// The ceiling, in hundredths of a dB: of every change, or of undoing.
pub(crate) fn ceiling(stored_db: f32, of_every_change: bool) -> Ceiling {
    match hundredths(within(stored_db, CEILING_DB)) {
        db if db >= f64::from(CEILING_DB.1) => Ceiling::Off,
        db if of_every_change => Ceiling::Db(db),
        db => Ceiling::OfUndo(db),
    }
}

/// The floor; `None` where there is none.
pub(crate) fn floor(stored_hz: f32) -> Option<Floor> {
    let hz = Decimal::new(within(stored_hz, FLOOR_HZ)).times_ten_to(0);
    (hz >= f64::from(LEAST_FLOOR_HZ)).then_some(Floor { hz })
}

/// What a parameter stores of a value: the nearest within its range.
#[cfg(feature = "editor")]
#[expect(
    clippy::cast_possible_truncation,
    reason = "parameters are f32, and the value is within their range"
)]
pub(crate) fn stored(value: f64, (low, high): (f32, f32)) -> f32 {
    value.max(f64::from(low)).min(f64::from(high)) as f32
}

/// Into the range; what is not a number becomes its lower end.
fn within(stored: f32, (low, high): (f32, f32)) -> f64 {
    f64::from(if stored >= low { stored.min(high) } else { low })
}

fn hundredths(db: f64) -> f64 {
    // Adding zero turns a negative zero into zero, which reads better.
    (db * 100.0).round() / 100.0 + 0.0
}

/// A number of four significant digits, `mantissa · 10^exponent`.
#[derive(Debug, Clone, Copy)]
struct Decimal {
    mantissa: f64,
    exponent: i32,
}

impl Decimal {
    /// Rounds `value`, which is finite and not negative.
    fn new(value: f64) -> Self {
        if value < 1e-9 {
            return Self { mantissa: 0.0, exponent: 0 };
        }
        #[expect(clippy::cast_possible_truncation, reason = "between -9 and 9")]
        let exponent = value.log10().floor() as i32 - 3;
        let mantissa = Self { mantissa: value, exponent: -exponent }.times_ten_to(0).round_ties_even();
        Self { mantissa, exponent }
    }

    /// The number times a power of ten, with one rounding: a whole mantissa and powers of ten up to 10^22
    /// are exact in f64, so this is the same bits as reading the decimal text.
    fn times_ten_to(self, power: i32) -> f64 {
        let exponent = self.exponent + power;
        if exponent < 0 {
            self.mantissa / 10f64.powi(-exponent)
        } else {
            self.mantissa * 10f64.powi(exponent)
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn read<T: std::str::FromStr>(text: &str) -> T {
        text.parse().unwrap_or_else(|_| panic!("{text}"))
    }

    #[test]
    fn rounds_to_the_values_the_trade_writes() {
        assert_eq!(resistance(469_999.8), Some(read("470k")));
        assert_eq!(resistance(2.2e6), Some(read("2M2")));
        assert_eq!(resistance(1e3), Some(read("1k")));
        // Halfway between two: to the even one, as the standard library writes it.
        assert_eq!(resistance(359_650.0), Some(read("359.6k")));
        assert_eq!(resistance(999.94e6), Some(read("999.9M")));
        assert_eq!(pickup_capacitance(680.000_06), Some(read("680p")));
        assert_eq!(pickup_capacitance(47_000.0), Some(read("47n")));
        assert_eq!(coil_inductance(2.199_999_8), Some(read("2H2")));
        assert_eq!(coil_inductance(0.01), Some(read("10 mH")));
        assert_eq!(primary_inductance(46.999_998), Some(read("47 H")));
        assert_eq!(primary_inductance(1e9), Some(read("1000 H")));
        assert_eq!(shunt_capacitance(4.7), Some(read("4p7")));
        assert_eq!(cable(6.000_000_5), Some(read("6 m")));
        assert_eq!(level_db(-3.497), -3.5);
        assert_eq!(ceiling(24.001, true), Ceiling::Db(24.0));
        assert_eq!(floor(27.500_002), Some(Floor { hz: 27.5 }));
        assert_eq!(floor(112.349), Some(Floor { hz: 112.3 }));
        assert_eq!(floor(0.999_98), Some(Floor { hz: 1.0 }));
    }

    #[test]
    fn ends_of_the_ranges_mean_nothing_at_all() {
        assert_eq!(resistance(1e9), None);
        assert_eq!(resistance(999.96e6), None);
        assert_eq!(resistance(f32::INFINITY), None);
        assert_eq!(shunt_capacitance(0.0), None);
        assert_eq!(shunt_capacitance(1e-12), None);
        assert_eq!(cable(0.004), None);
        assert_eq!(ceiling(60.0, true), Ceiling::Off);
        assert_eq!(ceiling(59.994, true), Ceiling::Db(59.99));
        assert_eq!((floor(0.0), floor(0.999_94)), (None, None));
        assert_eq!(floor(1e9), Some(Floor { hz: 200.0 }));
        assert!(level_db(-0.001).is_sign_positive());
    }

    #[test]
    fn what_is_not_a_number_stays_within_the_range() {
        for odd in [f32::NAN, f32::NEG_INFINITY, -1.0, f32::MIN_POSITIVE] {
            assert_eq!(resistance(odd), Some(read("1k")));
            assert_eq!(pickup_capacitance(odd), Some(read("100p")));
            assert_eq!(coil_inductance(odd), Some(read("10 mH")));
            assert_eq!(primary_inductance(odd), Some(read("100 mH")));
            assert_eq!(shunt_capacitance(odd), None);
            assert_eq!(cable(odd), None);
            assert_eq!(floor(odd), None);
        }
        assert_eq!(ceiling(f32::NAN, true), Ceiling::Db(6.0));
        assert_eq!(level_db(f32::NAN), -24.0);
        assert_eq!(level_db(f32::INFINITY), 24.0);
    }

    proptest! {
        /// The reference is the standard library's own decimal rounding and reading.
        #[test]
        fn equals_the_decimal_text_to_the_bit(exponent in 3.0f32..8.999) {
            let stored = 10f32.powf(exponent);
            let text: f64 = format!("{stored:.3e}").parse().unwrap();
            prop_assert_eq!(resistance(stored).unwrap().ohms().to_bits(), text.to_bits());
        }

        #[test]
        fn henries_equal_the_decimal_text_to_the_bit(exponent in -0.999f32..2.999) {
            let stored = 10f32.powf(exponent);
            let text: f64 = format!("{stored:.3e}").parse().unwrap();
            prop_assert_eq!(primary_inductance(stored).unwrap().henries().to_bits(), text.to_bits());
        }

        #[test]
        fn farads_equal_the_decimal_text_to_the_bit(exponent in -0.9f32..4.0) {
            let stored = 10f32.powf(exponent);
            let picofarads = format!("{stored:.3e}");
            let (mantissa, exponent) = picofarads.split_once('e').unwrap();
            let farads = format!("{mantissa}e{}", exponent.parse::<i32>().unwrap() - 12);
            let text: f64 = farads.parse().unwrap();
            prop_assert_eq!(shunt_capacitance(stored).unwrap().farads().to_bits(), text.to_bits());
        }
    }
}
