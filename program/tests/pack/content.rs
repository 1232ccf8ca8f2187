//! What is in a page, and what is not.

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use serde_json::json;
use sha2::{Digest, Sha256};

use super::page::{Page, elements};
use super::{PACK, music, packed, with};
use crate::support::{level_db, rc_corner_hz, rc_loss_db};

#[test]
fn a_page_has_every_sound_and_what_is_known_of_it() {
    let sandbox = with(&music());
    let (page, report) = packed(&sandbox, &["--anchor", "--abx", "combo", "passive box"]);
    let names = ["as recorded", "passive box", "combo", "anchor"];
    let kinds = ["recorded", "setup", "setup", "anchor"];
    let order = page.order();
    assert_eq!(order.len(), 4);
    for index in 0..4 {
        let (sound, told) = (page.sound(index), &report["sounds"][index]);
        assert_eq!((&sound["name"], &sound["kind"]), (&names[index].into(), &kinds[index].into()));
        assert_eq!((&told["key"], &told["name"]), (&order[index].clone().into(), &sound["name"]));
        for field in ["lufs", "matching_db", "loss_db", "verdict"] {
            assert_eq!(told[field], sound[field], "{field}");
        }
    }
    // 680 pF into the box, at A1 (textbook RC).
    let loss_db = page.sound(1)["loss_db"].as_f64().unwrap();
    assert!((loss_db - rc_loss_db(rc_corner_hz(56e3, 680e-12), 55.0)).abs() < 0.01, "{loss_db}");
    assert_eq!(page.sound(1)["verdict"], "low A loses 38 dB through the passive box");
    assert_eq!(page.data["abx"], json!([order[2], order[1]]));
    assert_eq!(page.data["abx_pairs"], json!([[order[2], order[1]]]));
    assert_eq!(report["abx"], json!([{ "sounds": ["combo", "passive box"], "why": "named" }]));
    let data = &page.data;
    assert_eq!(
        (&data["version"], &data["language"], &data["blind"]),
        (&1.into(), &"en".into(), &false.into())
    );
    assert_eq!((&data["frames"], &data["rate_hz"]), (&96_000.into(), &48_000.into()));
    assert_eq!(data["waveform"].as_array().unwrap().len(), 1600);
    assert_eq!(data["pack"], report["pack"]);
    let waveform = data["waveform"].as_array().unwrap().iter().map(|step| step.as_i64().unwrap());
    assert_eq!(waveform.map(i64::abs).max(), Some(127));
    assert_eq!(report["bytes"].as_u64(), Some(page.html.len() as u64));
    let keyed = |key: &String| page.elements.iter().any(|element| element.get("data-key") == Some(key));
    assert!(order.iter().all(keyed), "markup for every sound");
    assert!(page.html.ends_with("</body>\n</html>\n"));
}

/// Butterworth's `10 log10(1 + 0.5⁴)` at 55 Hz, and next to nothing at 330 Hz: heard in the page's sound, and told in it.
#[test]
fn what_is_restored_comes_down_again() {
    let sandbox = with(&music());
    let made = |floor: &str| {
        let line = "pack take.wav --pickup 680p --recorded-through 470k --load none --instrument guitarron --rescue none --audio flac --overwrite";
        let mut words: Vec<&str> = line.split(' ').collect();
        words.extend(["--undo-floor", floor, "-o", "page.html"]);
        sandbox.json(&words);
        let page = Page::parse(&sandbox.read("page.html"));
        let heard = &page.decoded(1)[48_000..];
        (level_db(heard, 48_000, 55.0) - level_db(heard, 48_000, 330.0), page.html)
    };
    let ((without_db, without), (with_db, with)) = (made("off"), made("0.5"));
    let cost_db = 10.0 * (1.0_f64 + 0.5_f64.powi(4)).log10();
    assert!((without_db - with_db - cost_db).abs() < 0.01, "{without_db} dB and {with_db} dB");
    let said = "Below 27.5 Hz it comes down again (second order), which costs the lowest string 0.3 dB.";
    assert!(with.contains(said) && !without.contains(said));
}

