//! Options mean the same in every command, and old spellings go on working.

use serde_json::Value;

use crate::support::{Sandbox, float_take, noise, sine};

const RATE_HZ: u32 = 48_000;

/// Half a second, the venues' setups and the courtyard's.
fn sandbox() -> Sandbox {
    let sandbox = Sandbox::new();
    sandbox.courtyard();
    sandbox.write("presets/venues.toml", include_str!("../../presets/venues.toml"));
    sandbox.write("take.wav", float_take(RATE_HZ, &noise(0.2, 24_000, 3)).bytes());
    sandbox
}

/// Split at spaces.
fn words(line: &str) -> Vec<&str> {
    line.split(' ').collect()
}

#[track_caller]
fn refused(sandbox: &Sandbox, line: &str, said: &str) {
    let before = sandbox.listing();
    let outcome = sandbox.run(&words(line));
    assert_eq!(outcome.code, Some(2), "{line}: {outcome:?}");
    assert!(outcome.stderr.contains(said), "{line}: no '{said}' in {}", outcome.stderr);
    assert!(sandbox.listing() == before, "{line} changed a file");
}

fn names(list: &Value) -> Vec<&str> {
    list.as_array().unwrap().iter().map(|each| each["name"].as_str().unwrap()).collect()
}

/// Spellings of version 0.1.0.
#[test]
fn old_spellings_go_on() {
    let sandbox = sandbox();
    let bytes = sandbox.read("take.wav");
    sandbox.write("short.wav", &bytes[..bytes.len() - 400]);
    let render = "render short.wav --pickup 680p --load 470k -o";
    sandbox.done(&words(&format!("{render} new.wav --recorded-through 22M --allow-damaged")));
    sandbox.done(&words(&format!("{render} old.wav --through 22M --salvage")));
    assert_eq!(sandbox.read("new.wav"), sandbox.read("old.wav"));
    let pack = "pack take.wav --setups presets/courtyard.toml --setup combo -o";
    sandbox.done(&words(&format!("{pack} new.html --order 7")));
    sandbox.done(&words(&format!("{pack} old.html --seed 7")));
    assert_eq!(sandbox.read("new.html"), sandbox.read("old.html"));
    let rescue = "rescue --pickup 680p --load 470k";
    let new = sandbox.done(&words(&format!("{rescue} --recorded-through 1M")));
    assert_eq!(sandbox.done(&words(&format!("{rescue} --through 1M"))), new);
    for command in ["render", "pack", "rescue"] {
        let help = sandbox.done(&[command, "--help"]);
        assert!(help.contains("--recorded-through") && !help.contains("--through"), "{help}");
        assert!(!help.contains("--salvage") && !help.contains("--seed"), "{help}");
    }
}

/// A list whatever was asked for; of one load that was typed its fields stand at the top too, as in version 0.1.0.
#[test]
fn what_tell_tells_has_one_shape() {
    let sandbox = sandbox();
    let one = sandbox.json(&words("tell --pickup 680p --load 470k"));
    let two = sandbox.json(&words("tell --pickup 680p --load 470k --load 1M"));
    let file = sandbox.json(&words("tell --setups presets/courtyard.toml"));
    assert_eq!(names(&one["setups"]), ["470 kΩ"]);
    assert_eq!(names(&two["setups"]), ["470 kΩ", "1 MΩ"]);
    assert_eq!(names(&file["setups"]).len(), 6);
    assert_eq!(one["setups"][0], two["setups"][0]);
    let Value::Object(fields) = &one["setups"][0] else { panic!("an object") };
    assert!(fields.len() > 10 && fields.iter().all(|(key, value)| &one[key] == value));
    assert_eq!((&two["verdict"], &file["verdict"]), (&Value::Null, &Value::Null));
}

