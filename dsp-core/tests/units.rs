//! What the trade writes, read and written again.

use crate::common;
use dsp_core::circuit::{Cable, Chain, Link};
use dsp_core::units::{Capacitance, Length, Load, Percent, Pitch, Problem, Resistance};
use proptest::prelude::*;

/// Resistance codes of IEC 60062:2016, 4.2: the letter stands for the multiplier and for the decimal point (scheme and
/// examples from memory), beside the same value in engineering notation and in plain ohms.
const RESISTANCE_CODES: [(&str, &str, f64); 24] = [
    ("R10", "0.1 Ω", 0.1),
    ("R47", "0.47", 0.47),
    ("R332", "0.332 ohm", 0.332),
    ("1R0", "1 Ω", 1.0),
    ("4R7", "4.7 Ω", 4.7),
    ("3R32", "3.32 ohms", 3.32),
    ("47R", "47 Ω", 47.0),
    ("100R", "100", 100.0),
    ("332R", "332 Ω", 332.0),
    ("1k0", "1 kΩ", 1_000.0),
    ("1K5", "1.5k", 1_500.0),
    ("4k7", "4.7 kohm", 4_700.0),
    ("3k32", "3.32 kΩ", 3_320.0),
    ("47k", "47e3", 47_000.0),
    ("470k", "0.47 MΩ", 470_000.0),
    ("1M0", "1 Meg", 1e6),
    ("2M2", "2.2 MΩ", 2.2e6),
    ("4M7", "4.7Meg", 4.7e6),
    ("33M", "33 MΩ", 33e6),
    ("220M", "0.22 GΩ", 220e6),
    ("1G0", "1 GΩ", 1e9),
    ("3G32", "3.32 GΩ", 3.32e9),
    ("100G", "100 Gohm", 100e9),
    ("1T0", "1 TΩ", 1e12),
];

/// Capacitance codes of the same standard, 4.3 (from memory).
const CAPACITANCE_CODES: [(&str, &str, f64); 18] = [
    ("p10", "0.1 pF", 0.1e-12),
    ("p33", "0.33p", 0.33e-12),
    ("1p0", "1 pF", 1e-12),
    ("4p7", "4.7 pF", 4.7e-12),
    ("3p32", "3.32pF", 3.32e-12),
    ("33p", "33 pF", 33e-12),
    ("680p", "0.68 nF", 680e-12),
    ("1n0", "1000 pF", 1e-9),
    ("1n5", "1.5 nF", 1.5e-9),
    ("3n32", "3.32n", 3.32e-9),
    ("22n", "0.022 µF", 22e-9),
    ("150n", "150 nF", 150e-9),
    ("1u0", "1 uF", 1e-6),
    ("1µ5", "1.5 µF", 1.5e-6),
    ("1μ5", "1.5 μF", 1.5e-6),
    ("4u7", "4.7 uF", 4.7e-6),
    ("33u", "33 µF", 33e-6),
    ("330u", "330e-6 F", 330e-6),
];

/// IEC 60063, E6, E12 and E24 (the E24 decade holds the others).
const E24: [f64; 24] = [
    1.0, 1.1, 1.2, 1.3, 1.5, 1.6, 1.8, 2.0, 2.2, 2.4, 2.7, 3.0, 3.3, 3.6, 3.9, 4.3, 4.7, 5.1, 5.6, 6.2, 6.8,
    7.5, 8.2, 9.1,
];

fn ohms(text: &str) -> f64 {
    text.parse::<Resistance>().unwrap_or_else(|error| panic!("{error}")).ohms()
}

fn farads(text: &str) -> f64 {
    text.parse::<Capacitance>().unwrap_or_else(|error| panic!("{error}")).farads()
}

#[test]
fn resistance_codes_equal_engineering_notation() {
    for (code, engineering, value) in RESISTANCE_CODES {
        assert_eq!(ohms(code).to_bits(), value.to_bits(), "{code}");
        assert_eq!(ohms(engineering).to_bits(), value.to_bits(), "{engineering}");
    }
}

#[test]
fn capacitance_codes_equal_engineering_notation() {
    for (code, engineering, value) in CAPACITANCE_CODES {
        assert_eq!(farads(code).to_bits(), value.to_bits(), "{code}");
        assert_eq!(farads(engineering).to_bits(), value.to_bits(), "{engineering}");
    }
}

