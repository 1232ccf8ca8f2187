use dsp_core::preset::{instruments, pickup_kinds};

use crate::error::Failure;
use crate::stdout;

/// `firstjack list`.
pub fn run() -> Result<(), Failure> {
    let mut text = "Instruments (--instrument):\n".to_owned();
    for instrument in instruments() {
        let strings: Vec<String> = instrument.strings.iter().map(ToString::to_string).collect();
        text += &format!("  {:12} {:24} {}\n", instrument.id, instrument.name, strings.join(" "));
    }
    text += "\nPickups, where their capacitance usually lies (common practice; measure yours):\n";
    for kind in pickup_kinds() {
        text += &format!("  {:34} {} to {}, start from {}\n", kind.name, kind.from, kind.to, kind.typical);
    }
    stdout::print(&text)
}
