//! The files that it writes.

use super::{assert_says, file, note};
use crate::support::Sandbox;

/// Thirty boxes and setups with long names: one page all the same, and a word for what was cut.
fn crowded() -> String {
    let link = |index: usize| {
        format!(
            "{{ cable = '1 m' }}, {{ box = 'box {index} {}', input = '1M', thru = 'after' }}",
            "of a long name ".repeat(8)
        )
    };
    let chain = format!("chain = [{}]", (0..30).map(link).collect::<Vec<_>>().join(", "));
    let names: Vec<String> =
        (0..30).map(|index| format!("setup {index} {}", "of a long name ".repeat(8))).collect();
    let setups: Vec<(&str, &str)> = names.iter().map(|name| (name.as_str(), chain.as_str())).collect();
    file(&setups)
}

fn count(bytes: &[u8], text: &str) -> usize {
    bytes.windows(text.len()).filter(|window| *window == text.as_bytes()).count()
}

#[test]
fn one_page_and_the_same_bytes_again() {
    for (setups, language) in
        [(file(&[("plain", "load = '1M'")]), "en"), (crowded(), "en"), (crowded(), "de")]
    {
        let sandbox = Sandbox::new();
        sandbox.write("setups.toml", setups);
        for output in ["one.pdf", "two.pdf"] {
            sandbox.done(&["note", "--setups", "setups.toml", "--language", language, "-o", output]);
        }
        let pdf = sandbox.read("one.pdf");
        assert!(pdf.starts_with(b"%PDF-1.") && pdf == sandbox.read("two.pdf"));
        assert_eq!((count(&pdf, "/Type/Page/"), count(&pdf, "/Count 1/")), (1, 1));
        assert_eq!(count(&pdf, "CreationDate"), 0);
    }
}

#[test]
fn what_does_not_fit_is_counted() {
    let html = note(&crowded(), &[]);
    // A pickup and 30 boxes in 15 places, the last of which says so; 30 setups, of which 12 are listed.
    assert_says(&html, ">and 17 more</text>");
    assert_says(&html, "<p>and 18 more</p>");
    assert_says(&html, "setup 0 of a long name of a long name o…");
}

/// Names are a user's: none of them becomes markup.
#[test]
fn names_are_no_markup() {
    let name = "<img src=x onerror=alert(1)></script><!-- \"quoted\" & so on";
    let chain = format!("venue = '''{name}'''\nchain = [{{ box = '''{name}''', input = '1M' }}]");
    let setups = file(&[(name, &chain)]).replace("'Test'", &format!("'''{name}'''"));
    let html = note(&setups, &[]);
    for markup in ["<img", "</script", "<!--", "onerror=alert(1)>"] {
        assert!(!html.contains(markup), "{markup} in {html}");
    }
    assert_says(&html, "&#60;img src=x onerror=alert(1)&#62;");
    assert!(!html.contains(" style="), "{html}");
}

#[test]
fn it_replaces_nothing_unasked() {
    let sandbox = Sandbox::new();
    let setups = sandbox.courtyard();
    sandbox.write("note.pdf", "mine");
    let before = sandbox.listing();
    let refused = sandbox.run(&["note", "--setups", setups, "-o", "note.pdf"]);
    assert_eq!(refused.code, Some(2));
    assert_says(&refused.stderr, "note.pdf: it exists");
    assert_eq!(sandbox.listing(), before);
    sandbox.done(&["note", "--setups", setups, "-o", "note.pdf", "--overwrite"]);
    assert!(sandbox.read("note.pdf").starts_with(b"%PDF"));
}

#[test]
fn what_cannot_be_done_says_why() {
    let sandbox = Sandbox::new();
    let setups = sandbox.courtyard();
    let before = sandbox.listing();
    for (options, said) in [
        (vec!["-o", "note.txt"], "note.txt: accepted are names ending in .pdf or .html"),
        (
            vec!["-o", "note.pdf", "--setup", "mine"],
            "--setup: 'mine' is not known: accepted are passive box, combo, tuner",
        ),
        (
            vec!["-o", "note.pdf", "--venue", "chapel"],
            "--venue: 'chapel' is not known: no setup of the file names a venue",
        ),
        (vec!["-o", "note.pdf", "--language", "fr"], "possible values: en, de"),
        (vec!["-o", "nowhere/note.pdf"], "nowhere: there is no such folder"),
    ] {
        let refused = sandbox.run(&[&["note", "--setups", setups], &options[..]].concat());
        assert_eq!(refused.code, Some(2), "{refused:?}");
        assert_says(&refused.stderr, said);
    }
    assert_eq!(sandbox.listing(), before);
}
