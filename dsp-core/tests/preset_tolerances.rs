//! What version 4 of the preset files says beyond version 3 of any value: how far it may lie to either side.

use dsp_core::circuit::{Input, Knobs, Link};
use dsp_core::preset::{Preset, PresetProblem};
use dsp_core::units::{Capacitance, Inductance, Length, Resistance};

const KEPT: &str = include_str!("fixtures/version_4_tolerances.toml");

/// The kept copy means today what it meant when it was kept; tolerances by letters as IEC 60062 has them (from memory).
#[test]
fn every_value_of_a_file_may_carry_one() {
    let preset = Preset::from_toml(KEPT).unwrap();
    let written = preset.to_toml();
    for said in [
        "capacitance = \"680 pF ±30 %\"",
        "leakage = \"1 GΩ ±50 %\"",
        "volume = { resistance = \"470 kΩ ±20 %\"",
        "tone = { resistance = \"220 kΩ ±20 %\", capacitance = \"22 nF ±5 %\"",
        "load = \"22 MΩ ±5 % || 3 m ±10 %\"",
        "{ cable = \"6 m ±2 %\", per_metre = \"100 pF ±30 %\", leakage = \"100 MΩ ±50 %\" }",
        "resistor = \"10 kΩ ±10 %\"",
        "input = \"1 MΩ ±20 %\", capacitance = \"47 pF ±5 %\"",
        "blocking = \"22 nF ±10 %\"",
        "primary = \"47 H ±50 %\", winding = \"1.5 kΩ ±5 %\", ratio = \"12 ±1 %\", secondary = \"1.5 kΩ ±1 %\", capacitance = \"330 pF ±20 %\"",
        "input = \"10 kΩ ±1 %\"",
        "load = \"47 H ±20 % || 470 kΩ\"",
    ] {
        assert!(written.contains(said), "{said}\n{written}");
    }
    assert!(written.starts_with("version = 4\n"), "{written}");
    assert_eq!(Preset::from_toml(&written), Ok(preset));
}

/// Programs that know only versions 1 to 3 refuse such a file; so its version must say so, and one without needs no such version.
#[test]
fn tolerances_came_with_version_4() {
    let one = |value: &str, version: i64| {
        let text = format!(
            "version = {version}\nname = 'x'\npickup = {{ capacitance = '1n' }}\nrecorded = {{ load = 'none' }}\n[[setup]]\nname = 's'\nload = '{value}'\n"
        );
        Preset::from_toml(&text)
    };
    for value in ["1M ±5 %", "1MM", "100p || 6 m ±1 %", "6 m || 100nJ", "1M || 47 H +-50%"] {
        for found in [1, 2, 3] {
            let error = one(value, found).unwrap_err();
            let expected = if value.contains('H') && found == 1 { None } else { Some("±") };
            assert!(
                matches!(error.problem, PresetProblem::NewerField { field, since: 4, .. } if expected.is_none_or(|is| is == field)),
                "{error}"
            );
            if found > 1 {
                assert_eq!(
                    error.problem.to_string(),
                    format!("version = {found} has no `±`: accepted with version = 4")
                );
            }
        }
        assert!(one(value, 4).unwrap().to_toml().starts_with("version = 4\n"));
    }
    assert!(one("1M", 4).unwrap().to_toml().starts_with("version = 2\n"));
}

/// A value that is turned keeps its percentage; one that is not is left as it is, and one that stands for several has the largest.
#[test]
fn values_that_are_turned_keep_their_tolerance() {
    let preset = Preset::from_toml(KEPT).unwrap();
    let turned = Knobs {
        input: "470k".parse::<Resistance>().ok(),
        capacitance: "220p".parse::<Capacitance>().ok(),
        cable: "9 m".parse::<Length>().ok(),
        primary: "33 H".parse::<Inductance>().ok(),
    };
    let chain = turned.put(&preset.setups[0].chain);
    let mut cables =
        chain.links().filter_map(|(link, _)| if let Link::Cable(cable) = link { Some(cable) } else { None });
    assert_eq!(cables.next().unwrap().length.to_string(), "9 m", "the one that is turned");
    assert_eq!(cables.next().unwrap().length.to_string(), "6 m ±2 %", "a leaking cable is not turned");
    let heard = chain.heard().unwrap();
    let Input::Transformer(transformer) = heard.input else { panic!("{heard:?}") };
    assert_eq!(transformer.primary.to_string(), "33 H ±50 %");
    assert_eq!(transformer.secondary.tolerance(), "1k5F".parse::<Resistance>().unwrap().tolerance());
    assert!((144.0 * transformer.secondary.ohms() / 470e3 - 1.0).abs() < 1e-8);
    let load = |text: &str| dsp_core::circuit::Chain::from(&text.parse().unwrap());
    let parts = turned.put(&load("1M ±20 % || 6 m ±10 % || 100pJ"));
    assert_eq!(parts, load("470k ±20 % || 9 m ±10 % || 220p ±5 %"));
    let one = Knobs { input: turned.input, ..Knobs::default() }.put(&load("1M ±5 % || 1MM"));
    assert_eq!(one, load("470k ±20 %"));
    let own = load("1M ±5 % || 1MM || 3 m ±1 %");
    assert_eq!(Knobs::take(&own).0.put(&own), own);
}
