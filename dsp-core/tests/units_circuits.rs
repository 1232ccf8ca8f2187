//! Inductances, turns ratios and positions, as the trade writes them.

use dsp_core::circuit::{Chain, Link};
use dsp_core::units::{Inductance, Load, Percent, Problem, Ratio};

#[test]
fn inductances_read_and_print() {
    for (text, henries, printed) in [
        ("50 H", 50.0, "50 H"),
        ("2H2", 2.2, "2.2 H"),
        ("4.7H", 4.7, "4.7 H"),
        ("470 mH", 0.47, "470 mH"),
        ("100 uH", 100e-6, "100 µH"),
        ("1 kH", 1_000.0, "1000 H"),
    ] {
        let value: Inductance = text.parse().unwrap();
        assert_eq!(value.henries(), henries, "{text}");
        assert_eq!(value.to_string(), printed);
        assert_eq!(printed.parse::<Inductance>().unwrap(), value);
    }
    for (text, problem) in [
        ("50", Problem::UnitMissing),
        ("50 m", Problem::UnitUnknown("m".into())),
        ("0 H", Problem::NotPositive),
        ("-1 H", Problem::NotPositive),
        ("2 kkH", Problem::UnitUnknown("kkH".into())),
    ] {
        assert_eq!(text.parse::<Inductance>().unwrap_err().problem, problem, "{text}");
    }
}

#[test]
fn turns_ratios_are_plain_numbers() {
    let ratio: Ratio = "12".parse().unwrap();
    assert_eq!((ratio.value(), ratio.to_string().as_str()), (12.0, "12"));
    assert_eq!("0.5".parse::<Ratio>().unwrap().to_string(), "0.5");
    assert_eq!("0".parse::<Ratio>().unwrap_err().problem, Problem::NotPositive);
    assert_eq!("12 %".parse::<Ratio>().unwrap_err().problem, Problem::UnitUnknown("%".into()));
}

#[test]
fn positions_have_their_sign_of_percent() {
    for (text, fraction, printed) in
        [("70 %", 0.7, "70 %"), ("0%", 0.0, "0 %"), (" 100 % ", 1.0, "100 %"), ("-0 %", 0.0, "0 %")]
    {
        let value: Percent = text.parse().unwrap();
        assert_eq!((value.fraction(), value.to_string().as_str()), (fraction, printed));
    }
    let out = Problem::OutOfRange { low: "0 %", high: "100 %" };
    for (text, problem) in [
        ("", Problem::Empty),
        ("70", Problem::UnitMissing),
        ("x %", Problem::NoNumber),
        ("101 %", out.clone()),
        ("-1 %", out.clone()),
        ("NaN %", out),
    ] {
        assert_eq!(text.parse::<Percent>().unwrap_err().problem, problem, "{text}");
    }
    assert!(Percent::new(f64::NAN).is_err());
    assert_eq!(Percent::FULL.fraction(), 1.0);
}

#[test]
fn loads_take_inductances() {
    let load: Load = "50 H || 47k || 3 m".parse().unwrap();
    let chain = Chain::from(&load);
    assert_eq!(chain.links().next(), Some((&Link::Inductance("50 H".parse().unwrap()), true)));
    assert_eq!(load.to_string(), "50 H || 47 kΩ || 3 m");
    assert_eq!(load.to_string().parse::<Load>().unwrap(), load);
}
