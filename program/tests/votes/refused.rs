//! What does not count: told with its place and what would be accepted, and the others count all the same.

use serde_json::{Value, json};

use super::ballot::{self, PACK, code, page, ranking, run, with, with_page};

/// Sends this between two good answers, and wants it told.
#[track_caller]
fn refused(text: &str, line: usize, said: &[&str]) {
    let sandbox = with_page();
    let (before, after) = (code(&run("cello", 1, 12, 16)), code(&run("mandolin", 2, 9, 16)));
    sandbox.write("answers.txt", format!("{before}\n{text}\n{after}\n"));
    let outcome = sandbox.run(&["votes", "page.html", "answers.txt"]);
    assert_eq!(outcome.code, Some(2), "{outcome:?}");
    assert!(outcome.stdout.contains("21 of 32 right"), "{outcome:?}");
    assert!(outcome.stderr.contains("2 answers count, but not:"), "{outcome:?}");
    let place = format!("\n  answers.txt:{line}: ");
    assert_eq!(outcome.stderr.matches("\n  answers.txt:").count(), 1, "{outcome:?}");
    for wanted in said.iter().chain([&place.as_str()]) {
        assert!(outcome.stderr.contains(wanted), "no '{wanted}' in {}", outcome.stderr);
    }
}

#[test]
fn damaged_codes() {
    let whole = code(&run("tambourine", 3, 9, 16));
    let cut =
        "the code is cut short; accepted is all of it, from fj1. to the eight digits behind its second point";
    for text in [&whole[..40], &whole[..whole.len() - 3], "fj1.", "fj1..", "fj1.é.00000000", "fj1.=.0123456g"]
    {
        refused(text, 2, &[cut]);
    }
    let changed = whole.replacen("eyJhIjoi", "eyJhIjoj", 1);
    assert_ne!(changed, whole);
    refused(&changed, 2, &["the code was changed on its way: its text has the checksum", "ask for it again"]);
    let nonsense = format!("fj1.{}.{:08x}", "eA", crc32fast::hash(b"x"));
    refused(&nonsense, 2, &["it is not JSON: expected value at line 1 column 1"]);
}

#[test]
fn damaged_json() {
    let whole = run("tambourine", 3, 9, 16).to_string();
    let first = whole.replacen('{', "{\"firstjack\":\"answers\",", 1);
    refused(&first[..60], 2, &["it is not JSON: ", "accepted are answers as the page gives them"]);
}

