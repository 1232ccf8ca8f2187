//! Saving and loading through CLAP: whole, edited, truncated, empty and garbage states.

mod host;

use host::{Change, Host, Noise, assert_same, packed, preset, sine};
use serde_json::{Value, json};

fn unpacked(state: &[u8]) -> Value {
    serde_json::from_slice(&state[8..]).unwrap()
}

fn random_settings(host: &mut Host, noise: &mut Noise) {
    for p in host.parameters() {
        let value = p.min + (p.max - p.min) * noise.unit();
        host.set_value(&p.name, if p.max > 1.0 { value.round() } else { value });
    }
}

fn texts(host: &mut Host) -> Vec<(String, String)> {
    host.parameters().into_iter().map(|p| (p.name.clone(), host.text(&p.name))).collect()
}

#[test]
fn a_state_comes_back_to_the_byte() {
    let mut noise = Noise::new(1);
    for _ in 0..50 {
        let mut first = Host::new();
        random_settings(&mut first, &mut noise);
        let saved = first.save();
        let mut second = Host::new();
        assert!(second.load(&saved));
        assert_eq!(second.save(), saved);
        for p in first.parameters() {
            assert_eq!(first.value(&p.name), second.value(&p.name), "{}", p.name);
        }
    }
}

#[test]
fn the_ends_of_every_range_come_back_to_the_byte() {
    for pick in [|p: &host::Parameter| p.min, |p: &host::Parameter| p.max] {
        let mut first = Host::new();
        for p in first.parameters() {
            first.set_value(&p.name, pick(&p));
        }
        let saved = first.save();
        let mut second = Host::new();
        assert!(second.load(&saved));
        assert_eq!(second.save(), saved);
        assert_eq!(texts(&mut second), texts(&mut first));
    }
}

/// What format 6 means, written out: a later change of this test is a change of the format.
#[test]
fn format_6_is_plain_values_by_id_a_preset_what_was_learned_and_a_view() {
    let mut host = Host::new();
    host.set("Heard setup", "Setup 5");
    host.set("Setup 5 cable length", "7.5 m");
    host.set("Setup 2 load resistance", "none");
    let state = unpacked(&host.save());
    assert_eq!(state["fields"], fields(&preset("courtyard")));
    let params = state["params"].as_object().unwrap();
    assert_eq!(params.len(), 39);
    assert_eq!(params["hold"], json!({ "bool": false }));
    assert_eq!(params["floor"], json!({ "f32": 0.0 }));
    assert_eq!(params["heard"], json!({ "string": "setup-5" }));
    assert_eq!(params["bypass"], json!({ "bool": false }));
    assert_eq!(params["match"], json!({ "bool": true }));
    assert_eq!(params["pickup_c"], json!({ "f32": 680.0 }));
    assert_eq!(params["pickup_l"], json!({ "f32": 4.7 }));
    assert_eq!(params["through_r"], json!({ "f32": 22e6 }));
    assert_eq!(params["through_l"], json!({ "f32": 47.0 }));
    assert_eq!(params["load_c_3"], json!({ "f32": 0.0 }));
    assert_eq!(params["load_r_4"], json!({ "f32": 470e3 }));
    assert_eq!(params["load_l_6"], json!({ "f32": 47.0 }));
    // Typed values pass through the host's normalised f32; the text is what is exact.
    assert!((params["cable_5"]["f32"].as_f64().unwrap() - 7.5).abs() < 1e-4);
    assert!((params["load_r_2"]["f32"].as_f64().unwrap() / 1e9 - 1.0).abs() < 1e-6);
}

/// Loads `params` over settings that are all away from their defaults.
fn load_over_other_settings(params: Value, fields: Value) -> Host {
    let mut host = Host::new();
    random_settings(&mut host, &mut Noise::new(3));
    let json = json!({ "version": "", "params": params, "fields": fields });
    assert!(host.load(&packed(&json.to_string())), "{json}");
    host
}

