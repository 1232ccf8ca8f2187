use dsp_core::processor::GuardCause;
use dsp_core::response::Ceiling;
use egui::{Theme, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use firstjack_plugin::editor::views::Meters;
use firstjack_plugin::editor::{BlindMessage, Message, Meter, Model, Readings};

use crate::fake::Fake;
use crate::listening::texts;
use crate::snapshot::save;

struct State {
    view: Meters,
    model: Model,
    readings: Readings,
}

fn harness(theme: Theme, size: egui::Vec2, session: &mut Fake) -> Harness<'static, State> {
    let model = Model::new(session);
    let state = State { view: Meters, model, readings: session.readings.clone() };
    let show = |ui: &mut egui::Ui, state: &mut State| {
        let mut out = Vec::new();
        state.view.show(ui, &state.model, &state.readings, &mut out);
        assert!(out.is_empty());
    };
    let mut harness = Harness::builder().with_size(size).with_theme(theme).build_ui_state(show, state);
    harness.run();
    harness
}

const COMPACT: egui::Vec2 = vec2(236.0, 176.0);

fn both(name: &str, session: &mut Fake) -> Vec<String> {
    let light = harness(Theme::Light, COMPACT, session);
    save(&light, &format!("meters-{name}-light"));
    let dark = harness(Theme::Dark, COMPACT, session);
    save(&dark, &format!("meters-{name}-dark"));
    texts(&dark)
}

fn with_signal() -> Readings {
    Readings {
        rate_hz: 48_000.0,
        input: Meter { true_peak_db: -6.2, short_term_lufs: -23.0 },
        output: Meter { true_peak_db: 0.4, short_term_lufs: -22.6 },
        version: 1,
        ..Readings::default()
    }
}

/// An undo of 56 kΩ on 680 pF.
fn undo() -> Fake {
    let text = "version = 2\nname = 'undo'\npickup = { capacitance = '680p' }\ninstrument = 'guitarron'\n\
                recorded = { load = '56k' }\n[[setup]]\nname = 'nothing'\nload = 'none'\n";
    Fake::new(text).hearing(0)
}

fn has(texts: &[String], wanted: &str) -> bool {
    texts.iter().any(|text| text == wanted)
}

#[test]
fn a_signal_is_shown_in_numbers_and_words() {
    let mut session = Fake::courtyard().hearing(1);
    session.readings = with_signal();
    let texts = both("signal", &mut session);
    for wanted in [
        "In, true peak: -6.2 dBTP",
        "In, short-term loudness, 3 s: -23.0 LUFS",
        "Out, true peak: 0.4 dBTP",
        "Out, short-term loudness, 3 s: -22.6 LUFS",
        "guard open",
        "ceiling holds nothing back",
    ] {
        assert!(has(&texts, wanted), "no '{wanted}' in {texts:?}");
    }
}

#[test]
fn silence_is_said() {
    let texts = both("silence", &mut Fake::courtyard());
    assert!(
        has(&texts, "In, true peak: silent") && has(&texts, "Out, short-term loudness, 3 s: silent"),
        "{texts:?}"
    );
}

#[test]
fn a_guard_that_closed_is_told() {
    let mut session = undo();
    let guard_cause = Some(GuardCause::Unexplained);
    session.readings = Readings { guard_closed: true, guard_closures: 2, guard_cause, ..with_signal() };
    let why = "louder than the input and its gain explain";
    let texts = both("guard-closed", &mut session);
    assert!(has(&texts, &format!("guard closed, has closed 2 times, last: {why}")), "{texts:?}");
    session.readings.guard_closed = false;
    session.readings.guard_closures = 1;
    session.readings.guard_cause = Some(GuardCause::NotFinite);
    let texts = both("guard-was-closed", &mut session);
    assert!(has(&texts, "guard open, has closed once: a sample was no number"), "{texts:?}");
    session.readings.refused = true;
    let texts = both("refused", &mut session);
    assert!(has(&texts, "a value cannot be played: what was heard before goes on"), "{texts:?}");
    session.readings.refused = false;
    session.document.guard = false;
    session.document.ceiling = Ceiling::Off;
    let texts = both("guard-off", &mut session);
    assert!(has(&texts, "guard is off") && has(&texts, "ceiling is off"));
}

