use serde::Deserialize;

use super::{Immittance, Ladder, Shunt, Transformer, Visit, blocking, each};
use crate::units::{Capacitance, Inductance, NominalInput, Resistance};

/// The highest resistance there is says that nothing conducts.
const OPEN_OHMS: f64 = 1e12;

/// Where a box's thru is taken: decides whether what is plugged into it loads the pickup.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Thru {
    /// In parallel with the input: the next box loads the pickup too.
    Before,
    /// Behind the buffer: the pickup does not see what follows.
    After,
    /// The output of an active pedal that is on: the pickup does not see what follows. What the pedal makes of the sound is not linear as a
    /// rule, and beyond the model.
    Active,
}

impl Thru {
    /// Whether the pickup sees what follows.
    pub const fn passes_load(self) -> bool {
        matches!(self, Self::Before)
    }
}

/// What a box's jack leads to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Input {
    /// A resistance: `Y = 1/R`.
    Resistance(Resistance),
    /// A transformer's primary.
    Transformer(Transformer),
}

/// Anything with an instrument jack: a capacitance across it, then perhaps a blocking capacitor, then a resistance or a
/// transformer.
#[derive(Debug, Clone, PartialEq)]
pub struct InputBox {
    /// What the player calls it.
    pub name: String,
    /// What the jack leads to.
    pub input: Input,
    /// Capacitance across the jack.
    pub capacitance: Option<Capacitance>,
    /// Blocking capacitor between the jack and the input.
    pub blocking: Option<Capacitance>,
    /// Its thru; `None` if nothing is plugged into it.
    pub thru: Option<Thru>,
}

impl InputBox {
    /// A box of a resistance and no more.
    pub fn new(name: impl Into<String>, input: Resistance) -> Self {
        Self {
            name: name.into(),
            input: Input::Resistance(input),
            capacitance: None,
            blocking: None,
            thru: None,
        }
    }

    /// A passive box of which no more than its nominal input is known.
    pub fn usual(name: impl Into<String>, nominal: NominalInput) -> Self {
        let input = Input::Transformer(Transformer::usual(nominal));
        Self { name: name.into(), input, capacitance: None, blocking: None, thru: None }
    }

    /// What it puts across the pickup in the middle of the band, where it has its nominal resistance.
    pub fn nominal(&self) -> Shunt {
        let farads = |value: Option<Capacitance>| value.map_or(0.0, Capacitance::farads);
        let (ohms, own) = match self.input {
            Input::Resistance(value) => (value.ohms(), 0.0),
            Input::Transformer(transformer) => (transformer.nominal_ohms(), farads(transformer.capacitance)),
        };
        Shunt { siemens: ohms.recip(), farads: farads(self.capacitance) + own }
    }

    /// Its input resistance, of a transformer the reflected one; `None` where nothing conducts.
    pub(super) fn conducting(&self) -> Option<Resistance> {
        let (said, ohms) = match self.input {
            Input::Resistance(value) => (value, value.ohms()),
            Input::Transformer(transformer) => (transformer.secondary, transformer.reflected_ohms()),
        };
        if said.ohms() < OPEN_OHMS { Resistance::from_ohms(ohms).ok() } else { None }
    }

    /// With another input resistance, of a transformer one that the secondary's load reflects; within the same tolerance.
    pub(super) fn conduct(&mut self, resistance: Option<Resistance>) {
        let ohms = resistance.map(Resistance::ohms);
        if ohms == self.conducting().map(Resistance::ohms) {
            return;
        }
        let of = |ohms: f64, old: Resistance| {
            let new = Resistance::from_ohms(ohms.clamp(1e-2, OPEN_OHMS));
            new.map_or(old, |new| new.with_tolerance(old.tolerance()))
        };
        match &mut self.input {
            Input::Resistance(value) => *value = of(ohms.unwrap_or(OPEN_OHMS), *value),
            Input::Transformer(transformer) => {
                let square = transformer.ratio.value().powi(2);
                let secondary = ohms.map_or(OPEN_OHMS, |ohms| ohms / square);
                transformer.secondary = of(secondary, transformer.secondary);
            }
        }
    }

    /// With another primary inductance, if it has a transformer.
    pub(super) fn turn(&mut self, primary: Option<Inductance>) {
        if let (Input::Transformer(transformer), Some(primary)) = (&mut self.input, primary) {
            transformer.primary = primary.with_tolerance(transformer.primary.tolerance());
        }
    }

    /// Parts in which energy is stored apart from the capacitance across the jack.
    pub(super) fn order(&self) -> usize {
        let transformer = match self.input {
            Input::Resistance(_) => 0,
            // Behind a blocking capacitor the primary's own capacitance is one of its own.
            Input::Transformer(transformer) => {
                1 + usize::from(transformer.capacitance.is_some() && self.blocking.is_some())
            }
        };
        transformer + usize::from(self.blocking.is_some())
    }

    pub(super) fn each_value(&mut self, visit: &mut Visit<'_>) {
        let Self { name: _, input, capacitance, blocking, thru: _ } = self;
        match input {
            Input::Resistance(value) => visit(value),
            Input::Transformer(transformer) => transformer.each_value(visit),
        }
        each(capacitance, visit);
        each(blocking, visit);
    }

    /// From the jack to where the box listens.
    pub(super) fn add_to(&self, ladder: &mut Ladder) {
        self.add_jack_to(self.capacitance, ladder);
        match self.input {
            Input::Resistance(value) => ladder.shunt(Immittance::real(value.ohms().recip())),
            Input::Transformer(transformer) => transformer.add_to(ladder),
        }
    }

    /// The jack with a capacitance across it, and the blocking capacitor.
    pub(super) fn add_jack_to(&self, capacitance: Option<Capacitance>, ladder: &mut Ladder) {
        if let Some(capacitance) = capacitance {
            ladder.shunt(Immittance::linear(0.0, capacitance.farads()));
        }
        if let Some(blocking) = self.blocking {
            blocking::add_to(blocking, ladder);
        }
    }
}
