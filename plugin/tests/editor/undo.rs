//! Edits, undo and redo while somebody else moves what parameters hold, in any order.

use dsp_core::circuit::{InputBox, Knobs};
use dsp_core::preset::Preset;
use dsp_core::response::Floor;
use dsp_core::units::Resistance;
use firstjack_plugin::editor::document::edits::{Field, LinkPart, PickupPart};
use firstjack_plugin::editor::document::links::{Kind, Spot};
use firstjack_plugin::editor::{
    ChainEdit, Document, Edit, Level, Message, Model, SetupsEdit, Stage, Switch, Where,
};
use proptest::prelude::*;

use crate::fake::Fake;

/// What a person or a host does.
#[derive(Debug, Clone)]
enum Step {
    Edit(Edit),
    Drag(Vec<f64>),
    Undo,
    Redo,
    Hear(Option<usize>),
    /// The host sets a setup's input, trim, or what is heard.
    HostInput(usize, f64),
    HostTrim(f64),
    HostHeard(Option<usize>),
}

fn input(setup: usize) -> Spot {
    Spot::new(Where::Setup(setup), 0)
}

fn edits() -> impl Strategy<Value = Edit> {
    let setup = 0..6_usize;
    let value = prop::sample::select(vec!["100k", "470k", "1M", "10M"]);
    prop_oneof![
        (setup.clone(), value).prop_map(|(setup, typed)| {
            Edit::Set(Field::Link(input(setup), LinkPart::Input), typed.to_owned())
        }),
        prop::sample::select(vec!["470p", "680p", "1n"])
            .prop_map(|typed| Edit::Set(Field::Pickup(0, PickupPart::Capacitance), typed.to_owned())),
        (-12.0..12.0).prop_map(|db: f64| Edit::Level(Level::Output, db.round())),
        any::<bool>().prop_map(|on| Edit::Switch(Switch::Guard, on)),
        prop::option::of(1..200_u8).prop_map(|hz| Edit::Floor(hz.map(|hz| Floor { hz: hz.into() }))),
        (setup.clone(), "[a-d]").prop_map(|(index, name)| Edit::Setups(SetupsEdit::Rename(index, name))),
        (setup.clone(), setup.clone()).prop_map(|(from, to)| Edit::Setups(SetupsEdit::Move(from, to))),
        setup.clone().prop_map(|index| Edit::Setups(SetupsEdit::Remove(index))),
        setup.clone().prop_map(|index| Edit::Setups(SetupsEdit::Duplicate(index))),
        Just(Edit::Setups(SetupsEdit::Add)),
        setup.prop_map(|index| Edit::Chain(input(index), ChainEdit::Add(Kind::Cable))),
    ]
}

fn steps() -> impl Strategy<Value = Vec<Step>> {
    let heard = prop::option::of(0..6_usize);
    let step = prop_oneof![
        4 => edits().prop_map(Step::Edit),
        1 => prop::collection::vec(-20.0..20.0, 2..6).prop_map(Step::Drag),
        3 => Just(Step::Undo),
        2 => Just(Step::Redo),
        1 => heard.clone().prop_map(Step::Hear),
        2 => (0..6_usize, 1e4..1e7).prop_map(|(setup, ohms)| Step::HostInput(setup, ohms)),
        1 => (-20.0..20.0).prop_map(|db: f64| Step::HostTrim(db.round())),
        1 => heard.prop_map(Step::HostHeard),
    ];
    prop::collection::vec(step, 1..40)
}

fn ohms(document: &Document, setup: usize) -> Option<f64> {
    let chain = &document.preset.setups.get(setup)?.chain;
    Knobs::take(chain).0.input.map(Resistance::ohms)
}

fn set_ohms(document: &mut Document, setup: usize, ohms: f64) {
    if let Some(setup) = document.preset.setups.get_mut(setup) {
        let (knobs, _) = Knobs::take(&setup.chain);
        let input = knobs.input.and_then(|_| Resistance::from_ohms(ohms.round()).ok());
        setup.chain = Knobs { input, ..knobs }.put(&setup.chain);
    }
}

/// The inputs of all setups by their names: what a host's automation holds on to.
fn inputs(document: &Document) -> Vec<(String, Option<f64>)> {
    let setups = document.preset.setups.iter().enumerate();
    setups.map(|(index, setup)| (setup.name.clone(), ohms(document, index))).collect()
}

fn apply(step: &Step, model: &mut Model, session: &mut Fake) {
    match step {
        Step::Edit(edit) => model.update(Message::Edit(edit.clone(), Stage::Whole), session),
        Step::Drag(way) => {
            for (index, db) in way.iter().enumerate() {
                let stage = if index == 0 { Stage::Begin } else { Stage::During };
                model.update(Message::Edit(Edit::Level(Level::Output, *db), stage), session);
                if *db > 15.0 {
                    // The other hand is at the keyboard.
                    model.update(Message::Undo, session);
                }
                // While the hand is at it.
                session.set(|document| document.trim_db = *db / 2.0);
                model.refresh(session);
            }
            model.update(Message::Still, session);
        }
        Step::Undo => model.update(Message::Undo, session),
        Step::Redo => model.update(Message::Redo, session),
        Step::Hear(heard) => model.update(Message::Hear(*heard), session),
        Step::HostInput(setup, value) => session.set(|document| set_ohms(document, *setup, *value)),
        Step::HostTrim(db) => session.set(|document| document.trim_db = *db),
        Step::HostHeard(heard) => session.set(|document| document.heard = *heard),
    }
    model.refresh(session);
}