/// Each preferred value in each decade, in both notations, and back.
#[test]
fn preferred_values_read_and_print() {
    for (letter, unit) in [("R", "Ω"), ("k", "kΩ"), ("M", "MΩ"), ("G", "GΩ")] {
        for (value, tens) in E24.iter().flat_map(|value| [(value, 1.0), (value, 10.0)]) {
            let digits = format!("{:.1}", value * tens);
            let (whole, tenth) = digits.split_once('.').unwrap();
            let coded: Resistance = format!("{whole}{letter}{tenth}").parse().unwrap();
            let written: Resistance = format!("{digits} {unit}").parse().unwrap();
            assert_eq!(coded, written);
            assert_eq!(coded.to_string(), format!("{} {unit}", digits.trim_end_matches(".0")));
            let coded: Capacitance = format!("{whole}n{tenth}").parse().unwrap();
            assert_eq!(coded, format!("{digits} nF").parse().unwrap());
            assert_eq!(coded.to_string(), format!("{} nF", digits.trim_end_matches(".0")));
        }
    }
}

/// The spellings of the trade that are no code.
#[test]
fn other_spellings() {
    for text in
        ["4.7 MΩ", "4.7Meg", "4.7 meg", "4.7M", "4M7", "4M7Ω", "4700k", "4.7e6", "4.7E6 ohm", " 4.7 MOhm "]
    {
        assert_eq!(ohms(text).to_bits(), 4.7e6_f64.to_bits(), "{text}");
    }
    for text in ["680p", "680 pF", "680pf", "n68", "0.68n", "680e-12 F"] {
        assert_eq!(farads(text).to_bits(), 680e-12_f64.to_bits(), "{text}");
    }
    for (text, metres) in
        [("6 m", 6.0_f64), ("2.5m", 2.5), ("30 cm", 0.3), ("8 mm", 0.008), ("6 metres", 6.0), ("1 km", 1e3)]
    {
        let length: Length = text.parse().unwrap_or_else(|error| panic!("{error}"));
        assert_eq!(length.metres().to_bits(), metres.to_bits(), "{text}");
    }
}

/// A comma is a decimal point, as ISO 80000-1 has it (from memory), where it cannot part thousands.
#[test]
fn a_decimal_comma_is_a_point() {
    for (comma, point) in [
        ("4,7M", "4.7M"),
        ("2,2 MΩ", "2.2 MΩ"),
        ("0,470k", "0.470k"),
        (",5k", ".5k"),
        ("4,70M", "4.70M"),
        ("1234,567k", "1234.567k"),
        ("4,7e3", "4.7e3"),
        ("4,7k ±7,5 %", "4.7k ±7.5 %"),
    ] {
        let read = |text: &str| text.parse::<Resistance>().unwrap_or_else(|error| panic!("{error}"));
        assert_eq!(read(comma), read(point), "{comma}");
    }
    assert_eq!("2,5 m".parse::<Length>().unwrap().metres().to_bits(), 2.5_f64.to_bits());
    assert_eq!("62,5 %".parse::<Percent>().unwrap(), Percent::new(62.5).unwrap());
    for (load, same) in [("4,7M || 2,5 m", "4.7M || 2.5 m"), ("1e6", "1M"), ("4,7e5 ±5 %", "470k ±5 %")] {
        assert_eq!(load.parse::<Load>().unwrap(), same.parse::<Load>().unwrap(), "{load}");
    }
    for (bare, problem) in [("4,7", Problem::UnitMissing), ("1,000", Problem::Comma("1,000".to_owned()))] {
        assert_eq!(bare.parse::<Load>().unwrap_err().problem, problem, "{bare}");
    }
    let said = "1,000".parse::<Resistance>().unwrap_err().to_string();
    assert!(
        said.contains("'1,000' may mean two numbers: give a point, or no comma between thousands"),
        "{said}"
    );
}