#[test]
fn values_beyond_the_range_are_clamped() {
    let huge = json!({
        "output": { "f32": 1e9 }, "trim": { "f32": -1e30 }, "pickup_c": { "f32": -1.0 }, "ceiling": { "f32": 1e39 },
        "floor": { "f32": 1e9 },
        "load_r_1": { "f32": 0.0 }, "cable_1": { "f32": 1e38 }, "through_c": { "f32": -1e39 }, "pickup_l": { "f32": 0.0 },
        "load_l_2": { "f32": 1e9 },
    });
    let mut host = load_over_other_settings(huge, json!({ "format": "6", "circuit": "\"\"" }));
    for (name, text) in [
        ("Output", "24 dB"),
        ("Trim", "-24 dB"),
        ("Pickup capacitance", "100 pF"),
        ("Undo ceiling", "off"),
        ("Undo floor", "200 Hz"),
        ("Setup 1 load resistance", "1 kΩ"),
        ("Setup 1 cable length", "100 m"),
        ("Recorded through capacitance", "0 pF"),
        ("Pickup inductance", "10 mH"),
        ("Setup 2 load inductance", "1000 H"),
    ] {
        assert_eq!(host.text(name), text, "{name}");
    }
    // What is saved again is in range too, not only what is shown.
    let saved = unpacked(&host.save());
    for (id, value) in
        [("output", 24.0), ("trim", -24.0), ("pickup_c", 100.0), ("load_r_1", 1e3), ("cable_1", 100.0)]
    {
        assert_eq!(saved["params"][id]["f32"], json!(value), "{id}");
    }
}

/// The sound too: the framework would have set a gain of 1e9 dB.
#[test]
fn an_edited_gain_is_heard_clamped() {
    let mut host = load_over_other_settings(
        json!({ "output": { "f32": 1e9 }, "heard": { "string": "as-recorded" } }),
        json!({}),
    );
    host.start(48_000.0);
    let output = host.run(&vec![vec![0.01; 256]; 2], 256);
    let gain = f64::from(output[0][255]) / f64::from(0.01f32);
    approx::assert_relative_eq!(gain, 10f64.powf(24.0 / 20.0), max_relative = 1e-6);
}

/// Of a state of format 1: its defaults, which differ from those of a new instance in the fourth setup.
#[test]
fn missing_parameters_return_to_their_defaults() {
    let mut host = load_over_other_settings(json!({}), json!({}));
    let mut expected = Host::new();
    expected.set("Setup 4 load resistance", "319.7 kΩ");
    expected.set("Ceiling on every change", "off");
    assert_eq!(texts(&mut host), texts(&mut expected));
    let mut host = load_over_other_settings(json!({}), fields(&preset("courtyard")));
    assert_eq!(texts(&mut host), texts(&mut Host::new()));
    assert_eq!(host.save(), Host::new().save());
}

/// Nothing learned.
const UNKNOWN: &str = r#"{"seconds":0.0,"tracks":[]}"#;

/// The fields of format 6 with this circuit, before any music and any look.
fn fields(circuit: &str) -> Value {
    json!({ "format": "6", "circuit": serde_json::to_string(circuit).unwrap(), "music": UNKNOWN, "view": "{}" })
}

/// What was learned comes back to the byte; what is damaged, or beyond what can be learned, is nothing learned.
#[test]
fn what_was_learned_is_kept_if_it_is_whole() {
    let music = |text: &str| {
        let mut all = fields(&preset("courtyard"));
        all["music"] = json!(text);
        let saved = unpacked(&load_over_other_settings(json!({}), all).save());
        saved["fields"]["music"].as_str().unwrap().to_owned()
    };
    let levels = |band: i16| json!(vec![band; 121]);
    let track: Vec<i16> = (0..121).map(|band| -300 - 2 * band).collect();
    for whole in [
        json!({ "seconds": 19.253, "tracks": [track] }),
        json!({ "seconds": 180.0, "tracks": [levels(-2_000), track] }),
    ] {
        assert_eq!(music(&whole.to_string()), whole.to_string());
    }
    // Beyond the range: its ends.
    let clamped = json!({ "seconds": 3.0, "tracks": [levels(2_000)] }).to_string();
    assert_eq!(music(&json!({ "seconds": 3.0, "tracks": [levels(i16::MAX)] }).to_string()), clamped);
    for odd in [
        json!({ "seconds": 3.0, "tracks": [] }),
        json!({ "seconds": 3.0, "tracks": [[1, 2, 3]] }),
        json!({ "seconds": 3.0, "tracks": [track, track, track] }),
        json!({ "seconds": -3.0, "tracks": [track] }),
        json!({ "seconds": 1e9, "tracks": [track] }),
        json!({ "seconds": "3", "tracks": [track] }),
        json!({ "seconds": 3.0, "tracks": [vec![1e6; 121]] }),
        json!([1, 2]),
        json!(null),
    ] {
        assert_eq!(music(&odd.to_string()), UNKNOWN, "{odd}");
    }
    assert_eq!(music("{\"seconds\":"), UNKNOWN);
}

