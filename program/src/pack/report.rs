use std::fmt;

use anstyle::Style;
use dsp_core::processor::GuardCause;
use firstjack_words::Words;
use serde::Serialize;

use super::compose::{Composed, Composer};
use super::pairs::{Asked, Why};
use super::plan::Sound;
use super::size::Budget;
use super::sound::{BandError, Codec, DecodedError};
use crate::arguments::PackArguments;
use crate::format::Kind;
use crate::name::Name;

/// From here on it is said that the system should be turned down, in dB of boost.
const LOUD_DB: f64 = 6.0;

/// Pages beyond this are said to be heavy for phones, in bytes: 24 MiB.
const HEAVY_BYTES: u64 = 24 * 1024 * 1024;

/// What was done, in words and figures.
#[derive(Serialize)]
pub struct Report {
    page: Name,
    note: Option<Name>,
    /// The sheet for re-amping.
    reamp: Option<Name>,
    /// What answers name the page by.
    pack: String,
    bytes: u64,
    codec: &'static str,
    /// Of each sound, where the codec has a rate.
    kbps: Option<u32>,
    rate_hz: u32,
    frames: u64,
    seconds: f64,
    channels: u16,
    take_channels: u16,
    /// Everything was lowered by this much so that nothing clips.
    lowered_db: f64,
    take_lufs: Option<f64>,
    /// Whether the take's header promised more.
    truncated: bool,
    /// Samples that were not finite and were passed over.
    salvaged_samples: u64,
    sounds: Vec<SoundReport>,
    /// What listeners are asked to tell apart; empty where they choose.
    abx: Vec<AskedReport>,
    #[serde(skip)]
    lowest_hz: f64,
    #[serde(skip)]
    most_bytes: f64,
    #[serde(skip)]
    loud: bool,
    #[serde(skip)]
    model: &'static str,
}

#[derive(Serialize)]
struct SoundReport {
    key: String,
    name: Name,
    kind: Kind,
    verdict: String,
    loss_db: f64,
    /// Before the match.
    lufs: Option<f64>,
    /// Gain that matched its loudness to the take's, if it was matched.
    matching_db: Option<f64>,
    bytes: u64,
    #[serde(flatten)]
    error: DecodedError,
    clipped_samples: u64,
    guard_closed: u64,
    /// Why the last time.
    guard_cause: Option<GuardCause>,
}

/// Two sounds by their names.
#[derive(Serialize)]
struct AskedReport {
    sounds: [Name; 2],
    why: Why,
}

impl Report {
    pub fn new(
        made: &Composer,
        composed: &Composed,
        arguments: &PackArguments,
        bytes: u64,
        budget: &Budget,
    ) -> Self {
        let Composer { plan, stage, levels, encoded, codec, .. } = *made;
        let sound = |(index, sound): (usize, &Sound)| SoundReport {
            key: composed.keys.keys[index].clone(),
            name: sound.name.clone(),
            kind: sound.kind,
            verdict: sound.verdict.clone(),
            loss_db: sound.loss_db,
            lufs: levels.each[index].lufs,
            matching_db: levels.each[index].matching_db(),
            bytes: encoded[index].bytes,
            error: encoded[index].error.clone(),
            clipped_samples: encoded[index].clipped,
            guard_closed: levels.each[index].guard.closures,
            guard_cause: levels.each[index].guard.cause,
        };
        let asked = |asked: &Asked| AskedReport {
            sounds: asked.sounds.map(|index| plan.sounds[index].name.clone()),
            why: asked.why,
        };
        Self {
            page: Name::of(&arguments.output),
            note: arguments.note.as_deref().map(Name::of),
            reamp: super::reamp(arguments).map(|(_, sheet)| Name::of(sheet)),
            pack: composed.pack.clone(),
            bytes,
            codec: codec.name(),
            kbps: if let Codec::Opus(bits) = codec { Some(bits / 1000) } else { None },
            rate_hz: made.rate_hz(),
            frames: made.frames(),
            seconds: stage.seconds(),
            channels: stage.channels(),
            take_channels: stage.take.format().channels,
            lowered_db: 20.0 * levels.lowered.log10(),
            take_lufs: levels.each[0].lufs,
            truncated: stage.take.is_truncated(),
            salvaged_samples: stage.take.salvaged(),
            sounds: plan.sounds.iter().enumerate().map(sound).collect(),
            abx: plan.asked.iter().map(asked).collect(),
            lowest_hz: plan.recorded.strings.lowest_hz(),
            most_bytes: budget.page_bytes(),
            loud: plan.sounds.iter().any(|sound| sound.recipe.boost_db() > LOUD_DB),
            model: Words::ENGLISH.measure(&plan.recorded.pickups),
        }
    }

    /// # Panics
    /// Never: numbers, texts and lists of them.
    pub fn json(&self) -> String {
        crate::stdout::json(self)
    }

    fn about_sound(&self) -> String {
        let (count, seconds) = (self.sounds.len(), self.seconds);
        let how = match self.kbps {
            Some(kbps) => format!("Opus at {kbps} kb/s each"),
            None => format!("FLAC, 24 bits, {} Hz", self.rate_hz),
        };
        format!("{}, {count} sounds of {seconds:.1} s, {how}", spoken_bytes(self.bytes))
    }