/// Nothing of the time, the folder or chance is in it; what is in it is in its name.
#[test]
fn the_same_in_the_same_out() {
    let sandbox = with(&music());
    let make = |rest: &[&str]| {
        let (page, _) = packed(&sandbox, &[&["--overwrite"], rest].concat());
        page
    };
    let first = make(&[]);
    assert!(make(&[]).html == first.html);
    assert_eq!(sandbox.listing().len(), 3, "nothing but take, setups and page");
    let other_order = make(&["--seed", "7"]);
    assert_ne!(other_order.order(), first.order());
    let others = [
        other_order,
        make(&["--title", "Other"]),
        make(&["--length", "1"]),
        make(&["--anchor"]),
        make(&["--blind"]),
    ];
    for other in &others {
        assert_ne!(other.data["pack"], first.data["pack"]);
    }
}

/// The hashes that a browser computes: SHA-256 of the text between the tags (Content Security Policy Level 3).
#[test]
fn only_this_script_and_this_style_are_allowed() {
    let sandbox = with(&music());
    let (page, _) = packed(&sandbox, &[]);
    let policy = page.elements.iter().find_map(|element| {
        let is_policy = element.get("http-equiv") == Some("Content-Security-Policy");
        is_policy.then(|| element.get("content").unwrap().to_owned())
    });
    let policy = policy.unwrap();
    let hash = |element: &super::page::Element| STANDARD.encode(Sha256::digest(&element.text));
    let only = |name: &str| {
        let mut found = page.elements.iter().filter(|e| e.name == name && e.get("type").is_none());
        let element = found.next().unwrap();
        assert!(found.next().is_none(), "two of {name}");
        hash(element)
    };
    assert_eq!(
        policy,
        format!(
            "default-src 'none'; script-src 'sha256-{}'; style-src 'sha256-{}'; img-src data: blob:; media-src blob: data:; \
             base-uri 'none'; form-action 'none'",
            only("script"),
            only("style")
        )
    );
    for element in &page.elements {
        for (name, value) in &element.attributes {
            assert!(name != "style" && !name.starts_with("on"), "{element:?}");
            assert!(
                !["src", "href", "action"].contains(&name.as_str()) || value.starts_with('#'),
                "{element:?}"
            );
        }
    }
}

/// A page that is made blind says no name and no figure until it is opened: neither plain nor in base64.
#[test]
fn a_blind_page_keeps_names_to_itself() {
    let sandbox = with(&music());
    let (page, _) = packed(&sandbox, &["--blind", "--anchor"]);
    assert_eq!(page.data["blind"], true);
    let telling = ["passive box", "combo", "low A loses", "dB through the"];
    for word in telling {
        assert!(!page.html.contains(word), "{word}");
        for shift in 0..3 {
            // Whole groups of three bytes from each place in a group; short ones turn up by chance.
            let inside = &word.as_bytes()[shift..];
            let code = STANDARD.encode(&inside[..inside.len() / 3 * 3]);
            assert!(code.len() < 8 || !page.html.contains(&code), "{word} in base64");
        }
    }
    let keyed = page.elements.iter().filter(|element| element.get("data-key").is_some());
    assert_eq!(keyed.count(), 0);
    let verdicts = page.opened["sections"]["verdicts"].as_str().unwrap();
    let text: String = elements(verdicts).iter().map(|element| element.text.as_str()).collect();
    assert!(text.contains("low A loses 38 dB through the passive box"), "{text}");
    let (open, _) = packed(&sandbox, &["--overwrite"]);
    for caution in
        ["Turn the system down", "Mute before plugging", "Never defeat a protective earth", "so measure."]
    {
        assert!(open.elements.iter().any(|element| element.text.contains(caution)), "{caution}");
    }
    assert!(open.opened["sections"].is_null());
    assert!(open.html.contains("low A loses 38 dB through the passive box"));
}

