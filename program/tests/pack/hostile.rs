//! Text of users stays text.

use super::page::{Element, Page, elements};
use super::{music, with};
use crate::support::Sandbox;

const NAMES: [&str; 7] = [
    "<img src=x onerror=alert(1)>",
    "</script><script>alert(1)</script>",
    "\"&'&lt;&amp;",
    "\u{202e}live\u{2066}\u{200f}",
    "{{ 7*7 }}{% raw %}",
    "--><!--<script>",
    "\u{2028}\u{2029}é😀",
];

/// As they are shown: what would turn the direction of other text, or break its lines, is an escape.
const SHOWN: [&str; 7] = [
    NAMES[0],
    NAMES[1],
    NAMES[2],
    "\\u{202e}live\\u{2066}\\u{200f}",
    NAMES[4],
    NAMES[5],
    "\\u{2028}\\u{2029}é😀",
];

fn setups() -> String {
    let mut file =
        "version = 1\nname = \"x\"\npickup = { capacitance = \"680 pF\" }\nrecorded = { load = \"22M\" }\n"
            .to_owned();
    for name in NAMES {
        // JSON's texts are TOML's, but for the longer escapes, which these do not need.
        let name = serde_json::to_string(name).unwrap();
        file += &format!("[[setup]]\nname = {name}\nload = \"1M\"\n");
    }
    file
}

fn page(sandbox: &Sandbox, rest: &[&str]) -> Page {
    let arguments = ["pack", "take.wav", "--setups", "hostile.toml", "--overwrite", "-o", "page.html"];
    sandbox.done(&[&arguments, ["--length", "0.5", "--title", NAMES[1]].as_slice(), rest].concat());
    Page::parse(&sandbox.read("page.html"))
}

/// Elements that the names would bring if they were markup.
fn foreign(elements: &[Element]) -> Vec<&Element> {
    let is_foreign = |element: &&Element| {
        element.name == "img" || element.attributes.iter().any(|(name, _)| name.starts_with("on"))
    };
    elements.iter().filter(is_foreign).collect()
}

#[test]
fn names_are_text_wherever_they_stand() {
    let sandbox = with(&music());
    sandbox.write("hostile.toml", setups());
    let open = page(&sandbox, &[]);
    let blind = page(&sandbox, &["--blind"]);
    for page in [&open, &blind] {
        assert_eq!(foreign(&page.elements).len(), 0, "{:?}", foreign(&page.elements));
        let scripts = page.elements.iter().filter(|element| element.name == "script").count();
        // Data, the script itself, and every sound: as recorded, seven setups and a rescue.
        assert_eq!(scripts, 2 + 9);
        let title = page.elements.iter().find(|element| element.name == "title").unwrap();
        assert_eq!(title.text, NAMES[1]);
        for (index, name) in SHOWN.iter().enumerate() {
            assert_eq!(page.sound(index + 1)["name"], *name);
        }
    }
    let sealed: String = blind.opened["sections"]
        .as_object()
        .unwrap()
        .values()
        .map(|section| section.as_str().unwrap())
        .collect();
    for markup in [open.elements, elements(&sealed)] {
        assert_eq!(foreign(&markup).len(), 0);
        for name in SHOWN {
            assert!(markup.iter().any(|element| element.text == name), "{name}");
        }
    }
}
