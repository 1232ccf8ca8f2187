//! Two instances in the same sound, of which one has a window: both get the same values at the same times.

use serde_json::{Value, json};

use crate::desk::{BLOCK, Desk, Values};
use crate::host::{Noise, Sound, Told};

/// What the host moves with every block, from where and how far; no preset's value lies within.
const AUTOMATED: [(&str, f64, f64); 3] =
    [("Setup 3 load resistance", 0.30, 0.1), ("Output", 0.45, 0.1), ("Pickup capacitance", 0.55, 0.1)];
/// How much of its way automation goes in a block: the golden ratio, so that no value comes twice, of a ramp of 62 blocks.
const RAMP: f64 = 0.016_180_339_887;
/// Below what the level match learns from (-70 LUFS, ITU-R BS.1770), so that it makes no difference which of two learned first.
const QUIET: f32 = 2e-4;

/// Both instances, in the same sound.
pub struct Sides<D> {
    pub desk: D,
    /// Without a window; it gets the same values at the same times.
    pub twin: D,
    noise: Noise,
    blocks: u32,
    /// What has been told in this step.
    pub told: Vec<Told>,
    /// How much of it the twin has.
    pub given: usize,
    /// The circuit that values which are on their way bring along.
    pub circuit: Option<String>,
    /// Where automation is.
    pub automation: Values,
    /// Samples that differ, and the first two.
    pub differences: usize,
    pub first: Option<(f32, f32)>,
}

impl<D: Desk> Sides<D> {
    pub fn new() -> Self {
        Self {
            desk: D::new(),
            twin: D::new(),
            noise: Noise::new(1),
            blocks: 0,
            told: Vec::new(),
            given: 0,
            circuit: None,
            automation: Vec::new(),
            differences: 0,
            first: None,
        }
    }

    /// A step begins, which may change the circuit.
    pub fn begin(&mut self, circuit: Option<String>) {
        (self.told, self.given, self.circuit) = (Vec::new(), 0, circuit);
        self.desk.marks();
    }

    /// One turn of the host: its loop, and a block in which the host moves what it automates, and whatever it sets besides.
    pub fn round(&mut self, set: Option<(&str, f64)>) {
        self.desk.turn();
        self.told.extend(self.desk.told());
        let fresh = self.told[self.given..].iter().filter_map(|one| match one {
            Told::Value(name, value) => Some((name.clone(), *value)),
            _ => None,
        });
        let fresh: Values = fresh.collect();
        self.given = self.told.len();
        if let Some(circuit) = self.circuit.take_if(|_| !fresh.is_empty()) {
            let state = with_circuit(self.desk.save(), &circuit);
            self.twin.load(&state);
        }
        self.blocks += 1;
        // A ramp that never comes back to a value.
        let turn = (f64::from(self.blocks) * RAMP).fract();
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
    pub fn meet(&mut self) {
        let state = self.desk.save();
        for side in [&mut self.desk, &mut self.twin] {
            side.load(&state);
            side.reset();
        }
        (self.differences, self.first) = (0, None);
    }
}

/// A state with another circuit.
pub fn with_circuit(mut state: Value, circuit: &str) -> Value {
    state["fields"]["circuit"] = json!(json!(circuit).to_string());
    state
}

/// The circuit of a state.
pub fn circuit_of(state: &Value) -> String {
    serde_json::from_str(state["fields"]["circuit"].as_str().expect("a circuit")).unwrap()
}