/// Several loads are a set as the setups of a file are.
#[test]
fn loads_repeat() {
    let sandbox = sandbox();
    let line = "render take.wav --pickup 680p --recorded-through 22M --load 470k --load 1M --no-match -o set";
    let report = sandbox.json(&words(line));
    assert_eq!(names(&report["renderings"]), ["as recorded", "470 kΩ", "1 MΩ"]);
    assert_eq!(sandbox.wav("set/take-0-as-recorded.wav").data, sandbox.wav("take.wav").data);
    let alone = "render take.wav --pickup 680p --recorded-through 22M --load 1M --no-match -o alone.wav";
    sandbox.done(&words(alone));
    assert_eq!(sandbox.wav("set/take-2-1-MΩ.wav"), sandbox.wav("alone.wav"));
}

#[test]
fn setups_are_picked() {
    let sandbox = sandbox();
    let pick = "--setups presets/courtyard.toml --setup tuner --setup combo";
    let told = sandbox.json(&words(&format!("tell {pick}")));
    assert_eq!(names(&told["setups"]), ["combo", "tuner"], "in the file's order");
    let rescued = sandbox.json(&words(&format!("rescue {pick}")));
    assert_eq!(names(&rescued["setups"]), ["combo", "tuner"]);
    let rendered = sandbox.json(&words(&format!("render take.wav {pick} -o set")));
    assert_eq!(names(&rendered["renderings"]), ["as recorded", "combo", "tuner"]);
    let packed = sandbox.json(&words(&format!("pack take.wav {pick} -o page.html --rescue none")));
    assert_eq!(names(&packed["sounds"]), ["as recorded", "combo", "tuner"]);
    sandbox.done(&words(&format!("curve {pick} -o curves.csv")));
    let table = String::from_utf8(sandbox.read("curves.csv")).unwrap();
    assert!(
        table.contains("\ncombo,") && table.contains("\ntuner,") && !table.contains("passive"),
        "{table}"
    );
    // One alone is a file, unless there is a folder for it.
    let one = "render take.wav --setups presets/courtyard.toml --setup combo";
    sandbox.done(&words(&format!("{one} -o combo.wav")));
    assert!(sandbox.path("combo.wav").is_file());
    sandbox.done(&words(&format!("{one} -o one/")));
    assert!(sandbox.path("one/take-1-combo.wav").is_file());
    for command in ["tell", "rescue", "curve -o x.svg", "render take.wav -o x", "pack take.wav -o x.html"] {
        let line = format!("{command} --setups presets/courtyard.toml --setup piano");
        refused(&sandbox, &line, "--setup: 'piano' is not known: accepted are passive box, combo, tuner");
    }
    for option in ["--setup", "--venue"] {
        refused(&sandbox, &format!("tell --pickup 680p --load 1M {option} combo"), "cannot be used with");
    }
}

/// Of a venue everything that none or this one offers, in each command.
#[test]
fn venues_are_picked() {
    let sandbox = sandbox();
    let venue = "--setups presets/venues.toml --venue chapel";
    let all = sandbox.json(&words("tell --setups presets/venues.toml"));
    let told = sandbox.json(&words(&format!("tell {venue}")));
    let offered = names(&told["setups"]);
    assert!(offered.len() > 1 && offered.len() < names(&all["setups"]).len());
    assert_eq!(names(&sandbox.json(&words(&format!("rescue {venue}")))["setups"]), offered);
    let rendered = sandbox.json(&words(&format!("render take.wav {venue} -o set")));
    assert_eq!(names(&rendered["renderings"])[1..], offered);
    for command in ["tell", "rescue", "curve -o x.svg", "render take.wav -o x", "pack take.wav -o x.html"] {
        let line = format!("{command} --setups presets/venues.toml --venue moon");
        refused(&sandbox, &line, "--venue: 'moon' is not known: accepted are ");
    }
}

#[test]
fn numbers_and_names_as_people_type_them() {
    let sandbox = sandbox();
    let tell = |line: &str| sandbox.done(&words(&format!("tell --pickup 680p {line}")));
    assert_eq!(tell("--load 4,7M --a4 442,5"), tell("--load 4.7M --a4 442.5"));
    assert_eq!(tell("--load 1e6"), tell("--load 1M"));
    for name in ["GUITARRON", "Guitarron", "guitarron"] {
        assert_eq!(tell(&format!("--load 1M --instrument {name}")), tell("--load 1M --instrument guitarron"));
    }
    refused(&sandbox, "tell --pickup 680p --load 1,000k", "'1,000' may mean two numbers");
    let rescue = |q: &str| sandbox.done(&words(&format!("rescue --pickup 680p --load 470k --desk-q {q}")));
    assert_eq!(rescue("0,7-2"), rescue("0.7-2"));
}