#[test]
fn fields_that_are_not_right() {
    let (abx, order) = (run("tambourine", 3, 9, 16), ranking("tambourine", 3, "rbca"));
    let keys = "e4vd, t9ap, b2xk, q7mz";
    let each = format!("accepted is each of the 4 sounds once: {keys}");
    let letters = "accepted is 1 to 1000 letters a or b, one a trial";
    let cases: [(Value, &str, String); 24] = [
        (
            with(abx.clone(), "firstjack", "preset".into()),
            "firstjack is \"preset\"",
            "accepted is \"answers\"".into(),
        ),
        (with(abx.clone(), "version", 2.into()), "version is 2", "accepted is 1".into()),
        (with(abx.clone(), "version", "1".into()), "version is \"1\"", "accepted is 1".into()),
        (with(abx.clone(), "pack", 7.into()), "pack is 7", "the name of a pack".into()),
        (
            with(abx.clone(), "pack", "fedc".into()),
            "it answers the pack fedc",
            format!("this page is {PACK}"),
        ),
        (
            with(abx.clone(), "ballot", "abc".into()),
            "ballot is \"abc\"",
            "accepted is 16 digits 0-9 a-f, in quotation marks, or no ballot".into(),
        ),
        (with(abx.clone(), "ballot", 7.into()), "ballot is 7", "accepted is 16 digits".into()),
        (with(abx.clone(), "seed", "".into()), "seed is \"\"", "one to eight digits 0-9 a-f".into()),
        (with(abx.clone(), "seed", "+1".into()), "seed is \"+1\"", "one to eight digits 0-9 a-f".into()),
        (
            with(abx.clone(), "seed", "123456789".into()),
            "seed is \"123456789\"",
            "one to eight digits 0-9 a-f".into(),
        ),
        (with(abx.clone(), "seed", 1.into()), "seed is 1", "in quotation marks".into()),
        (
            with(abx.clone(), "listener", Value::Null),
            "listener is missing",
            "a name in quotation marks".into(),
        ),
        (
            with(abx.clone(), "kind", "vote".into()),
            "kind is \"vote\"",
            "accepted is \"abx\" or \"ranking\"".into(),
        ),
        (with(abx.clone(), "a", "zzzz".into()), "a is \"zzzz\"", format!("accepted is {keys}")),
        (with(abx.clone(), "b", Value::Null), "b is missing", format!("accepted is {keys}")),
        (with(abx.clone(), "b", "b2xk".into()), "b is \"b2xk\"", "accepted is another sound than a".into()),
        (with(abx.clone(), "said", "".into()), "said is \"\"", letters.into()),
        (with(abx.clone(), "said", "abx".into()), "said is \"abx\"", letters.into()),
        (with(abx.clone(), "said", "ab".repeat(501).into()), "said is \"abab", letters.into()),
        (with(abx, "said", json!(["a"])), "said is [\"a\"]", letters.into()),
        (with(order.clone(), "order", json!(["q7mz", "b2xk", "t9ap"])), "order is [\"q7mz\"", each.clone()),
        (
            with(order.clone(), "order", json!(["q7mz", "b2xk", "t9ap", "t9ap"])),
            "order is [\"q7mz\"",
            each.clone(),
        ),
        (
            with(order.clone(), "order", json!(["q7mz", "b2xk", "t9ap", "zzzz"])),
            "order is [\"q7mz\"",
            each.clone(),
        ),
        (with(order, "order", "q7mz".into()), "order is \"q7mz\"", each),
    ];
    for (answer, given, accepted) in cases {
        refused(&code(&answer), 2, &[given, &accepted]);
        refused(&serde_json::to_string_pretty(&answer).unwrap(), 2, &[given, &accepted]);
    }
}

/// What was changed by hand.
#[test]
fn another_ballot_of_one_identity() {
    let sandbox = with_page();
    let one = ballot::ballot(7, ranking("cello", 5, "rbca"));
    let other = with(one.clone(), "order", ballot::ballot(7, ranking("cello", 5, "brca"))["order"].clone());
    sandbox.write("answers.txt", format!("{}\n{}\n", code(&one), code(&other)));
    let outcome = sandbox.run(&["votes", "page.html", "answers.txt"]);
    let said = "answers.txt:2: the ballot at answers.txt:1 has the same identity and says something else, and counts";
    assert!(outcome.code == Some(2) && outcome.stderr.contains(said), "{outcome:?}");
}

/// After the score of one run is known, its X is known too.
#[test]
fn another_run_from_one_seed() {
    let said = "the run at answers.txt:1 has the same seed and other answers, and counts; accepted is one run a seed";
    refused(&code(&run("cello", 1, 16, 16)), 2, &[said]);
    let mut swapped = run("cello", 1, 12, 16);
    (swapped["a"], swapped["b"]) = ("t9ap".into(), "b2xk".into());
    refused(&code(&swapped), 2, &[said]);
}

#[test]
fn files_without_answers() {
    let sandbox = with_page();
    sandbox.write("good.txt", code(&run("cello", 1, 12, 16)));
    sandbox.write("empty.txt", "");
    sandbox.write("bytes.txt", [0xff, 0xfe, b'f', 0, b'j', 0]);
    let outcome =
        sandbox.run(&["votes", "page.html", "missing.txt", "good.txt", "empty.txt", ".", "bytes.txt"]);
    assert_eq!(outcome.code, Some(2));
    assert!(outcome.stdout.contains("12 of 16 right"), "{outcome:?}");
    let none = "no answers in it; accepted are codes (fj1.…) and JSON, as the page gives them";
    for wanted in
        ["1 answer counts, but not:", "missing.txt: cannot read it: ", " .: cannot read it: it is a folder"]
    {
        assert!(outcome.stderr.contains(wanted), "no '{wanted}' in {}", outcome.stderr);
    }
    assert_eq!(outcome.stderr.matches(none).count(), 2, "{outcome:?}");
    let nothing = sandbox.run(&["votes", "page.html", "empty.txt"]);
    assert_eq!((nothing.code, nothing.stdout.as_str()), (Some(2), ""));
    assert!(nothing.stderr.contains("no answer counts:\n  empty.txt: "), "{nothing:?}");
}