#[test]
fn missing_parameters_are_those_of_the_circuit() {
    let mut host = load_over_other_settings(json!({}), fields(&preset("passive")));
    let mut loaded = Host::new();
    loaded.load_preset(&preset("passive"));
    assert_eq!(texts(&mut host), texts(&mut loaded));
    // 12² · 1.5 kΩ.
    assert_eq!(host.text("Setup 1 load resistance"), "216 kΩ");
    assert_eq!(host.text("Setup 1 load inductance"), "47 H");
    assert_eq!(host.text("Setup 1 cable length"), "3 m");
}

#[test]
fn a_state_of_format_2_comes_back_to_the_byte() {
    let mut noise = Noise::new(2);
    for name in ["passive", "blocking", "blend", "magnetic-single", "magnetic-double"] {
        let mut first = Host::new();
        first.load_preset(&preset(name));
        random_settings(&mut first, &mut noise);
        let saved = first.save();
        let mut second = Host::new();
        assert!(second.load(&saved));
        assert_eq!(second.save(), saved, "{name}");
        assert_eq!(texts(&mut second), texts(&mut first), "{name}");
    }
}

/// The state is loaded, what it cannot say is left out, and it is not lost: a later version may read it.
#[test]
fn a_circuit_that_cannot_be_read_is_left_out_and_kept() {
    let later = preset("passive").replace("version = 2", "version = 6");
    let damaged = &preset("passive")[..400];
    let seven = format!("{}{}", preset("courtyard"), "[[setup]]\nname = 'seventh'\nload = '1M'\n");
    for circuit in [later.as_str(), damaged, seven.as_str(), "x", "version = 2", " "] {
        let params =
            json!({ "trim": { "f32": 3.0 }, "load_r_1": { "f32": 33e3 }, "heard": { "string": "setup-1" } });
        let mut host = load_over_other_settings(params.clone(), fields(circuit));
        assert_eq!(host.text("Trim"), "3 dB", "{circuit}");
        assert_eq!(host.text("Setup 1 load resistance"), "33 kΩ", "{circuit}");
        let saved = host.save();
        assert_eq!(unpacked(&saved)["fields"], fields(circuit));
        // Heard as a plain one.
        let mut plain = load_over_other_settings(params, fields(""));
        let sound = Noise::new(9).sound(2, 6_000);
        host.start(48_000.0);
        plain.start(48_000.0);
        assert_same(&host.run(&sound, 512), &plain.run(&sound, 512), circuit);
    }
}

#[test]
fn what_is_no_text_in_the_place_of_a_circuit_is_kept_too() {
    for field in ["42", "null", "[1]", "{", "\"open"] {
        let mut host = load_over_other_settings(json!({}), json!({ "format": "2", "circuit": field }));
        let kept = serde_json::to_string(field).unwrap();
        assert_eq!(unpacked(&host.save())["fields"]["circuit"], json!(kept));
        assert_eq!(host.text("Setup 4 load resistance"), "319.7 kΩ");
    }
}

