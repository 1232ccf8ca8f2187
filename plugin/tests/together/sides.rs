//! Two instances in the same sound, of which one has a window: both get the same values at the same times.

use std::cmp::Ordering;

use serde_json::{Value, json};

use crate::desk::{BLOCK, Desk, Values};
use crate::host::{Noise, Sound, Told};

/// What the host moves with every block, from where and how far; no preset's value lies within.
const AUTOMATED: [(&str, f64, f64); 3] =
    [("Setup 3 load resistance", 0.30, 0.1), ("Output", 0.45, 0.1), ("Pickup capacitance", 0.55, 0.1)];
/// How much of its way automation goes in a block: the golden ratio, so that no value comes twice, of a ramp of 62 blocks.
const RAMP: f64 = 0.016_180_339_887;
/// Of the peak.
const SAME: f32 = 1e-6;
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
    /// How much of it the host has handed back.
    pub given: usize,
    /// The circuit that ought to come with the values that the window turns next.
    pub circuit: Option<String>,
    names: Vec<String>,
    /// What the twin holds.
    known: Values,
    /// Blocks that were compared, and those in which the window turned something.
    pub compared: usize,
    pub unclear: usize,
    /// Where automation is.
    pub automation: Values,
    /// Samples that differ, and the first two.
    pub differences: usize,
    pub first: Option<(f32, f32)>,
}

impl<D: Desk> Sides<D> {
    pub fn new() -> Self {
        let desk = D::new();
        Self {
            names: desk.parameters().into_iter().map(|(name, _)| name).collect(),
            known: Values::new(),
            compared: 0,
            unclear: 0,
            desk,
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
        let given_back = self.given_back();
        let before = self.values();
        if before != self.known {
            let state = self.desk.save();
            let circuit = self.circuit.take().unwrap_or_else(|| circuit_of(&state));
            self.twin.load(&with_circuit(state, &circuit));
        }
        self.blocks += 1;
        // A ramp that never comes back to a value.
        let turn = (f64::from(self.blocks) * RAMP).fract();
        self.automation = AUTOMATED.map(|(name, from, by)| (name.to_owned(), from + by * turn)).into();
        let by_host = self.automation.iter().cloned().chain(set.map(|(name, to)| (name.to_owned(), to)));
        let by_host: Values = by_host.collect();
        let mut input = self.noise.sound(2, BLOCK);
        input.iter_mut().flatten().for_each(|sample| *sample *= QUIET);
        let heard = self.desk.run(&input, &given_back.into_iter().chain(by_host.clone()).collect());
        let without = self.twin.run(&input, &by_host);
        self.told.extend(self.desk.told());
        self.known = self.values();
        let by_window = self.known.iter().zip(&before).any(|((name, now), (_, before))| {
            now.to_bits() != before.to_bits() && by_host.iter().all(|(by_host, _)| by_host != name)
        });
        if by_window {
            // Within the block, or just before it: nobody can tell, so both begin anew.
            self.unclear += 1;
            self.meet();
        } else {
            self.compared += 1;
            self.compare(&heard, &without);
        }
    }

    /// What the host hands to the plugin of what it has been told.
    fn given_back(&mut self) -> Values {
        let fresh = self.told[std::mem::replace(&mut self.given, self.told.len())..].iter();
        let values = fresh.filter_map(|one| match one {
            Told::Value(name, value) => Some((name.clone(), *value)),
            _ => None,
        });
        if D::GIVES_BACK { values.collect() } else { Values::new() }
    }

    fn values(&mut self) -> Values {
        let desk = &mut self.desk;
        self.names.iter().map(|name| (name.clone(), desk.value(name))).collect()
    }

    /// To -120 dB of the peak: what a new circuit of the same values makes anew rounds otherwise.
    fn compare(&mut self, heard: &Sound, without: &Sound) {
        let peak = without.iter().flatten().fold(0.0f32, |peak, sample| peak.max(sample.abs()));
        for (a, b) in heard.iter().flatten().zip(without.iter().flatten()) {
            // Whatever is no number differs.
            if (a - b).abs().partial_cmp(&(SAME * peak)).is_none_or(Ordering::is_gt) {
                self.differences += 1;
                self.first.get_or_insert((*a, *b));
            }
        }
    }

    /// Both begin anew, from what the one with the window holds. That one is not loaded: it would forget what can be taken back.
    pub fn meet(&mut self) {
        let state = self.desk.save();
        self.twin.load(&state);
        self.desk.reset();
        self.twin.reset();
        self.known = self.values();
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
