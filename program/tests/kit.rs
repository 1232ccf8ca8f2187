//! A person's kit: kept by `firstjack kit`, named wherever pickups and loads are typed, and its ranges everywhere.

use std::process::Stdio;

use serde_json::Value;

use crate::support::wav::{Kind, Wav};
use crate::support::{Sandbox, sine};

const BRIDGE: [&str; 5] =
    ["bridge of the guitarrón", "680p ±6 %", "method=sweep", "measured=2026-11-27", "remarks=old wax"];

/// With a pickup, two boxes and a coil in the kit.
fn kept() -> Sandbox {
    let sandbox = Sandbox::new();
    sandbox.done(&[&["kit", "add", "pickup"][..], &BRIDGE].concat());
    sandbox.done(&["kit", "add", "box", "our tuner", "1M ±3 %", "thru=after", "blocking=22n ±20 %"]);
    sandbox.done(&["kit", "add", "box", "stage amp", "470k ±2 %"]);
    sandbox.done(&["kit", "add", "box", "house box", "transformer 140k"]);
    let neck = ["inductance=3.3 H ±4 %", "resistance=6k8", "winding=120p", "loss=470k"];
    sandbox.done(&[&["kit", "add", "pickup", "our neck pickup"][..], &neck].concat());
    sandbox
}

#[track_caller]
fn refused(sandbox: &Sandbox, arguments: &[&str], said: &[&str]) {
    let failed = sandbox.run(arguments);
    assert_eq!(failed.code, Some(2), "{failed:?}");
    assert_eq!(failed.stderr.trim_end().lines().count(), 1, "one line: {}", failed.stderr);
    said.iter().for_each(|said| assert!(failed.stderr.contains(said), "no '{said}' in {}", failed.stderr));
}

#[test]
fn a_kit_is_kept_and_changed() {
    let sandbox = Sandbox::new();
    assert!(sandbox.done(&["kit"]).contains("the kit is empty"));
    assert!(!sandbox.path("own.toml").exists(), "looking makes nothing");
    let sandbox = kept();
    let listed = sandbox.done(&["kit"]);
    for said in [
        "own.toml\n",
        "  bridge of the guitarrón\n      680 pF ±6 %; measured 2026-11-27 by sweep\n      old wax\n",
        "3.3 H ±4 %, a coil of 6.8 kΩ, a winding of 120 pF, losses of 470 kΩ; not said",
        "  our tuner\n      1 MΩ ±3 %, 22 nF ±20 % in series, buffered; not said how it is known\n",
        "a transformer of 22 H to 150 H, nominally 140 kΩ",
    ] {
        assert!(listed.contains(said), "no '{said}' in {listed}");
    }
    assert_eq!(sandbox.done(&["kit", "list"]), listed);
    let shown = "[[box]]\nname = \"our tuner\"\ninput = \"1 MΩ ±3 %\"\nblocking = \"22 nF ±20 %\"\nthru = \"after\"\n";
    assert_eq!(sandbox.done(&["kit", "show", "OUR TUNER"]), shown);
    let told = sandbox.done(&["kit", "set", "bridge of the guitarrón", "capacitance", "700p ±5 %"]);
    assert!(told.contains("700 pF ±5 %") && told.contains("set measured and method too"), "{told}");
    sandbox.done(&["kit", "set", "bridge of the guitarrón", "measured", "none"]);
    sandbox.done(&["kit", "set", "house box", "thru", "before"]);
    sandbox.done(&["kit", "rename", "stage amp", "the stage's amp"]);
    let removed = sandbox.done(&["kit", "remove", "our neck pickup"]);
    assert!(
        removed.contains("[[pickup]]\nname = \"our neck pickup\"\ninductance = \"3.3 H ±4 %\""),
        "{removed}"
    );
    let json: Value = serde_json::from_str(&sandbox.done(&["kit", "--json"])).unwrap();
    assert_eq!(json["pickups"].as_array().unwrap().len(), 1);
    assert_eq!(json["pickups"][0]["capacitance"], "700 pF ±5 %");
    assert_eq!(json["pickups"][0].get("measured"), None);
    assert_eq!(json["boxes"][1]["name"], "the stage's amp");
    let one: Value = serde_json::from_str(&sandbox.done(&["kit", "show", "house box", "--json"])).unwrap();
    assert_eq!((&one["kind"], &one["thru"]), (&"box".into(), &"before".into()));
    for (arguments, key, value) in [
        (&["kit", "set", "house box", "thru", "after"][..], "thru", "after"),
        (&["kit", "rename", "house box", "houses box"], "name", "houses box"),
        (&["kit", "remove", "houses box"], "thru", "after"),
        (&["kit", "add", "box", "house box", "transformer 140k", "thru=before"], "thru", "before"),
        (&["kit", "path"], "path", &sandbox.path("own.toml").to_string_lossy()),
    ] {
        assert_eq!(sandbox.json(arguments)[key], value, "{arguments:?}");
    }
    assert_eq!(sandbox.json(&["kit", "check"])["boxes"], 3);
    assert!(sandbox.done(&["kit", "check"]).contains("1 pickup and 3 boxes, all of which can be read."));
    assert_eq!(sandbox.done(&["kit", "path"]).trim(), sandbox.path("own.toml").to_string_lossy());
    assert_eq!(sandbox.listing().len(), 1, "the kit, no lock and no temporary file");
}

