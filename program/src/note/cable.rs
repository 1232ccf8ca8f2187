//! How long the cable from the pickup may be.

use dsp_core::circuit::{Chain, Pickups};
use dsp_core::response::CableRun;
use dsp_core::units::Length;

use firstjack_words::Words;

/// Lengths beyond this do not matter on any stage, in metres.
const LONGEST_METRES: f64 = 100.0;

/// What a cable costs: level of a capacitive pickup, the top of a magnetic one.
pub fn limits(pickups: &Pickups, chain: &Chain, words: &Words) -> String {
    let run = CableRun::new(pickups, chain);
    let said = |length: Option<Length>| {
        let usual = length.filter(|length| length.metres() <= LONGEST_METRES)?;
        Some(words.figure(format!("{usual:.2}")))
    };
    let per_metre = words.figure(format!("{:.3}", run.per_metre()));
    let text = match run.coil() {
        Some(_) => top(&run, said, &per_metre, words),
        None => level(&run, said, &per_metre, words),
    };
    let limits = text.unwrap_or_else(|| words.get("note.cable_no_matter").to_owned());
    match run.coil().filter(|_| pickups.count() > 1) {
        Some(coil) => {
            let pickup = words.pickup_short(pickups.pickup(coil));
            words.say("note.cable_of", &[("pickup", &pickup), ("limits", &limits)])
        }
        None => limits,
    }
}

fn level(
    run: &CableRun,
    said: impl Fn(Option<Length>) -> Option<String>,
    per_metre: &str,
    words: &Words,
) -> Option<String> {
    let (one, three) = (said(run.for_level(1.0))?, said(run.for_level(3.0))?);
    Some(words.say("note.cable_level", &[("per_metre", per_metre), ("one", &one), ("three", &three)]))
}

/// By a third of an octave, which is heard, and by an octave.
fn top(
    run: &CableRun,
    said: impl Fn(Option<Length>) -> Option<String>,
    per_metre: &str,
    words: &Words,
) -> Option<String> {
    let (third, octave) = (0.5f64.cbrt(), 0.5);
    let bare_hz = run.top_hz()?;
    let values = [
        ("per_metre", per_metre),
        ("bare_hz", &words.hz(bare_hz)),
        ("third", &said(run.for_top(third))?),
        ("third_hz", &words.hz(third * bare_hz)),
        ("octave", &said(run.for_top(octave))?),
        ("octave_hz", &words.hz(octave * bare_hz)),
    ];
    Some(words.say("note.cable_top", &values))
}
