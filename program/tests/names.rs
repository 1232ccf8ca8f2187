//! Names, paths and arguments that hold what would steer a terminal: they load, they are shown as escapes wherever text leaves, and JSON
//! has them as they were given.

use serde_json::Value;

use crate::support::{Sandbox, float_take, sine};

/// Sets a terminal's title (ESC ] 0), rings (BEL), colours (CSI in one byte), deletes, turns the direction (UAX #9), leaves the line.
const STEERS: &str = "\u{1b}]0;owned\u{7}\u{9b}31m\u{7f}\u{202e}\u{2066}\t\r\n";
/// The same as it is shown.
const SHOWN: &str = "\\u{1b}]0;owned\\u{7}\\u{9b}31m\\u{7f}\\u{202e}\\u{2066}\\t\\r\\n";
/// The same as TOML has it.
const TOML: &str = r"\u001b]0;owned\u0007\u009b31m\u007f\u202e\u2066\t\r\n";

/// Two setups of two boxes, a title and a venue, all of them steering.
fn setups() -> String {
    let setup = |number: u32| {
        format!(
            "[[setup]]\nname = \"{number}{TOML}\"\nvenue = \"v{TOML}\"\nchain = [{{ box = \"t{TOML}\", input = \"1M\", thru = \"before\" }}, \
             {{ box = \"c{TOML}\", input = \"470k\" }}]\n"
        )
    };
    format!(
        "version = 3\nname = \"title{TOML}\"\ninstrument = \"bass\"\npickup = {{ capacitance = \"680 pF\" }}\n\
         recorded = {{ load = \"22M\" }}\n{}{}",
        setup(1),
        setup(2)
    )
}

fn sandbox() -> Sandbox {
    let sandbox = Sandbox::new();
    sandbox.write("odd.toml", setups());
    sandbox.write("take.wav", float_take(48_000, &sine(48_000, 55.0, 0.2, 48_000)).bytes());
    sandbox
}

