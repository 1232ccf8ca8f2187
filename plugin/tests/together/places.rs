//! Where a hand finds things in the window. All that knows how the window is laid out, and by what names, is here.

use crate::fake::Fake;
use crate::oracle::{BYPASS, Oracle, TRIM};
use crate::plan::Plan;
use crate::preset::Preset;
use crate::step::Switch;

/// A point of the window.
pub type At = (i16, i16);

/// How a parameter's value is shown.
pub type Shown<'a> = &'a mut dyn FnMut(&str, f64) -> String;

/// The same views, laid out with what the window shows now.
pub struct Places(Plan);

impl Places {
    pub fn new(oracle: &Oracle, shown: Shown, size: (u16, u16)) -> Self {
        Self(Plan::of(session(oracle, shown), size))
    }

    /// As it is by now.
    pub fn refresh(&mut self, oracle: &Oracle, shown: Shown) {
        self.0.set(|fake| {
            let document = session(oracle, shown).document;
            fake.set(|now| *now = document);
        });
    }

    /// Where a click gives the window the keyboard and does nothing else.
    pub fn nowhere(&self) -> At {
        self.0.at("In, true peak")
    }

    /// On its key: two quick clicks on its name would open a field for another one.
    pub fn tile(&self, name: &str) -> At {
        self.0.left_of(&format!("{name}, "), 18.0)
    }

    pub fn switch(&self, switch: Switch) -> At {
        self.0.the(match switch {
            Switch::Bypass => "bypass",
            Switch::Match => "level match",
            Switch::Hold => "hold",
            Switch::Guard => return self.0.beginning("guard "),
        })
    }

    pub fn trim(&self) -> At {
        self.0.the("trim in dB")
    }

    /// The value at the box that is heard.
    pub fn input(&self, preset: &Preset, heard: usize) -> At {
        self.0.the(&preset.input_of(heard))
    }

    /// Clicks that open a field for a setup's name.
    pub fn rename(&mut self, name: &str) -> Vec<At> {
        ["more for ".to_owned() + name, "rename".to_owned()].iter().map(|one| self.0.press(one)).collect()
    }

    /// Clicks that open a field for a preset's text and put the cursor in it.
    pub fn paste(&mut self) -> Vec<At> {
        vec![self.0.press_beginning("preset "), self.0.press("paste as text…"), self.0.field(FIELD)]
    }

    /// Reads what stands in that field.
    pub fn load(&mut self, text: &str) -> At {
        self.0.write(FIELD, text);
        self.0.the(LOAD)
    }
}

const FIELD: &str = "text of a preset file";
const LOAD: &str = "open";

/// What is shown of a state, as far as it moves things about.
fn session(oracle: &Oracle, shown: Shown) -> Fake {
    let held = oracle.preset.held(|name| shown(name, oracle.state[name]));
    let mut session = Fake::new(&held);
    let is_on = |name: &str| oracle.state[name] > 0.5;
    session.document.heard = oracle.heard();
    session.document.bypass = is_on(BYPASS);
    session.document.level_match = is_on(Switch::Match.parameter());
    session.document.hold = is_on(Switch::Hold.parameter());
    // Any numbers of the usual length.
    session.document.trim_db = (480.0 * (oracle.state[TRIM] - 0.5)).round() / 10.0;
    session.document.output_db = -0.52;
    session.readings.matching_db = [Some(-12.3); 6];
    session
}
