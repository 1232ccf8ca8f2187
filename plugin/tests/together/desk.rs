//! What the hosts of both formats do with one instance: parameters by their names, values normalized.

use serde_json::Value;

use crate::host::{Sound, Told};

pub const RATE_HZ: f64 = 48_000.0;
/// Frames of a block.
pub const BLOCK: usize = 256;

/// Values for parameters, in the order in which they arrive.
pub type Values = Vec<(String, f64)>;

pub trait Desk: Sized {
    const FORMAT: &'static str;
    /// Whether the host hands what the window turns to the plugin, with its next block. Otherwise the plugin has it already when the host
    /// is told.
    const GIVES_BACK: bool;

    /// Running.
    fn new() -> Self;

    /// Names of all parameters, and whether they can be automated.
    fn parameters(&self) -> Vec<(String, bool)>;

    fn value(&mut self, name: &str) -> f64;

    /// What a text means.
    fn read(&mut self, name: &str, text: &str) -> f64;

    fn text(&mut self, name: &str, value: f64) -> String;

    /// Opens the editor in a window of X11; its size.
    fn open(&mut self, window: u32) -> (u16, u16);

    fn close(&mut self);

    /// One turn of the main thread's loop.
    fn turn(&mut self);

    /// One block, with values from its first frame on.
    fn run(&mut self, input: &Sound, values: &Values) -> Sound;

    /// Forgets all sound.
    fn reset(&mut self);

    /// What the plugin has told since the last time.
    fn told(&mut self) -> Vec<Told>;

    /// How often it has marked its state as changed, without a value, since the last time.
    fn marks(&mut self) -> usize;

    fn save(&mut self) -> Value;

    fn load(&mut self, state: &Value);
}