#[test]
fn nothing_in_a_kit_is_overwritten_unasked() {
    let sandbox = kept();
    let before = sandbox.read("own.toml");
    for (arguments, said) in [
        (
            &["kit", "add", "box", "Our Tuner", "470k"][..],
            "'our tuner' is in the kit already: give another name",
        ),
        (&["kit", "add", "pickup", "our tuner", "1n"], "is in the kit already"),
        (&["kit", "rename", "stage amp", "our tuner"], "'our tuner' is in the kit already"),
        (&["kit", "rename", "stage anp", "x"], "is it 'stage amp'?"),
        (&["kit", "add", "box", "470k", "470k"], "cannot be told from a value"),
        (&["kit", "add", "box", "tuner || amp", "470k"], "in parallel"),
        (&["kit", "add", "box", "a\tb", "470k"], "cannot be seen"),
        (&["kit", "add", "box", "\u{202e}tuner", "470k"], "cannot be seen"),
        (&["kit", "add", "box", &"a".repeat(1000), "470k"], "1000 letters"),
        (&["kit", "add", "box", "new", "4x7"], "4x7"),
        (&["kit", "add", "box", "new", "6 m"], "'6 m' is no input of a box"),
        (&["kit", "add", "box", "new", "1M", "input=2M"], "input is given twice"),
        (&["kit", "add", "box", "new", "1M", "inptu=2M"], "inptu is not known here: did you mean input?"),
        (&["kit", "add", "pickup", "new", "680"], "capacitance: cannot read '680'"),
        (&["kit", "add", "pickup", "new", "4 H"], "resistance is missing"),
        (&["kit", "set", "our tuner", "input", "-1M"], "input: cannot read '-1M'"),
        (&["kit", "set", "our tuner", "input", "none"], "give either input"),
        (&["kit", "remove", "moon"], "'moon' is not in the kit"),
        (&["kit", "show", "our tunr"], "is it 'our tuner'?"),
        (&["kit", "--kit", "none.toml"], "none.toml: cannot read the kit"),
    ] {
        refused(&sandbox, arguments, &[said]);
    }
    assert_eq!(sandbox.read("own.toml"), before);
    sandbox.done(&["kit", "add", "box", "our tuner", "2M2", "--overwrite"]);
    assert!(sandbox.done(&["kit", "show", "our tuner"]).contains("input = \"2.2 MΩ\"\n"));
    sandbox.done(&["kit", "add", "box", "مضخم", "1M", "--kit", "other.toml"]);
    assert!(sandbox.done(&["kit", "--kit", "other.toml"]).contains("مضخم"));
}