    /// What decoding gives back, at worst.
    fn about_error(&self) -> String {
        let worst = |of: &dyn Fn(&DecodedError) -> Option<BandError>| {
            let bands = self.sounds.iter().filter_map(|sound| Some((of(&sound.error)?, &sound.name)));
            bands.max_by(|a, b| a.0.error_db.abs().total_cmp(&b.0.error_db.abs()))
        };
        let Some((band, name)) = worst(&|error| error.worst_from(self.lowest_hz)) else {
            return "All is silence.".to_owned();
        };
        let mut text = format!(
            "Decoded again, within {:.1} dB in every third-octave band from the lowest string up",
            band.within_db()
        );
        if band.within_db() > 0.1 {
            text += &format!(" (at worst {name} at {})", Words::ENGLISH.hz(band.midband_hz));
        }
        if let Some((band, _)) = worst(&|error| error.worst_below(self.lowest_hz)) {
            text += &format!(", within {:.1} dB below it", band.within_db());
        }
        let least = self.sounds.iter().filter_map(|sound| sound.error.signal_to_error_db).reduce(f64::min);
        if let Some(least) = least {
            text += &format!("; the error lies at least {} below the sound", Words::ENGLISH.db(least));
        }
        text + "."
    }

    fn about_level(&self) -> String {
        match self.take_lufs {
            Some(lufs) => format!("Level-matched to the take, {lufs:.1} LUFS (ITU-R BS.1770)."),
            None => "Not level-matched: the take is silent.".to_owned(),
        }
    }
}

impl fmt::Display for Report {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let bold = Style::new().bold();
        for sound in &self.sounds {
            writeln!(f, "{bold}{}{bold:#}", sound.verdict)?;
            sound.fmt(f)?;
            if self.take_lufs.is_some() && sound.matching_db.is_none() {
                writeln!(f, "  not matched: it is silent")?;
            }
        }
        writeln!(f, "{}: {}", self.page, self.about_sound())?;
        if let Some(note) = &self.note {
            writeln!(f, "{note}: the crew note")?;
        }
        if let Some(reamp) = &self.reamp {
            writeln!(f, "{reamp}: the sheet for re-amping")?;
        }
        match self.abx.len() {
            0 => {}
            1 => writeln!(f, "ABX asks every listener about one pair:")?,
            _ => writeln!(f, "ABX asks every listener about the same pairs:")?,
        }
        for AskedReport { sounds: [a, b], why } in &self.abx {
            writeln!(f, "  {a} and {b}, {}", why.told())?;
        }
        writeln!(f, "{}", self.about_error())?;
        writeln!(f, "{}", self.about_level())?;
        self.fmt_unusual(f)?;
        writeln!(f, "{}", self.model)
    }
}

impl Report {
    /// What is told only where it is so.
    #[expect(clippy::cast_precision_loss, reason = "bytes of a file")]
    fn fmt_unusual(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.lowered_db < 0.0 {
            writeln!(f, "All lowered by {} so that nothing clips.", Words::ENGLISH.db(self.lowered_db))?;
        }
        if self.take_channels > self.channels && self.channels == 2 {
            writeln!(f, "The take has {} channels: the first two are heard.", self.take_channels)?;
        }
        if self.truncated {
            writeln!(f, "The take is truncated: what is there of it was packed.")?;
        }
        if self.salvaged_samples > 0 {
            let count = self.salvaged_samples;
            writeln!(f, "{count} samples of the take were not numbers and were passed over.")?;
        }
        if self.bytes as f64 > self.most_bytes {
            let most = self.most_bytes / (1024.0 * 1024.0);
            writeln!(f, "That is more than the {most:.0} MiB that a page of this length should have.")?;
        }
        if self.bytes > HEAVY_BYTES {
            writeln!(f, "Phones may not open a page so large: --length 30 packs half a minute.")?;
        }
        if self.loud {
            let what = "tens of dB of low-frequency boost can hurt hearing and loudspeakers";
            writeln!(f, "Turn the system down before auditioning an undo: {what}.")?;
        }
        Ok(())
    }
}

impl fmt::Display for SoundReport {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "  {}", self.name)?;
        if let Some(db) = self.matching_db {
            // Without the sign that rounding leaves on a zero.
            write!(f, ", matched by {:+.1} dB", (db * 10.0).round() / 10.0 + 0.0)?;
        }
        writeln!(f)?;
        if self.clipped_samples > 0 {
            writeln!(f, "  {} samples clipped", self.clipped_samples)?;
        }
        if let Some(guard) = Words::ENGLISH.guard(self.guard_closed, self.guard_cause, None) {
            writeln!(f, "  {guard}")?;
        }
        Ok(())
    }
}

#[expect(clippy::cast_precision_loss, reason = "bytes of a file")]
fn spoken_bytes(bytes: u64) -> String {
    format!("{:.1} MiB", bytes as f64 / (1024.0 * 1024.0))
}
