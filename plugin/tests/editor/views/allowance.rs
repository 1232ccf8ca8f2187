//! What noise allows, beside the boost limit.

use std::sync::Arc;

use dsp_core::preset::Preset;
use dsp_core::response::Ceiling;
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use firstjack_measure::noise::{AutoCeiling, Others, Stop};
use firstjack_plugin::editor::{Allowance, BlindMessage, Edit, Message, Model, NoiseAsked, Stage, Undoing};

use crate::fake::{COURTYARD, Fake};
use crate::views::stage::{App, Shown, on, wait};

/// Recorded through the passive box: it gives back what that took.
pub const UNDO: &str = "version = 5\nname = 'Rehearsal'\ninstrument = 'guitarron'\npickup = '680p'\nrecorded = '56k'\n\
                        [[setup]]\nname = 'nothing'\nload = 'none'\n\
                        [[setup]]\nname = 'buffer box'\nload = '10M'\n\
                        [[setup]]\nname = 'the same'\nload = '56k'\n";

/// Hum that stops it at so many dB.
pub fn by_hum(db: f64) -> Allowance {
    let stop = Stop::String { index: 0, hz: 55.0, hum_hz: Some(50.0) };
    Allowance::Allows(AutoCeiling { db, stop, without_hum_db: 31.2, others: None })
}

fn told(ceiling: Ceiling, allowance: Allowance) -> Harness<'static, App> {
    let mut fake = Fake::new(UNDO).hearing(0);
    (fake.document.ceiling, fake.readings.allowance) = (ceiling, allowance);
    let mut harness = on(App::new(fake), Shown::Foot);
    wait(&mut harness);
    harness
}

fn says(harness: &Harness<'_, App>, text: &str) -> bool {
    harness.query_by_label(text).is_some()
}

#[test]
fn a_press_sets_the_limit_as_one_edit() {
    let mut harness = told(Ceiling::Db(24.0), by_hum(17.9));
    let text = "noise allows 17.9 dB: hum at 50 Hz stops it, too close to A1 at 55 Hz: take the hum out first, then undo; without the hum it would be 31.2 dB";
    assert!(says(&harness, text));
    harness.get_by_label("limit to 17.9 dB").click();
    harness.run();
    let app = harness.state_mut();
    assert_eq!(
        (app.session.document.ceiling, &app.session.changes[..]),
        (Ceiling::Db(17.9), &[Stage::Whole][..])
    );
    assert_eq!(app.model.undo_names().0, Some("boost limit"));
    app.do_it(Message::Undo);
    assert_eq!(app.session.document.ceiling, Ceiling::Db(24.0));
    harness.run();
    assert!(says(&harness, "limit to 17.9 dB"));
}

/// Offered from 3 dB on, either way, and where there is no limit; never beyond what a limit can be.
#[test]
fn it_is_offered_where_it_is_worth_it() {
    for (ceiling, allowed_db, offered) in [
        (Ceiling::Db(24.0), 21.1, None),
        (Ceiling::Db(24.0), 21.0, Some(("limit to 21.0 dB", Ceiling::Db(21.0)))),
        (Ceiling::Db(24.0), 26.9, None),
        (Ceiling::Db(24.0), 27.0, Some(("limit to 27.0 dB", Ceiling::Db(27.0)))),
        (Ceiling::Off, 27.0, Some(("limit to 27.0 dB", Ceiling::Db(27.0)))),
        (Ceiling::OfUndo(12.0), 27.0, Some(("limit to 27.0 dB", Ceiling::OfUndo(27.0)))),
        (Ceiling::Db(24.0), 1.0, Some(("limit to 6.0 dB", Ceiling::Db(6.0)))),
        (Ceiling::Db(6.0), 1.0, None),
    ] {
        let mut harness = told(ceiling, by_hum(allowed_db));
        let buttons = || harness.query_all_by_role(egui::Role::Button);
        let limits =
            buttons().filter(|node| node.accesskit_node().label().is_some_and(|l| l.starts_with("limit to")));
        assert_eq!(limits.count(), usize::from(offered.is_some()), "{ceiling:?}, {allowed_db}");
        let less = "noise allows 1.0 dB, less than the least boost limit (6.0 dB): hum at 50 Hz stops it, too close to A1 at 55 Hz: take the hum out first, then undo; without the hum it would be 31.2 dB";
        assert_eq!(says(&harness, less), allowed_db == 1.0);
        if let Some((text, expected)) = offered {
            harness.get_by_label(text).click();
            harness.run();
            assert_eq!(harness.state().session.document.ceiling, expected);
        }
    }
}