/// `K = (s + wA)/(s + wc)` with `wc = wA·10^(-24/20)`: at A1 (55 Hz, ISO 16) the load of 56 kΩ on 680 pF takes `10 log10(1 + (fA/f)²)`
/// (textbook RC), of which `10 log10((f² + fA²)/(f² + fc²))` comes back.
#[test]
fn what_the_ceiling_holds_back_is_the_formulas() {
    let from_hz = 1.0 / (std::f64::consts::TAU * 56e3 * 680e-12);
    let corner_hz = from_hz * 10f64.powf(-24.0 / 20.0);
    let held_db = 10.0 * (1.0 + (corner_hz / 55.0_f64).powi(2)).log10();
    let mut session = undo();
    let model = Model::new(&mut session);
    let setup = &model.figures.setups[0];
    assert!(
        (setup.held_back.db - held_db).abs() < 1e-6 && setup.held_back.hz == 55.0,
        "{:?}",
        setup.held_back
    );
    assert_eq!(model.figures.recorded.held_back.db, 0.0);
    // Noise: the mean of |K|² from 20 to 200 Hz against |K|² at 20 kHz, by the closed form of the integral of
    // (f² + a²)/(f² + c²) = 1 + (a² - c²)/(f² + c²).
    let integral = |hz: f64| hz + (from_hz.powi(2) - corner_hz.powi(2)) / corner_hz * (hz / corner_hz).atan();
    let mean = (integral(200.0) - integral(20.0)) / 180.0;
    let top = (20e3_f64.powi(2) + from_hz.powi(2)) / (20e3_f64.powi(2) + corner_hz.powi(2));
    let rise_db = 10.0 * (mean / top).log10();
    let noise = setup.noise.unwrap();
    assert!((noise.db - rise_db).abs() < 1e-4, "{noise:?}, formula {rise_db}");
    let texts = both("undo", &mut session);
    let said = format!("ceiling holds back {held_db:.0} dB at 55 Hz");
    assert!(has(&texts, &said), "no '{said}' in {texts:?}");
    assert!(texts.iter().any(|text| text.starts_with("noise from 20 to 200 Hz rises by ")), "{texts:?}");
    session.document.bypass = true;
    assert!(has(&both("bypass", &mut session), "ceiling holds nothing back"));
}

/// Nothing that tells setups apart is shown while names are hidden, but the guard stays.
#[test]
fn blind_hides_what_could_tell() {
    let mut session = undo();
    session.set(|document| {
        let mut other = document.preset.setups[0].clone();
        other.name = "other".to_owned();
        document.preset.setups.push(other);
    });
    session.readings = with_signal();
    let mut harness = harness(Theme::Dark, COMPACT, &mut session);
    let blind = Message::Blind(BlindMessage::Shuffle(1));
    harness.state_mut().model.update(blind, &mut session);
    harness.run();
    save(&harness, "meters-blind-dark");
    let texts = texts(&harness);
    assert!(has(&texts, "Out, true peak: hidden") && has(&texts, "In, true peak: -6.2 dBTP"), "{texts:?}");
    assert!(has(&texts, "guard open"));
    assert!(!texts.iter().any(|text| text.contains("ceiling") || text.contains("rises")), "{texts:?}");
}

/// In the compact size all is inside.
#[test]
fn all_fits_in_the_compact_size() {
    let mut session = undo();
    session.readings = Readings { guard_closed: true, guard_closures: 2, ..with_signal() };
    let harness = harness(Theme::Light, COMPACT, &mut session);
    let last = harness.get_by_label_contains("noise from").rect();
    assert!(last.bottom() <= COMPACT.y && last.right() <= COMPACT.x, "{last:?}");
}