/// By the loss at A1 the combo is the better one. Who listens to an open page chooses.
#[test]
fn a_blind_page_asks_about_the_pairs_that_matter() {
    let sandbox = with(&music());
    let (page, report) = packed(&sandbox, &["--blind"]);
    let order = page.order();
    assert_eq!(page.data["abx"], serde_json::Value::Null);
    assert_eq!(page.data["abx_pairs"], json!([[order[2], order[0]], [order[1], order[2]]]));
    assert_eq!(
        report["abx"],
        json!([{ "sounds": ["combo", "as recorded"], "why": "best_and_recorded" },
               { "sounds": ["passive box", "combo"], "why": "closest_setups" }])
    );
    let text = sandbox.done(&[PACK.as_slice(), &["--overwrite", "--blind"]].concat());
    for said in [
        "ABX asks every listener about the same pairs:\n  combo and as recorded, the best setup against the take as recorded\n",
        "  passive box and combo, the two setups that differ least\n",
    ] {
        assert!(text.contains(said), "no '{said}' in {text}");
    }
    let (open, report) = packed(&sandbox, &["--overwrite"]);
    assert!(open.data.get("abx_pairs").is_none());
    assert_eq!(report["abx"], json!([]));
}

/// The order on the page is not the file's, nor do keys go by it.
#[test]
fn the_order_tells_nothing() {
    let sandbox = with(&music());
    let stored = |page: &Page| -> Vec<usize> {
        let keys = page.data["sounds"].as_array().unwrap().iter();
        keys.map(|sound| page.order().iter().position(|key| sound["key"] == key.as_str()).unwrap()).collect()
    };
    let mut orders: Vec<Vec<usize>> = (0..6)
        .map(|seed| {
            stored(&packed(&sandbox, &["--overwrite", "--length", "0.5", "--seed", &seed.to_string()]).0)
        })
        .collect();
    orders.sort();
    orders.dedup();
    assert!(orders.len() > 2, "{orders:?}");
}

/// The report's first lines are the verdicts.
#[test]
fn the_report_says_what_matters_first() {
    let sandbox = with(&music());
    let text = sandbox.done(&PACK);
    let mut lines = text.lines();
    assert_eq!(lines.next(), Some("low A loses 0.2 dB as recorded"));
    for said in [
        "low A loses 38 dB through the passive box\n  passive box, matched by +",
        "page.html: ",
        " MiB, 3 sounds of 2.0 s, ",
        "Decoded again, within 0.1 dB in every third-octave band from the lowest string up",
        "; the error lies at least ",
        "Level-matched to the take, ",
        "so measure yours.",
    ] {
        assert!(text.contains(said), "no '{said}' in {text}");
    }
    assert_eq!(sandbox.done(&[PACK.as_slice(), &["--overwrite", "--quiet"]].concat()), "");
    let german = sandbox.json(&[PACK.as_slice(), &["--overwrite", "--language", "de"]].concat());
    assert_eq!(german["sounds"][0]["name"], "wie aufgenommen");
    let page = Page::parse(&sandbox.read("page.html"));
    assert_eq!(page.data["language"], "de");
    let html = page.elements.iter().find(|element| element.name == "html").unwrap();
    assert_eq!(html.get("lang"), Some("de"));
}

/// A venue's page has what that venue offers, and says whose it is.
#[test]
fn a_page_of_one_venue() {
    let sandbox = with(&music());
    sandbox.write("venues.toml", include_str!("../../../presets/venues.toml"));
    let pack = ["pack", "take.wav", "--setups", "venues.toml", "--rescue", "none", "-o", "page.html"];
    let report = sandbox.json(&[&pack[..], &["--venue", "chapel"]].concat());
    let names: Vec<&str> =
        report["sounds"].as_array().unwrap().iter().map(|sound| sound["name"].as_str().unwrap()).collect();
    assert_eq!(names, ["as recorded", "own buffer box", "wall socket", "gallery amplifier"]);
    let page = Page::parse(&sandbox.read("page.html"));
    assert!(page.html.contains("venue: chapel · One take of"));
    assert!(!page.html.contains("combo behind the tuner"));
    let refused = sandbox.run(&[&pack[..], &["--overwrite", "--venue", "cellar"]].concat());
    assert_eq!(refused.code, Some(2));
    assert!(refused.stderr.contains("--venue: 'cellar' is not known: accepted are courtyard, chapel"));
}

/// Who votes blind turns the system down too: the cautions are in the markup, not among what is sealed.
#[test]
fn a_blind_page_carries_the_cautions() {
    let (page, _) = packed(&with(&music()), &["--blind"]);
    for said in [
        "Turn the system down before auditioning an undo",
        "Never defeat a protective earth",
        "Mute before plugging",
    ] {
        assert!(page.html.contains(said), "{said}");
    }
}