/// The figures of a name are those of what it stands for.
#[test]
fn a_name_has_the_figures_of_its_values() {
    let sandbox = kept();
    let strings =
        |arguments: &[&str]| sandbox.json(&[&["tell"], arguments].concat())["setups"][0]["strings"].clone();
    let bridge = ["--pickup", "680p ±6 %"];
    let named = ["--pickup", "Bridge of the guitarrón"];
    let coil =
        ["--coil", "3.3 H ±4 %", "--coil-resistance", "6k8", "--winding", "120p", "--coil-loss", "470k"];
    for (names, values) in [
        ([&named[..], &["--load", "stage amp"]].concat(), [&bridge[..], &["--load", "470k ±2 %"]].concat()),
        (
            [&named[..], &["--load", "1M || stage amp"]].concat(),
            [&bridge[..], &["--load", "1M || 470k ±2 %"]].concat(),
        ),
        (
            [&named[..], &["--load", "house box"]].concat(),
            [&bridge[..], &["--load", "transformer 140k"]].concat(),
        ),
        (
            [&named[..], &["--first", "stage amp unbuffered", "--load", "1M"]].concat(),
            [&bridge[..], &["--first", "amp 470k ±2 % unbuffered", "--load", "1M"]].concat(),
        ),
        (vec!["--coil", "our neck pickup", "--load", "1M"], [&coil[..], &["--load", "1M"]].concat()),
        (vec!["--pickup", "our neck pickup", "--load", "1M"], [&coil[..], &["--load", "1M"]].concat()),
        (
            vec!["--coil", "our neck pickup", "--volume", "none", "--winding", "90p", "--load", "1M"],
            [
                &coil[..3],
                &["6k8", "--winding", "90p", "--coil-loss", "470k", "--volume", "none", "--load", "1M"],
            ]
            .concat(),
        ),
    ] {
        assert_eq!(strings(&names), strings(&values), "{names:?}");
    }
    let through = |load: &str| {
        let take = ["rescue", "--pickup", "680p", "--load", "56k", "--recorded-through", load];
        let aim = ["rescue", "--pickup", "680p", "--load", "56k", "--aim", load];
        (sandbox.json(&take)["setups"].clone(), sandbox.json(&aim)["setups"].clone())
    };
    assert_eq!(through("stage amp"), through("470k ±2 %"));
    sandbox.wav_at("take.wav");
    for (load, file) in [("stage amp", "named.wav"), ("470k", "typed.wav")] {
        let take = [
            "render",
            "take.wav",
            "--pickup",
            "680p",
            "--recorded-through",
            load,
            "--load",
            "56k",
            "-o",
            file,
        ];
        sandbox.done(&take);
    }
    assert_eq!(sandbox.read("named.wav"), sandbox.read("typed.wav"));
}

/// A box with a blocking capacitor is the one that is listened to, and two such are refused.
#[test]
fn boxes_with_insides_work_in_a_load_or_are_refused() {
    let sandbox = kept();
    let values = r#"{ box = "our tuner", input = "1 MΩ ±3 %", blocking = "22 nF ±20 %" }"#;
    let file = format!(
        "version = 5\nname = \"x\"\npickup = \"680 pF ±6 %\"\n[[setup]]\nname = \"s\"\nchain = [{{ box = \"other\", input = \"470k\", thru = \"before\" }}, {values}]\n"
    );
    sandbox.write("same.toml", file);
    let named = sandbox.json(&["tell", "--pickup", "bridge of the guitarrón", "--load", "our tuner || 470k"]);
    let same = sandbox.json(&["tell", "--setups", "same.toml"]);
    let loss = |told: &Value, key: &str| told["setups"][0]["strings"][0][key].as_f64().unwrap();
    for key in ["loss_db", "loss_low_db", "loss_high_db"] {
        assert!((loss(&named, key) - loss(&same, key)).abs() < 1e-9, "{key}: {named} and {same}");
    }
    for load in ["our tuner || house box", "transformer 140k || our tuner"] {
        refused(
            &sandbox,
            &["tell", "--pickup", "1n", "--load", load],
            &["--load: ", "have each a transformer or a blocking capacitor", "--first"],
        );
    }
}

