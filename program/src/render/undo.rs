//! How far an undo goes, as it was typed.

use dsp_core::response::Floor;
use dsp_core::units::FullScale;
use firstjack_measure::noise::{Margins, NoiseMeter};

use super::recorded::Version;
use super::take::Take;
use crate::arguments::{UndoArguments, number_of};
use crate::error::Failure;
use crate::passes::time;

/// Parts of the lowest string's frequency at which a change may come down again.
const FLOOR_PARTS: (f64, f64) = (0.1, Floor::MOST_PART);

/// What was asked for.
pub struct UndoPlan {
    /// Whether the take's noise decides about the ceiling.
    pub is_auto: bool,
    pub margins: Margins,
    /// The frames where the take is nothing but noise, if they are known.
    pub named: Option<(u64, u64)>,
    /// What the input that recorded has at full scale.
    pub full_scale: Option<FullScale>,
    /// Where a change that lifts the lows comes down again.
    pub floor: Option<Floor>,
}

impl UndoPlan {
    /// Of a take that is cut to what is rendered already.
    pub fn new(arguments: &UndoArguments, take: &Take, lowest_hz: f64) -> Result<Self, Failure> {
        Ok(Self {
            is_auto: is_auto(arguments),
            margins: Margins { string_db: arguments.string_margin, rumble_db: arguments.rumble_margin },
            named: arguments.noise_from.as_deref().map(|text| stretch(text, take)).transpose()?,
            full_scale: arguments.in_dbu_at_full_scale,
            floor: floor(&arguments.undo_floor, lowest_hz)?,
        })
    }
}

/// Whether the take's noise decides.
pub fn is_auto(arguments: &UndoArguments) -> bool {
    arguments.undo_ceiling.trim().eq_ignore_ascii_case("auto")
}

/// As a part of the lowest string's frequency.
pub fn floor(text: &str, lowest_hz: f64) -> Result<Option<Floor>, Failure> {
    let text = text.trim();
    if text.eq_ignore_ascii_case("off") {
        return Ok(None);
    }
    let (least, most) = FLOOR_PARTS;
    let part = number_of(text, "").filter(|part| (least..=most).contains(part));
    part.map(|part| Some(Floor { hz: part * lowest_hz })).ok_or_else(|| {
        Failure::Usage(format!(
            "--undo-floor: cannot read '{text}': accepted are {least} to {most} of the lowest string's frequency, or off"
        ))
    })
}

/// Refuses a floor under which nothing comes down.
pub fn check_floor<'a>(
    asked: Option<Floor>,
    versions: impl IntoIterator<Item = &'a Version>,
) -> Result<(), Failure> {
    if asked.is_some() && versions.into_iter().all(|version| version.floor.is_none()) {
        return Err(Failure::Usage(
            "--undo-floor: nothing that is asked for lifts the lows, so there is nothing to end: leave it out".to_owned(),
        ));
    }
    Ok(())
}

/// Two times with a dash between, as frames.
fn stretch(text: &str, take: &Take) -> Result<(u64, u64), Failure> {
    const OPTION: &str = "--noise-from";
    let refuse = |problem: String| Failure::Usage(format!("{OPTION}: '{text}' {problem}"));
    let (from, to) = text
        .split_once(['-', '–'])
        .ok_or_else(|| refuse("is no stretch: accepted are two times, such as 0:00-0:02".to_owned()))?;
    let (from, to) = (time(OPTION, from)?, time(OPTION, to)?);
    let least = NoiseMeter::LEAST_SECONDS;
    if to - from < least {
        return Err(refuse(format!("is {:.2} s long: accepted is at least {least} s", (to - from).max(0.0))));
    }
    let rate_hz = f64::from(take.format().rate_hz);
    let frame = |seconds: f64| crate::passes::rounded(seconds * rate_hz);
    if frame(to) > take.frames() {
        let end = crate::passes::seconds(take.frames(), rate_hz);
        return Err(refuse(format!("ends behind what is rendered: accepted is up to {end:.3} s")));
    }
    Ok((frame(from), frame(to)))
}
