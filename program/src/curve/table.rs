//! The responses as numbers, for other programs: CSV as RFC 4180 has it, one row for each setup, pickup and frequency.

use std::borrow::Cow;
use std::fmt::Write;

use dsp_core::circuit::Pickups;

use super::responses::Responses;
use crate::source::NamedChain;

/// From 1 Hz to 100 kHz.
const DECADES: u32 = 5;
const POINTS_PER_DECADE: u32 = 100;

/// The whole file. Numbers have 17 significant digits, which read back to the same bits. Of a blend there are rows of each
/// pickup with the other one silent, and of `both` with the same open-circuit voltage in each.
pub fn csv(pickups: &Pickups, setups: &[NamedChain]) -> String {
    let mut text = "setup,pickup,hz,re,im,db\n".to_owned();
    for setup in setups {
        let responses = Responses::new(pickups, setup);
        for (pickup, index) in responses.parts() {
            for step in 0..=DECADES * POINTS_PER_DECADE {
                let hz = 10f64.powf(f64::from(step) / f64::from(POINTS_PER_DECADE));
                let (re, im, db) = responses.at(index, hz);
                let row =
                    writeln!(text, "{},{pickup},{hz:.16e},{re:.16e},{im:.16e},{db:.16e}", field(&setup.name));
                row.expect("text has room");
            }
        }
    }
    text
}

/// In quotes where it holds what would end it, with its own quotes doubled (RFC 4180, section 2).
fn field(text: &str) -> Cow<'_, str> {
    if text.contains([',', '"', '\n', '\r']) {
        return format!("\"{}\"", text.replace('"', "\"\"")).into();
    }
    text.into()
}
