//! Links added, removed, moved, plugged and renamed.

use dsp_core::circuit::{Chain, Link, Thru};
use firstjack_plugin::editor::document::links::{Kind, Spot, add, link, move_link, remove, rename, set_thru};
use firstjack_plugin::editor::{ChainEdit, Document, Edit, Message, Model, Stage, Where};
use firstjack_words::Words;

use crate::chain::edits::{ALL, at, everything};
use crate::fake::Fake;

fn names(chain: &Chain) -> Vec<String> {
    chain.links().map(|(link, _)| Words::ENGLISH.link_name(link)).collect()
}

fn here(document: &Document) -> Vec<String> {
    names(&document.preset.setups[0].chain)
}

fn thru(document: &Document, path: &[usize]) -> Option<Thru> {
    match link(document, &at(path)) {
        Some(Link::Box(input)) => input.thru,
        other => panic!("{other:?}"),
    }
}

#[test]
fn each_kind_is_added_anywhere_and_taken_back() {
    for kind in Kind::ALL {
        for path in [vec![0], vec![2], vec![4], vec![2, 0], vec![2, 2]] {
            let mut session = Fake::new(ALL);
            let mut model = Model::new(&mut session);
            let before = model.document.clone();
            let to =
                add(&before, &at(&path), kind).unwrap_or_else(|error| panic!("{kind:?} {path:?}: {error}"));
            assert!(link(&to, &at(&path)).is_some());
            let edit = Edit::Chain(at(&path), ChainEdit::Add(kind));
            model.update(Message::Edit(edit, Stage::Whole), &mut session);
            assert_eq!(model.document, to);
            assert_eq!(remove(&to, &at(&path)).map(|back| here(&back)), Ok(here(&before)));
            model.update(Message::Undo, &mut session);
            assert_eq!(model.document, before);
        }
        assert!(add(&everything(), &at(&[5]), kind).is_err());
        assert!(add(&everything(), &at(&[0, 0]), kind).is_err());
    }
}

#[test]
fn names_are_unique_in_the_chain_and_its_branches() {
    let mut document = everything();
    for _ in 0..2 {
        document = add(&document, &at(&[4]), Kind::Amplifier).expect("an amplifier");
    }
    assert_eq!(here(&document)[4..], ["amplifier 3", "amplifier 2"]);
    let other = add(&document, &Spot::new(Where::Recorded, 0), Kind::Amplifier).expect("in another chain");
    assert_eq!(names(&other.preset.recorded)[0], "amplifier");
}

/// Something is plugged into every box but the last.
#[test]
fn what_follows_a_box_is_plugged_into_its_thru() {
    let document = everything();
    assert_eq!(thru(&document, &[3]), None);
    let added = add(&document, &at(&[4]), Kind::Box).expect("a box");
    assert_eq!(thru(&added, &[3]), Some(Thru::Before));
    assert_eq!(thru(&added, &[4]), None);
    let moved = move_link(&document, &at(&[3]), 0).expect("moved");
    assert_eq!(here(&moved), ["passive box", "3 m cable", "tuner", "splitter"]);
    assert_eq!(thru(&moved, &[0]), Some(Thru::Before));
    let first = add(&document, &at(&[0]), Kind::Box).expect("a box in front");
    assert_eq!(thru(&first, &[0]), Some(Thru::Before));
}

#[test]
fn a_thru_is_plugged_unless_something_would_hang_in_the_air() {
    let document = everything();
    let buffered = set_thru(&document, &at(&[1]), Some(Thru::After)).expect("a buffered thru");
    let loads: Vec<bool> = buffered.preset.setups[0].chain.links().map(|(_, loads)| loads).collect();
    assert_eq!(loads, [true, true, false, false]);
    let error = set_thru(&document, &at(&[1]), None).expect_err("something follows");
    assert!(error.contains("'tuner'") && error.contains("remove or move"), "{error}");
    let last = set_thru(&document, &at(&[3]), Some(Thru::After)).expect("the last one");
    assert_eq!(set_thru(&last, &at(&[3]), None), Ok(document.clone()));
    assert!(set_thru(&document, &at(&[0]), None).is_err(), "a cable has none");
}

#[test]
fn links_are_moved_among_their_neighbours() {
    let document = everything();
    let moved = move_link(&document, &at(&[0]), 2).expect("moved");
    assert_eq!(here(&moved), ["tuner", "splitter", "3 m cable", "passive box"]);
    assert_eq!(move_link(&moved, &at(&[2]), 0), Ok(document.clone()));
    let branch = move_link(&document, &at(&[2, 0]), 1).expect("in the branch");
    let Some(Link::Splitter(splitter)) = link(&branch, &at(&[2])) else { panic!("a splitter") };
    assert_eq!(names(&splitter.branch), ["amplifier", "1 m cable"]);
    for (from, to) in [(0, 4), (4, 0)] {
        assert!(move_link(&document, &at(&[from]), to).is_err());
    }
}

#[test]
fn names_are_typed_with_care() {
    let document = everything();
    let renamed = rename(&document, &at(&[1]), "  pedal tuner ").expect("a name");
    assert_eq!(here(&renamed)[1], "pedal tuner");
    assert_eq!(rename(&document, &at(&[1]), "tuner"), Ok(document.clone()));
    let long = "x".repeat(61);
    for (name, said) in [(" ", "1 to 60"), (long.as_str(), "61 characters"), ("amplifier", "taken")] {
        let error = rename(&document, &at(&[1]), name).expect_err(name);
        assert!(error.contains(said), "{error}");
    }
    assert!(rename(&document, &at(&[0]), "cable").is_err(), "a cable is called by its length");
    let branch = rename(&document, &at(&[2, 1]), "monitor").expect("in the branch");
    assert_eq!(link(&branch, &at(&[2, 1])).and_then(Link::name), Some("monitor"));
}

/// Loads as expressions: parts without names, in a row like any others.
#[test]
fn bare_parts_are_moved_and_removed() {
    let document = everything();
    let spot = |index| Spot::new(Where::Recorded, index);
    let moved = move_link(&document, &spot(0), 3).expect("moved");
    assert_eq!(names(&moved.preset.recorded), ["100 pF", "50 H", "6 m cable", "22 MΩ"]);
    let fewer = remove(&moved, &spot(1)).expect("removed");
    assert_eq!(names(&fewer.preset.recorded), ["100 pF", "6 m cable", "22 MΩ"]);
}

/// A buffer keeps what is behind it out of the sum; without it the chain may be too large.
#[test]
fn removing_a_buffer_may_be_refused() {
    let mut document = everything();
    document = set_thru(&document, &at(&[1]), Some(Thru::After)).expect("a buffer");
    for _ in 0..6 {
        document = add(&document, &at(&[4]), Kind::Amplifier).expect("behind the buffer");
    }
    let error = remove(&document, &at(&[1])).expect_err("too large");
    assert!(error.contains("at most 8"), "{error}");
}