/// What is said beforehand is what comes, and nothing comes.
#[test]
fn dry_runs() {
    let sandbox = sandbox();
    sandbox.write(".firstjack-a1b2c3.part", "left by a run that was killed");
    let lines = [
        "render take.wav --pickup 680p --recorded-through 22M --load 470k -o one.wav",
        "render take.wav --setups presets/courtyard.toml -o set",
        "pack take.wav --setups presets/courtyard.toml --setup combo -o page.html --note note.pdf",
        "curve --setups presets/courtyard.toml -o curves.svg",
        "note --setups presets/courtyard.toml -o note.html",
    ];
    for line in lines {
        let before = sandbox.listing();
        let said = sandbox.done(&words(&format!("{line} --dry-run")));
        assert!(sandbox.listing() == before, "{line} wrote something");
        if line.starts_with("render") || line.starts_with("pack") {
            let told = sandbox.json(&words(&format!("{line} --dry-run")));
            assert_eq!(told["dry_run"], true);
            assert!(
                told["reads"].as_array().unwrap().iter().any(|read| read["file"] == "take.wav"),
                "{told}"
            );
            assert_eq!(told["writes"][0]["seconds"], 0.5);
        }
        let done = sandbox.run(&words(&format!("{line} --verbose")));
        assert_eq!((done.code, done.stderr), (Some(0), said.clone()), "{line}");
        let writes: Vec<&str> = said.lines().filter_map(|line| line.strip_prefix("writes ")).collect();
        assert!(!writes.is_empty(), "{said}");
        for write in writes {
            let mut parts = write.split(", ");
            let bytes = sandbox.read(parts.next().unwrap()).len();
            let megabytes = parts.find_map(|part| part.strip_suffix(" MB"));
            let said: Option<f64> = megabytes.map(|said| said.parse().unwrap());
            let bytes = f64::from(u32::try_from(bytes).unwrap());
            assert!(said.is_none_or(|said| (said - bytes / 1e6).abs() <= 0.0501), "{write}: {bytes}");
        }
        // Everything is refused as it would be.
        refused(&sandbox, &format!("{line} --dry-run"), "it exists; give another");
        let again = sandbox.done(&words(&format!("{line} --dry-run --overwrite")));
        assert!(again.contains("replaces ") && !again.contains("writes "), "{again}");
    }
}

/// One file goes to standard output as it would into a file; what is told goes beside it.
#[test]
fn standard_output() {
    let sandbox = sandbox();
    for (line, file, told) in [
        ("render take.wav --pickup 680p --recorded-through 22M --load 470k", "a.wav", "loses"),
        ("render take.wav --setups presets/courtyard.toml --setup combo", "b.wav", "combo"),
        ("curve --setups presets/courtyard.toml", "c.svg", ""),
        ("curve --setups presets/courtyard.toml --format png", "d.png", ""),
        ("curve --setups presets/courtyard.toml --format csv", "e.csv", ""),
        ("note --setups presets/courtyard.toml", "f.pdf", ""),
        ("note --setups presets/courtyard.toml --format html", "g.html", ""),
        ("pack take.wav --setups presets/courtyard.toml --setup combo", "h.html", "loses"),
    ] {
        sandbox.done(&words(&format!("{line} -o {file}")));
        let before = sandbox.listing();
        let output = sandbox.command(&words(&format!("{line} -o -"))).output().unwrap();
        assert!(output.status.success(), "{line}");
        assert!(output.stdout == sandbox.read(file), "{line}: not as in the file");
        let said = String::from_utf8(output.stderr).unwrap();
        assert!(said.contains(told) && said.is_empty() == told.is_empty(), "{line}: {said}");
        assert!(sandbox.listing() == before);
    }
    let set = "render take.wav --setups presets/courtyard.toml -o -";
    refused(&sandbox, set, "-o -: standard output takes one rendering");
    refused(
        &sandbox,
        "curve --pickup 1n --load 1M -o x.svg --format png",
        "--format: x.svg would be another kind",
    );
}

