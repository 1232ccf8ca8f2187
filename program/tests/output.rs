//! Where outputs may go, and what is there when a run ends before its end.

use std::path::Path;

use crate::support::{Sandbox, float_take, sine};

fn with_take() -> Sandbox {
    let sandbox = Sandbox::new();
    sandbox.write("take.wav", float_take(48_000, &sine(48_000, 110.0, 0.2, 24_000)).bytes());
    sandbox.courtyard();
    sandbox
}

const TAKE: [&str; 8] = ["render", "take.wav", "--pickup", "680p", "--through", "22M", "--load", "470k"];
const PACK: [&str; 4] = ["pack", "take.wav", "--setups", "presets/courtyard.toml"];
const NOTE: [&str; 3] = ["note", "--setups", "presets/courtyard.toml"];
const CURVE: [&str; 3] = ["curve", "--setups", "presets/courtyard.toml"];

/// Refused with exit code 2, and no file has changed.
#[track_caller]
fn refused(sandbox: &Sandbox, arguments: &[&str], rest: &[&str], said: &str) {
    let before = sandbox.listing();
    let outcome = sandbox.run(&[arguments, rest].concat());
    assert_eq!(outcome.code, Some(2), "{arguments:?} {rest:?}: {outcome:?}");
    assert!(outcome.stderr.contains(said), "{rest:?}: no '{said}' in {}", outcome.stderr);
    assert!(sandbox.listing() == before, "{arguments:?} {rest:?} changed a file");
}

#[test]
fn no_input_is_an_output() {
    let sandbox = with_take();
    let setups = "it is the file of setups itself";
    std::fs::copy(sandbox.path("presets/courtyard.toml"), sandbox.path("presets/x.html")).unwrap();
    std::fs::hard_link(sandbox.path("presets/courtyard.toml"), sandbox.path("twin.toml")).unwrap();
    for output in ["presets/courtyard.toml", "./presets/../presets/courtyard.toml", "twin.toml"] {
        refused(&sandbox, &PACK, &["-o", output, "--overwrite"], setups);
        refused(&sandbox, &PACK, &["-o", "page.html", "--note", output, "--overwrite"], setups);
    }
    refused(&sandbox, &PACK, &["-o", "take.wav", "--overwrite"], "it is the take itself; give another -o");
    let note = ["-o", "page.html", "--note", "take.wav", "--overwrite"];
    refused(&sandbox, &PACK, &note, "it is the take itself; give another --note");
    let html = ["note", "--setups", "presets/x.html", "-o", "presets/x.html", "--overwrite"];
    refused(&sandbox, &html, &[], setups);
}

#[test]
fn no_two_outputs_on_one_name() {
    let sandbox = with_take();
    let twin = "it is one file with page.html, another output of this run";
    for (note, said) in [
        ("page.html", "page.html: two outputs of this run would have this name"),
        ("./page.html", twin),
        ("presets/../page.html", twin),
    ] {
        refused(&sandbox, &PACK, &["-o", "page.html", "--note", note, "--overwrite"], said);
    }
}

#[cfg(unix)]
#[test]
fn links_devices_pipes_and_sockets() {
    use std::os::unix::fs::symlink;
    use std::os::unix::net::UnixListener;

    let sandbox = with_take();
    sandbox.write("precious", "precious");
    symlink("precious", sandbox.path("link")).unwrap();
    symlink("nowhere", sandbox.path("dangling")).unwrap();
    symlink(".", sandbox.path("here")).unwrap();
    nix::unistd::mkfifo(&sandbox.path("pipe"), nix::sys::stat::Mode::S_IRWXU).unwrap();
    let _socket = UnixListener::bind(sandbox.path("socket")).unwrap();
    let odd = [
        ("link", "it is a symbolic link"),
        ("dangling", "it is a symbolic link"),
        ("pipe", "it is a pipe (FIFO)"),
        ("socket", "it is a socket"),
        ("/dev/null", "it is a device"),
        ("presets", "it is a folder; give -o the name of a file"),
        ("new.wav/", "it names no file"),
        ("nowhere/new.wav", "there is no such folder"),
    ];
    let accepted = "accepted are new names and regular files";
    for (output, said) in odd {
        for overwrite in [&[][..], &["--overwrite"]] {
            // A pipe would hang for ever: what is read and written is not looked at, only that it ends.
            refused_with_pipe(&sandbox, &[TAKE.as_slice(), &["-o", output], overwrite].concat(), said);
            refused_with_pipe(&sandbox, &[PACK.as_slice(), &["-o", output], overwrite].concat(), said);
        }
        if said.contains("link") {
            refused_with_pipe(
                &sandbox,
                &[TAKE.as_slice(), &["-o", output, "--overwrite"]].concat(),
                accepted,
            );
        }
    }
    // Through a link to a folder one comes to the same names.
    let rest = [PACK.as_slice(), &["-o", "page.html", "--note", "here/page.html"]].concat();
    refused_with_pipe(&sandbox, &rest, "it is one file with page.html");
    assert_eq!(sandbox.read("precious"), b"precious");
}