#[test]
fn prints_as_the_trade_writes() {
    for (text, printed) in [
        ("470000", "470 kΩ"),
        ("2M2", "2.2 MΩ"),
        ("0.05", "0.05 Ω"),
        ("1T0", "1 TΩ"),
        ("999999", "999.999 kΩ"),
        ("1e6", "1 MΩ"),
    ] {
        assert_eq!(text.parse::<Resistance>().unwrap().to_string(), printed);
    }
    assert_eq!(format!("{:.3}", "999.96 k".parse::<Resistance>().unwrap()), "1 MΩ");
    assert_eq!(format!("{:.2}", "5.96 k".parse::<Resistance>().unwrap()), "6 kΩ");
    assert_eq!("470u".parse::<Capacitance>().unwrap().to_string(), "470 µF");
    assert_eq!("30 cm".parse::<Length>().unwrap().to_string(), "0.3 m");
}

#[test]
fn loads_keep_their_parts_in_order() {
    let load: Load = "470k || 1M||6 m ∥ 100p".parse().unwrap();
    let parts = [
        Link::Resistance("470k".parse().unwrap()),
        Link::Resistance("1M".parse().unwrap()),
        Link::Cable(Cable::new("6 m".parse().unwrap())),
        Link::Capacitance("100p".parse().unwrap()),
    ];
    let chain = Chain::from(&load);
    assert!(chain.links().map(|(link, _)| link).eq(&parts));
    assert_eq!(load.to_string(), "470 kΩ || 1 MΩ || 6 m || 100 pF");
    assert_eq!(" None ".parse::<Load>().unwrap(), Load::default());
    assert_eq!(Load::default().to_string(), "none");
}

/// Every problem, with the words that name what was read, what is wrong and what is accepted.
#[test]
fn problems_name_what_was_read_and_what_is_accepted() {
    let resistance = |text: &str| text.parse::<Resistance>().unwrap_err();
    let capacitance = |text: &str| text.parse::<Capacitance>().unwrap_err();
    let unknown = |unit: &str| Problem::UnitUnknown(unit.to_owned());
    let range = Problem::OutOfRange { low: "0.01 Ω", high: "1 TΩ" };
    for (error, read, problem) in [
        (resistance(""), "", Problem::Empty),
        (resistance("   "), "   ", Problem::Empty),
        (resistance("abc"), "abc", Problem::NoNumber),
        (resistance("inf"), "inf", Problem::NoNumber),
        (resistance("NaN"), "NaN", Problem::NoNumber),
        (resistance("."), ".", Problem::NoNumber),
        (resistance("-"), "-", Problem::NoNumber),
        (capacitance("680"), "680", Problem::UnitMissing),
        (resistance("1 kg"), "1 kg", unknown("kg")),
        (resistance("4k7k"), "4k7k", unknown("k")),
        (resistance("4k7 pF"), "4k7 pF", unknown("pF")),
        (resistance("680p"), "680p", unknown("p")),
        (resistance("1.2.3k"), "1.2.3k", unknown(".3k")),
        (resistance("1,000"), "1,000", Problem::Comma("1,000".to_owned())),
        (resistance("12,345,678"), "12,345,678", Problem::Comma("12,345".to_owned())),
        (resistance("1.000,5k"), "1.000,5k", unknown(",5k")),
        (capacitance("470k"), "470k", unknown("k")),
        (resistance("0"), "0", Problem::NotPositive),
        (resistance("-4k7"), "-4k7", Problem::NotPositive),
        (resistance("−5"), "−5", Problem::NotPositive),
        (resistance("1e400"), "1e400", range.clone()),
        (resistance("1m"), "1m", unknown("m")),
        (resistance("0.001"), "0.001", range.clone()),
        (resistance("2 TΩ"), "2 TΩ", range),
    ] {
        assert_eq!(error.problem, problem, "{read}");
        assert_eq!(error.read, read);
    }
}

