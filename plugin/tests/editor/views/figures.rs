use dsp_core::response::{Ceiling, Floor, Shape};
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
    edit(&mut app, Edit::Floor(Some(Floor { hz: 27.5 })));
    assert!(is_new(&app), "floor");
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

/// Recorded through 56 kΩ: what lifts the lows comes down by Butterworth's `10 log10(1 + (corner/f)⁴)`, which is drawn, and told as the floor's and not as the
/// boost limit's; of what lifts none nothing is told.
#[test]
fn a_floor_is_in_the_figures_of_what_lifts_the_lows() {
    let text = "version = 5\nname = 'restored'\ninstrument = 'guitarron'\npickup = '680p'\nrecorded = '56k'\n\
                [[setup]]\nname = 'bare'\nload = 'none'\n[[setup]]\nname = 'same'\nload = '56k'\n";
    let mut app = App::new(Fake::new(text));
    let without = app.model.figures.setups[0].clone();
    edit(&mut app, Edit::Floor(Some(Floor { hz: 27.5 })));
    let with = &app.model.figures.setups[0];
    for hz in [10.0_f64, 27.5, 55.0] {
        let cost_db = 10.0 * (1.0 + (27.5 / hz).powi(4)).log10();
        assert!((without.shapes[0].db(hz) - with.shapes[0].db(hz) - cost_db).abs() < 1e-9, "{hz}");
    }
    assert_eq!((with.held_back, with.floor), (without.held_back, Some(Floor { hz: 27.5 })));
    assert!(with.noise.unwrap().db < without.noise.unwrap().db);
    let figures = &app.model.figures;
    assert_eq!((figures.setups[1].floor, &figures.setups[1].shapes), (None, &vec![Shape::UNCHANGED]));
    assert_eq!(figures.recorded.floor, None);
}
