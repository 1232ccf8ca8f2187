//! The state's `circuit` field: a preset's text, made into a circuit where states are loaded.
//!
//! In CLAP and in VST3 that is a thread of the host's, while sound may run; the framework does not lock the plugin for it. (A
//! state that is set through the framework's editor context while sound runs is loaded on the audio thread, in a section that may
//! allocate. The editor does not: it puts its text and circuit in here, on its own thread.)

use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Mutex, MutexGuard, PoisonError};

use nice_plug::params::persist::PersistentField;
use nice_plug::prelude::*;

use crate::host::preset;
use crate::sound::circuit::Circuit;
use crate::sound::exchange::Exchange;

pub(crate) struct CircuitField {
    /// Only for threads that may wait; the audio thread never comes here.
    source: Mutex<Source>,
    /// To the audio thread. What sounds alike, such as a setup by another name, is not handed over again.
    pub exchange: Exchange<Circuit>,
    /// How often anything has been put in or loaded.
    version: AtomicU64,
    /// How often a state has been loaded.
    loads: AtomicU64,
}

struct Source {
    text: String,
    circuit: Circuit,
    /// Why the text could not be made into a circuit.
    problem: Option<String>,
}

impl CircuitField {
    pub fn new(text: &str, circuit: Circuit) -> Self {
        let source = Source { text: text.to_owned(), circuit: circuit.clone(), problem: None };
        Self {
            source: Mutex::new(source),
            exchange: Exchange::new(circuit),
            version: AtomicU64::new(0),
            loads: AtomicU64::new(0),
        }
    }

    /// Why the text of the last state could not be read, if so. Then the circuit is plain, and the text is kept.
    pub fn problem(&self) -> Option<String> {
        self.lock().problem.clone()
    }

    /// Puts in a text that has been made into a circuit already.
    #[cfg(feature = "editor")]
    pub fn put(&self, text: String, circuit: Circuit) {
        self.hand_over(&mut self.lock(), Source { text, circuit, problem: None });
    }

    fn hand_over(&self, now: &mut Source, source: Source) {
        if now.circuit != source.circuit {
            self.exchange.put(source.circuit.clone());
        }
        *now = source;
        self.version.fetch_add(1, Ordering::Release);
    }

    /// Whether it is what is heard already: then putting it in changes no sound.
    #[cfg(feature = "editor")]
    pub fn is_heard(&self, circuit: &Circuit) -> bool {
        self.lock().circuit == *circuit
    }

    /// Another number whenever anything has been put in or loaded.
    #[cfg(feature = "editor")]
    pub fn version(&self) -> u64 {
        self.version.load(Ordering::Acquire)
    }

    /// How often a state has been loaded, by whomever but an editor.
    #[cfg(feature = "editor")]
    pub fn loads(&self) -> u64 {
        self.loads.load(Ordering::Acquire)
    }

    /// The text, and its version.
    #[cfg(feature = "editor")]
    pub fn text(&self) -> (String, u64) {
        let source = self.lock();
        (source.text.clone(), self.version())
    }

    fn lock(&self) -> MutexGuard<'_, Source> {
        self.source.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl PersistentField<'_, String> for CircuitField {
    fn set(&self, text: String) {
        // One loader at a time, so that the text is that of the circuit that is heard.
        let mut source = self.lock();
        let read = if text.is_empty() {
            Ok(Circuit::plain())
        } else {
            preset::read(&text).map(|(circuit, _)| circuit)
        };
        let problem = read.as_ref().err().map(ToString::to_string);
        if let Some(problem) = &problem {
            nice_error!("The circuit of this state is left out, since it cannot be read: {problem}");
        }
        let circuit = read.unwrap_or_else(|_| Circuit::plain());
        self.hand_over(&mut source, Source { text, circuit, problem });
        self.loads.fetch_add(1, Ordering::Release);
    }

    fn map<F, R>(&self, f: F) -> R
    where
        F: Fn(&String) -> R,
    {
        f(&self.lock().text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::host::params::FirstjackParams;

    fn load(params: &FirstjackParams, text: &str) {
        params.deserialize_fields(&[("circuit".to_owned(), serde_json::to_string(text).unwrap())].into());
    }

    /// For the editor to show.
    #[test]
    fn a_problem_is_told_until_the_next_state() {
        let params = FirstjackParams::default();
        assert_eq!(params.circuit_problem(), None);
        let later =
            preset::COURTYARD.replace("version = 1", "version = 6").replace("version = 2", "version = 6");
        load(&params, &later);
        let problem = params.circuit_problem().unwrap();
        assert!(problem.starts_with("line 2: version = 6 is not known"), "{problem}");
        load(&params, "");
        assert_eq!(params.circuit_problem(), None);
        let combo = "chain = [{ box = \"combo\", input = \"470k\" }]";
        load(&params, &preset::COURTYARD.replace(combo, "load = \"50 H\""));
        let problem = params.circuit_problem().unwrap();
        assert!(problem.contains("an inductance of 50 H resonates at 863.1 Hz without loss"), "{problem}");
        load(&params, "");
        load(&params, &preset::COURTYARD.replace("680 pF", "68 pF"));
        let problem = params.circuit_problem().unwrap();
        assert_eq!(problem, "pickup: the capacitance is 68 pF: accepted is 100 pF to 100 nF");
        load(&params, preset::COURTYARD);
        assert_eq!(params.circuit_problem(), None);
    }

    /// It would make the sound anew, for nothing.
    #[test]
    fn another_name_is_not_handed_over() {
        let params = FirstjackParams::default();
        let (field, mut mine) = (&params.circuit, None);
        assert!(field.exchange.take(&mut mine));
        let before = field.version();
        load(&params, &preset::COURTYARD.replace("name = \"combo\"", "name = \"amp\""));
        assert!(!field.exchange.take(&mut mine));
        // Nor are values that parameters hold.
        load(&params, &preset::COURTYARD.replace("470k", "220k").replace("680", "470"));
        load(&params, &preset::COURTYARD.replace("name = \"combo\"", "name = \"amp\""));
        assert!(!field.exchange.take(&mut mine));
        let circuit = |text: &str| preset::read(text).unwrap().0;
        assert!(field.is_heard(&circuit(preset::COURTYARD)));
        assert!(!field.is_heard(&circuit(include_str!("../../../presets/blend.toml"))));
        assert_ne!(field.version(), before);
        assert!(field.text().0.contains("\"amp\""));
        load(&params, include_str!("../../../presets/blend.toml"));
        assert!(field.exchange.take(&mut mine));
    }

    #[test]
    fn what_is_loaded_is_handed_over() {
        let params = FirstjackParams::default();
        let mut mine = None;
        assert!(params.circuit.exchange.take(&mut mine));
        load(&params, "no preset");
        let blend = include_str!("../../../presets/blend.toml");
        load(&params, blend);
        assert!(params.circuit.exchange.take(&mut mine));
        assert_eq!(mine.as_ref().unwrap().value, preset::read(blend).unwrap().0);
        load(&params, "no preset");
        assert!(params.circuit.exchange.take(&mut mine));
        assert_eq!(mine.unwrap().value, Circuit::plain());
    }
}