/// A measured 680 pF ±6 % goes on as a range: into the verdict, the curve, the note, the page and JSON.
#[test]
fn the_ranges_of_a_kit_are_told_everywhere() {
    let sandbox = kept();
    let named = ["--pickup", "bridge of the guitarrón", "--load", "1M"];
    let typed = ["--pickup", "680p ±6 %", "--load", "1M"];
    let told = sandbox.done(&[&["tell", "--instrument", "guitarron"], &named[..]].concat());
    // 680 pF ±6 % into 1 MΩ at A1, 55 Hz: a capacitive divider (textbook), 12.35 to 13.33 dB.
    let db = |farads: f64| 10.0 * (1.0 + (std::f64::consts::TAU * 55.0 * farads * 1e6).powi(-2)).log10();
    assert!((db(680e-12 * 1.06) - 12.35).abs() < 0.05 && (db(680e-12 * 0.94) - 13.33).abs() < 0.05);
    assert!(told.starts_with("low A loses 12 to 13 dB into 1 MΩ\n"), "{told}");
    assert!(
        told.contains("From your kit: bridge of the guitarrón, 680 pF ±6 %; measured 2026-11-27 by sweep.\n"),
        "{told}"
    );
    for end in ["csv", "svg"] {
        let file = |name: &str| format!("{name}.{end}");
        sandbox.done(&[&["curve", "-o", &file("named")], &named[..]].concat());
        sandbox.done(&[&["curve", "-o", &file("typed")], &typed[..]].concat());
        sandbox.done(&["curve", "-o", &file("bare"), "--pickup", "680p", "--load", "1M"]);
        assert_eq!(sandbox.read(&file("named")), sandbox.read(&file("typed")));
        assert_ne!(sandbox.read(&file("named")), sandbox.read(&file("bare")), "a band is there");
    }
    sandbox.write("tour.toml", TOUR);
    sandbox.done(&["note", "--setups", "tour.toml", "-o", "note.html"]);
    let note = String::from_utf8(sandbox.read("note.html")).unwrap();
    assert!(note.contains("680 pF ±6 %") && note.contains("12 to 13 dB"), "{note}");
    sandbox.wav_at("take.wav");
    sandbox.done(&["pack", "take.wav", "--setups", "tour.toml", "-o", "page.html", "-q"]);
    let page = String::from_utf8(sandbox.read("page.html")).unwrap();
    assert!(page.contains("680 pF ±6 %") && page.contains("12 to 13 dB"));
}

const TOUR: &str = r#"version = 5
name = "Tour"  # of the summer
instrument = "guitarron"
pickup = "bridge of the guitarrón"
recorded = "22M"

[[setup]]
name = "amp"
load = "1M"

[[setup]]
name = "tuner first"
chain = ["3 m", "our tuner", "6 m", "stage amp"]
"#;

#[test]
fn a_file_of_setups_names_the_kit_and_opens_without_it() {
    let sandbox = kept();
    sandbox.write("tour.toml", TOUR);
    let named = sandbox.json(&["tell", "--setups", "tour.toml"]);
    let told = sandbox.done(&["kit", "embed", "tour.toml", "-o", "all.toml"]);
    assert_eq!(told, "Values stand in place of 'bridge of the guitarrón', 'our tuner', 'stage amp'.\n");
    let text = String::from_utf8(sandbox.read("all.toml")).unwrap();
    assert!(
        text.contains("name = \"Tour\"  # of the summer\n") && text.lines().count() == TOUR.lines().count()
    );
    let bare = ["--kit", "empty.toml"];
    sandbox.write("empty.toml", "");
    let mut alone = sandbox.json(&[&["tell", "--setups", "all.toml"], &bare[..]].concat());
    assert_eq!(alone["setups"], named["setups"]);
    alone["setups"].take();
    refused(&sandbox, &["kit", "embed", "tour.toml", "-o", "all.toml"], &["it exists", "--overwrite"]);
    refused(
        &sandbox,
        &["kit", "embed", "tour.toml", "-o", "tour.toml", "--overwrite"],
        &["it is the file of setups itself"],
    );
    refused(
        &sandbox,
        &[&["tell", "--setups", "tour.toml"], &bare[..]].concat(),
        &[
            "tour.toml: line 4: pickup: 'bridge of the guitarrón' is neither a value nor in the kit",
            "firstjack kit embed FILE -o FILE",
        ],
    );
    sandbox.write("slip.toml", TOUR.replace("our tuner", "our tunner"));
    refused(
        &sandbox,
        &["note", "--setups", "slip.toml", "-o", "n.html"],
        &["link 2: chain: 'our tunner'", "(is it 'our tuner'?)"],
    );
    assert_eq!(sandbox.done(&["kit", "embed", "all.toml", "-o", "-"]), text);
    let told = sandbox.json(&["kit", "embed", "tour.toml", "-o", "again.toml"]);
    assert_eq!(told["names"][1], "our tuner");
}

