//! One way through the plan in one host: what is done, what came of it, and what ought to have come.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use crate::desk::{BLOCK, Desk, Values};
use crate::display::{Display, until};
use crate::hand::Hand;
use crate::host::{Noise, Sound, Told};
use crate::oracle::{BYPASS, Expected, Gesture, HEARD, Oracle, SAME, State, TRIM};
use crate::places::Places;
use crate::preset::{Preset, SETUPS};
use crate::step::Step;

/// What the host moves with every block, from where and how far; no preset's value lies within.
const AUTOMATED: [(&str, f64, f64); 3] =
    [("Setup 3 load resistance", 0.30, 0.1), ("Output", 0.45, 0.1), ("Pickup capacitance", 0.55, 0.1)];
/// Frames of a drag.
const DRAG: i16 = 20;
/// Below what the level match learns from (-70 LUFS, ITU-R BS.1770), so that it makes no difference which of two learned first.
const QUIET: f32 = 2e-4;

/// The instance with the window, the same without one, and what is thought of them.
pub struct Walk<'a, D: Desk> {
    display: &'a Display,
    window: u32,
    hand: Hand<'a>,
    sides: Sides<D>,
    oracle: Oracle,
    places: Places,
    size: (u16, u16),
    /// What went wrong, in the order of steps.
    pub faults: Vec<Fault>,
    automatable: BTreeMap<String, bool>,
}

/// What went wrong in a step.
pub struct Fault {
    pub number: usize,
    pub step: Step,
    pub what: String,
}

/// Both instances, in the same sound.
struct Sides<D> {
    desk: D,
    /// Without a window; it gets the same values at the same times.
    twin: D,
    noise: Noise,
    blocks: u32,
    /// What has been told in this step.
    told: Vec<Told>,
    /// How much of it the twin has.
    given: usize,
    /// Circuit and values change together.
    is_circuit: bool,
    /// Where automation is.
    automation: Values,
    /// Samples that differ, and the first two.
    differences: usize,
    first: Option<(f32, f32)>,
}

impl<D: Desk> Sides<D> {
    fn new() -> Self {
        Self {
            desk: D::new(),
            twin: D::new(),
            noise: Noise::new(1),
            blocks: 0,
            told: Vec::new(),
            given: 0,
            is_circuit: false,
            automation: Vec::new(),
            differences: 0,
            first: None,
        }
    }

    /// One turn of the host: its loop, and a block in which the host moves what it automates, and whatever it sets besides.
    fn round(&mut self, set: Option<(&str, f64)>) {
        self.desk.turn();
        self.told.extend(self.desk.told());
        let fresh = self.told[self.given..].iter().filter_map(|one| match one {
            Told::Value(name, value) => Some((name.clone(), *value)),
            _ => None,
        });
        let fresh: Values = fresh.collect();
        self.given = self.told.len();
        if self.is_circuit && !fresh.is_empty() {
            let state = self.desk.save();
            self.twin.load(&state);
            self.is_circuit = false;
        }
        self.blocks += 1;
        let turn = f64::from(self.blocks % 97) / 97.0;
        self.automation = AUTOMATED.map(|(name, from, by)| (name.to_owned(), from + by * turn)).into();
        let by_host = self.automation.iter().cloned().chain(set.map(|(name, to)| (name.to_owned(), to)));
        let all: Values = fresh.into_iter().chain(by_host.clone()).collect();
        let by_host: Values = by_host.collect();
        let mut input = self.noise.sound(2, BLOCK);
        input.iter_mut().flatten().for_each(|sample| *sample *= QUIET);
        let heard = self.desk.run(&input, if D::GIVES_BACK { &all } else { &by_host });
        let without = self.twin.run(&input, &all);
        self.told.extend(self.desk.told());
        self.compare(&heard, &without);
    }

    fn compare(&mut self, heard: &Sound, without: &Sound) {
        for (a, b) in heard.iter().flatten().zip(without.iter().flatten()) {
            if a.to_bits() != b.to_bits() {
                self.differences += 1;
                self.first.get_or_insert((*a, *b));
            }
        }
    }

    /// Both begin anew, from what the one with the window holds.
    fn meet(&mut self) {
        let state = self.desk.save();
        for side in [&mut self.desk, &mut self.twin] {
            side.load(&state);
            side.reset();
        }
        (self.differences, self.first) = (0, None);
    }
}

