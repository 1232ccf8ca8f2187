//! What of the circuits the parameters do not hold: pickups with their controls, and the rest of every chain. With the values
//! of the parameters it gives responses, without an allocation.

use dsp_core::circuit::{Chain, Input, InputBox, Knobs, Link, Pickup, Pickups, Positions};
use dsp_core::loudness::Spectrum;
use dsp_core::preset::Instrument;
use dsp_core::response::Transfer;
use dsp_core::units::{Length, Pitch};

use crate::sound::SETUPS;
use crate::sound::shown;
use crate::sound::values::{Load, Source, Values};

/// Of the take and all setups.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Circuit {
    recorded: Part,
    /// Cable that the take was recorded through.
    recorded_cable: Option<Length>,
    setups: [Part; SETUPS],
    /// What the instrument usually sounds like.
    usual: Spectrum,
}

/// The instrument of a preset that names none, as in the window.
const INSTRUMENT: &str = "bass";

/// Of one setup.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Part {
    /// With their controls where they stand in this setup.
    pickups: Pickups,
    rest: Chain,
}

impl Circuit {
    /// Of an instrument of the catalogue, given its id.
    pub fn new(
        recorded: Part,
        recorded_cable: Option<Length>,
        setups: [Part; SETUPS],
        instrument: Option<&str>,
    ) -> Self {
        let all = Instrument::all();
        let of = |id: &str| all.iter().find(|one| one.id == id);
        let strings = instrument.and_then(of).or(of(INSTRUMENT)).map(|one| one.strings.as_slice());
        let strings_hz = strings.unwrap_or_default().iter().map(|string| string.hz(Pitch::CONCERT_HZ));
        Self { recorded, recorded_cable, setups, usual: Spectrum::usual(strings_hz) }
    }

    /// What a plucked instrument of this kind usually sounds like.
    pub const fn usual(&self) -> &Spectrum {
        &self.usual
    }

    /// A capacitive pickup, and nothing that no parameter holds: what every state of format 1 means.
    pub fn plain() -> Self {
        let capacitance =
            shown::pickup_capacitance(Source::DEFAULT.picofarads).expect("a value of the range");
        let part = Part::new(Pickup::new(capacitance).into(), Positions::default(), &Chain::default());
        Self::new(part.clone(), None, std::array::from_fn(|_| part.clone()), None)
    }

    /// How many tracks a take has, each changed in its own way: one for each pickup.
    pub const fn tracks(&self) -> usize {
        self.recorded.pickups.count()
    }

    /// The response of the pickup `index` that its track was recorded with: alone, whatever the blend. Real-time safe.
    pub fn recorded(&self, index: usize, values: &Values) -> Transfer {
        let knobs = Knobs { cable: self.recorded_cable, ..values.through.knobs() };
        let mut pickups = self.recorded.pickups;
        values.source.drive(&mut pickups);
        Transfer::with_knobs(&Pickups::One(*pickups.pickup(index)), 0, &self.recorded.rest, &knobs)
    }

    /// The response of the pickup `index` through a setup, counted from zero. Real-time safe.
    pub fn setup(&self, setup: usize, index: usize, values: &Values) -> Transfer {
        self.setups[setup].transfer(index, &values.source, &values.setups[setup].knobs())
    }
}

impl Part {
    /// Without what the pickup does not see. A lone box of a resistance is nothing but values that parameters hold: without it,
    /// a setup whose values are all "none" is the unloaded pickup.
    pub fn new(pickups: Pickups, positions: Positions, rest: &Chain) -> Self {
        let mut links: Vec<Link> = rest.loading().cloned().collect();
        if let [Link::Box(InputBox { input: Input::Resistance(_), blocking: None, .. })] = links[..] {
            links.clear();
        }
        let mut rest = Chain::new(links).expect("a part of a chain is not too large");
        // What parameters hold is put in whenever something is made of it. Here it is the same whatever it was, so that what sounds alike
        // is alike.
        let mut pickups = pickups.with_positions(positions);
        Source::DEFAULT.drive(&mut pickups);
        if rest.heard().is_some() {
            rest = Load { ohms: 1e6, ..Load::NONE }.knobs().put(&rest);
        }
        Self { pickups, rest }
    }

    fn transfer(&self, index: usize, source: &Source, knobs: &Knobs) -> Transfer {
        let mut pickups = self.pickups;
        source.drive(&mut pickups);
        Transfer::with_knobs(&pickups, index, &self.rest, knobs)
    }
}
