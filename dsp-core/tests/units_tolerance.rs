//! Tolerances of values: in per cent, and by the letters of IEC 60062.

use dsp_core::units::{
    Capacitance, Inductance, Length, Load, Problem, Ratio, Resistance, Tolerance, UnitError,
};

/// IEC 60062:2016, letters for equal tolerances in per cent (from memory).
const LETTERS: [(char, f64); 14] = [
    ('E', 0.005),
    ('L', 0.01),
    ('P', 0.02),
    ('W', 0.05),
    ('B', 0.1),
    ('C', 0.25),
    ('D', 0.5),
    ('F', 1.0),
    ('G', 2.0),
    ('H', 3.0),
    ('J', 5.0),
    ('K', 10.0),
    ('M', 20.0),
    ('N', 30.0),
];

fn ohms(text: &str) -> Result<Resistance, UnitError> {
    text.parse()
}

fn farads(text: &str) -> Result<Capacitance, UnitError> {
    text.parse()
}

/// What follows the sign, in every spelling of the sign, is the same tolerance.
#[test]
fn per_cent_in_every_spelling() {
    let expected = farads("680p ±30 %").unwrap();
    assert_eq!(expected.farads().to_bits(), 680e-12_f64.to_bits(), "the middle is untouched");
    for sign in ["±", "+-", "+/-"] {
        for (before, between, after) in [("", "", ""), (" ", "", " "), (" ", " ", " "), ("", " ", "")] {
            for value in ["680p", "680 pF", "n68", "0.68n", "680e-12 F"] {
                let text = format!("{value}{before}{sign}{between}30{after}%");
                assert_eq!(farads(&text), Ok(expected), "{text}");
            }
        }
    }
    assert_ne!(farads("680p"), Ok(expected));
    assert_eq!(farads("680p").unwrap().tolerance(), Tolerance::NONE);
    assert_eq!(farads("680p"), Ok(expected.with_tolerance(Tolerance::NONE)));
}

/// Every kind of quantity carries one, prints it, and reads it back.
#[test]
fn every_quantity_prints_and_reads_back() {
    for (text, printed) in
        [("1M +-20%", "1 MΩ ±20 %"), ("4k7 ± 0.25 %", "4.7 kΩ ±0.25 %"), ("470 ±5%", "470 Ω ±5 %")]
    {
        assert_eq!(ohms(text).unwrap().to_string(), printed);
        assert_eq!(ohms(printed), ohms(text));
    }
    assert_eq!(format!("{:.2}", ohms("4k716 ±5%").unwrap()), "4.7 kΩ ±5 %");
    let henries: Inductance = "47 H ±50 %".parse().unwrap();
    assert_eq!((henries.henries(), henries.to_string().as_str()), (47.0, "47 H ±50 %"));
    let metres: Length = "6 m ±10%".parse().unwrap();
    assert_eq!((metres.metres(), metres.to_string().as_str()), (6.0, "6 m ±10 %"));
    let ratio: Ratio = "12 ±1%".parse().unwrap();
    assert_eq!((ratio.value(), ratio.to_string().as_str()), (12.0, "12 ±1 %"));
    let load: Load = "470k ±5% || 1MM || 6 m +-10 % || 100p±2%".parse().unwrap();
    assert_eq!(load.to_string(), "470 kΩ ±5 % || 1 MΩ ±20 % || 6 m ±10 % || 100 pF ±2 %");
    assert_eq!(load.to_string().parse(), Ok(load));
}

/// A bare number is ambiguous in a load, with a tolerance too.
#[test]
fn a_tolerance_does_not_stand_in_for_a_unit() {
    assert_eq!("470 ±5% || 6 m".parse::<Load>().unwrap_err().problem, Problem::UnitMissing);
    assert_eq!(farads("680 ±5%").unwrap_err().problem, Problem::UnitMissing);
}

#[test]
fn what_is_no_tolerance_is_refused() {
    for wrong in
        ["", "5", "%", "0 %", "-5 %", "91 %", "1e-4 %", "five %", "5 % 5 %", "NaN %", "inf %", "5 pF"]
    {
        for value in ["680p", "1M"] {
            let error = format!("{value} ±{wrong}").parse::<Load>().unwrap_err();
            assert_eq!(error.problem, Problem::NotATolerance(wrong.trim().to_owned()), "{value} ±{wrong}");
            assert!(error.to_string().contains("accepted are ±0.001 % to ±90 %"), "{error}");
        }
    }
    for (text, problem) in [
        ("±5 %", Problem::Empty),
        ("0 ±5 %", Problem::NotPositive),
        ("4k7K ±5 %", Problem::UnitUnknown("K".into())),
        ("2 T ±5 %", Problem::OutOfRange { low: "0.01 Ω", high: "1 TΩ" }),
    ] {
        assert_eq!(ohms(text).unwrap_err().problem, problem, "{text}");
    }
}

/// Codes of IEC 60062 as they stand, each with the multipliers that this program reads.
fn codes(multipliers: &[char]) -> Vec<String> {
    let code = |letter: &char| {
        [format!("4{letter}7"), format!("{letter}47"), format!("220{letter}"), format!("1{letter}")]
    };
    multipliers.iter().flat_map(code).collect()
}

