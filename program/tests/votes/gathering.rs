//! What belongs together, among what text.

use std::io::Write;
use std::process::Stdio;

use serde_json::{Value, json};

use super::ballot::{ballot, code, ranking, run, said, told, with, with_page};
use crate::support::Outcome;

#[test]
fn codes_among_other_text() {
    let (one, two, three) = (run("cello", 1, 12, 16), run("mandolin", 2, 9, 16), ranking("cello", 1, "rbca"));
    let broken: String = code(&two)
        .chars()
        .enumerate()
        .flat_map(|(at, c)| {
            let fold = at > 0 && at % 60 == 0;
            fold.then_some("\r\n> ".chars()).into_iter().flatten().chain([c])
        })
        .collect();
    let text = format!(
        "[20:14] cello: hello fj1 fans, {{laughs}}\n{{not ours}}\n[20:15] cello: `{}`.\r\n\n> {broken}\n> bye\n{{\"other\": 1}}\n{}{}",
        code(&one),
        code(&three),
        code(&ranking("mandolin", 2, "rbca")),
    );
    let sandbox = with_page();
    sandbox.write("chat.txt", text);
    let told = sandbox.json(&["votes", "page.html", "chat.txt"]);
    assert_eq!(told["abx"][0]["together"]["right"], 21);
    assert_eq!(told["ranking"]["all"]["listeners"], 2);
    assert_eq!(told["refused"], json!([]));
}

#[test]
fn json_in_any_layout() {
    let answers = [run("cello", 1, 12, 16), run("mandolin", 2, 9, 16)];
    let [one, two] = answers.each_ref().map(Value::to_string);
    let pretty = serde_json::to_string_pretty(&answers).unwrap();
    for (name, text) in [
        ("lines", format!("{one}\n{two}\n")),
        ("one line", one.clone() + &two),
        ("list", format!("[{one}, {two}]")),
        ("pretty list", pretty.clone()),
        ("marked", format!("\u{feff}{pretty}")),
    ] {
        let sandbox = with_page();
        sandbox.write(name, text);
        let told = sandbox.json(&["votes", "page.html", name]);
        assert_eq!(told["abx"][0]["together"]["trials"], 32, "{name}");
    }
}

#[test]
fn standard_input_is_a_file_too() {
    let sandbox = with_page();
    sandbox.write("one.json", run("cello", 1, 12, 16).to_string());
    let mut command = sandbox.command(&["votes", "page.html", "one.json", "-", "--json"]);
    let mut child = command.stdin(Stdio::piped()).stdout(Stdio::piped()).spawn().unwrap();
    child.stdin.take().unwrap().write_all(code(&run("mandolin", 2, 9, 16)).as_bytes()).unwrap();
    let outcome = Outcome::of(child.wait_with_output());
    let told: Value = serde_json::from_str(&outcome.stdout).unwrap();
    assert_eq!(told["abx"][0]["together"]["right"], 21);
}

#[test]
fn the_same_answer_counts_once() {
    let answer = run("cello", 1, 12, 16);
    let told = told(&[answer.clone(), answer.clone(), with(answer, "listener", "somebody".into())]);
    assert_eq!(told["abx"][0]["together"]["trials"], 16);
    assert_eq!(
        told["notes"],
        json!([
            "answers.txt:2 is the answer at answers.txt:1 again: it counts once.",
            "answers.txt:3 is the answer at answers.txt:1 again: it counts once, though its name is somebody: it counts as cello's.",
        ])
    );
}

/// Sent after eight trials, and again after all.
#[test]
fn a_run_that_went_on_counts_once() {
    for (first, second) in [(8, 16), (16, 8)] {
        let told = told(&[run("cello", 1, 8, first), run("cello", 1, 8, second)]);
        let tally = &told["abx"][0]["together"];
        assert_eq!((&tally["right"], &tally["trials"]), (&8.into(), &16.into()));
        assert!(
            told["notes"][0].as_str().unwrap().contains("are one run, cut at different trials"),
            "{told}"
        );
    }
}

#[test]
fn a_second_run_adds_trials() {
    let told = told(&[run("cello", 1, 12, 16), run(" Cello ", 2, 9, 16)]);
    let listeners = &told["abx"][0]["listeners"];
    assert_eq!(listeners.as_array().unwrap().len(), 1);
    assert_eq!((&listeners[0]["runs"], &listeners[0]["right"]), (&2.into(), &21.into()));
    assert_eq!((&listeners[0]["trials"], &listeners[0]["listener"]), (&32.into(), &"cello".into()));
}

#[test]
fn without_a_name_each_ballot_is_a_listener() {
    let told = told(&[run("", 1, 12, 16), run("", 2, 9, 16), ranking("", 2, "rcba"), ranking("", 2, "rbca")]);
    let names: Vec<&Value> =
        told["abx"][0]["listeners"].as_array().unwrap().iter().map(|one| &one["listener"]).collect();
    assert_eq!(names, ["unnamed 00000001", "unnamed 00000002"]);
    let sent = told["ranking"]["sent"].as_array().unwrap();
    let names: Vec<&Value> = sent.iter().map(|one| &one["listener"]).collect();
    assert_eq!(names, ["unnamed 00000002 (2)", "unnamed 00000002 (3)"]);
    assert_eq!(told["ranking"]["all"]["listeners"], 2);
    assert_eq!(told["notes"].as_array().unwrap().len(), 4, "{told}");
}

