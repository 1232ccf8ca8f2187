//! Values that are read as they are typed.

use dsp_core::units::with_point;

pub fn concert_pitch(text: &str) -> Result<f64, String> {
    let hz = number_of(text, "Hz").filter(|hz| (100.0..=1000.0).contains(hz));
    hz.ok_or_else(|| "accepted are 100 to 1000 Hz".to_owned())
}

pub fn loss_to_accept(text: &str) -> Result<f64, String> {
    let db = number_of(text, "dB").filter(|db| *db > 0.0 && *db <= 60.0);
    db.ok_or_else(|| "accepted are more than 0 and at most 60 dB".to_owned())
}

/// Reads a number that its unit may follow, in any case: `24`, `24 dB`, `1,5 dB`.
pub fn number_of(text: &str, unit: &str) -> Option<f64> {
    let text = text.trim().to_lowercase();
    let number = text.strip_suffix(&unit.to_lowercase()).unwrap_or(&text).trim();
    with_point(number).ok()?.parse().ok()
}

pub fn desk_gain(text: &str) -> Result<f64, String> {
    let db = number_of(text, "dB").filter(|db| (0.1..=40.0).contains(db));
    db.ok_or_else(|| "accepted are 0.1 to 40 dB".to_owned())
}

/// Two numbers, lower and upper, `k` for thousands: `40-400`, `30-16k`.
pub fn range(text: &str) -> Result<(f64, f64), String> {
    let number = |text: &str| -> Option<f64> {
        let text = text.trim();
        match text.strip_suffix(['k', 'K']) {
            Some(thousands) => Some(1000.0 * number_of(thousands, "")?),
            None => number_of(text, ""),
        }
    };
    let pair = text.split_once('-').and_then(|(low, high)| Some((number(low)?, number(high)?)));
    pair.ok_or_else(|| "accepted are two numbers, the lower one first, such as 40-400 or 30-16k".to_owned())
}

pub fn zoom(text: &str) -> Result<f32, String> {
    let factor = with_point(text.trim()).ok().and_then(|text| text.parse().ok());
    let factor = factor.filter(|factor| (0.5..=4.0).contains(factor));
    factor.ok_or_else(|| "accepted are 0.5 to 4".to_owned())
}
