//! The plugin's sound without a host, and a take's waveform, for the program: what a document says is heard as the plugin would play it.

pub(crate) mod waveform;

use std::sync::Arc;

use dsp_core::processor::ProcessorError;
use dsp_core::response::Ceiling;
use thiserror::Error;

use crate::editor::Document;
use crate::host::preset::{self, CircuitError};
use crate::sound::circuit::Circuit;
use crate::sound::engine::Engine;
use crate::sound::exchange::{Exchange, Numbered};
use crate::sound::snapshot::Snapshot;
use crate::sound::telemetry::{Telemetry, Teller};
use crate::sound::values::Values;
use crate::sound::{SETUPS, shown};

/// Why a document cannot be heard.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum LiveError {
    /// It is beyond what the plugin holds.
    #[error(transparent)]
    Circuit(#[from] CircuitError),
    /// The core does not process so.
    #[error(transparent)]
    Processor(#[from] ProcessorError),
}

/// A document as the engine hears it.
struct Plan {
    circuit: Circuit,
    snapshot: Snapshot,
}

impl Plan {
    fn new(document: &Document) -> Result<Self, CircuitError> {
        let (circuit, values) = preset::part(&document.preset)?;
        Ok(Self { circuit, snapshot: snapshot(document, values) })
    }
}

/// What a document says, with the values of its preset.
fn snapshot(document: &Document, values: Values) -> Snapshot {
    let stored_ceiling = |db| shown::stored(db, shown::CEILING_DB);
    Snapshot {
        heard: document.heard.filter(|index| *index < SETUPS),
        bypass: document.bypass,
        level_match: document.level_match,
        hold: document.hold,
        guard: document.guard,
        trim_db: shown::stored(document.trim_db, shown::LEVEL_DB),
        output_db: shown::stored(document.output_db, shown::LEVEL_DB),
        ceiling_db: document.ceiling.db().map_or(shown::CEILING_DB.1, stored_ceiling),
        of_every_change: matches!(document.ceiling, Ceiling::Db(_)),
        floor_hz: document.floor.map_or(shown::FLOOR_HZ.0, |floor| shown::stored(floor.hz, shown::FLOOR_HZ)),
        values,
    }
}

/// Where documents are handed in, on any one thread but that of the sound.
pub struct LiveDesk(Arc<Exchange<Plan>>);

/// Where sound is made.
pub struct LiveEngine {
    engine: Engine,
    exchange: Arc<Exchange<Plan>>,
    plan: Option<Box<Numbered<Plan>>>,
    teller: Teller,
}

/// Starts with a document, at a rate in Hz, with one or two channels; `telemetry` is told what is heard.
///
/// # Errors
/// If the plugin cannot hold the document, or the core does not process at this rate or with so many channels.
pub fn live(
    rate_hz: f64,
    channels: usize,
    document: &Document,
    telemetry: &Arc<Telemetry>,
) -> Result<(LiveDesk, LiveEngine), LiveError> {
    let plan = Plan::new(document)?;
    let engine = Engine::new(rate_hz, channels, &plan.snapshot, &plan.circuit)?;
    let exchange = Arc::new(Exchange::new(plan));
    let desk = LiveDesk(exchange.clone());
    let teller = telemetry.activate(rate_hz, channels);
    Ok((desk, LiveEngine { engine, exchange, plan: None, teller }))
}

impl LiveDesk {
    /// Lets a document be heard, along the way that the plugin's changes take.
    ///
    /// # Errors
    /// If the plugin cannot hold it; then nothing changes.
    pub fn set(&self, document: &Document) -> Result<(), CircuitError> {
        self.0.put(Plan::new(document)?);
        Ok(())
    }
}

impl LiveEngine {
    /// Says where a player is with the next block, of so many frames: whether it plays, and from which frame of the take. Real-time safe.
    pub fn follow(&mut self, plays: bool, position: usize, frames: usize) {
        self.teller.follow(plays, i64::try_from(position).ok(), frames);
    }

    /// Processes one block in place. Real-time safe.
    pub fn process(&mut self, block: &mut [&mut [f32]]) {
        let is_new = self.exchange.take(&mut self.plan);
        let Some(numbered) = &self.plan else { return };
        let plan = &numbered.value;
        self.engine.set(&plan.snapshot, &plan.circuit, is_new);
        self.engine.process_and_tell(block, &plan.circuit, &mut self.teller);
    }
}

#[cfg(test)]
mod tests {
    use dsp_core::preset::Preset;
    use dsp_core::processor::Processor;
    use dsp_core::response::{Ceiling, Change, Transfer};
    use nice_assert_no_alloc::assert_no_alloc;

    use super::*;

    fn document(heard: Option<usize>) -> Document {
        Document {
            preset: Preset::from_toml(preset::COURTYARD).unwrap(),
            heard,
            bypass: false,
            ceiling: Ceiling::default(),
            floor: None,
            level_match: false,
            hold: false,
            guard: true,
            trim_db: 0.0,
            output_db: 0.0,
        }
    }

    fn sound() -> Vec<f32> {
        (0_i16..4_800).map(|frame| 0.3 * (f32::from(frame) * 0.05).sin()).collect()
    }

    /// As the core does it by itself, to the bit.
    #[test]
    fn a_setup_is_heard_as_the_core_plays_it() {
        let document = document(Some(3));
        let (_, mut engine) = live(48_000.0, 1, &document, &Arc::default()).unwrap();
        let mut played = sound();
        assert_no_alloc(|| engine.process(&mut [&mut played]));
        let preset = &document.preset;
        let from = Transfer::new(&preset.pickups, &preset.recorded);
        let to = Transfer::new(&preset.pickups, &preset.setups[3].chain);
        let mut core = Processor::new(48_000.0, 1).unwrap();
        core.change(&Change::new(&from, &to).shape(Ceiling::Db(24.0)), 1.0).unwrap();
        let mut expected = [sound()];
        core.process(&mut expected);
        assert_eq!(played, expected[0]);
        assert_ne!(played, sound());
    }

    #[test]
    fn a_document_that_is_handed_in_is_heard() {
        let (desk, mut engine) = live(48_000.0, 2, &document(None), &Arc::default()).unwrap();
        let (mut left, mut right) = (sound(), sound());
        engine.process(&mut [&mut left, &mut right]);
        assert_eq!(left, sound());
        desk.set(&document(Some(0))).unwrap();
        assert_no_alloc(|| engine.process(&mut [&mut left, &mut right]));
        assert_ne!(left, sound());
        assert_eq!(left, right);
    }

    /// While nobody listens nothing is told; then all six gains within six times ten milliseconds.
    #[test]
    fn an_open_window_is_told_the_matching_gains() {
        let telemetry = Arc::new(Telemetry::default());
        let (_, mut engine) = live(48_000.0, 1, &document(None), &telemetry).unwrap();
        (0..10).for_each(|_| engine.process(&mut [&mut sound()]));
        assert_eq!(telemetry.matching_db(), [None; crate::SETUPS]);
        telemetry.set_open(true);
        (0..10).for_each(|_| assert_no_alloc(|| engine.process(&mut [&mut [0.0; 480]])));
        let gains = telemetry.matching_db().map(Option::unwrap);
        // 56k and 10M.
        assert!(gains[0] > gains[5], "{gains:?}");
    }

    #[test]
    fn what_cannot_be_held_is_refused() {
        let mut crowded = document(None);
        let more = crowded.preset.setups.clone();
        crowded.preset.setups.extend(more);
        let (desk, _) = live(48_000.0, 1, &document(None), &Arc::default()).unwrap();
        assert_eq!(desk.set(&crowded), Err(CircuitError::TooManySetups { given: 12 }));
        assert!(matches!(live(48_000.0, 1, &crowded, &Arc::default()), Err(LiveError::Circuit(_))));
        assert!(matches!(live(10.0, 1, &document(None), &Arc::default()), Err(LiveError::Processor(_))));
    }
}