#[test]
fn wrong_types_and_unknown_choices_return_to_their_defaults() {
    let odd = json!({
        "heard": { "string": "setup-7" }, "bypass": { "f32": 1.0 }, "match": { "string": "off" }, "floor": { "string": "27.5 Hz" },
        "guard": { "i32": 0 }, "output": { "bool": true }, "trim": { "string": "6 dB" },
    });
    let mut host = load_over_other_settings(odd, fields(&preset("courtyard")));
    assert_eq!(texts(&mut host), texts(&mut Host::new()));
    let mut host = load_over_other_settings(json!({ "heard": { "i32": 99 } }), json!({}));
    assert_eq!(host.text("Heard setup"), "As recorded");
}

#[test]
fn whole_numbers_are_read_as_numbers() {
    let mut host =
        load_over_other_settings(json!({ "output": { "i32": -6 }, "trim": { "f32": 3 } }), json!({}));
    assert_eq!((host.text("Output").as_str(), host.text("Trim").as_str()), ("-6 dB", "3 dB"));
}

#[test]
fn a_later_format_is_read_as_far_as_it_is_understood() {
    let later = json!({ "trim": { "f32": 3.0 }, "string_gauge": { "f32": 2.5 }, "load_r_7": { "f32": 1e6 } });
    let mut host = load_over_other_settings(later, json!({ "format": "7", "window": "[800, 600]" }));
    assert_eq!(host.text("Trim"), "3 dB");
    let saved = unpacked(&host.save());
    assert_eq!(saved["fields"], fields(""));
    assert_eq!(saved["params"].as_object().unwrap().len(), 39);
}

