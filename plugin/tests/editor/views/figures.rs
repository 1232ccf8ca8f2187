use dsp_core::response::{Ceiling, Shape};
use firstjack_plugin::editor::{Edit, Level, Message, Model, SetupsEdit, Stage, Switch};

use crate::fake::Fake;
use crate::views::stage::App;

fn edit(app: &mut App, edit: Edit) {
    app.do_it(Message::Edit(edit, Stage::Whole));
}

/// Views keep what they have sampled until the version changes.
#[test]
fn figures_are_made_anew_by_what_changes_them_only() {
    let mut app = App::new(Fake::courtyard());
    let first = app.model.figures.version;
    edit(&mut app, Edit::Level(Level::Trim, 3.0));
    edit(&mut app, Edit::Switch(Switch::Guard, false));
    app.do_it(Message::Hear(Some(2)));
    assert_eq!(app.model.figures.version, first);
    assert_eq!(app.model.document.heard, Some(2));
    let mut last = first;
    let mut is_new =
        |app: &App| std::mem::replace(&mut last, app.model.figures.version) != app.model.figures.version;
    edit(&mut app, Edit::Ceiling(Ceiling::Off));
    assert!(is_new(&app), "ceiling");
    edit(&mut app, Edit::Setups(SetupsEdit::Rename(0, "other".to_owned())));
    assert!(is_new(&app), "name");
    app.do_it(Message::Undo);
    assert!(is_new(&app), "undo");
    edit(&mut app, Edit::Instrument("cello".to_owned()));
    assert!(is_new(&app), "instrument");
    app.do_it(Message::Tuning("A1 D2".to_owned()));
    assert!(is_new(&app), "tuning");
}

/// A banjo's short fifth string is named first, but sounds higher than all others but one.
#[test]
fn the_lowest_string_is_the_one_that_sounds_lowest() {
    let mut app = App::new(Fake::courtyard());
    edit(&mut app, Edit::Instrument("banjo".to_owned()));
    let lowest = app.model.figures.lowest().unwrap();
    assert_eq!(app.model.figures.strings[lowest].to_string(), "D3");
}

/// As recorded, each track of a blend is heard as it came in.
#[test]
fn as_recorded_changes_nothing() {
    let mut fake = Fake::new(include_str!("../../../../presets/blend.toml"));
    let model = Model::new(&mut fake);
    assert_eq!(model.figures.recorded.shapes, [Shape::UNCHANGED; 2]);
}
