use super::{Recipe, Stage};
use crate::error::Failure;
use crate::passes::{self, Levels, Limit};

/// The highest true peak of a page's sounds: room for what an encoder puts on top (-1 dBTP as in EBU R 128).
const HIGHEST_TRUE_PEAK_DB: f64 = -1.0;

/// Plays all sounds once, and finds what brings them to the loudness of the first.
pub fn measure(stage: &mut Stage, recipes: &[&Recipe]) -> Result<Levels, Failure> {
    stage.progress.say("measuring");
    let versions = recipes.iter().map(|recipe| stage.version(recipe)).collect::<Result<_, _>>()?;
    let channels = stage.channels();
    let measured = passes::measure(&mut stage.take, stage.progress, versions, channels)?;
    let reference = measured[0].loudness.clone();
    let limit = Limit { highest: 10f64.powf(HIGHEST_TRUE_PEAK_DB / 20.0), is_take: false };
    let measured: Vec<_> = measured.into_iter().map(|measured| (measured, limit)).collect();
    Ok(Levels::new(&measured, Some(&reference)))
}