/// Nothing steers; line breaks are the program's own.
#[track_caller]
fn steers_nothing(text: &str) {
    let steers = |c: char| {
        (c.is_control() && c != '\n') || matches!(c, '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
    };
    if let Some(at) = text.find(steers) {
        let from = text[..at].char_indices().rev().nth(40).map_or(0, |(from, _)| from);
        panic!("{:?} after {:?}", text[at..].chars().next(), &text[from..at]);
    }
    assert!(!text.contains("\u{1b}]0;owned"));
}

/// What is printed, with the name in it.
#[track_caller]
fn printed(sandbox: &Sandbox, arguments: &[&str]) -> String {
    let outcome = sandbox.run(arguments);
    assert_eq!(outcome.code, Some(0), "{arguments:?}: {outcome:?}");
    steers_nothing(&outcome.stdout);
    steers_nothing(&outcome.stderr);
    assert!(outcome.stdout.contains(&format!("1{SHOWN}")), "{arguments:?}: {}", outcome.stdout);
    outcome.stdout
}

/// What is printed as JSON.
#[track_caller]
fn json(sandbox: &Sandbox, arguments: &[&str]) -> Value {
    let text = sandbox.done(&[arguments, &["--json"]].concat());
    steers_nothing(&text);
    serde_json::from_str(&text).unwrap()
}

#[test]
fn reports_show_escapes_and_json_has_the_names() {
    let sandbox = sandbox();
    let name = Value::from(format!("1{STEERS}"));
    for command in ["tell", "rescue"] {
        printed(&sandbox, &[command, "--setups", "odd.toml"]);
        let told = json(&sandbox, &[command, "--setups", "odd.toml"]);
        assert_eq!(told["setups"][0]["name"], name, "{command}");
    }
    let told = json(&sandbox, &["tell", "--setups", "odd.toml"]);
    assert_eq!(told["setups"][0]["chain"][0]["name"], format!("t{STEERS}"));
    assert!(printed(&sandbox, &["tell", "--setups", "odd.toml"]).contains(&format!("  t{SHOWN}")));
}

#[test]
fn renderings_are_told_and_named_without() {
    let sandbox = sandbox();
    printed(&sandbox, &["render", "take.wav", "--setups", "odd.toml", "-o", "one"]);
    let told = json(&sandbox, &["render", "take.wav", "--setups", "odd.toml", "-o", "two"]);
    assert_eq!(told["renderings"][1]["name"], format!("1{STEERS}"));
    for path in sandbox.listing().into_keys() {
        steers_nothing(path.to_str().unwrap());
    }
}

#[test]
fn pictures_and_tables_show_escapes() {
    let sandbox = sandbox();
    for name in ["x.svg", "x.png", "x.csv"] {
        sandbox.done(&["curve", "--setups", "odd.toml", "-o", name]);
    }
    let drawn = String::from_utf8(sandbox.read("x.svg")).unwrap();
    steers_nothing(&drawn);
    let svg = roxmltree::Document::parse(&drawn).unwrap();
    let named = |name: &str| svg.descendants().any(|node| node.text() == Some(name));
    assert!(named(&format!("1{SHOWN}")) && named(&format!("2{SHOWN}")), "{drawn}");
    // Of what steers RFC 4180 has line breaks, in quotes.
    let table = String::from_utf8(sandbox.read("x.csv")).unwrap();
    let kept = SHOWN.replace("\\r\\n", "\r\n");
    assert_eq!(table.matches(&format!("\n\"1{kept}\",1,")).count(), 501, "{}", &table[..200]);
    steers_nothing(&table.replace('\r', ""));
}

#[test]
fn notes_and_pages_show_escapes() {
    let sandbox = sandbox();
    let chosen = format!("1{STEERS}");
    sandbox.done(&["note", "--setups", "odd.toml", "--setup", &chosen, "-o", "x.html"]);
    sandbox.done(&["note", "--setups", "odd.toml", "--setup", &format!("1{SHOWN}"), "-o", "y.html"]);
    sandbox.done(&["note", "--setups", "odd.toml", "--venue", &format!("v{STEERS}"), "-o", "x.pdf"]);
    assert_eq!(sandbox.read("x.html"), sandbox.read("y.html"), "as given or as shown");
    let pack = ["pack", "take.wav", "--setups", "odd.toml", "--note", "n.pdf", "-o"];
    printed(&sandbox, &[&pack[..], &["page.html"]].concat());
    let told = json(&sandbox, &["pack", "take.wav", "--setups", "odd.toml", "-o", "other.html"]);
    assert!(told["sounds"].as_array().unwrap().iter().any(|sound| sound["name"] == chosen), "{told}");
    for file in ["x.html", "page.html"] {
        let page = String::from_utf8(sandbox.read(file)).unwrap();
        steers_nothing(&page);
        assert!(page.contains("\\u{1b}]0;owned\\u{7}"), "{file}");
    }
    sandbox.write("answers.txt", "");
    let outcome = sandbox.run(&["votes", "page.html", "answers.txt"]);
    steers_nothing(&outcome.stdout);
    steers_nothing(&outcome.stderr);
}

/// Refusals quote what they refuse.
#[test]
fn refusals_show_escapes() {
    let sandbox = sandbox();
    let (file, folder, option) =
        (format!("no{STEERS}.toml"), format!("no{STEERS}/x.svg"), format!("--{STEERS}"));
    sandbox.write("bad.toml", setups().replace("version = 3", &format!("version = 3\n\"{TOML}\" = 1")));
    let odd = ["tell", "--setups", "odd.toml"];
    for arguments in [
        &["tell", "--setups", &*file][..],
        &["tell", "--setups", "bad.toml"],
        &["tell", "--pickup", STEERS, "--load", "1M"],
        &["tell", "--pickup", "1n", "--load", STEERS],
        &[&odd[..], &["--instrument", STEERS]].concat(),
        &[&odd[..], &["--strings", STEERS]].concat(),
        &[&odd[..], &[&*option]].concat(),
        &["curve", "--setups", "odd.toml", "-o", &folder],
        &["curve", "--setups", "odd.toml", "-o", STEERS],
        &["note", "--setups", "odd.toml", "--setup", &file, "-o", "x.html"],
        &["note", "--setups", "odd.toml", "--venue", &file, "-o", "x.html"],
        &["render", &file, "--pickup", "1n", "--load", "1M", "-o", "x.wav"],
        &["pack", "take.wav", "--setups", "odd.toml", "--rescue", &file, "-o", "x.html"],
        &["votes", &file, &file],
        &[STEERS],
    ] {
        let outcome = sandbox.run(arguments);
        assert_eq!(outcome.code, Some(2), "{arguments:?}: {outcome:?}");
        assert_eq!(outcome.stdout, "");
        steers_nothing(&outcome.stderr);
        assert!(!outcome.stderr.is_empty());
    }
    // A name cannot pretend to be another line of the report.
    let outcome = sandbox.run(&["tell", "--setups", "no\nfirstjack: all is well"]);
    assert_eq!(outcome.stderr.lines().count(), 1, "{}", outcome.stderr);
}
