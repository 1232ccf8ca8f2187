//! `firstjack note`. Expected figures are textbook formulas written out here.

mod content;
mod crew;
mod files;
mod venues;

use crate::support::Sandbox;

const A1_HZ: f64 = 55.0;

/// The page as HTML, with what a browser would show of it: without tags, and with what was escaped as it was.
fn text_of(html: &str) -> String {
    let body = html.split_once("<body>").expect("a document").1;
    let shown: String =
        body.split('<').map(|part| part.split_once('>').map_or(part, |(_, shown)| shown)).collect();
    let escaped = [("&#60;", "<"), ("&#62;", ">"), ("&#34;", "\""), ("&#39;", "'"), ("&#38;", "&")];
    escaped.iter().fold(shown, |text, (code, character)| text.replace(code, character))
}

/// The note of a file of setups, as HTML.
#[track_caller]
fn note(setups: &str, options: &[&str]) -> String {
    let sandbox = Sandbox::new();
    sandbox.write("setups.toml", setups);
    sandbox.done(&[&["note", "--setups", "setups.toml", "-o", "note.html"], options].concat());
    String::from_utf8(sandbox.read("note.html")).unwrap()
}

/// A file of one pickup of 680 pF on a guitarrón, and these setups.
fn file(setups: &[(&str, &str)]) -> String {
    let head = "version = 3\nname = 'Test'\ninstrument = 'guitarron'\npickup = { capacitance = '680 pF' }\n\
                recorded = { load = 'none' }\n";
    let setup = |(name, rest): &(&str, &str)| format!("[[setup]]\nname = '''{name}'''\n{rest}\n");
    head.to_owned() + &setups.iter().map(setup).collect::<String>()
}

#[track_caller]
fn assert_says(text: &str, said: &str) {
    assert!(text.contains(said), "'{said}' is not in:\n{text}");
}