impl<'a, D: Desk> Walk<'a, D> {
    pub fn new(display: &'a Display) -> Self {
        let mut sides = Sides::<D>::new();
        let automatable: BTreeMap<String, bool> = sides.desk.parameters().into_iter().collect();
        let state = automatable.keys().map(|name| (name.clone(), sides.desk.value(name))).collect();
        let [preset, ..] = Preset::all();
        let oracle = Oracle::new(state, preset);
        let window = display.window();
        let size = sides.desk.open(window);
        let twin = &mut sides.twin;
        let places = Places::new(&oracle, &mut |name, value| twin.text(name, value), size);
        let hand = Hand::new(display, window);
        let mut walk =
            Self { display, window, hand, sides, oracle, places, size, faults: Vec::new(), automatable };
        // A preset of the test's own, before anything is looked for in the window.
        walk.load(0);
        walk.sides.meet();
        walk.appear();
        walk
    }

    /// A window that has just been opened: drawn, with the keyboard, and with all in sight.
    fn appear(&mut self) {
        let (display, window, sides) = (self.display, self.window, &mut self.sides);
        until("drawn", || {
            sides.round(None);
            display.is_drawn(window)
        });
        display.focus(display.inner(window).expect("the editor's window"));
        self.lay_out();
        self.hand = Hand::new(display, window);
        for at in self.places.to_open() {
            self.hand.click(at);
            self.hand.settle(&mut || self.sides.round(None));
        }
        self.rest();
    }

    fn lay_out(&mut self) {
        let twin = &mut self.sides.twin;
        self.places = Places::new(&self.oracle, &mut |name, value| twin.text(name, value), self.size);
    }

    /// A few blocks, in which all that has been turned arrives.
    fn rest(&mut self) {
        (0..4).for_each(|_| self.sides.round(None));
        for (name, value) in self.sides.automation.clone() {
            self.oracle.host_sets(&name, value);
        }
    }

    /// A step, or the nearest that can be done now.
    fn possible(&self, step: Step) -> Step {
        match (step, self.oracle.heard()) {
            // There is no box, or its value is automated.
            (Step::Type(_), None | Some(2)) => Step::Key(2),
            // What would change little is no judge.
            (Step::HandLoad(index), _) if Preset::all()[index].name == self.oracle.preset.name => {
                Step::HandLoad((index + 1) % Preset::all().len())
            }
            (step, _) => step,
        }
    }

    pub fn step(&mut self, number: usize, step: Step) {
        let step = self.possible(step);
        let twin = &mut self.sides.twin;
        self.places.refresh(&self.oracle, &mut |name, value| twin.text(name, value));
        (self.sides.told, self.sides.given) = (Vec::new(), 0);
        self.sides.desk.marks();
        let before = self.oracle.preset.clone();
        let expected = self.oracle.hand(&step, &mut |name, text| twin.read(name, text));
        self.sides.is_circuit = expected.is_circuit;
        self.act(&step, &before, &expected);
        self.rest();
        self.judge(number, &step, &expected);
    }

    fn act(&mut self, step: &Step, before: &Preset, expected: &Expected) {
        let hand = self.hand;
        match step {
            Step::Rest => {}
            Step::Key(number) => hand.number(*number),
            Step::Tile(index) => hand.click(self.places.tile(&before.setups[*index])),
            Step::Switch(switch) => hand.click(self.places.switch(*switch)),
            Step::Drag => self.drag(hand, expected),
            Step::Type(text) => self.type_value(hand, text),
            Step::Undo => hand.undo(),
            Step::Redo => hand.redo(),
            Step::Rename(index, name) => self.rename(hand, &before.setups[*index], name),
            Step::HandLoad(_) => self.paste(hand),
            Step::HostSet(name, text) => {
                let value = self.sides.twin.read(name, text);
                self.sides.round(Some((name, value)));
                self.oracle.host_sets(name, value);
            }
            Step::HostLoad(index) => self.load(*index),
            Step::Reopen => return self.reopen(),
        }
        // Values and circuit are on their way at once: no block comes between.
        let sides = &mut self.sides;
        hand.settle(&mut || {
            if !expected.is_circuit {
                sides.round(None);
            }
        });
        if matches!(step, Step::Rename(..) | Step::HandLoad(_)) {
            self.lay_out();
        }
    }

