//! A person's kit in the menus, and what says how to measure.

use std::path::PathBuf;

use dsp_core::circuit::{InputBox, Link, Thru};
use egui::vec2;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use firstjack_kit::KitFile;
use firstjack_plugin::editor::document::edits::{Field, LinkPart, PickupPart, text};
use firstjack_plugin::editor::document::links::{Spot, link};
use firstjack_plugin::editor::views::ChainViews;
use firstjack_plugin::editor::{Document, Message, Stage, Theme, Where};
use tempfile::TempDir;

use crate::chain::pictures::MAGNETIC;
use crate::chain::view::{App, TUNER, open_tile, undo};
use crate::snapshot::save;
use crate::whole::{LARGE, PASSIVE, SMALL, window};

const KIT: &str = r#"
version = 1

[[pickup]]
name = "bridge of the guitarrón"
capacitance = "910 pF ±6 %"
measured = "2026-11-27"
method = "sweep"

[[pickup]]
name = "cello"
inductance = "2.2 H ±5 %"
resistance = "4.7 kΩ"
winding = "120 pF"
volume = { resistance = "470k" }

[[box]]
name = "our tuner"
input = "820 kΩ ±3 %"
capacitance = "220 pF"

[[box]]
name = "passive box"
transformer = { primary = "33 H", winding = "1k5", ratio = "12", secondary = "1k5" }
thru = "before"
"#;

/// A kit's file of the test's own.
struct OwnKit {
    folder: TempDir,
}

impl OwnKit {
    fn new(text: &str) -> Self {
        let own = Self { folder: tempfile::tempdir().unwrap() };
        own.write(text);
        own
    }

    fn path(&self) -> PathBuf {
        self.folder.path().join("kit.toml")
    }

    fn write(&self, text: &str) {
        std::fs::write(self.path(), text).unwrap();
    }

    fn file(&self) -> Option<KitFile> {
        Some(KitFile::find(Some(&self.path())).unwrap())
    }
}

fn open(toml: &str, own: &OwnKit) -> Harness<'static, App> {
    let app = App { view: ChainViews::with_kit(own.file()), ..App::new(toml) };
    let builder = Harness::builder().with_size(vec2(720.0, 480.0)).with_step_dt(1.0 / 60.0);
    builder.build_ui_state(|ui, app: &mut App| app.draw(ui), app)
}

/// Opens the menu of a frame, and what it has of the kit.
fn look<T>(harness: &mut Harness<'_, T>, frame: &str) {
    harness.get_by_label(frame).focus();
    harness.run_steps(2);
    harness.key_press(egui::Key::Enter);
    harness.run_steps(4);
    click(harness, "From your kit, or measure");
}

fn click<T>(harness: &mut Harness<'_, T>, entry: &str) {
    harness.get_by_label_contains(entry).click();
    harness.run_steps(4);
}

/// Chooses an entry as one edit, which is taken back; tells what it made.
fn chosen(harness: &mut Harness<'_, App>, frame: &str, entry: &str) -> Document {
    let before = harness.state().session.document.clone();
    let changes = harness.state().session.changes.len();
    look(harness, frame);
    harness.get_by_label(entry).click();
    harness.run_steps(4);
    let after = harness.state().session.document.clone();
    assert_eq!(harness.state().session.changes[changes..], [Stage::Whole], "{entry}");
    undo(harness);
    assert_eq!(harness.state().session.document, before, "{entry}");
    after
}

