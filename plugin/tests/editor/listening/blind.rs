use dsp_core::preset::Preset;
use dsp_core::response::Ceiling;
use egui::vec2;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use firstjack_plugin::editor::views::{BlindView, apply_theme};
use firstjack_plugin::editor::{
    BlindMessage, Conclusion, Edit, Level, Message, Model, Readings, SetupsEdit, Sound, Stage, Switch, Theme,
};

use crate::fake::Fake;
use crate::listening::texts;
use crate::snapshot::save;

struct State {
    view: BlindView,
    model: Model,
    session: Fake,
}

impl State {
    fn send(&mut self, message: Message) {
        self.model.update(message, &mut self.session);
    }

    fn blind(&mut self, message: BlindMessage) {
        self.send(Message::Blind(message));
    }

    fn heard(&self) -> Option<usize> {
        self.session.document.heard
    }
}

fn state() -> State {
    let mut session = Fake::courtyard();
    State { view: BlindView::default(), model: Model::new(&mut session), session }
}

fn harness(theme: Theme) -> Harness<'static, State> {
    let show = |ui: &mut egui::Ui, state: &mut State| {
        let mut out = Vec::new();
        state.view.show(ui, &state.model, &Readings::default(), &mut out);
        out.into_iter().for_each(|message| state.send(message));
    };
    let mut harness = Harness::builder().with_size(vec2(400.0, 260.0)).build_ui_state(show, state());
    apply_theme(&harness.ctx, theme);
    harness.run();
    harness
}

fn click(harness: &mut Harness<'_, State>, label: &str) {
    harness.get_by_label(label).click();
    harness.run();
}

fn names(preset: &Preset) -> Vec<String> {
    preset.setups.iter().map(|setup| setup.name.clone()).collect()
}

/// No name of a setup is anywhere in what is shown.
fn assert_hidden(harness: &Harness<'_, State>) {
    let (names, texts) = (names(&harness.state().model.document.preset), texts(harness));
    assert!(texts.len() > 4, "nothing shown: {texts:?}");
    for name in names {
        assert!(!texts.iter().any(|text| text.contains(&name)), "'{name}' in {texts:?}");
    }
}

