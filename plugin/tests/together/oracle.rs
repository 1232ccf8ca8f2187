//! What ought to come of a step, by a small model of its own: which parameters the window turns, each in one gesture, and what holds
//! afterwards.

use std::collections::BTreeMap;

use crate::preset::Preset;
use crate::step::{Step, Switch};

/// Parameters by their names, normalized.
pub type State = BTreeMap<String, f64>;

/// What a text means for a parameter.
pub type Read<'a> = &'a mut dyn FnMut(&str, &str) -> f64;

/// What the window turns a parameter to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Gesture {
    /// One value.
    To(f64),
    /// Several, that rise or fall.
    Way { rises: bool },
}

/// What a step ought to come to.
#[derive(Debug, Default)]
pub struct Expected {
    pub gestures: BTreeMap<String, Gesture>,
    /// Something that no parameter holds has changed, and the host is told that its project has.
    pub is_marked: bool,
    /// Values and what no parameter holds change together.
    pub is_circuit: bool,
}

/// An edit that can be taken back.
#[derive(Debug)]
struct Edit {
    values: Vec<Held<String, f64>>,
    preset: Option<Held<(), Preset>>,
}

/// One thing that an edit changed.
#[derive(Debug)]
struct Held<K, T> {
    key: K,
    before: T,
    after: T,
    /// The host has changed it since: nobody takes that back.
    is_the_hosts: bool,
}

#[derive(Debug)]
pub struct Oracle {
    pub state: State,
    pub preset: Preset,
    undo: Vec<Edit>,
    redo: Vec<Edit>,
}

pub const HEARD: &str = "Heard setup";
pub const BYPASS: &str = "Bypass";
pub const TRIM: &str = "Trim";

/// "As recorded" is the last of seven.
const AS_RECORDED: f64 = 1.0;

/// Closer than this is the same value, kept in single precision.
pub const SAME: f64 = 1e-5;

fn setup(index: usize) -> f64 {
    f64::from(u8::try_from(index).unwrap()) / 6.0
}

impl Oracle {
    pub const fn new(state: State, preset: Preset) -> Self {
        Self { state, preset, undo: Vec::new(), redo: Vec::new() }
    }

    /// The setup that is heard, counted from zero.
    pub fn heard(&self) -> Option<usize> {
        (0..6).find(|index| (setup(*index) - self.state[HEARD]).abs() < SAME)
    }

    /// The host has set a parameter.
    pub fn host_sets(&mut self, name: &str, value: f64) {
        self.state.insert(name.to_owned(), value);
        for held in self.edits().flat_map(|edit| &mut edit.values).filter(|held| held.key == name) {
            held.is_the_hosts = true;
        }
    }

    /// The host has loaded a state.
    pub fn host_loads(&mut self, state: State, preset: Preset) {
        (self.state, self.preset) = (state, preset);
        for edit in self.edits() {
            edit.values.iter_mut().for_each(|held| held.is_the_hosts = true);
            edit.preset.iter_mut().for_each(|held| held.is_the_hosts = true);
        }
    }

    fn edits(&mut self) -> impl Iterator<Item = &mut Edit> {
        self.undo.iter_mut().chain(&mut self.redo)
    }

    /// What a step of a hand ought to do, and its outcome. What the host does is told by the other two.
    pub fn hand(&mut self, step: &Step, read: Read) -> Expected {
        match step {
            Step::Key(0) => self.hear(AS_RECORDED),
            Step::Key(number) => self.hear(setup(number - 1)),
            Step::Tile(index) => self.hear(setup(*index)),
            Step::Switch(switch) => self.switch(*switch),
            Step::Drag(_) => self.drag(read),
            Step::Type(text) => {
                let name = format!("Setup {} load resistance", self.heard().expect("a setup") + 1);
                let to = read(&name, text);
                self.edit(vec![(name, to)], None)
            }
            Step::Rename(index, name) => {
                let mut preset = self.preset.clone();
                preset.setups[*index].clone_from(name);
                self.edit(Vec::new(), Some(preset))
            }
            Step::HandLoad(index) => {
                let preset = Preset::all()[*index].clone();
                let values = preset.values();
                let read_all = values.into_iter().map(|(name, text)| {
                    let to = read(&name, text);
                    (name, to)
                });
                let values = read_all.collect();
                self.edit(values, Some(preset))
            }
            Step::Undo => self.step_back(),
            Step::Redo => self.step_forward(),
            Step::Rest | Step::Reopen | Step::HostSet(..) | Step::HostLoad(_) => Expected::default(),
        }
    }