fn is_valid(document: &Document) -> bool {
    Preset::from_toml(&document.preset.to_toml()).is_ok()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    /// Nobody edits the trim: it stays where the host had put it last. Documents stay such as can be saved.
    #[test]
    fn what_only_the_host_moves_is_never_undone(steps in steps()) {
        let mut session = Fake::courtyard();
        let mut model = Model::new(&mut session);
        for step in &steps {
            let before = session.document.trim_db;
            apply(step, &mut model, &mut session);
            let expected = match step {
                Step::HostTrim(db) => *db,
                Step::Drag(way) => way.last().unwrap() / 2.0,
                _ => before,
            };
            prop_assert_eq!(session.document.trim_db, expected);
            prop_assert!(is_valid(&session.document), "{}", session.document.preset.to_toml());
            prop_assert_eq!(&model.document, &session.document);
        }
    }

    /// Without a host that moves anything, undo of all edits is where it began, and redo where it had come to.
    #[test]
    fn all_undone_is_where_it_began(edits in prop::collection::vec(edits(), 1..30)) {
        let mut session = Fake::courtyard();
        let mut model = Model::new(&mut session);
        let first = session.document.clone();
        let mut way = vec![first.clone()];
        for edit in edits {
            let count = model.undo_count();
            model.update(Message::Edit(edit, Stage::Whole), &mut session);
            if model.undo_count() > count {
                way.push(session.document.clone());
            }
        }
        for before in way.iter().rev().skip(1) {
            model.update(Message::Undo, &mut session);
            prop_assert_eq!(&session.document, before);
        }
        prop_assert_eq!(model.undo_names().0, None);
        for after in &way[1..] {
            model.update(Message::Redo, &mut session);
            prop_assert_eq!(&session.document, after);
        }
    }

    /// An edit of one thing, then the host moves another setup's input, then undo: only the edit is taken back.
    #[test]
    fn undo_takes_back_one_edit_and_nothing_of_the_hosts(
        edit in edits(), setup in 0..6_usize, value in 1e4..1e7_f64, heard in prop::option::of(0..6_usize),
    ) {
        let mut session = Fake::courtyard();
        let mut model = Model::new(&mut session);
        let before = session.document.clone();
        model.update(Message::Edit(edit.clone(), Stage::Whole), &mut session);
        let edited = session.document.clone();
        session.set(|document| set_ohms(document, setup, value));
        let heard = heard.filter(|heard| *heard < edited.preset.setups.len());
        session.set(|document| document.heard = heard);
        let moved = session.document.clone();
        model.refresh(&mut session);
        model.update(Message::Undo, &mut session);
        let after = session.document.clone();
        let renames = matches!(edit, Edit::Setups(SetupsEdit::Rename(..)));
        // What is called otherwise is the same by its number.
        let inputs = |document: &Document| {
            let numbered = inputs(document).into_iter().enumerate();
            numbered.map(|(index, (name, ohms))| (if renames { index.to_string() } else { name }, ohms)).collect()
        };
        let (was, became, host): (Vec<_>, Vec<_>, Vec<_>) = (inputs(&before), inputs(&edited), inputs(&moved));
        let now: Vec<_> = inputs(&after);
        for (name, ohms) in now {
            let of = |all: &[(String, Option<f64>)]| all.iter().find(|one| one.0 == name).map(|one| one.1);
            match (of(&was), of(&became), of(&host)) {
                // The edit did not touch it, or the host moved it after the edit.
                (_, Some(edited), Some(host)) if edited != host => prop_assert_eq!(ohms, host),
                (Some(was), _, _) => prop_assert_eq!(ohms, was),
                _ => {}
            }
        }
        prop_assert_eq!(after.preset.setups.len(), before.preset.setups.len());
        // What is heard is the setup that the host chose, where it is there still.
        let name = |document: &Document| document.heard.map(|index| document.preset.setups[index].name.clone());
        if edited.preset.setups.iter().map(|one| &one.name).eq(before.preset.setups.iter().map(|one| &one.name)) {
            prop_assert_eq!(name(&after), name(&moved));
        }
    }
}