/// Each take is rendered as if it were alone, into one folder.
#[test]
fn several_takes_at_once() {
    let sandbox = sandbox();
    sandbox.write("solo.wav", float_take(RATE_HZ, &sine(RATE_HZ, 220.0, 0.3, 12_000)).bytes());
    let set = |takes: &str, folder: &str| {
        sandbox.json(&words(&format!("render {takes} --setups presets/courtyard.toml -o {folder}")))
    };
    let both = set("take.wav solo.wav", "both");
    let (take, solo) = (set("take.wav", "take"), set("solo.wav", "solo"));
    assert_eq!(std::fs::read_dir(sandbox.path("both")).unwrap().count(), 14);
    for (folder, stem) in [("take", "take"), ("solo", "solo")] {
        let name = format!("{stem}-2-combo.wav");
        assert_eq!(sandbox.read(&format!("{folder}/{name}")), sandbox.read(&format!("both/{name}")));
    }
    assert_eq!((&both["takes"][0]["take_lufs"], &both["renderings"]), (&take["take_lufs"], &Value::Null));
    assert_eq!(both["takes"][1]["take_lufs"], solo["takes"][0]["take_lufs"]);
    // One load into a folder: a file a take.
    let load = "render take.wav solo.wav --pickup 680p --recorded-through 22M --load 470k -o load";
    sandbox.done(&words(load));
    let mut made: Vec<_> =
        std::fs::read_dir(sandbox.path("load")).unwrap().map(|e| e.unwrap().file_name()).collect();
    made.sort();
    assert_eq!(made, ["solo-1-470-kΩ.wav", "take-1-470-kΩ.wav"]);
    std::fs::create_dir(sandbox.path("other")).unwrap();
    sandbox.write("other/take.wav", sandbox.read("solo.wav"));
    let twins = "render take.wav other/take.wav --setups presets/courtyard.toml -o twins";
    refused(&sandbox, twins, "take-0-as-recorded.wav: two outputs of this run would have this name");
    refused(
        &sandbox,
        "render take.wav solo.wav --pickup 1n --recorded-through 1M --load 1M -o solo.wav",
        "it is not a folder",
    );
    refused(
        &sandbox,
        "pack take.wav solo.wav --setups presets/courtyard.toml -o x.html",
        "a page is of one take, 2 were given",
    );
    refused(
        &sandbox,
        "render take.wav gone.wav --setups presets/courtyard.toml -o x",
        "gone.wav: cannot open it",
    );
}

/// Of a part there comes what a rendering of the whole has there, to the bit.
#[test]
fn a_part_is_a_part_of_the_whole() {
    let sandbox = sandbox();
    let line = "render take.wav --pickup 680p --recorded-through 22M --load 56k --no-match";
    sandbox.done(&words(&format!("{line} -o whole.wav")));
    let whole = sandbox.wav("whole.wav").samples();
    for (part, frames) in [
        ("--from 0,1 --length 0.2", 4_800..14_400),
        ("--from 0.4 --length 9", 19_200..24_000),
        ("--length 0:00.25", 0..12_000),
    ] {
        let report = sandbox.json(&words(&format!("{line} {part} -o part.wav --overwrite")));
        assert_eq!(sandbox.wav("part.wav").samples(), whole[frames.clone()], "{part}");
        assert_eq!(report["frames"], frames.len());
    }
    refused(&sandbox, &format!("{line} --from 1 -o x.wav"), "--from: it lies behind the end of the take");
    refused(&sandbox, &format!("{line} --length 0 -o x.wav"), "--length: accepted is more than 0 s");
    // Matched by the part's own loudness: the unchanged part is the take's, as it is.
    let set = "render take.wav --setups presets/courtyard.toml --from 0.1 --length 0.2 -o set";
    sandbox.done(&words(set));
    let take = sandbox.wav("take.wav").samples();
    assert_eq!(sandbox.wav("set/take-0-as-recorded.wav").samples(), take[4_800..14_400]);
}
