//! Values that are read as they are typed.

use dsp_core::units::with_point;
use firstjack_equaliser::Desk;

pub fn concert_pitch(text: &str) -> Result<f64, String> {
    let hz = number_of(text, "Hz").filter(|hz| (100.0..=1000.0).contains(hz));
    hz.ok_or_else(|| "accepted are 100 to 1000 Hz".to_owned())
}

pub fn loss_to_accept(text: &str) -> Result<f64, String> {
    let db = number_of(text, "dB").filter(|db| *db > 0.0 && *db <= 60.0);
    db.ok_or_else(|| "accepted are more than 0 and at most 60 dB".to_owned())
}

/// What a capacitor may be off, in per cent.
pub fn part_tolerance(text: &str) -> Result<f64, String> {
    let text = text.trim().trim_start_matches(['±', '+', '-']);
    let percent = number_of(text, "%").filter(|percent| (0.0..=50.0).contains(percent));
    percent.ok_or_else(|| "accepted are 0 to 50 %".to_owned())
}

/// Reads a number that its unit may follow, in any case: `24`, `24 dB`, `1,5 dB`.
pub fn number_of(text: &str, unit: &str) -> Option<f64> {
    let text = text.trim().to_lowercase();
    let number = text.strip_suffix(&unit.to_lowercase()).unwrap_or(&text).trim();
    with_point(number).ok()?.parse().ok()
}

/// Above noise.
pub fn margin(text: &str) -> Result<f64, String> {
    decibels(text, (0.0, 60.0))
}

pub fn desk_gain(text: &str) -> Result<f64, String> {
    decibels(text, Desk::GAINS_DB)
}

pub fn desk_boost(text: &str) -> Result<f64, String> {
    decibels(text, Desk::BOOSTS_DB)
}

pub fn desk_gain_step(text: &str) -> Result<f64, String> {
    decibels(text, Desk::GAIN_STEPS_DB)
}

pub fn desk_hz(text: &str) -> Result<(f64, f64), String> {
    range(text, "Hz", Desk::ANY_HZ)
}

pub fn desk_q(text: &str) -> Result<(f64, f64), String> {
    range(text, "", Desk::ANY_Q)
}

fn decibels(text: &str, (low, high): (f64, f64)) -> Result<f64, String> {
    let db = number_of(text, "dB").filter(|db| (low..=high).contains(db));
    db.ok_or_else(|| format!("accepted are {low} to {high} dB"))
}

/// One number, or two, the lower one first, `k` for thousands: `80`, `40-400`, `30-16k`.
fn range(text: &str, unit: &str, (least, most): (f64, f64)) -> Result<(f64, f64), String> {
    let number = |text: &str| thousands(text, unit);
    let typed = match text.split_once(['-', '–']) {
        Some((low, high)) => number(low).zip(number(high)),
        None => number(text).map(|fixed| (fixed, fixed)),
    };
    match typed {
        Some((low, high)) if least <= low && low <= high && high <= most => Ok((low, high)),
        Some((low, high)) if low > high => Err(format!("the lower one comes first: {high}-{low}")),
        _ => Err(format!("accepted are one number or two, the lower one first, from {least} to {most}")),
    }
}

pub fn zoom(text: &str) -> Result<f32, String> {
    let factor = with_point(text.trim()).ok().and_then(|text| text.parse().ok());
    let factor = factor.filter(|factor| (0.5..=4.0).contains(factor));
    factor.ok_or_else(|| "accepted are 0.5 to 4".to_owned())
}

/// Of the test sound: `48000`, `48 kHz`, `44.1k`.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a whole number of that range")]
pub fn sweep_rate(text: &str) -> Result<u32, String> {
    let hz = thousands(text, "Hz").filter(|hz| (44_100.0..=192_000.0).contains(hz) && hz.fract() == 0.0);
    hz.map(|hz| hz as u32).ok_or_else(|| "accepted are 44100 to 192000 Hz, such as 48000 or 44.1k".to_owned())
}

pub fn sweep_level(text: &str) -> Result<f64, String> {
    let text = text.trim().to_lowercase();
    let db =
        number_of(text.strip_suffix("dbfs").unwrap_or(&text), "dB").filter(|db| (-40.0..=-6.0).contains(db));
    db.ok_or_else(|| "accepted are -40 to -6 dBFS".to_owned())
}

/// Of a meter.
pub fn meter_error(text: &str) -> Result<f64, String> {
    let percent = number_of(text.trim().trim_start_matches("+-").trim_start_matches('±'), "%");
    let percent = percent.filter(|percent| (0.0..=50.0).contains(percent));
    percent.ok_or_else(|| "accepted are 0 to 50 %, such as '2 %'".to_owned())
}

/// Of a meter.
pub fn hertz(text: &str) -> Result<f64, String> {
    let hz = thousands(text, "Hz").filter(|hz| (1.0..=1e6).contains(hz));
    hz.ok_or_else(|| "accepted are 1 Hz to 1 MHz, such as 120 or '1 kHz'".to_owned())
}

/// A number that its unit may follow, `k` for thousands: `120`, `1 kHz`, `44.1k`.
fn thousands(text: &str, unit: &str) -> Option<f64> {
    let text = text.trim().to_lowercase();
    let text = text.strip_suffix(&unit.to_lowercase()).unwrap_or(&text).trim();
    match text.strip_suffix('k') {
        Some(thousands) => Some(1000.0 * number_of(thousands, "")?),
        None => number_of(text, ""),
    }
}