    /// What a drag has come to.
    pub fn dragged_to(&mut self, value: f64) {
        self.state.insert(TRIM.to_owned(), value);
        if let Some(held) = self.undo.last_mut().and_then(|edit| edit.values.first_mut()) {
            held.after = value;
        }
    }

    /// To hear something ends a bypass. It is no edit.
    fn hear(&mut self, to: f64) -> Expected {
        let values = [(HEARD, to), (BYPASS, 0.0)];
        let turned: Vec<_> = values.into_iter().filter(|(name, to)| self.differs(name, *to)).collect();
        turned.iter().for_each(|(name, to)| {
            self.state.insert((*name).to_owned(), *to);
        });
        let gestures = turned.into_iter().map(|(name, to)| (name.to_owned(), Gesture::To(to)));
        Expected { gestures: gestures.collect(), ..Expected::default() }
    }

    fn differs(&self, name: &str, to: f64) -> bool {
        (self.state[name] - to).abs() > SAME
    }

    fn switch(&mut self, switch: Switch) -> Expected {
        let name = switch.parameter();
        let to = 1.0 - self.state[name];
        self.edit(vec![(name.to_owned(), to)], None)
    }

    /// Towards the middle of its range.
    fn drag(&mut self, read: Read) -> Expected {
        let rises = self.state[TRIM] <= read(TRIM, "0 dB");
        // Where to is the hand's affair.
        let held =
            Held { key: TRIM.to_owned(), before: self.state[TRIM], after: f64::NAN, is_the_hosts: false };
        self.redo.clear();
        self.undo.push(Edit { values: vec![held], preset: None });
        let gestures = [(TRIM.to_owned(), Gesture::Way { rises })].into();
        Expected { gestures, ..Expected::default() }
    }

    /// One edit, of what it really changes.
    fn edit(&mut self, values: Vec<(String, f64)>, preset: Option<Preset>) -> Expected {
        let values: Vec<_> = values.into_iter().filter(|(name, to)| self.differs(name, *to)).collect();
        let preset = preset.filter(|preset| *preset != self.preset);
        if values.is_empty() && preset.is_none() {
            return Expected::default();
        }
        let held = |(name, to): (String, f64)| {
            let before = self.state[&name];
            Held { key: name, before, after: to, is_the_hosts: false }
        };
        let values = values.into_iter().map(held).collect();
        let before = self.preset.clone();
        let preset = preset.map(|after| Held { key: (), before, after, is_the_hosts: false });
        self.redo.clear();
        self.undo.push(Edit { values, preset });
        self.apply(true)
    }

    /// What has just been put on the end of a list takes effect, but for what the host has changed since.
    fn apply(&mut self, forward: bool) -> Expected {
        let list = if forward { &self.undo } else { &self.redo };
        let Some(edit) = list.last() else { return Expected::default() };
        let mut expected = Expected::default();
        for held in edit.values.iter().filter(|held| !held.is_the_hosts) {
            let to = if forward { held.after } else { held.before };
            if (self.state[&held.key] - to).abs() > SAME {
                self.state.insert(held.key.clone(), to);
                expected.gestures.insert(held.key.clone(), Gesture::To(to));
            }
        }
        if let Some(held) = edit.preset.as_ref().filter(|held| !held.is_the_hosts) {
            let to = if forward { &held.after } else { &held.before };
            // Another name of a setup is no other circuit; another preset is, also where the host has moved all of its values since.
            expected.is_circuit = self.preset.name != to.name;
            self.preset.clone_from(to);
            expected.is_marked = expected.gestures.is_empty();
        }
        expected
    }

    /// Of an edit that the host has overruled nothing is left to take back.
    fn step_back(&mut self) -> Expected {
        let Some(edit) = self.undo.pop() else { return Expected::default() };
        self.redo.push(edit);
        self.apply(false)
    }

    fn step_forward(&mut self) -> Expected {
        let Some(edit) = self.redo.pop() else { return Expected::default() };
        self.undo.push(edit);
        self.apply(true)
    }
}
