//! One way through the plan in one host: what is done, what came of it, and what ought to have come.

use std::collections::BTreeMap;

use crate::desk::{BLOCK, Desk};
use crate::display::{Display, until};
use crate::hand::Hand;
use crate::oracle::{BYPASS, Expected, Gesture, HEARD, Oracle, State, TRIM};
use crate::places::Places;
use crate::preset::{Preset, SETUPS};
use crate::sides::{Sides, with_circuit};
use crate::step::Step;

/// The instance with the window, the same without one, and what is thought of them.
pub struct Walk<'a, D: Desk> {
    display: &'a Display,
    window: u32,
    hand: Hand<'a>,
    pub sides: Sides<D>,
    pub oracle: Oracle,
    places: Places,
    size: (u16, u16),
    /// What went wrong, in the order of steps.
    pub faults: Vec<Fault>,
    pub automatable: BTreeMap<String, bool>,
}

/// What went wrong in a step.
pub struct Fault {
    pub number: usize,
    pub step: Step,
    pub what: String,
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
        self.hand.click(self.places.nowhere());
        self.hand.settle(&mut || self.sides.round(None));
        self.rest();
    }

    pub fn lay_out(&mut self) {
        let twin = &mut self.sides.twin;
        self.places = Places::new(&self.oracle, &mut |name, value| twin.text(name, value), self.size);
    }

    /// A few blocks, in which all that has been turned arrives.
    pub fn rest(&mut self) {
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
        let before = self.oracle.preset.clone();
        let expected = self.oracle.hand(&step, &mut |name, text| twin.read(name, text));
        self.sides.begin(expected.is_circuit.then(|| self.oracle.preset.text()));
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
            Step::Drag(frames) => self.drag(hand, *frames, expected),
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
        // Values and circuit come at once: no block is between, so that the twin's can come at once, too.
        let sides = &mut self.sides;
        let mut meanwhile = || {
            if !expected.is_circuit {
                sides.round(None);
            }
        };
        if matches!(step, Step::HandLoad(_)) {
            // Its field closes.
            hand.redrawn(&mut meanwhile);
        }
        hand.settle(&mut meanwhile);
        if matches!(step, Step::Rename(..) | Step::HandLoad(_)) {
            self.lay_out();
        }
    }

    fn drag(&mut self, hand: Hand, frames: i16, expected: &Expected) {
        let rises = expected.gestures.get(TRIM) == Some(&Gesture::Way { rises: true });
        hand.drag(self.places.trim(), rises, frames, &mut || self.sides.round(None));
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
        let state = with_circuit(bench.save(), &preset.text());
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