#[test]
fn a_message_says_all_of_it() {
    let error = "4k7k".parse::<Resistance>().unwrap_err();
    let accepted = "470k, 2M2, 4.7 MΩ, 4.7Meg, 47R";
    assert_eq!(
        error.to_string(),
        format!("cannot read '4k7k' as a resistance: 'k' is not a unit here; accepted are {accepted}")
    );
    for (problem, words) in [
        (Problem::Empty, "it is empty"),
        (Problem::NoNumber, "it does not start with a number"),
        (Problem::UnitMissing, "its unit is missing"),
        (Problem::UnitUnknown("kg".into()), "'kg' is not a unit here"),
        (Problem::NotPositive, "it must be greater than zero"),
        (Problem::OutOfRange { low: "1 mm", high: "10 km" }, "it is outside 1 mm to 10 km"),
        (Problem::NotAPitch, "it is not a note name with an octave"),
    ] {
        assert_eq!(problem.to_string(), words);
    }
}

/// What a message offers is accepted, and the ends of a range belong to it.
#[test]
fn what_is_offered_is_accepted() {
    for text in "470k, 2M2, 4.7 MΩ, 4.7Meg, 47R, 0.01 Ω, 1 TΩ".split(", ") {
        ohms(text);
    }
    for text in "680p, 680 pF, 1n5, 22 nF, 0.1 uF, 470p to 4.7n, 0.001 pF, 1 F".split(", ") {
        farads(text);
    }
    for text in "6 m, 2.5 m, 30 cm, 1 mm, 10 km".split(", ") {
        text.parse::<Length>().unwrap();
    }
    let error = Length::from_metres(20_000.0).unwrap_err();
    assert_eq!(error.problem, Problem::OutOfRange { low: "1 mm", high: "10 km" });
    assert_eq!(error.accepted, "6 m, 2.5 m, 30 cm");
    let error = Capacitance::from_farads(2.0).unwrap_err();
    assert_eq!(error.problem, Problem::OutOfRange { low: "0.001 pF", high: "1 F" });
    assert_eq!(error.accepted, "680p, 680 pF, 1n5, 22 nF, 0.1 uF, 470p to 4.7n");
}

#[test]
fn numbers_from_elsewhere_are_checked_too() {
    let range = Problem::OutOfRange { low: "0.01 Ω", high: "1 TΩ" };
    for (value, problem) in [
        (0.0, Problem::NotPositive),
        (-1.0, Problem::NotPositive),
        (f64::NEG_INFINITY, Problem::NotPositive),
        (f64::INFINITY, range.clone()),
        (f64::NAN, range),
    ] {
        assert_eq!(Resistance::from_ohms(value).unwrap_err().problem, problem, "{value}");
    }
    assert_eq!(Resistance::from_ohms(4_700.0).unwrap(), "4k7".parse().unwrap());
}

#[test]
fn loads_that_are_none() {
    const ACCEPTED: &str =
        "parts joined by ||, such as 470k || 1M || 6 m || 100p || 50 H || transformer 140k, or none";
    for (text, read, problem) in [
        ("", "", Problem::Empty),
        ("1M ||", "1M ||", Problem::Empty),
        ("|| 1M", "|| 1M", Problem::Empty),
        ("1M |||| 2M", "1M |||| 2M", Problem::Empty),
        ("1M || 470", "470", Problem::UnitMissing),
        ("1M || 1 kg", "1 kg", Problem::UnitUnknown("kg".into())),
        ("1M | 470k", "1M | 470k", Problem::UnitUnknown("M | 470k".into())),
        ("1M || none", "none", Problem::NoNumber),
        ("1M || 0p", "0p", Problem::NotPositive),
        ("1M || -6 m", "-6 m", Problem::NotPositive),
        ("20 km", "20 km", Problem::OutOfRange { low: "1 mm", high: "10 km" }),
        ("\u{202e}Ω\0", "\u{202e}Ω\0", Problem::NoNumber),
    ] {
        let error = text.parse::<Load>().unwrap_err();
        assert_eq!((error.read.as_str(), &error.problem), (read, &problem), "{text:?}");
        assert_eq!(error.accepted, ACCEPTED);
    }
}