fn in_both_themes(name: &str, mut until: impl FnMut(&mut Harness<'_, State>)) -> Harness<'static, State> {
    let mut light = harness(Theme::Light);
    light.run();
    until(&mut light);
    save(&light, &format!("blind-{name}-light"));
    let mut dark = harness(Theme::Dark);
    dark.run();
    until(&mut dark);
    save(&dark, &format!("blind-{name}-dark"));
    dark
}

#[test]
fn names_are_shown_before_and_after_but_not_while_blind() {
    let open = in_both_themes("open", |_| {});
    assert!(texts(&open).iter().any(|text| text == "First setup"), "{:?}", texts(&open));
    let mut hidden = in_both_themes("shuffled", |harness| click(harness, "Shuffle the setups"));
    assert_hidden(&hidden);
    assert!(hidden.state().model.is_blind());
    click(&mut hidden, "Hear 3");
    assert_hidden(&hidden);
    hidden.get_by_label("You hear 3.");
    let third = hidden.state().heard().unwrap();
    click(&mut hidden, "Hear as recorded");
    assert_eq!(hidden.state().heard(), None);
    click(&mut hidden, "Hear 3");
    click(&mut hidden, "Show the names");
    save(&hidden, "blind-revealed-dark");
    let name = &names(&hidden.state().model.document.preset)[third];
    hidden.get_by_label(&format!("You hear 3: {name}."));
    click(&mut hidden, "End");
    assert!(hidden.state().model.blind.is_none());
}

/// Each label leads to another setup, and all of them to all.
#[test]
fn every_label_is_another_setup() {
    let mut state = state();
    state.blind(BlindMessage::Shuffle(5));
    let mut heard: Vec<_> = (0..6)
        .map(|label| {
            state.send(Message::Hear(Some(label)));
            state.heard().unwrap()
        })
        .collect();
    assert_ne!(heard, [0, 1, 2, 3, 4, 5]);
    heard.sort_unstable();
    assert_eq!(heard, [0, 1, 2, 3, 4, 5]);
}

/// A listener who hears the difference answers by ear: what X sounds like is what the session plays.
fn answer_by_ear(harness: &mut Harness<'_, State>, wrong: bool) {
    click(harness, "Hear 1");
    let first = harness.state().heard();
    click(harness, "Hear X");
    let is_first = harness.state().heard() == first;
    click(harness, if is_first == wrong { "X is 2" } else { "X is 1" });
}

#[test]
fn a_run_of_sixteen_answers() {
    let start = |harness: &mut Harness<'_, State>| click(harness, "Same or different?");
    let mut harness = in_both_themes("run", start);
    assert_hidden(&harness);
    for answer in 0..16 {
        harness.get_by_label(&format!("Which one is X? Answer {} of 16", answer + 1));
        answer_by_ear(&mut harness, [2, 5, 11, 12].contains(&answer));
        assert_hidden(&harness);
        assert!(!texts(&harness).iter().any(|text| text.contains("right") || text.contains("p =")));
    }
    harness.get_by_label("All answers are given.");
    assert!(harness.query_by_label("X is 1").is_none());
    save(&harness, "blind-all-given-dark");
    click(&mut harness, "Show names and score");
    save(&harness, "blind-score-dark");
    harness.get_by_label("12 of 16 right");
    // Published: 0.0384.
    harness.get_by_label_contains("p = 0.0384");
    harness.get_by_label_contains(
        "Guessing gets there in 3.8 % of all runs: the difference was most likely heard.",
    );
    let score = harness.state().model.blind.as_ref().unwrap().score().unwrap();
    assert_eq!(score.conclusion(), Conclusion::Heard);
    let all = texts(&harness);
    for name in &names(&harness.state().model.document.preset)[..2] {
        assert!(all.iter().any(|text| text.contains(name)), "{name} in {all:?}");
    }
}

#[test]
fn a_run_that_was_stopped_says_so() {
    let mut harness = in_both_themes("stopped", |harness| {
        click(harness, "24 answers");
        click(harness, "Same or different?");
        (0..6).for_each(|answer| answer_by_ear(harness, answer < 3));
        click(harness, "Show names and score");
    });
    harness.get_by_label("3 of 6 right");
    harness.get_by_label_contains("this does not show that the difference was heard");
    harness.get_by_label_contains("Agreed on were 24.");
    click(&mut harness, "End");
    harness.get_by_label("Shuffle the setups");
}

/// By number as by name: keys and other views send `Hear`.
#[test]
fn choices_by_number_stay_blind() {
    let mut state = state();
    state.blind(BlindMessage::Compare { setups: [4, 2], answers: 16, seed: 3 });
    state.send(Message::Hear(Some(0)));
    let first = state.heard();
    state.send(Message::Hear(Some(1)));
    let second = state.heard();
    assert!(matches!((first, second), (Some(4), Some(2)) | (Some(2), Some(4))));
    // Instead of the take, X; and nothing where there is nothing.
    state.send(Message::Hear(None));
    assert!(state.heard() == first || state.heard() == second);
    assert_eq!(state.model.blind.as_ref().unwrap().sound(), Some(Sound::X));
    state.send(Message::Hear(Some(2)));
    assert_eq!(state.model.blind.as_ref().unwrap().sound(), Some(Sound::X));
    // Once names are shown, numbers are the setups' again.
    state.blind(BlindMessage::Reveal);
    state.send(Message::Hear(Some(5)));
    assert_eq!((state.heard(), state.model.blind.as_ref().unwrap().sound()), (Some(5), None));
}

#[test]
fn nothing_can_be_changed_that_is_compared() {
    let mut state = state();
    let edit = |state: &mut State, edit: Edit| state.send(Message::Edit(edit, Stage::Whole));
    edit(&mut state, Edit::Level(Level::Trim, 1.0));
    state.blind(BlindMessage::Shuffle(2));
    let before = state.session.document.clone();
    edit(&mut state, Edit::Switch(Switch::LevelMatch, false));
    edit(&mut state, Edit::Ceiling(Ceiling::Off));
    state.send(Message::HearBefore);
    edit(&mut state, Edit::Setups(SetupsEdit::Remove(1)));
    for message in
        [Message::Undo, Message::Redo, Message::Paste(0), Message::Copy(0), Message::Load(String::new())]
    {
        state.send(message);
        assert!(state.model.notices.last().unwrap().starts_with("Not while the names are hidden"));
    }
    assert_eq!(state.session.document, before);
    // Quieter is always allowed.
    edit(&mut state, Edit::Level(Level::Output, -12.0));
    assert_eq!((state.session.document.output_db, state.model.notices.len()), (-12.0, 1));
    assert!(state.model.is_blind());
}

#[test]
fn what_a_host_does_meanwhile_is_noticed() {
    let mut state = state();
    state.blind(BlindMessage::Shuffle(2));
    let other = (state.heard().unwrap() + 1) % 6;
    state.session.set(|document| document.heard = Some(other));
    state.model.refresh(&mut state.session);
    assert_eq!(state.model.blind.as_ref().unwrap().sound(), None);
    state.session.set(|document| document.preset.setups.truncate(2));
    state.model.refresh(&mut state.session);
    assert!(state.model.blind.is_none());
    assert!(state.model.notices.last().unwrap().contains("have changed"));
}

#[test]
fn a_comparison_of_nothing_does_not_begin() {
    let mut state = state();
    for setups in [[1, 1], [0, 6]] {
        state.blind(BlindMessage::Compare { setups, answers: 16, seed: 1 });
        assert!(state.model.blind.is_none());
    }
    for message in
        [BlindMessage::Hear(Sound::X), BlindMessage::Answer(0), BlindMessage::Reveal, BlindMessage::End]
    {
        state.blind(message);
        assert!(state.model.blind.is_none() && state.heard().is_none());
    }
}

/// All by keyboard.
#[test]
fn every_control_is_reached_by_tab() {
    let mut harness = harness(Theme::Dark);
    click(&mut harness, "Same or different?");
    let mut wanted = vec!["Hear 1", "Hear 2", "Hear X", "X is 1", "X is 2", "Show names and score", "End"];
    for _ in 0..10 {
        harness.key_press(egui::Key::Tab);
        harness.run();
        wanted.retain(|label| !harness.get_by_label(label).is_focused());
    }
    assert!(wanted.is_empty(), "not reached: {wanted:?}");
}