#[test]
fn scripts_are_told_too() {
    let sandbox = with_page();
    sandbox.write("answers.txt", "\nfj1.");
    let outcome = sandbox.run(&["votes", "page.html", "answers.txt", "--json"]);
    assert_eq!(outcome.code, Some(2));
    let told: Value = serde_json::from_str(&outcome.stdout).unwrap();
    assert_eq!(
        (&told["refused"][0]["file"], &told["refused"][0]["line"]),
        (&"answers.txt".into(), &2.into())
    );
    assert!(told["refused"][0]["problem"].as_str().unwrap().starts_with("the code is cut short"));
}

#[test]
fn pages_that_are_none() {
    let sandbox = with_page();
    sandbox.write("good.txt", code(&run("cello", 1, 12, 16)));
    let data = ballot::data();
    let whole = page(&data);
    let other_sounds = json!([{ "key": "q7mz", "block": "" }, { "key": "b2xk", "block": "" }, { "key": "t9ap", "block": "" }, { "key": "zzzz", "block": "" }]);
    let twice = json!([{ "key": "q7mz", "block": "" }, { "key": "b2xk", "block": "" }, { "key": "t9ap", "block": "" }, { "key": "t9ap", "block": "" }]);
    let one = json!({ "order": ["q7mz"], "sounds": {} });
    let steering =
        json!({ "order": ["\u{1b}[2J"], "sounds": { "\u{1b}[2J": { "name": "x", "kind": "setup" } } });
    let held = json!([{ "key": "\u{1b}[2J", "block": "" }]);
    let steering = with(with(data.clone(), "sealed", ballot::sealed(&steering).into()), "sounds", held);
    let cases: [(&str, String, &str); 12] = [
        ("empty.html", String::new(), "it has no data of a pack; accepted are pages made by firstjack pack"),
        ("other.html", "<html>".repeat(300_000), "it has no data of a pack"),
        ("cut.html", whole[..200].to_owned(), "its data are cut short; accepted are whole pages"),
        (
            "json.html",
            whole.replacen("\"pack\"", "pack", 1),
            "its data: key must be a string at line 1 column",
        ),
        ("fields.html", page(&json!({ "version": 1 })), "its data: missing field `pack`"),
        ("version.html", page(&with(data.clone(), "version", 2.into())), "it is of version 2; accepted is 1"),
        (
            "pack.html",
            page(&with(data.clone(), "pack", "x".into())),
            "the pack is 'x'; accepted are 16 digits 0-9 a-f",
        ),
        ("base64.html", page(&with(data.clone(), "sealed", "?".into())), "what is sealed is not base64"),
        (
            "sounds.html",
            page(&with(data.clone(), "sounds", other_sounds)),
            "its sounds are not those that are sealed",
        ),
        (
            "twice.html",
            page(&with(data.clone(), "sounds", twice)),
            "its sounds are not those that are sealed",
        ),
        ("steering.html", page(&steering), "its sounds are not those that are sealed"),
        (
            "order.html",
            page(&with(data.clone(), "sealed", ballot::sealed(&one).into())),
            "its sounds are not those that are sealed",
        ),
    ];
    for (name, text, said) in cases {
        sandbox.write(name, text);
        let outcome = sandbox.run(&["votes", name, "good.txt"]);
        assert_eq!((outcome.code, outcome.stdout.as_str()), (Some(2), ""), "{name}");
        assert!(outcome.stderr.contains(&format!("{name}: {said}")), "{outcome:?}");
    }
    let outcome = sandbox.run(&["votes", "missing.html", "good.txt"]);
    assert!(
        outcome.code == Some(2) && outcome.stderr.contains("missing.html: cannot read it: "),
        "{outcome:?}"
    );
}