#[test]
fn what_is_no_state_is_refused_and_changes_nothing() {
    let mut host = Host::new();
    random_settings(&mut host, &mut Noise::new(5));
    let before = host.save();
    let refused = [
        vec![],
        vec![0; 7],
        0u64.to_le_bytes().to_vec(),
        u64::MAX.to_le_bytes().to_vec(),
        packed("{}"),
        packed("null"),
        packed("[]"),
        packed(r#"{"params":{"trim":3.0},"fields":{}}"#),
        packed(r#"{"params":{"trim":{"f32":null}},"fields":{}}"#),
        packed(r#"{"params":{"trim":{"f32":1e999}},"fields":{}}"#),
        packed(r#"{"params":{"trim":{"f64":1.0}},"fields":{}}"#),
        packed(r#"{"params":{}}"#),
    ];
    for state in refused {
        assert!(!host.load(&state), "{:?}", String::from_utf8_lossy(&state));
        assert_eq!(host.save(), before);
    }
}

#[test]
fn truncated_states_are_refused_and_change_nothing() {
    let saved = Host::new().save();
    let mut host = Host::new();
    random_settings(&mut host, &mut Noise::new(6));
    let before = host.save();
    for length in 0..saved.len() {
        assert!(!host.load(&saved[..length]), "{length} bytes");
        assert_eq!(host.save(), before, "{length} bytes");
    }
}

#[test]
fn garbage_never_panics_and_leaves_a_state_that_loads() {
    let mut noise = Noise::new(11);
    let mut host = Host::new();
    let whole = host.save();
    for _ in 0..300 {
        let mut state = whole.clone();
        for _ in 0..=noise.below(4) {
            let at = usize::try_from(noise.below(u32::try_from(state.len()).unwrap())).unwrap();
            state[at] = u8::try_from(noise.below(256)).unwrap();
        }
        host.load(&state);
        let saved = host.save();
        assert!(host.load(&saved));
        assert_eq!(host.save(), saved);
    }
}

/// A project opens: the state is there before the first frame, which must sound as saved.
#[test]
fn a_state_that_is_loaded_before_the_first_frame_is_heard_at_once() {
    let settings = [("Heard setup", "Setup 3"), ("Trim", "-6 dB"), ("Pickup capacitance", "1 nF")];
    let mut saved = Host::running(48_000.0, &settings);
    let state = saved.save();
    let sound = Noise::new(2).sound(2, 4096);
    let expected = saved.run(&sound, 512);
    // At rest, then activated.
    let mut opened = Host::new();
    assert!(opened.load(&state));
    opened.start(48_000.0);
    assert_same(&opened.run(&sound, 512), &expected, "loaded at rest");
    // While active, before any sound.
    let mut opened = Host::running(48_000.0, &[]);
    assert!(opened.load(&state));
    assert_same(&opened.run(&sound, 512), &expected, "loaded while active");
}

/// A preset is chosen while music plays: like any change it must not click. The second difference of a sine of angular
/// frequency w is w² times the sine; a jump shows as much more.
#[test]
fn a_state_that_is_loaded_while_sound_runs_does_not_click() {
    let rate_hz = 48_000.0;
    let mut preset = Host::new();
    preset.set("Heard setup", "Setup 1");
    preset.set("Output", "-12 dB");
    let state = preset.save();
    let sound = sine(2, 48_000, 55.0, rate_hz, 0.5);
    let mut host = Host::running(rate_hz, &[]);
    let before = host.run(&sound, 480);
    assert!(host.load(&state));
    let after = host.run(&sound, 480);
    let all: Vec<f64> = before[0].iter().chain(&after[0]).map(|x| f64::from(*x)).collect();
    let bend = |part: &[f64]| part.windows(3).map(|w| (w[0] - 2.0 * w[1] + w[2]).abs()).fold(0.0, f64::max);
    let steady = bend(&all[..48_000]).max(bend(&all[72_000..]));
    assert!(bend(&all) < 4.0 * steady, "{} against {steady}", bend(&all));
    // It did change: the preset is heard in the end.
    let mut alone = Host::running(rate_hz, &[("Heard setup", "Setup 1"), ("Output", "-12 dB")]);
    let peak = |part: &[f32]| part.iter().fold(0.0f32, |peak, x| peak.max(x.abs()));
    let expected = peak(&alone.run_with(&sound, std::iter::repeat(480), &[] as &[Change])[0][36_000..]);
    approx::assert_relative_eq!(peak(&after[0][36_000..]), expected, max_relative = 0.02);
}

/// A project of an earlier format that goes from 47 kΩ to 1 MΩ boosts what lies far below both corners by `20 log10(1M/47k)` = 26.6 dB (textbook RC)
/// for ever, unless asked; a new one by its ceiling.
#[test]
fn projects_of_earlier_formats_keep_their_ceilings_meaning() {
    let params = json!({
        "pickup_c": { "f32": 680.0 }, "through_r": { "f32": 47e3 }, "load_r_1": { "f32": 1e6 },
        "heard": { "string": "setup-1" }, "match": { "bool": false }, "ceiling": { "f32": 24.0 },
    });
    let low = sine(2, 96_000, 5.0, 48_000.0, 0.001);
    let boost_db = |host: &mut Host| {
        host.start(48_000.0);
        let heard = host.run(&low, 512);
        let peak = |sound: &[f32]| sound[48_000..].iter().fold(0.0f32, |peak, x| peak.max(x.abs()));
        f64::from(20.0 * (peak(&heard[0]) / peak(&low[0])).log10())
    };
    for (format, bounded) in [("1", "off"), ("2", "off"), ("3", "off"), ("4", "on"), ("5", "on"), ("6", "on")]
    {
        let mut host =
            load_over_other_settings(params.clone(), json!({ "format": format, "circuit": "\"\"" }));
        assert_eq!(host.text("Ceiling on every change"), bounded, "format {format}");
        let saved = host.save();
        // `H` of each is `1/(1 + f_c/(j f))`, and the pole that the ceiling sets lies 24 dB below its zero.
        let size = |corner_hz: f64| (1.0 + (corner_hz / 5.0).powi(2)).sqrt();
        let corner_hz = |ohms: f64| 1.0 / (std::f64::consts::TAU * ohms * 680e-12);
        let pole_hz = if bounded == "on" { corner_hz(47e3) / 10f64.powf(1.2) } else { corner_hz(1e6) };
        let expected_db = 20.0 * (size(corner_hz(47e3)) / size(pole_hz)).log10();
        approx::assert_abs_diff_eq!(boost_db(&mut host), expected_db, epsilon = 0.02);
        let mut again = Host::new();
        assert!(again.load(&saved));
        assert_eq!(again.text("Ceiling on every change"), bounded, "saved anew, format {format}");
    }
}

/// Whatever stands there: the parameter came with format 6. Recorded through 47 kΩ and heard through nothing, a low note is what tells.
#[test]
fn projects_of_earlier_formats_have_no_floor() {
    let params = |floor: Option<f64>| {
        let mut params = json!({
            "pickup_c": { "f32": 680.0 }, "through_r": { "f32": 47e3 }, "load_r_1": { "f32": 1e9 },
            "heard": { "string": "setup-1" }, "match": { "bool": false },
        });
        params["floor"] = floor.map_or(Value::Null, |hz| json!({ "f32": hz }));
        params.as_object_mut().unwrap().retain(|_, value| !value.is_null());
        params
    };
    let sound = Noise::new(41).sound(2, 24_000);
    let run = |format: &str, floor: Option<f64>| {
        let fields = json!({ "format": format, "circuit": "\"\"" });
        let mut host = load_over_other_settings(params(floor), fields);
        let (text, saved) = (host.text("Undo floor"), host.save());
        host.start(48_000.0);
        let heard = host.run(&sound, 512);
        let mut again = Host::new();
        assert!(again.load(&saved));
        assert_eq!(again.text("Undo floor"), text, "saved anew, format {format}");
        again.start(48_000.0);
        assert_same(&again.run(&sound, 512), &heard, "saved anew");
        (text, heard)
    };
    for format in ["1", "2", "3", "4", "5"] {
        let (without, with) = (run(format, None), run(format, Some(27.5)));
        assert_eq!((without.0.as_str(), with.0.as_str()), ("off", "off"), "format {format}");
        assert_same(&with.1, &without.1, format);
    }
    let (without, with) = (run("6", None), run("6", Some(27.5)));
    assert_eq!((without.0.as_str(), with.0.as_str()), ("off", "27.5 Hz"));
    assert!(host::difference(&with.1, &without.1).is_some());
}

/// How a project is looked at comes back; what is not known of it is nothing, what is damaged costs nothing else, and neither is heard.
#[test]
fn a_view_is_kept_as_far_as_it_is_known() {
    let whole = r#"{"tuning":["A1","D2","F#2"],"page":"strings","curves":"change"}"#;
    let with = |view: &str| {
        let mut all = fields(&preset("courtyard"));
        all["view"] = json!(view);
        load_over_other_settings(json!({ "heard": { "string": "setup-2" } }), all)
    };
    let sound = Noise::new(11).sound(2, 4_800);
    let mut heard = Vec::new();
    for (given, kept) in [
        (whole, whole),
        ("{}", "{}"),
        ("", "{}"),
        ("null", "{}"),
        ("[1, 2", "{}"),
        (r#"{"page":"strings","gauge":12}"#, r#"{"page":"strings"}"#),
        (r#"{"page":"knobs","curves":7,"tuning":["A1"]}"#, r#"{"tuning":["A1"]}"#),
        (r#"{"tuning":["A1","H2"],"curves":"loss"}"#, r#"{"curves":"loss"}"#),
        (r#"{"tuning":"A1 D2","page":["strings"],"curves":"loss"}"#, r#"{"curves":"loss"}"#),
    ] {
        let mut host = with(given);
        let saved = host.save();
        assert_eq!(unpacked(&saved)["fields"]["view"], json!(kept), "{given}");
        let mut again = Host::new();
        assert!(again.load(&saved));
        assert_eq!(again.save(), saved, "{given}");
        host.start(48_000.0);
        heard.push(host.run(&sound, 480));
    }
    heard.iter().for_each(|one| assert_same(one, &heard[0], "whatever the view"));
    // A state without one has none.
    let mut host = with(whole);
    assert!(host.load(&packed(include_str!("fixtures/format-1.json"))));
    assert_eq!(unpacked(&host.save())["fields"]["view"], json!("{}"));
}