/// Every code with every capital letter behind it: the letter is a tolerance unless it is the quantity's own unit, which reads
/// without a tolerance as it always has.
#[test]
fn a_letter_behind_a_code_is_a_tolerance() {
    let mut judged = 0;
    for code in codes(&['R', 'k', 'K', 'M', 'G']) {
        let plain = ohms(&code).unwrap();
        for letter in 'A'..='Z' {
            let text = format!("{code}{letter}");
            let percent = LETTERS.iter().find(|(known, _)| *known == letter);
            match (ohms(&text), percent) {
                (Ok(value), _) if letter == 'R' && value == plain => {}
                (Ok(value), Some((_, percent))) => {
                    assert_eq!(ohms(&format!("{code} ±{percent} %")), Ok(value), "{text}");
                }
                (Err(error), None) if "QSTZ".contains(letter) => {
                    assert_eq!(error.problem, Problem::UnequalTolerance(letter), "{text}");
                }
                (Err(error), None) => assert!(matches!(error.problem, Problem::UnitUnknown(_)), "{error}"),
                (value, _) => panic!("{text}: {value:?}"),
            }
            judged += 1;
        }
    }
    for code in codes(&['n', 'u', 'µ']) {
        let plain = farads(&code).unwrap();
        for letter in 'A'..='Z' {
            let text = format!("{code}{letter}");
            let percent = LETTERS.iter().find(|(known, _)| *known == letter);
            match (farads(&text), percent) {
                (Ok(value), _) if letter == 'F' => assert_eq!(value, plain, "the farad, in {text}"),
                (Ok(value), Some((_, percent))) => {
                    assert_eq!(farads(&format!("{code} ±{percent} %")), Ok(value), "{text}");
                }
                (Err(error), None) if "QSTZ".contains(letter) => {
                    assert_eq!(error.problem, Problem::UnequalTolerance(letter), "{text}");
                }
                (Err(error), None) => assert!(matches!(error.problem, Problem::UnitUnknown(_)), "{error}"),
                (value, _) => panic!("{text}: {value:?}"),
            }
            judged += 1;
        }
    }
    assert_eq!(judged, 26 * 4 * (5 + 3));
}

/// A multiplier is never taken for a tolerance: what read before there were tolerances reads as it did.
#[test]
fn the_first_letter_is_the_multiplier() {
    for text in ["1M", "4K7", "47K", "10G", "1T", "4M7", "1MEG", "4.7 kohm", "4k7R", "1G0Ω"] {
        assert!(ohms(text).unwrap().tolerance().is_none(), "{text}");
    }
    for text in ["220pF", "1n5F", "220P", "47N", "1U", "0.1 uF", "4p7"] {
        assert!(farads(text).unwrap().tolerance().is_none(), "{text}");
    }
    for (text, same) in
        [("1MM", "1M ±20%"), ("1MK", "1M ±10%"), ("4K7K", "4k7 ±10%"), ("10GG", "10G ±2%"), ("1MG", "1M ±2%")]
    {
        assert_eq!(ohms(text), ohms(same), "{text}");
    }
    for (text, same) in
        [("220pK", "220p ±10%"), ("220pP", "220p ±0.02%"), ("47nN", "47n ±30%"), ("10p0J", "10p ±5%")]
    {
        assert_eq!(farads(text), farads(same), "{text}");
    }
    assert_eq!("4H7H".parse::<Inductance>().unwrap().to_string(), "4.7 H");
    assert_eq!("4H7J".parse::<Inductance>().unwrap().to_string(), "4.7 H ±5 %");
}

/// Only a code has a letter: no space, no point, no unit's name, no exponent, and no small letter.
#[test]
fn letters_stand_right_behind_a_code_and_nowhere_else() {
    for text in ["4k7 K", "470J", "4.7kJ", "4k7ΩK", "4e3kK", "4k7k", "4k7KK", "kK", "K", "47J"] {
        assert!(ohms(text).is_err(), "{text}: {:?}", ohms(text));
    }
    for text in ["220 pK", "220pFK", "220pk", "J", "680J"] {
        assert!(farads(text).is_err(), "{text}: {:?}", farads(text));
    }
    for text in ["6mK", "6 mJ"] {
        assert!(text.parse::<Length>().is_err(), "{text}");
    }
    assert!("12J".parse::<Ratio>().is_err());
}

/// Below 10 pF the standard's letters count picofarads (from memory): not read as per cent.
#[test]
fn letters_below_ten_picofarads_are_refused() {
    for text in ["4p7C", "p47B", "9p9J", "1pK"] {
        let error = farads(text).unwrap_err();
        let letter = text.chars().last().unwrap();
        assert_eq!(error.problem, Problem::LetterOfPicofarads(letter), "{text}");
        assert!(error.to_string().contains("give ± per cent"), "{error}");
    }
    assert_eq!(farads("4p7 ±5%").unwrap().to_string(), "4.7 pF ±5 %");
    assert!(farads("10pC").is_ok());
}
