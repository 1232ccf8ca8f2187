//! A CLAP host: values and gestures are events of blocks.

use clack_extensions::params::ParamInfoFlags;
use serde_json::Value;

use crate::desk::{BLOCK, Desk, RATE_HZ, Values};
use crate::host::{Change, Host, Parameter, Sound, Told, packed};

pub struct Clap(Host);

impl Clap {
    fn parameter(&self, name: &str) -> Parameter {
        self.0.parameters().into_iter().find(|one| one.name == name).expect("a parameter of that name")
    }

    fn normalized(&self, name: &str, plain: f64) -> f64 {
        let Parameter { min, max, .. } = self.parameter(name);
        (plain - min) / (max - min)
    }

    fn plain(&self, name: &str, normalized: f64) -> f64 {
        let Parameter { min, max, .. } = self.parameter(name);
        min + (max - min) * normalized
    }
}

impl Desk for Clap {
    const FORMAT: &'static str = "CLAP";
    const GIVES_BACK: bool = false;

    fn new() -> Self {
        Self(Host::running(RATE_HZ, &[]))
    }

    fn parameters(&self) -> Vec<(String, bool)> {
        let all = self.0.parameters().into_iter();
        all.map(|one| (one.name, one.flags.contains(ParamInfoFlags::IS_AUTOMATABLE))).collect()
    }

    fn value(&mut self, name: &str) -> f64 {
        let plain = self.0.value(name);
        self.normalized(name, plain)
    }

    fn read(&mut self, name: &str, text: &str) -> f64 {
        let plain = self.0.read(name, text).unwrap_or_else(|| panic!("'{text}' was refused for '{name}'"));
        self.normalized(name, plain)
    }

    fn text(&mut self, name: &str, value: f64) -> String {
        let plain = self.plain(name, value);
        self.0.text_of(name, plain)
    }

    fn open(&mut self, window: u32) -> (u16, u16) {
        let size = self.0.open_editor(window);
        [size.width, size.height].map(|side| u16::try_from(side).unwrap()).into()
    }

    fn close(&mut self) {
        self.0.close_editor();
    }

    fn turn(&mut self) {
        self.0.idle();
    }

    fn run(&mut self, input: &Sound, values: &Values) -> Sound {
        let changes: Vec<Change> =
            values.iter().map(|(name, value)| Change::new(0, name, self.plain(name, *value))).collect();
        self.0.run_with(input, [BLOCK], &changes)
    }

    fn reset(&mut self) {
        self.0.reset();
    }

    fn told(&mut self) -> Vec<Told> {
        let told = self.0.take_told().into_iter();
        told.map(|one| match one {
            Told::Value(name, plain) => {
                let value = self.normalized(&name, plain);
                Told::Value(name, value)
            }
            gesture => gesture,
        })
        .collect()
    }

    fn marks(&mut self) -> usize {
        self.0.was_marked()
    }

    fn save(&mut self) -> Value {
        // The length comes first.
        serde_json::from_slice(&self.0.save()[8..]).unwrap()
    }

    fn load(&mut self, state: &Value) {
        assert!(self.0.load(&packed(&state.to_string())));
    }
}