/// Two people at one phone who agree: one seed, one order, and a ballot each.
#[test]
fn who_agrees_on_one_device_counts() {
    for (one, other, listeners) in
        [("cello", "mandolin", 2), ("", "", 2), ("cello", "", 2), ("cello", "Cello", 1)]
    {
        let told =
            told(&[ballot(0xaa, ranking(one, 5, "rbca")), ballot(u64::MAX, ranking(other, 5, "rbca"))]);
        assert_eq!(told["ranking"]["all"]["listeners"], listeners, "{one}, {other}");
        let sent = told["ranking"]["sent"].as_array().unwrap();
        let ballots: Vec<&Value> = sent.iter().map(|one| &one["ballot"]).collect();
        assert_eq!(ballots, ["00000000000000aa", "ffffffffffffffff"], "{one}, {other}");
        assert_eq!(told["refused"], json!([]));
    }
}

#[test]
fn the_same_ballot_counts_once() {
    let sent = ballot(7, ranking("cello", 5, "rbca"));
    let told = told(&[sent.clone(), sent.clone(), with(sent, "listener", "".into())]);
    assert_eq!(told["ranking"]["sent"].as_array().unwrap().len(), 1);
    assert_eq!(
        told["notes"],
        json!([
            "answers.txt:2 is the answer at answers.txt:1 again: it counts once.",
            "answers.txt:3 is the answer at answers.txt:1 again: it counts once, though its name is missing: it counts as cello's.",
        ])
    );
}

/// Pages of before gave all their ballots one seed and no identity: a name tells them apart, or else nothing does.
#[test]
fn rankings_without_an_identity() {
    let old = |listener: &str| ranking(listener, 5, "rbca");
    let apart = told(&[old("cello"), old("mandolin"), old("")]);
    assert_eq!(apart["ranking"]["all"]["listeners"], 3);
    for name in ["cello", ""] {
        let alike = told(&[old(name), old(name)]);
        assert_eq!(alike["ranking"]["sent"].as_array().unwrap().len(), 1, "{name}");
        let note = "answers.txt:2 is like answers.txt:1, and the page that they come from gave its ballots no identity: they count once";
        assert!(alike["notes"].to_string().contains(note), "{alike}");
        assert_eq!(alike["ranking"]["sent"][0]["ballot"], Value::Null);
    }
    // With an identity it is another page's.
    let mixed = told(&[old("cello"), ballot(7, old("cello"))]);
    assert_eq!(mixed["ranking"]["sent"].as_array().unwrap().len(), 2);
}

#[test]
fn two_of_one_name_are_asked_about() {
    let sent = [
        ballot(1, ranking("Cello", 5, "rbca")),
        ballot(2, ranking("mandolin", 6, "rbca")),
        ballot(3, ranking("cello", 7, "rcba")),
    ];
    let told = told(&sent);
    let same = json!([{ "listener": "Cello", "places": ["answers.txt:1", "answers.txt:3"], "alike": false }]);
    assert_eq!(told["ranking"]["same_names"], same);
    assert_eq!(told["ranking"]["all"]["listeners"], 2);
    let question = "2 ballots are named Cello, with different orders (answers.txt:1 and answers.txt:3): one person more than once, or \
                    several people? They count as one listener, by their mean; --apart with this name counts them as 2.";
    assert_eq!(told["questions"], json!([question]));
    assert!(said(&sent).contains(question));

    let sandbox = with_page();
    sandbox.write("answers.txt", sent.each_ref().map(code).join("\n"));
    let apart = sandbox.json(&["votes", "page.html", "answers.txt", "--apart", "CELLO"]);
    assert_eq!((&apart["questions"], &apart["ranking"]["same_names"]), (&json!([]), &json!([])));
    assert_eq!(apart["ranking"]["all"]["listeners"], 3);
    assert_eq!(apart["ranking"]["sent"][2]["listener"], "cello (2)");
    let nobody = sandbox.run(&["votes", "page.html", "answers.txt", "--apart", "tuba"]);
    assert_eq!(nobody.code, Some(2));
    let said = "--apart: nobody is named 'tuba': accepted are Cello, mandolin";
    assert!(nobody.stderr.contains(said), "{nobody:?}");
}

/// Names steer no terminal, and are not too long for one.
#[test]
fn names_are_only_text() {
    let told = told(&[run("a\u{1b}[2J\n\u{202e}b", 1, 12, 16), run(&"long ".repeat(30), 2, 9, 16)]);
    let listeners = &told["abx"][0]["listeners"];
    assert_eq!(listeners[0]["listener"], "a [2J b");
    assert_eq!(listeners[1]["listener"].as_str().unwrap().chars().count(), 60);
}

/// The examples of the help, and what it says of exit codes.
#[test]
fn the_examples_run() {
    let sandbox = with_page();
    sandbox.write("answers.txt", code(&run("tambourine", 3, 12, 16)));
    sandbox.write("cello.json", run("cello", 1, 12, 16).to_string());
    sandbox.write("mandolin.json", ranking("mandolin", 2, "rbca").to_string());
    let help = sandbox.done(&["votes", "--help"]);
    let examples: Vec<&str> = help.lines().filter_map(|line| line.strip_prefix("  firstjack ")).collect();
    assert_eq!(examples.len(), 2, "{help}");
    for example in examples {
        assert!(sandbox.done(&example.split(' ').collect::<Vec<_>>()).contains("told apart"), "{example}");
    }
    assert!(help.contains("2 some do not"), "{help}");
}