    fn drag(&mut self, hand: Hand, expected: &Expected) {
        let rises = expected.gestures.get(TRIM) == Some(&Gesture::Way { rises: true });
        hand.drag(self.places.trim(), rises, DRAG, &mut || self.sides.round(None));
    }

    fn type_value(&mut self, hand: Hand, text: &str) {
        let heard = self.oracle.heard().expect("a setup");
        hand.click(self.places.input(&self.oracle.preset, heard));
        hand.redrawn(&mut || self.sides.round(None));
        hand.write(text);
        hand.enter();
        hand.redrawn(&mut || self.sides.round(None));
    }

    fn rename(&mut self, hand: Hand, from: &str, to: &str) {
        for at in self.places.rename(from) {
            hand.click(at);
            hand.redrawn(&mut || self.sides.round(None));
        }
        hand.write(to);
        hand.enter();
        hand.redrawn(&mut || self.sides.round(None));
    }

    fn paste(&mut self, hand: Hand) {
        for at in self.places.paste() {
            hand.click(at);
            hand.redrawn(&mut || self.sides.round(None));
        }
        let text = self.oracle.preset.text();
        hand.write(&text);
        hand.redrawn(&mut || self.sides.round(None));
        hand.click(self.places.load(&text));
    }

    /// The host loads a state in which everything is another than now that an edit may have changed.
    fn load(&mut self, index: usize) {
        let preset = Preset::all()[index].clone();
        let mut bench = D::new();
        let mut values: State = self.oracle.state.clone();
        for name in [BYPASS, "Level match", "Hold match", "Guard"] {
            values.insert(name.to_owned(), 1.0 - values[name]);
        }
        values.insert(TRIM.to_owned(), if values[TRIM] > 0.5 { 0.4 } else { 0.6 });
        let heard = self.oracle.heard().map_or(0, |heard| heard + 1) % SETUPS;
        values.insert(HEARD.to_owned(), bench.read(HEARD, &format!("Setup {}", heard + 1)));
        for (name, text) in preset.values() {
            let value = bench.read(&name, text);
            values.insert(name, value);
        }
        bench.run(&vec![vec![0.0; BLOCK]; 2], &values.into_iter().collect());
        let mut state = bench.save();
        state["fields"]["circuit"] = json!(json!(preset.text()).to_string());
        let held = self.automatable.keys().map(|name| (name.clone(), bench.value(name))).collect();
        self.sides.desk.load(&state);
        self.sides.twin.load(&state);
        self.oracle.host_loads(held, preset);
    }

    /// Closes the window; what went wrong.
    pub fn end(mut self) -> Vec<Fault> {
        self.disappear();
        self.faults
    }

    fn disappear(&mut self) {
        self.sides.desk.close();
        self.display.close(self.window);
    }

    fn reopen(&mut self) {
        self.disappear();
        self.rest();
        self.window = self.display.window();
        self.size = self.sides.desk.open(self.window);
        self.appear();
    }
}