fn box_at(document: &Document, index: usize) -> InputBox {
    match link(document, &Spot::new(Where::Setup(0), index)) {
        Some(Link::Box(input)) => input.clone(),
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_pickup_comes_from_the_kit_with_its_spread() {
    let own = OwnKit::new(KIT);
    let mut harness = open(TUNER, &own);
    let value = |document: &Document, part| text(document, &Field::Pickup(0, part));
    let after = chosen(&mut harness, "pickup", "bridge of the guitarrón: 910 pF ±6 %");
    assert_eq!(value(&after, PickupPart::Capacitance).as_deref(), Some("910 pF ±6 %"));
    let after = chosen(&mut harness, "pickup", "cello: 2.2 H ±5 %, 4.7 kΩ");
    assert_eq!(value(&after, PickupPart::Inductance).as_deref(), Some("2.2 H ±5 %"));
    assert_eq!(value(&after, PickupPart::VolumeResistance).as_deref(), Some("470 kΩ"));
    // What the kit says nothing of stays.
    let mut harness = open(MAGNETIC, &own);
    let controls = *harness.state().session.document.preset.pickups.pickup(0);
    let after = *chosen(&mut harness, "pickup", "cello: 2.2 H ±5 %, 4.7 kΩ").preset.pickups.pickup(0);
    assert_eq!(after.tone, controls.tone);
    assert_ne!(after.volume, controls.volume);
}

#[test]
fn a_box_comes_from_the_kit_by_its_name() {
    let own = OwnKit::new(KIT);
    let mut harness = open(TUNER, &own);
    look(&mut harness, "tuner, heard here");
    save(&harness, "kit-menu");
    harness.key_press(egui::Key::Escape);
    harness.run_steps(4);
    let after = box_at(&chosen(&mut harness, "tuner, heard here", "our tuner: 820 kΩ ±3 %"), 0);
    assert_eq!((after.name.as_str(), after.thru), ("our tuner", Some(Thru::After)), "the thru stays");
    assert_eq!(after.capacitance.unwrap().to_string(), "220 pF");
    let after = box_at(&chosen(&mut harness, "tuner, heard here", "passive box: 33 H transformer"), 0);
    assert_eq!(after.thru, Some(Thru::Before), "the kit says one");
    let input = Field::Link(Spot::new(Where::Setup(0), 2), LinkPart::Input);
    let after = chosen(&mut harness, "combo, behind a buffer", "our tuner: 820 kΩ ±3 %");
    assert_eq!(text(&after, &input).as_deref(), Some("820 kΩ ±3 %"));
}

#[test]
fn a_box_of_the_kit_is_added() {
    let own = OwnKit::new(KIT);
    let mut harness = open(TUNER, &own);
    open_tile(&mut harness, "add box or cable");
    click(&mut harness, "From your kit, or measure");
    click(&mut harness, "our tuner: 820 kΩ ±3 %");
    assert_eq!(box_at(&harness.state().session.document, 3).name, "our tuner");
    undo(&mut harness);
    assert!(link(&harness.state().session.document, &Spot::new(Where::Setup(0), 3)).is_none());
}

/// It is told, the rest of the menu works, and what is repaired or measured meanwhile is there when the menu opens again.
#[test]
fn a_damaged_kit_is_told_and_the_window_lives_on() {
    let own = OwnKit::new("version = 1\n[[pickup]]\nname = \"bridge\"\ncapacitance = \"680 volts\"\n");
    let mut harness = open(TUNER, &own);
    look(&mut harness, "pickup");
    let notice = harness.state().model.notices.last().cloned().unwrap_or_default();
    assert!(notice.contains("kit.toml") && notice.contains("680 volts"), "{notice}");
    assert!(harness.query_by_label_contains("680 volts").is_some(), "nothing in the menu says so");
    harness.key_press(egui::Key::Escape);
    harness.run_steps(4);
    harness.get_by_label("pickup").focus();
    harness.run_steps(2);
    harness.key_press(egui::Key::Enter);
    harness.run_steps(4);
    save(&harness, "kit-damaged");
    click(&mut harness, "Leakage");
    assert_eq!(harness.state().session.changes, [Stage::Whole], "{:?}", harness.state().model.notices);
    let app = harness.state_mut();
    app.model.update(Message::Read(0), &mut app.session);
    for (text, said) in [(KIT, "bridge of the guitarrón: 910 pF ±6 %"), ("", "There is none yet")] {
        own.write(text);
        look(&mut harness, "pickup");
        assert!(harness.query_by_label_contains(said).is_some(), "no '{said}'");
        assert!(harness.state().model.notices.is_empty());
        harness.key_press(egui::Key::Escape);
        harness.run_steps(4);
    }
    std::fs::remove_file(own.path()).unwrap();
    look(&mut harness, "pickup");
    assert!(
        harness.state().model.notices.last().is_some_and(|notice| notice.contains("cannot read the kit"))
    );
}

/// In the smallest window and in a large one: the page's own words, and nothing that records.
#[test]
fn measure_says_what_the_page_says_and_closes() {
    for (size, frame) in [(SMALL, "passive box, heard here"), (LARGE, "pickup")] {
        let mut harness = window(PASSIVE, Some(0), size, Theme::Light);
        look(&mut harness, frame);
        save(&harness, &format!("measure-menu-{}", size.1));
        click(&mut harness, "Measure…");
        for said in
            ["firstjack measure guided", "Nothing is recorded in this window", "Phantom power off", "100 kΩ"]
        {
            assert!(harness.query_all_by_label_contains(said).count() > 0, "no '{said}' at {size:?}");
        }
        save(&harness, &format!("measure-{}", size.1));
        harness.key_press(egui::Key::Escape);
        harness.run_steps(4);
        assert!(!harness.state().model.measure);
        assert!(harness.query_by_label_contains("firstjack measure guided").is_none());
    }
}
