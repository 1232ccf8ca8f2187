use dsp_core::preset::{instruments, pickup_kinds};

use crate::error::Failure;

/// `firstjack list`.
pub fn run() -> Result<(), Failure> {
    println!("Instruments (--instrument):");
    for instrument in instruments() {
        let strings: Vec<String> = instrument.strings.iter().map(ToString::to_string).collect();
        println!("  {:12} {:24} {}", instrument.id, instrument.name, strings.join(" "));
    }
    println!("\nPickups, where their capacitance usually lies (common practice; measure yours):");
    for kind in pickup_kinds() {
        println!("  {:34} {} to {}, start from {}", kind.name, kind.from, kind.to, kind.typical);
    }
    Ok(())
}
