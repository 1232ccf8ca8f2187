use dsp_core::processor::GuardCause;
use dsp_core::response::{Ceiling, Floor};
use egui::vec2;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use firstjack_plugin::editor::{BlindMessage, Message, Meter, Model, Page, Readings, Theme};

use crate::fake::Fake;
use crate::listening::texts;
use crate::snapshot::save;
use crate::whole::{SMALL, Window, apply};

/// The foot and the verdict of a whole window.
fn harness(theme: Theme, session: &Fake) -> Harness<'static, Window> {
    let mut window = Window::of(session.clone());
    window.model.page = Page::Strings;
    let mut harness = Harness::builder()
        .with_size(vec2(SMALL.0, SMALL.1))
        .with_step_dt(1.0 / 60.0)
        .build_ui_state(|ui, window: &mut Window| window.show(ui), window);
    apply(&mut harness, theme);
    harness
}

fn both(name: &str, session: &Fake) -> Harness<'static, Window> {
    let light = harness(Theme::Light, session);
    save(&light, &format!("foot-{name}-light"));
    let dark = harness(Theme::Dark, session);
    save(&dark, &format!("foot-{name}-dark"));
    dark
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

fn has(harness: &Harness<'_, Window>, wanted: &str) -> bool {
    texts(harness).iter().any(|text| text.contains(wanted))
}

fn click(harness: &mut Harness<'_, Window>, name: &str) {
    harness.get_by_label_contains(name).click();
    harness.run_steps(3);
}

#[test]
fn a_signal_is_shown_in_numbers_and_words() {
    let mut session = Fake::courtyard().hearing(1);
    session.readings = with_signal();
    let harness = both("signal", &session);
    for wanted in [
        "In, true peak: −6.2 dBTP; short-term loudness, 3 s: −23.0 LUFS",
        "Out, true peak: 0.4 dBTP; short-term loudness, 3 s: −22.6 LUFS",
        "guard ready",
    ] {
        assert!(has(&harness, wanted), "no '{wanted}' in {:?}", texts(&harness));
    }
}

#[test]
fn silence_is_said() {
    let harness = both("silence", &Fake::courtyard());
    assert!(
        has(&harness, "In, true peak: silent; short-term loudness, 3 s: silent"),
        "{:?}",
        texts(&harness)
    );
}

/// Also when it has long been quiet again.
#[test]
fn clipping_stays_told_until_it_is_seen() {
    let mut session = Fake::courtyard().hearing(1);
    session.readings = with_signal();
    let mut harness = harness(Theme::Light, &session);
    harness.state_mut().session.readings.output = Meter::SILENT;
    harness.run_steps(3);
    assert!(has(&harness, "In has not clipped"));
    click(&mut harness, "Out has clipped");
    assert!(has(&harness, "Out has not clipped"));
    assert!(harness.state().session.changes.is_empty());
}

#[test]
fn a_guard_that_closed_is_told_until_it_is_seen() {
    let mut session = undo();
    let guard_cause = Some(GuardCause::Unexplained);
    session.readings = Readings { guard_closed: true, guard_closures: 2, guard_cause, ..with_signal() };
    let why = "louder than the input and its gain explain";
    let mut harness = both("guard-closed", &session);
    // In the verdict and in the foot.
    assert!(has(&harness, &format!("The guard faded to silence: {why}.")), "{:?}", texts(&harness));
    assert!(has(&harness, &format!("The guard has faded to silence 2 times, last: {why}.")));
    harness.state_mut().session.readings.guard_closed = false;
    harness.run_steps(3);
    assert!(has(&harness, "The guard has faded to silence 2 times"), "told although it is open again");
    click(&mut harness, "The guard has faded to silence");
    assert!(has(&harness, "guard ready") && !has(&harness, "faded to silence"), "{:?}", texts(&harness));
    assert!(harness.state().session.document.guard, "seen, not turned off");
    // Once more, and for another reason; seen at the verdict.
    let readings = &mut harness.state_mut().session.readings;
    (readings.guard_closures, readings.guard_cause) = (3, Some(GuardCause::NotFinite));
    harness.run_steps(3);
    assert!(has(&harness, "The guard faded to silence: a sample was no number."));
    harness.get_by_label("seen").click();
    harness.run_steps(3);
    assert!(!has(&harness, "faded to silence"));
    // Counted anew after a reset.
    harness.state_mut().session.readings.guard_closures = 0;
    harness.run_steps(3);
    harness.state_mut().session.readings.guard_closures = 1;
    harness.run_steps(3);
    assert!(has(&harness, "The guard has faded to silence once"));
}

#[test]
fn what_cannot_be_done_is_said() {
    let mut session = undo();
    session.readings = Readings { refused: true, ..with_signal() };
    session.document.guard = false;
    session.document.ceiling = Ceiling::Off;
    let harness = both("refused", &session);
    assert!(has(&harness, "A value cannot be played: what was heard before goes on"));
    assert!(has(&harness, "guard off") && has(&harness, "boost limit off"), "{:?}", texts(&harness));
    let mut blend = Fake::new(include_str!("../../../../presets/blend.toml")).hearing(0);
    blend.readings = Readings { channels: 1, ..with_signal() };
    assert!(has(&both("mono", &blend), "mono: only the first pickup is heard"));
    blend.readings.channels = 2;
    let harness = both("stereo", &blend);
    assert!(has(&harness, "left: first pickup") && !has(&harness, "mono"));
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
    let said =
        format!("the boost limit holds back {held_db:.0} dB at 55 Hz; noise from 20 to 200 Hz rises by ");
    let harness = both("undo", &session);
    assert!(has(&harness, &said), "no '{said}' in {:?}", texts(&harness));
    session.document.bypass = true;
    assert!(has(&both("bypass", &session), "Bypass is on"));
}

/// Butterworth's `10 log10(1 + (corner/f)⁴)` at 55 Hz: last of what is told, but first where it is too much.
#[test]
fn what_the_floor_costs_is_told() {
    let mut session = undo();
    for (hz, said, is_first) in [
        (
            27.5,
            "below 27.5 Hz it comes down again (second order), which costs the lowest string 0.3 dB",
            false,
        ),
        (
            41.2,
            "below 41.2 Hz it comes down again (second order), which costs the lowest string 1.2 dB",
            true,
        ),
    ] {
        session.document.floor = Some(Floor { hz });
        let harness = both(&format!("floor-{hz}"), &session);
        let lines = texts(&harness);
        let line =
            lines.iter().find(|line| line.contains(said)).unwrap_or_else(|| panic!("{said}: {lines:?}"));
        assert_eq!(line.starts_with(said), is_first, "{line}");
    }
    // Nothing that is heard is lifted.
    session.document.heard = None;
    assert!(!has(&both("floor-unused", &session), "which costs the lowest string"));
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
    let mut harness = harness(Theme::Dark, &session);
    let blind = Message::Blind(BlindMessage::Shuffle(1));
    let window = harness.state_mut();
    window.model.update(blind, &mut window.session);
    harness.run_steps(3);
    save(&harness, "foot-blind-dark");
    assert!(has(&harness, "Out, true peak: hidden") && has(&harness, "In, true peak: −6.2 dBTP"));
    assert!(has(&harness, "guard ready") && !has(&harness, "Out has clipped"));
    assert!(!has(&harness, "holds back") && !has(&harness, "rises"), "{:?}", texts(&harness));
}
