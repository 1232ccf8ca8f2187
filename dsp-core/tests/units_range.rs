//! Values between two ends, and what is asked back of a person who types.

use crate::common::cases;
use dsp_core::circuit::{Chain, Link, Pickup, Pickups, Spread};
use dsp_core::units::{Capacitance, Inductance, Length, Load, Problem, Ratio, Resistance};
use proptest::prelude::*;

fn farads(text: &str) -> Capacitance {
    text.parse().unwrap_or_else(|error| panic!("{error}"))
}

/// The middle is the geometric mean (sqrt(470e-12 × 4.7e-9) = 1.486270e-9, by hand with ten digits), and it is shown as it was said.
#[test]
fn between_two_ends() {
    for text in ["470p to 4.7n", "470 pF to 4n7", "0.47 to 4.7 nF", "n47 to 4,7n"] {
        let value = farads(text);
        assert_eq!(value.to_string(), "470 pF to 4.7 nF", "{text}");
        assert!((value.farads() - 1.486_270e-9).abs() < 1e-15, "{text}: {:e}", value.farads());
        assert_eq!(value, farads("470p to 4.7n"), "{text}");
    }
    assert_eq!("100 to 220k".parse::<Resistance>().unwrap().to_string(), "100 kΩ to 220 kΩ");
    assert_eq!("5 to 8 m".parse::<Length>().unwrap().to_string(), "5 m to 8 m");
    assert_eq!("10 to 20".parse::<Ratio>().unwrap().to_string(), "10 to 20");
    assert_eq!(format!("{:.2}", farads("471p to 4.72n")), "470 pF to 4.7 nF");
}

/// What follows holds at the ends that were said, and only there: losses of the textbook divider, `10 log10(1 + (1/(2 pi f R C))²)`, at E1
/// into 1 MΩ: 18.3596 dB for 470 pF, 2.2413 dB for 4.7 nF (computed with numpy).
#[test]
fn figures_are_those_of_the_ends() {
    let pickups: Pickups = Pickup::new(farads("470p to 4.7n")).into();
    let chain = Chain::from(&"1M".parse::<Load>().unwrap());
    let loss = Spread::of(&pickups, [&chain]).unwrap().loss_db(41.203_444_614);
    assert!((loss.low - 2.2413).abs() < 1e-3 && (loss.high - 18.3596).abs() < 1e-3, "{loss:?}");
}

#[test]
fn what_is_no_range_says_so() {
    for text in ["4.7n to 470p", "1n to 1n", "470 to 4.7n", "1p to 2n"] {
        assert_eq!(text.parse::<Capacitance>().unwrap_err().problem, Problem::NotARange, "{text}");
    }
    for text in ["1 to 4k7", "to 1k", "1k to", "1k to 2k to 3k", "1k±5% to 2k", "1k to 2k ±5%", "0.001 to 1"]
    {
        assert!(text.parse::<Resistance>().is_err(), "{text}");
    }
    assert!("1k to 10 m".parse::<Load>().is_err() && "470 to 1000 || 6 m".parse::<Load>().is_err());
}

/// A value that is turned takes its ends along in proportion; what a host keeps of it, seven digits, is not turned.
#[test]
fn ends_move_with_their_middle() {
    let range = "22 H to 150 H".parse::<Inductance>().unwrap();
    #[expect(clippy::cast_possible_truncation, reason = "what a host keeps")]
    let kept = f64::from(range.henries() as f32);
    assert_eq!(Inductance::from_henries(kept).unwrap().with_tolerance(range.tolerance()), range);
    let twice = Inductance::from_henries(2.0 * range.henries()).unwrap().with_tolerance(range.tolerance());
    assert_eq!(twice.to_string(), "44 H to 300 H");
    let highest = Resistance::from_ohms(1e12).unwrap();
    let beyond = highest.with_tolerance("1k to 10k".parse::<Resistance>().unwrap().tolerance());
    assert_eq!(beyond, highest, "no end beyond what a resistance can be");
}

/// `1m` is a metre where a file has it, and a question where it is typed.
#[test]
fn a_metre_or_a_megohm() {
    for (text, number) in [
        ("1m", "1"),
        ("10m", "10"),
        ("500m", "500"),
        ("2.2m", "2.2"),
        ("2,2m", "2,2"),
        ("6m", "6"),
        ("470k || 6m", "6"),
        (" 1m ±10 %", "1"),
        ("1m to 10m", "1"),
        ("1mm", "1"),
        ("2m2", "2.2"),
    ] {
        let problem = Load::typed(text).unwrap_err().problem;
        assert_eq!(problem, Problem::MetresOrMegohms(number.to_owned()), "{text}");
        assert!(problem.to_string().starts_with(&format!("{number} MΩ is written {number}M")), "{problem}");
    }
    for text in ["6m", "470k || 6m", "500m", "10m"] {
        assert!(text.parse::<Load>().is_ok(), "files have it: {text}");
    }
    for text in [
        "6 m",
        "1 m",
        "2.5 m",
        "30 cm",
        "30cm",
        "6 metres",
        "6metre",
        "80 m",
        "470k || 6 m ±10 %",
        "1M",
        "2M2",
    ] {
        assert_eq!(Load::typed(text), text.parse(), "{text}");
        assert!(text.parse::<Load>().is_ok(), "{text}");
    }
}

/// Any two ends of any quantity, as they are shown, are the same again to the bit.
fn returns<T>(low: f64, factor: f64, unit: &str) -> Result<(), TestCaseError>
where
    T: std::str::FromStr + std::fmt::Display + PartialEq + std::fmt::Debug,
    T::Err: std::fmt::Debug,
{
    let text = format!("{low:e}{unit} to {:e}{unit}", low * factor);
    if let Ok(value) = text.parse::<T>() {
        prop_assert_eq!(value.to_string().parse::<T>().unwrap(), value);
    }
    Ok(())
}

proptest! {
    #![proptest_config(cases(2000))]

    #[test]
    fn what_is_shown_reads_back(exponent in -15.0f64..12.0, factor in 1.0f64..1000.0) {
        let low = 10f64.powf(exponent);
        returns::<Resistance>(low, factor, " Ω")?;
        returns::<Capacitance>(low, factor, " F")?;
        returns::<Inductance>(low, factor, " H")?;
        returns::<Length>(low, factor, " m")?;
        returns::<Ratio>(low, factor, "")?;
    }

    /// No text makes a reader panic; what one reads is shown as it can be read.
    #[test]
    fn no_text_panics(text in "[0-9.,epnumkMGTHFΩ±%|∥+ -]{0,12}( to )?[0-9.pnkM m]{0,6}( transformer | buffered| active|\\PC)?") {
        let _ = text.parse::<Link>();
        let _ = Load::typed(&text);
        if let Ok(load) = text.parse::<Load>() {
            prop_assert_eq!(load.to_string().parse::<Load>(), Ok(load));
        }
    }
}