impl<D: Desk> Walk<'_, D> {
    fn judge(&mut self, number: usize, step: &Step, expected: &Expected) {
        let before = self.faults.len();
        let mut wrong = self.gestures(expected);
        wrong.extend(self.values());
        wrong.extend(self.setups());
        let marks = self.sides.desk.marks();
        if expected.is_marked && marks == 0 && !self.is_marked_by_another() {
            wrong.push("mark: the project is not marked as changed".to_owned());
        }
        if self.sides.differences > 0 {
            let Sides { differences, first, .. } = self.sides;
            wrong.push(format!(
                "sound: {differences} samples are not those without a window, first {first:?}"
            ));
            self.sides.meet();
            self.rest();
            (self.sides.differences, self.sides.first) = (0, None);
        }
        let fault = |what| Fault { number, step: step.clone(), what };
        self.faults.extend(wrong.into_iter().map(fault));
        if self.faults.len() > before {
            self.agree();
        }
    }

    /// Goes on from what there is.
    fn agree(&mut self) {
        let names: Vec<String> = self.oracle.state.keys().cloned().collect();
        for name in names {
            let value = self.sides.desk.value(&name);
            self.oracle.state.insert(name, value);
        }
        let circuit = self.circuit();
        let known = Preset::all().into_iter().find(|one| circuit.contains(&format!("\"{}\"", one.name)));
        if let (Some(mut preset), Ok(setups)) = (known, names_of(&circuit)) {
            preset.setups = setups;
            self.oracle.preset = preset;
        }
        self.lay_out();
    }

    /// Told by a value of a parameter that no host automates.
    fn is_marked_by_another(&self) -> bool {
        self.sides.told.iter().any(|one| matches!(one, Told::Value(name, _) if !self.automatable[name]))
    }

    fn gestures(&mut self, expected: &Expected) -> Vec<String> {
        let mut by_name: BTreeMap<&str, Vec<&Told>> = BTreeMap::new();
        for one in &self.sides.told {
            let (Told::Begin(name) | Told::Value(name, _) | Told::End(name)) = one;
            if self.automatable[name] {
                by_name.entry(name).or_default().push(one);
            }
        }
        let mut wrong = Vec::new();
        for (name, told) in &by_name {
            if let Err(what) = gesture(told, expected.gestures.get(*name)) {
                wrong.push(format!("gestures: {name}: {what}"));
            }
        }
        for name in expected.gestures.keys().filter(|name| !by_name.contains_key(name.as_str())) {
            wrong.push(format!("gestures: {name}: none, {:?} was expected", expected.gestures[name]));
        }
        let last = by_name.get(TRIM).and_then(|told| told.iter().rev().find_map(|one| value(one)));
        if let (Some(Gesture::Way { .. }), Some(last)) = (expected.gestures.get(TRIM), last) {
            self.oracle.dragged_to(last);
        }
        wrong
    }

    fn values(&mut self) -> Vec<String> {
        let (desk, state) = (&mut self.sides.desk, &self.oracle.state);
        let wrong = state.iter().filter_map(|(name, expected)| {
            let value = desk.value(name);
            let differs = (value - expected).abs() > SAME;
            let [is, should] = [value, *expected].map(|one| desk.text(name, one));
            differs.then(|| format!("values: {name} is {is}, not {should}"))
        });
        wrong.collect()
    }

    fn circuit(&mut self) -> String {
        let state: Value = self.sides.desk.save();
        serde_json::from_str(state["fields"]["circuit"].as_str().expect("a circuit")).unwrap()
    }

    fn setups(&mut self) -> Option<String> {
        let is = names_of(&self.circuit());
        let should = &self.oracle.preset.setups;
        (is.as_ref() != Ok(should)).then(|| format!("setups: they are {is:?}, not {should:?}"))
    }
}

fn names_of(circuit: &str) -> Result<[String; SETUPS], String> {
    let preset = dsp_core::preset::Preset::from_toml(circuit).map_err(|error| error.to_string())?;
    let names: Vec<String> = preset.setups.into_iter().map(|setup| setup.name).collect();
    names.try_into().map_err(|names| format!("{names:?}"))
}

const fn value(one: &Told) -> Option<f64> {
    if let Told::Value(_, value) = one { Some(*value) } else { None }
}

/// Begun once, ended once, and between them what was expected.
fn gesture(told: &[&Told], expected: Option<&Gesture>) -> Result<(), String> {
    let said = || {
        let words = told.iter().map(|one| match one {
            Told::Begin(_) => "begin".to_owned(),
            Told::Value(_, value) => format!("{value:.4}"),
            Told::End(_) => "end".to_owned(),
        });
        format!("{} events ({})", told.len(), words.collect::<Vec<_>>().join(" "))
    };
    let Some(expected) = expected else { return Err(format!("{}, none was expected", said())) };
    let [Told::Begin(_), values @ .., Told::End(_)] = told else {
        return Err(format!("{} are no gesture", said()));
    };
    let values: Option<Vec<f64>> = values.iter().map(|one| value(one)).collect();
    let is_right = values.is_some_and(|values| match (expected, &values[..]) {
        (Gesture::To(to), [one]) => (one - to).abs() < SAME,
        (Gesture::Way { rises }, [first, .., last]) => {
            let sorted = if *rises { values.is_sorted() } else { values.iter().rev().is_sorted() };
            sorted && first != last
        }
        _ => false,
    });
    if is_right { Ok(()) } else { Err(format!("{}, {expected:?} was expected", said())) }
}
