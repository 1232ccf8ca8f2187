use dsp_core::preset::{CoilKind, Instrument, PickupKind};

use crate::error::Failure;
use crate::stdout;

/// What the options of a coil take (common practice, no source; the ranges of `MagneticPickup`).
const COILS: &str = "
Magnetic pickups, what is usual (common practice; measure yours):
  --coil               2 to 8 H
  --coil-resistance    5 to 15 kΩ
  --winding            50 to 200 pF
  --coil-loss          100 kΩ to 1 MΩ

Kinds (--coil WORD), where to start from, in this order; pots for --volume and --tone:
";

/// `firstjack list`.
pub fn run() -> Result<(), Failure> {
    let mut text = "Instruments (--instrument):\n".to_owned();
    for instrument in Instrument::all() {
        let strings: Vec<String> = instrument.strings.iter().map(ToString::to_string).collect();
        text += &format!("  {:12} {:24} {}\n", instrument.id, instrument.name, strings.join(" "));
    }
    text +=
        "\nPickups, where their capacitance usually lies (--pickup WORD; common practice, measure yours):\n";
    for kind in PickupKind::all() {
        let values = format!("{} to {}, start from {}", kind.from, kind.to, kind.typical);
        text += &format!("  {:8} {:34} {values}\n", kind.word, kind.name);
    }
    text += COILS;
    for kind in CoilKind::all() {
        let values = format!("{}, {}, {}, {}", kind.inductance, kind.resistance, kind.winding, kind.loss);
        text += &format!("  {:8} {:34} {values}; {}\n", kind.word, kind.name, kind.pots);
    }
    stdout::print(&text)
}