/// ISO 16 with twelve equal steps an octave, `440 · 2^(n/12)`, and a round figure for each transposed reference.
#[test]
fn pitches() {
    let hz = |name: &str, a4_hz: f64| name.parse::<Pitch>().unwrap().hz(a4_hz);
    for (name, expected) in [("A4", 440.0), ("A1", 55.0), ("E1", 41.203), ("B0", 30.868), ("C4", 261.626)] {
        assert!((hz(name, Pitch::CONCERT_HZ) - expected).abs() < 5e-4, "{name}");
    }
    assert!((hz("A1", 442.0) - 55.25).abs() < 1e-9);
    assert!((hz("A1", 415.0) - 51.875).abs() < 1e-9);
    for (a, b) in [("C#3", "Db3"), ("B3", "Cb4"), ("B#3", "C4"), ("F♯2", "G♭2")] {
        assert_eq!(hz(a, 440.0).to_bits(), hz(b, 440.0).to_bits(), "{a} {b}");
    }
    assert!((hz("C-1", 440.0) - 8.1758).abs() < 1e-4);
    assert_eq!("Bb2".parse::<Pitch>().unwrap().letter(), "Bb");
    assert_eq!("C-1".parse::<Pitch>().unwrap().letter(), "C");
    assert_eq!(" A1 ".parse::<Pitch>().unwrap().to_string(), "A1");
}

#[test]
fn texts_that_are_no_pitch() {
    for text in ["", "A", "H1", "a1", "A10", "A-2", "A+1", "A01", "A-0", "A##1", "A 1", "1A", "ΩA1", "A1é"]
    {
        let error = text.parse::<Pitch>().unwrap_err();
        assert_eq!((error.read.as_str(), error.problem), (text, Problem::NotAPitch));
        assert_eq!(
            error.accepted,
            "a letter A to G, an optional # or b, and an octave, such as A1, C#3, Bb2"
        );
    }
}

fn round_trip<T>(value: T, si: impl Fn(&T) -> f64) -> Result<(), TestCaseError>
where
    T: std::fmt::Display + std::str::FromStr<Err: std::fmt::Debug>,
{
    let read = |text: &str| text.parse::<T>().unwrap();
    prop_assert_eq!(si(&read(&value.to_string())).to_bits(), si(&value).to_bits(), "{}", value);
    let short = format!("{value:.4}");
    prop_assert_eq!(format!("{:.4}", read(&short)), short);
    Ok(())
}

proptest! {
    #![proptest_config(common::cases(256))]

    #[test]
    fn resistances_print_and_read_back(exponent in -1.999_f64..11.999) {
        round_trip(Resistance::from_ohms(10f64.powf(exponent)).unwrap(), |value| value.ohms())?;
    }

    #[test]
    fn capacitances_print_and_read_back(exponent in -14.999_f64..-0.001) {
        round_trip(Capacitance::from_farads(10f64.powf(exponent)).unwrap(), |value| value.farads())?;
    }

    #[test]
    fn lengths_print_and_read_back(exponent in -2.999_f64..3.999) {
        round_trip(Length::from_metres(10f64.powf(exponent)).unwrap(), |value| value.metres())?;
    }

    #[test]
    fn loads_print_and_read_back(ohms in proptest::collection::vec(1.0_f64..1e9, 0..4), metres in 0.1_f64..100.0) {
        let mut parts: Vec<String> =
            ohms.iter().map(|value| Resistance::from_ohms(*value).unwrap().to_string()).collect();
        parts.push(Length::from_metres(metres).unwrap().to_string());
        let load: Load = parts.join("||").parse().unwrap();
        prop_assert_eq!(load.to_string().parse::<Load>().unwrap(), load);
    }

    /// Any text gives a value or an error that quotes it.
    #[test]
    fn no_text_panics(text in any::<String>()) {
        let _ = text.parse::<Load>().map_err(|error| error.to_string());
        let _ = text.parse::<Pitch>().map_err(|error| error.to_string());
        if let Err(error) = text.parse::<Resistance>() {
            prop_assert!(error.to_string().contains(&text));
        }
    }

    /// Texts made of the pieces that the reader knows come closest to its corners.
    #[test]
    fn no_near_miss_panics(text in "([0-9]{0,3}|[.eE+−-]|[RkKMGTpnuµm ]|Ω|F|Meg|ohm|\\|\\|){0,8}") {
        let _ = text.parse::<Load>();
        for value in [text.parse::<Resistance>().map(|v| v.ohms()), text.parse::<Capacitance>().map(|v| v.farads())]
            .into_iter()
            .flatten()
        {
            prop_assert!(value > 0.0 && value.is_finite());
        }
    }
}