/// What is typed as values needs no kit, and a kit that is wrong is told where a name is.
#[test]
fn a_broken_kit_stops_names_only() {
    let sandbox = kept();
    sandbox.write("own.toml", "version = 1\n[[box]\nname = \"a\"\n");
    sandbox.done(&["tell", "--pickup", "680p", "--load", "470k || 1M"]);
    sandbox.courtyard();
    sandbox.done(&["tell", "--setups", "presets/courtyard.toml"]);
    refused(
        &sandbox,
        &["tell", "--pickup", "680p", "--load", "our tuner"],
        &["own.toml: line 2: cannot read [[box]"],
    );
    refused(&sandbox, &["tell", "--pickup", "bridge", "--load", "1M"], &["own.toml: line 2: "]);
    refused(&sandbox, &["tell", "--pickup", "68x", "--load", "1M"], &["--pickup: cannot read '68x'"]);
    refused(&sandbox, &["tell", "--pickup", "680p", "--load", "47x"], &["--load: cannot read '47x'"]);
    refused(&sandbox, &["kit"], &["own.toml: line 2: "]);
    refused(&sandbox, &["kit", "add", "box", "new", "1M"], &["own.toml: line 2: "]);
    for bytes in [&b"\xff\xfe\x00"[..], &vec![b'#'; (1 << 20) + 1]] {
        sandbox.write("own.toml", bytes);
        refused(&sandbox, &["kit", "check"], &["is it another file?"]);
    }
    sandbox.write("own.toml", "version = 1\n[[box]]\nname = \"amp\"\ninput = \"1M\"\n");
    let said = ["'amp' is no kind of pickup, but a box of the kit: accepted are bridge"];
    refused(&sandbox, &["tell", "--pickup", "amp", "--load", "1M"], &said);
    refused(&sandbox, &["tell", "--pickup", "anp", "--load", "1M"], &["nor in the kit (is it 'amp'?)"]);
    sandbox.write("own.toml", "");
    assert!(sandbox.done(&["tell", "--pickup", "bridge", "--load", "1M"]).contains("Assumed: "));
    // Where the kit would lie under a file there is none.
    let under = sandbox.path("own.toml").join("kit.toml");
    let mut command = sandbox.command(&["tell", "--pickup", "bridge", "--load", "1M"]);
    assert!(command.env("FIRSTJACK_KIT", under).output().unwrap().status.success());
}

/// A person's own goes before a kind of the same word where it is typed, and that is said; in a file the word is the kind for everybody.
#[test]
fn ones_own_goes_before_a_kind() {
    let sandbox = Sandbox::new();
    let told = sandbox.done(&["kit", "add", "pickup", "bridge", "1n ±5 %"]);
    assert!(told.contains("'bridge' is a kind of pickup, too"), "{told}");
    let told = sandbox.done(&["tell", "--pickup", "Bridge", "--load", "1M"]);
    assert!(
        told.contains("From your kit: bridge, 1 nF ±5 %")
            && told.contains("not the kind of pickup of that name"),
        "{told}"
    );
    sandbox.write(
        "file.toml",
        "version = 5\nname = \"x\"\npickup = \"bridge\"\n[[setup]]\nname = \"s\"\nload = \"1M\"\n",
    );
    assert!(!sandbox.done(&["tell", "--setups", "file.toml"]).contains("1 nF ±5 %"));
    refused(
        &sandbox,
        &["tell", "--coil", "bridge", "--winding", "90p", "--load", "1M"],
        &["--winding: 'bridge' is a piezo pickup of the kit"],
    );
}

/// Several runs at once: each finds its entry in the end.
#[test]
fn runs_at_once_keep_all() {
    let sandbox = Sandbox::new();
    let names = ["one", "two", "three", "four", "five", "six"];
    let runs = names.map(|name| {
        let mut command = sandbox.command(&["kit", "add", "box", name, "1M"]);
        command.stdout(Stdio::null()).stderr(Stdio::piped()).spawn().unwrap()
    });
    for run in runs {
        let done = run.wait_with_output().unwrap();
        assert!(done.status.success(), "{done:?}");
    }
    let json: Value = serde_json::from_str(&sandbox.done(&["kit", "--json"])).unwrap();
    assert_eq!(json["boxes"].as_array().unwrap().len(), names.len());
    assert_eq!(sandbox.listing().len(), 1);
}

impl Sandbox {
    /// A second of a low A.
    fn wav_at(&self, name: &str) {
        self.write(name, Wav::new(Kind::Int(2), 1, 48_000, &sine(48_000, 110.0, 0.2, 48_000)).bytes());
    }
}