/// As [`refused`], but looks only at names, since what is in a pipe cannot be read.
#[cfg(unix)]
#[track_caller]
fn refused_with_pipe(sandbox: &Sandbox, arguments: &[&str], said: &str) {
    let before = names(sandbox, "");
    let outcome = sandbox.run(arguments);
    assert_eq!(outcome.code, Some(2), "{arguments:?}: {outcome:?}");
    assert!(outcome.stderr.contains(said), "{arguments:?}: no '{said}' in {}", outcome.stderr);
    assert_eq!(names(sandbox, ""), before);
}

fn names(sandbox: &Sandbox, folder: &str) -> Vec<String> {
    let entries = std::fs::read_dir(sandbox.path(folder)).unwrap();
    let mut names: Vec<String> =
        entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

/// A name that the system does not take is refused before the work; one that follows from a setup's is shortened.
#[test]
fn names_that_are_too_long() {
    let sandbox = with_take();
    let long = format!("{}.wav", "n".repeat(300));
    refused(&sandbox, &TAKE, &["-o", &long], "the system takes no name of 304 bytes; give a shorter -o");
    refused(&sandbox, &CURVE, &["-o", &format!("{long}.svg")], "give a shorter -o");
    refused(&sandbox, &NOTE, &["-o", &format!("{long}.pdf")], "give a shorter -o");
    refused(&sandbox, &PACK, &["-o", "page.html", "--note", &long], "give a shorter --note");
    let setups = |name: &str| format!("[[setup]]\nname = \"{name}\"\nload = \"1M\"\n");
    let head =
        "version = 3\nname = \"long\"\npickup = { capacitance = \"680p\" }\nrecorded = { load = \"22M\" }\n";
    let (one, two) = (format!("{}a", "ü".repeat(300)), format!("{}b", "ü".repeat(300)));
    sandbox.write("long.toml", format!("{head}{}{}", setups(&one), setups(&two)));
    sandbox.done(&["render", "take.wav", "--setups", "long.toml", "-o", "set"]);
    let made = names(&sandbox, "set");
    assert_eq!(made.len(), 3, "{made:?}");
    assert!(made[1].starts_with("take-1-üüü") && made[2].starts_with("take-2-üüü"), "{made:?}");
}

/// More than nine files sort as they are numbered.
#[test]
fn numbers_sort() {
    let sandbox = with_take();
    let head =
        "version = 3\nname = \"many\"\npickup = { capacitance = \"680p\" }\nrecorded = { load = \"22M\" }\n";
    let setup = |number| format!("[[setup]]\nname = \"box {number}\"\nload = \"{number}00k\"\n");
    sandbox.write("many.toml", head.to_owned() + &(1..=10).map(setup).collect::<String>());
    let report = sandbox.json(&["render", "take.wav", "--setups", "many.toml", "-o", "set"]);
    let told: Vec<String> = report["renderings"].as_array().unwrap().iter().map(file_of).collect();
    assert_eq!(names(&sandbox, "set"), told);
    assert_eq!((told[1].as_str(), told[10].as_str()), ("take-01-box-1.wav", "take-10-box-10.wav"));
}

fn file_of(rendering: &serde_json::Value) -> String {
    let file = Path::new(rendering["file"].as_str().unwrap());
    assert_eq!(file.parent(), Some(Path::new("set")));
    file.file_name().unwrap().to_str().unwrap().to_owned()
}

/// A script hands them back to the system: as they were given, and what is put together as the system does it.
#[test]
fn json_has_paths_as_the_system_writes_them() {
    let sandbox = with_take();
    std::fs::create_dir(sandbox.path("deep")).unwrap();
    for given in ["deep/set", "deep/set/", if cfg!(windows) { "deep\\set" } else { "./deep/set" }] {
        let render = ["render", "take.wav", "--setups", "presets/courtyard.toml", "-o", given, "--overwrite"];
        let report = sandbox.json(&render);
        assert_eq!(report["take"], "take.wav");
        let joined = Path::new(given).join("take-1-passive-box.wav");
        assert_eq!(report["renderings"][1]["file"], joined.to_str().unwrap());
        assert!(sandbox.path(joined.to_str().unwrap()).is_file());
    }
    let kit = Path::new("deep").join("kit.toml");
    let told = sandbox.json(&["kit", "path", "--kit", kit.to_str().unwrap()]);
    assert_eq!(told["path"], kit.to_str().unwrap());
}

/// What a killed run has left goes with the next output, whatever the command; what a living one holds does not.
#[test]
fn leftovers_go_with_the_next_output() {
    let sandbox = with_take();
    for (command, output) in
        [(&TAKE[..], "new.wav"), (&CURVE, "new.svg"), (&NOTE, "new.pdf"), (&PACK, "new.html")]
    {
        sandbox.write(".firstjack-a1b2c3.part", "half");
        let held = std::fs::File::create(sandbox.path(".firstjack-living.part")).unwrap();
        held.lock().unwrap();
        sandbox.done(&[command, &["-o", output]].concat());
        let names = names(&sandbox, "");
        assert!(names.iter().any(|name| name == output), "{names:?}");
        assert!(names.contains(&".firstjack-living.part".to_owned()), "{names:?}");
        assert!(!names.contains(&".firstjack-a1b2c3.part".to_owned()), "{names:?}");
    }
}