/// A hand that undoes while the other one drags: the drag goes on as an edit of its own, and what was edited before stays.
#[test]
fn undo_in_the_middle_of_a_drag_leaves_what_was_before() {
    let mut session = Fake::courtyard();
    let mut model = Model::new(&mut session);
    let renamed = Edit::Setups(SetupsEdit::Rename(1, "amp".to_owned()));
    model.update(Message::Edit(renamed, Stage::Whole), &mut session);
    let trim = |db, stage| Message::Edit(Edit::Level(Level::Trim, db), stage);
    model.update(trim(1.0, Stage::Begin), &mut session);
    model.update(Message::Undo, &mut session);
    assert_eq!(session.document.trim_db, 0.0);
    model.update(trim(2.0, Stage::During), &mut session);
    model.update(trim(3.0, Stage::End), &mut session);
    assert_eq!(model.undo_names().0, Some("trim"));
    model.update(Message::Undo, &mut session);
    assert_eq!((session.document.trim_db, &*session.document.preset.setups[1].name), (0.0, "amp"));
    model.update(Message::Undo, &mut session);
    assert_eq!(session.document.preset.setups[1].name, "combo");
}

/// A click that changes nothing is nothing to be taken back, and a drag begins with its first change.
#[test]
fn what_changes_nothing_is_not_undone() {
    let mut session = Fake::courtyard();
    let mut model = Model::new(&mut session);
    let trim = |db, stage| Message::Edit(Edit::Level(Level::Trim, db), stage);
    model.update(trim(0.0, Stage::Whole), &mut session);
    model.update(trim(0.0, Stage::Begin), &mut session);
    assert_eq!(model.undo_names().0, None);
    model.update(trim(1.0, Stage::During), &mut session);
    model.update(trim(2.0, Stage::During), &mut session);
    model.update(Message::Still, &mut session);
    assert_eq!(model.undo_count(), 1);
    model.update(Message::Undo, &mut session);
    assert_eq!(session.document.trim_db, 0.0);
}

/// What was tuned by hand stays where a preset could not be held.
#[test]
fn a_refused_preset_leaves_the_tuning() {
    let mut session = Fake::courtyard();
    let mut model = Model::new(&mut session);
    model.update(Message::Tuning("C2 G2".to_owned()), &mut session);
    session.refuses = true;
    model.update(Message::Load(include_str!("../../../presets/blend.toml").to_owned()), &mut session);
    assert_eq!(model.instrument.strings.len(), 2);
    session.refuses = false;
    model.update(Message::Edit(Edit::Instrument("cello".to_owned()), Stage::Whole), &mut session);
    assert_eq!(model.instrument.id, "cello");
}

#[test]
fn a_refused_undo_stays() {
    let mut session = Fake::courtyard();
    let mut model = Model::new(&mut session);
    model.update(Message::Edit(Edit::Level(Level::Trim, 3.0), Stage::Whole), &mut session);
    session.refuses = true;
    model.update(Message::Undo, &mut session);
    assert_eq!((session.document.trim_db, model.undo_names()), (3.0, (Some("trim"), None)));
    assert!(!model.notices.is_empty());
    session.refuses = false;
    model.update(Message::Undo, &mut session);
    assert_eq!((session.document.trim_db, model.undo_names()), (0.0, (None, Some("trim"))));
}

/// What the host has set itself since is not set back, and that is said.
#[test]
fn what_the_host_has_overwritten_stays() {
    let mut session = Fake::courtyard();
    let mut model = Model::new(&mut session);
    model.update(Message::Edit(Edit::Level(Level::Trim, 3.0), Stage::Whole), &mut session);
    session.set(|document| document.trim_db = -6.0);
    model.update(Message::Undo, &mut session);
    assert_eq!(session.document.trim_db, -6.0);
    assert!(model.notices.last().unwrap().starts_with("trim: changed by the host since"));
}

/// A preset of the host's ends what could be taken back.
#[test]
fn a_preset_that_the_host_loads_is_not_undone() {
    let mut session = Fake::courtyard();
    let mut model = Model::new(&mut session);
    model.update(Message::Edit(Edit::Level(Level::Trim, 3.0), Stage::Whole), &mut session);
    session.load(include_str!("../../../presets/blend.toml"));
    model.refresh(&mut session);
    assert_eq!(model.undo_names(), (None, None));
    let loaded = session.document.clone();
    model.update(Message::Undo, &mut session);
    assert_eq!(session.document, loaded);
}

/// What would be undone has a name that a person knows.
#[test]
fn what_undo_would_undo_is_named() {
    let of = |edit: Edit| {
        let mut session = Fake::courtyard();
        let mut model = Model::new(&mut session);
        model.update(Message::Edit(edit, Stage::Whole), &mut session);
        model.undo_names().0.map(str::to_owned)
    };
    let told = |edit| of(edit).unwrap();
    assert_eq!(told(Edit::Set(Field::Link(input(2), LinkPart::Input), "2M2".to_owned())), "input of tuner");
    assert_eq!(told(Edit::Setups(SetupsEdit::Rename(1, "amp".to_owned()))), "renaming combo");
    assert_eq!(told(Edit::Setups(SetupsEdit::Move(0, 1))), "moving passive box");
    assert_eq!(told(Edit::Instrument("cello".to_owned())), "instrument");
    let named = InputBox::new("a\tb", "1M".parse().unwrap());
    let edit = Edit::Chain(input(0), ChainEdit::AddBox(Box::new(named)));
    assert!(!told(edit).contains('\t'), "names steer nothing");
    assert_eq!(of(Edit::Setups(SetupsEdit::Remove(9))), None);
}
