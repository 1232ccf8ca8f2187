//! A rescue for a person's eyes, in a terminal.

use std::fmt::Write;

use anstyle::Style;
use firstjack_equaliser::Band;
use firstjack_words::Words;
use firstjack_words::signed::{boost, signed};

use super::rescued::{Rescue, StringReach};
use super::sentences::{name, settings};
use crate::source::Strings;

/// What is printed of one setup.
pub fn of(rescue: &Rescue, strings: &Strings, words: &Words) -> String {
    let bold = Style::new().bold();
    let mut lines = format!("{bold}{}: {}{bold:#}\n", rescue.name, rescue.verdict(words));
    lines.extend(rescue.instead(words).map(|sentence| format!("{sentence}\n")));
    if !rescue.is_needless() {
        let bands = rescue.equaliser.bands().iter().enumerate();
        let bands: Vec<String> = bands.map(|(number, band)| setting(number, band, words)).collect();
        lines += &format!(
            "{}; {} {}\n",
            bands.join("; "),
            words.get("rescue.level"),
            boost(words, rescue.level_db)
        );
    }
    lines.extend(rescue.sentences(words).iter().map(|sentence| format!("{sentence}\n")));
    let width = strings.instrument_name.chars().count() + 7;
    let _ = writeln!(lines, "\n  {} string       Hz   needed   given    left", strings.instrument_name);
    for StringReach { pitch, reach } in &rescue.strings {
        let [needed, given, left] =
            [reach.needed_db, reach.given_db, reach.left_db].map(|db| signed(words, db, 1));
        let _ = writeln!(
            lines,
            "  {:>width$} {:8.2} {needed:>8} {given:>7} {left:>7}",
            pitch.to_string(),
            reach.hz
        );
    }
    lines + "\n"
}

/// "low shelf 400 Hz +15.0 dB", "bell 2 8.9 kHz −13.1 dB Q 0.40".
fn setting(number: usize, band: &Band, words: &Words) -> String {
    let [place, gain, q] = settings(band, words);
    let q = if q.is_empty() { q } else { format!("{} {q}", words.get("rescue.q")) };
    let parts = [name(number, band, words), place, gain, q];
    parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" ")
}
