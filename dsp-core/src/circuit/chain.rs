use super::{Cable, InputBox, Shunt, Thru};
use crate::units::{Capacitance, Load, LoadPart, Resistance};

/// One link of a chain.
#[derive(Debug, Clone, PartialEq)]
pub enum Link {
    /// A cable.
    Cable(Cable),
    /// A box.
    Box(InputBox),
    /// A resistance without a name, from a load expression.
    Resistance(Resistance),
    /// A capacitance without a name, from a load expression.
    Capacitance(Capacitance),
}

impl Link {
    /// What the link puts across the pickup if it stands before the first buffer.
    pub fn admittance(&self) -> Shunt {
        match self {
            Self::Cable(cable) => cable.admittance(),
            Self::Box(input) => input.admittance(),
            Self::Resistance(value) => Shunt { siemens: value.ohms().recip(), farads: 0.0 },
            Self::Capacitance(value) => Shunt { siemens: 0.0, farads: value.farads() },
        }
    }

    /// What to call the link in a sentence: a box's name, or its value.
    pub fn name(&self) -> String {
        match self {
            Self::Cable(cable) => format!("{} cable", cable.length),
            Self::Box(input) => input.name.clone(),
            Self::Resistance(value) => value.to_string(),
            Self::Capacitance(value) => value.to_string(),
        }
    }

    fn ends_at_buffer(&self) -> bool {
        matches!(self, Self::Box(InputBox { thru: Some(Thru::After), .. }))
    }
}

/// Boxes and cables in order, from the pickup on. The empty chain is an unloaded pickup.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Chain {
    links: Vec<Link>,
}

impl Chain {
    /// A chain of these links, in order from the pickup.
    pub fn new(links: Vec<Link>) -> Self {
        Self { links }
    }

    /// Each link with whether it loads the pickup: up to and including the first box with a buffered
    /// thru it does, behind it not.
    pub fn links(&self) -> impl Iterator<Item = (&Link, bool)> {
        let mut loads = true;
        self.links.iter().map(move |link| {
            let this = loads;
            loads &= !link.ends_at_buffer();
            (link, this)
        })
    }

    /// The links that load the pickup.
    pub fn loading(&self) -> impl Iterator<Item = &Link> {
        self.links().filter(|(_, loads)| *loads).map(|(link, _)| link)
    }

    /// All that loads the pickup, in parallel.
    pub fn shunt(&self) -> Shunt {
        Shunt::parallel(self.loading().map(Link::admittance))
    }
}

impl From<&Load> for Chain {
    fn from(load: &Load) -> Self {
        Self::new(
            load.parts()
                .iter()
                .map(|part| match *part {
                    LoadPart::Resistance(value) => Link::Resistance(value),
                    LoadPart::Capacitance(value) => Link::Capacitance(value),
                    LoadPart::Cable(length) => Link::Cable(Cable { length, per_metre: None }),
                })
                .collect(),
        )
    }
}