#[test]
fn why_is_said_and_why_not() {
    let Allowance::Allows(by_hum) = by_hum(6.5) else { unreachable!() };
    let others = Some(Others { drowned: vec![(0, 55.0)], db: 17.9 });
    let drowned = Allowance::Allows(AutoCeiling { others, ..by_hum });
    let allows = |stop| Allowance::Allows(AutoCeiling { db: 25.0, stop, without_hum_db: 25.0, others: None });
    for (allowance, text) in [
        (Allowance::Stands, "noise: nothing comes in; start the transport, or play"),
        (
            Allowance::Listening { seconds: 4.0 },
            "noise: 4 s of 10 s heard; play every string, with rests of two seconds between",
        ),
        (
            Allowance::Silence,
            "noise: not heard, since the input is digital silence between its sounds (a gate's, or gaps of the track)",
        ),
        (
            Allowance::Drowned,
            "noise: no music stands clear of it yet; play every string, with rests of two seconds between",
        ),
        (Allowance::Coil, "noise: told of lows that come back only, and a coil's loss is at the top"),
        (
            drowned,
            "noise allows 6.5 dB: hum at 50 Hz stops it, too close to A1 at 55 Hz: take the hum out first, then undo; without the hum it would be 31.2 dB; with A1 at 55 Hz left in noise, the other strings would allow 17.9 dB",
        ),
        (
            allows(Stop::Enough),
            "noise allows 25.0 dB: low A has everything back, and more boost would lift nothing but noise",
        ),
        (
            allows(Stop::Rumble { hum_hz: None }),
            "noise allows 25.0 dB: beyond that, noise from 20 to 200 Hz comes closer than 15.0 dB to the music",
        ),
        (
            allows(Stop::String { index: 1, hz: 146.8, hum_hz: None }),
            "noise allows 25.0 dB: D2 at 147 Hz would not stand 10.0 dB above the noise around it",
        ),
    ] {
        let harness = told(Ceiling::Db(24.0), allowance);
        let texts: Vec<_> = harness
            .query_all_by_role(egui::Role::Label)
            .filter_map(|node| node.accesskit_node().value())
            .collect();
        assert!(says(&harness, text), "'{text}' is not among {texts:?}");
    }
}

/// It would tell which setup is heard.
#[test]
fn nothing_is_told_while_names_are_hidden() {
    let mut harness = told(Ceiling::Db(24.0), by_hum(17.9));
    harness.state_mut().do_it(Message::Blind(BlindMessage::Shuffle(1)));
    harness.run();
    assert!(!says(&harness, "limit to 17.9 dB") && harness.query_by_label_contains("noise allows").is_none());
}

/// What is asked of noise follows what is heard: an undo's lows of any setup are listened for, a coil's top is not.
#[test]
fn what_is_heard_is_what_is_asked_about() {
    let asked = |fake: &mut Fake, model: &mut Model| -> Arc<NoiseAsked> {
        model.refresh(fake);
        fake.asked.clone()
    };
    let mut fake = Fake::new(UNDO).hearing(0);
    let mut model = Model::new(&mut fake);
    let first = asked(&mut fake, &mut model);
    assert!(first.listens && first.tracks == 1 && matches!(first.heard, Some(Undoing::Lows(..))));
    assert!((first.strings_hz[0] - 55.0).abs() < 1e-9 && first.strings_hz.len() == 6);
    // The limit, and what else is no part of it, asks nothing new.
    model.update(Message::Edit(Edit::Ceiling(Ceiling::Db(12.0)), Stage::Whole), &mut fake);
    assert!(Arc::ptr_eq(&first, &asked(&mut fake, &mut model)));
    model.update(Message::Hear(Some(1)), &mut fake);
    let other = asked(&mut fake, &mut model);
    assert!(other.listens && other.heard.is_some() && other.heard != first.heard);
    for heard in [None, Some(2)] {
        model.update(Message::Hear(heard), &mut fake);
        assert!(asked(&mut fake, &mut model).listens && fake.asked.heard.is_none(), "{heard:?}");
    }
    model.update(Message::Tuning("E1 A1".to_owned()), &mut fake);
    assert!((asked(&mut fake, &mut model).strings_hz[0] - 41.203).abs() < 1e-3);
    // Its setups take more than was recorded through.
    fake.load(COURTYARD);
    assert_eq!((asked(&mut fake, &mut model).listens, fake.asked.heard.is_some()), (false, false));
    // A coil's top.
    let coil = "version = 5\nname = 'Coil'\npickup = { inductance = '4.7 H', resistance = '8k2', winding = '120p', loss = '250k' }\n\
                recorded = '100k || 1n'\n[[setup]]\nname = 'nothing'\nload = 'none'\n";
    Preset::from_toml(coil).unwrap();
    fake.load(coil);
    model.update(Message::Hear(Some(0)), &mut fake);
    let asked = asked(&mut fake, &mut model);
    assert_eq!((asked.listens, &asked.heard), (false, &Some(Undoing::Coil)));
}
