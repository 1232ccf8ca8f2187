//! The responses as numbers, for other programs: CSV as RFC 4180 has it, one row for each setup, pickup and frequency.

use std::borrow::Cow;

use dsp_core::circuit::Pickups;
use dsp_core::response::Range;
use firstjack_words::visible_but;

use super::responses::Responses;
use crate::source::NamedChain;

/// From 1 Hz to 100 kHz.
const DECADES: u32 = 5;
const POINTS_PER_DECADE: u32 = 100;

/// The whole file. Numbers have 17 significant digits, which read back to the same bits. Of a blend there are rows of each
/// pickup with the other one silent, and of `both` with the same open-circuit voltage in each. Where any value carries a tolerance
/// there are two columns more: the lowest and the highest level in dB.
pub fn csv(pickups: &Pickups, setups: &[NamedChain]) -> String {
    let all: Vec<Responses> = setups.iter().map(|setup| Responses::new(pickups, setup)).collect();
    let has_band = all.iter().any(Responses::has_spread);
    let mut text = format!("setup,pickup,hz,re,im,db{}\n", if has_band { ",low_db,high_db" } else { "" });
    for (setup, responses) in setups.iter().zip(&all) {
        for (pickup, index) in responses.parts() {
            for step in 0..=DECADES * POINTS_PER_DECADE {
                let hz = 10f64.powf(f64::from(step) / f64::from(POINTS_PER_DECADE));
                let (re, im, db) = responses.at(index, hz);
                let mut row =
                    format!("{},{pickup},{hz:.16e},{re:.16e},{im:.16e},{db:.16e}", field(setup.name.given()));
                if has_band {
                    let band = responses.band(index, hz).unwrap_or(Range { low: db, high: db });
                    row += &format!(",{:.16e},{:.16e}", band.low, band.high);
                }
                text += &row;
                text.push('\n');
            }
        }
    }
    text
}

/// In quotes where it holds what would end it, with its own quotes doubled (RFC 4180, section 2). Of control characters that has line
/// breaks only: others are escaped.
pub(super) fn field(text: &str) -> Cow<'_, str> {
    let text = visible_but(text, &['\n', '\r']);
    if text.contains([',', '"', '\n', '\r']) {
        return format!("\"{}\"", text.replace('"', "\"\"")).into();
    }
    text
}
