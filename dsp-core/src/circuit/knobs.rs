use super::{Cable, Chain, Immittance, Input, InputBox, Ladder, Link, Shunt};
use crate::units::{Capacitance, Inductance, Length, Resistance};

/// The values of a chain that people turn while they listen; the rest of the chain stays as it is.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Knobs {
    /// Input resistance of the box that is listened to, of a transformer the reflected one; `None` where nothing conducts.
    /// Without a box a resistance across the pickup.
    pub input: Option<Resistance>,
    /// Capacitance across the same jack.
    pub capacitance: Option<Capacitance>,
    /// Length of cable behind the pickup, at [`Cable::PER_METRE_FARADS`].
    pub cable: Option<Length>,
    /// Primary inductance of the box that is listened to; without a transformer nothing.
    pub primary: Option<Inductance>,
}

impl Knobs {
    /// Parts a chain into the values that are turned, and the rest.
    ///
    /// Dry cables in front of the first splitter become one, of the default capacitance a metre. Of a load expression all
    /// resistances, and all capacitances, become one. A heard box of 1 TΩ, the highest resistance, is one where nothing conducts.
    pub fn take(chain: &Chain) -> (Self, Chain) {
        let heard = chain.heard();
        let mut taken = Shunt::default();
        let mut cable = Shunt::default();
        let mut rest = Vec::new();
        let mut before_splitter = true;
        for (link, loads) in chain.links() {
            before_splitter &= !matches!(link, Link::Splitter(_));
            match link {
                Link::Cable(dry) if loads && before_splitter && dry.leakage.is_none() => {
                    cable = cable + dry.shunt();
                }
                Link::Resistance(_) | Link::Capacitance(_) if loads && heard.is_none() => {
                    taken = taken + link.nominal();
                }
                _ => rest.push(link.clone()),
            }
        }
        let mut knobs = Self {
            input: Resistance::from_ohms(taken.ohms()).ok(),
            capacitance: Capacitance::from_farads(taken.farads).ok(),
            cable: Length::from_metres(cable.farads / Cable::PER_METRE_FARADS).ok(),
            primary: None,
        };
        if let Some(heard) = heard {
            knobs.primary = match heard.input {
                Input::Resistance(_) => None,
                Input::Transformer(transformer) => Some(transformer.primary),
            };
            knobs.input = heard.conducting();
            knobs.capacitance = heard.capacitance;
        }
        (knobs, Chain::of(rest))
    }

    /// Whether it is nothing at all, without a chain an unloaded pickup.
    pub(crate) fn is_nothing(&self) -> bool {
        self.input.is_none() && self.capacitance.is_none() && self.cable.is_none()
    }

    pub(super) fn add_cable_to(&self, ladder: &mut Ladder) {
        if let Some(length) = self.cable {
            Cable::new(length).add_to(ladder);
        }
    }

    /// Across the pickup, where there is no box to listen to.
    pub(super) fn add_to(&self, ladder: &mut Ladder) {
        let siemens = self.input.map_or(0.0, |input| input.ohms().recip());
        let farads = self.capacitance.map_or(0.0, Capacitance::farads);
        ladder.shunt(Immittance::linear(siemens, farads));
    }

    /// Into the box that is listened to.
    pub(super) fn add_box_to(&self, heard: &InputBox, ladder: &mut Ladder) {
        heard.add_jack_to(self.capacitance, ladder);
        match heard.input {
            Input::Resistance(_) => {
                let siemens = self.input.map_or(0.0, |input| input.ohms().recip());
                ladder.shunt(Immittance::real(siemens));
            }
            Input::Transformer(transformer) => {
                let primary = self.primary.unwrap_or(transformer.primary);
                transformer.add_with(primary, self.input.map(Resistance::ohms), ladder);
            }
        }
    }
}
