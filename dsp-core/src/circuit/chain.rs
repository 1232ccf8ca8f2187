use super::{Cable, ChainTooLarge, Immittance, InputBox, Knobs, Ladder, Shunt, Splitter, Visit};
use crate::limits::MOST_PARTS;
use crate::units::{Capacitance, Inductance, Load, LoadPart, Resistance};

/// One link of a chain.
#[derive(Debug, Clone, PartialEq)]
pub enum Link {
    /// A cable.
    Cable(Cable),
    /// A box.
    Box(InputBox),
    /// A splitter without a buffer.
    Splitter(Splitter),
    /// A resistance without a name, from a load expression.
    Resistance(Resistance),
    /// A capacitance without a name, from a load expression.
    Capacitance(Capacitance),
    /// An inductance without a name, from a load expression: `Y = 1/(s L)`.
    Inductance(Inductance),
}

impl Link {
    /// What the link puts across the pickup in the middle of the band, if it stands before the first buffer.
    pub fn nominal(&self) -> Shunt {
        match self {
            Self::Cable(cable) => cable.shunt(),
            Self::Box(input) => input.nominal(),
            Self::Splitter(splitter) => splitter.nominal(),
            Self::Resistance(value) => Shunt { siemens: value.ohms().recip(), farads: 0.0 },
            Self::Capacitance(value) => Shunt { siemens: 0.0, farads: value.farads() },
            Self::Inductance(_) => Shunt::default(),
        }
    }

    /// The name of a box or a splitter; other links have none.
    pub fn name(&self) -> Option<&str> {
        match self {
            Self::Box(InputBox { name, .. }) | Self::Splitter(Splitter { name, .. }) => Some(name),
            _ => None,
        }
    }

    fn ends_at_buffer(&self) -> bool {
        matches!(self, Self::Box(InputBox { thru: Some(thru), .. }) if !thru.passes_load())
    }

    fn each_value(&mut self, visit: &mut Visit<'_>) {
        match self {
            Self::Cable(cable) => cable.each_value(visit),
            Self::Box(input) => input.each_value(visit),
            Self::Splitter(splitter) => splitter.each_value(visit),
            Self::Resistance(value) => visit(value),
            Self::Capacitance(value) => visit(value),
            Self::Inductance(value) => visit(value),
        }
    }

    /// Adds what the link puts across the pickup; a splitter also its leg along the chain.
    fn add_as_load_to(&self, ladder: &mut Ladder) {
        match self {
            Self::Cable(cable) => cable.add_to(ladder),
            Self::Box(input) => {
                let mut inside = Ladder::default();
                input.add_to(&mut inside);
                ladder.load(&inside);
            }
            Self::Splitter(splitter) => {
                splitter.add_branch_to(ladder);
                splitter.add_leg_to(ladder);
            }
            Self::Inductance(value) => ladder.shunt(Immittance::inductance(value.henries())),
            Self::Resistance(_) | Self::Capacitance(_) => {
                let Shunt { siemens, farads } = self.nominal();
                ladder.shunt(Immittance::linear(siemens, farads));
            }
        }
    }

    /// Parts in which energy is stored, capacitances across the pickup's terminals excepted.
    fn order(&self) -> usize {
        match self {
            Self::Box(input) => input.order(),
            // Behind a resistor capacitances are parts of their own, one for each leg.
            Self::Splitter(splitter) => {
                splitter.branch.order() + if splitter.resistor.is_some() { 2 } else { 0 }
            }
            Self::Inductance(_) => 1,
            Self::Cable(_) | Self::Resistance(_) | Self::Capacitance(_) => 0,
        }
    }
}

/// Boxes and cables in order, from the pickup on. The empty chain is an unloaded pickup.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Chain {
    links: Vec<Link>,
}

impl Chain {
    /// A chain of these links, in order from the pickup.
    ///
    /// # Errors
    /// If it is too large to be computed.
    pub fn new(links: Vec<Link>) -> Result<Self, ChainTooLarge> {
        let chain = Self { links };
        let given = chain.order();
        if given > MOST_PARTS {
            return Err(ChainTooLarge { given, accepted: MOST_PARTS });
        }
        Ok(chain)
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

    /// The box that is listened to: the last one that loads the pickup, if any does.
    pub fn heard(&self) -> Option<&InputBox> {
        self.loading().filter_map(|link| if let Link::Box(input) = link { Some(input) } else { None }).last()
    }

    /// All that loads the pickup in the middle of the band, in parallel.
    pub fn shunt(&self) -> Shunt {
        Shunt::parallel(self.loading().map(Link::nominal))
    }

    /// Whether nothing loads the pickup.
    pub fn is_empty(&self) -> bool {
        self.links.is_empty()
    }

    /// A chain of some of a chain's links, which is never too large.
    pub(crate) const fn of(links: Vec<Link>) -> Self {
        Self { links }
    }

    /// What loads the pickup, but for one link, counted from zero. What stood behind a buffer stays away.
    #[must_use]
    pub fn without(&self, index: usize) -> Self {
        let others = self.loading().enumerate().filter(|(other, _)| *other != index);
        Self { links: others.map(|(_, link)| link.clone()).collect() }
    }

    /// Visits the values of all links, of those behind the first buffer too.
    pub(super) fn each_value(&mut self, visit: &mut Visit<'_>) {
        self.links.iter_mut().for_each(|link| link.each_value(visit));
    }

    fn order(&self) -> usize {
        self.loading().map(Link::order).sum()
    }

    /// From the pickup's terminals to where the box that is listened to listens, with what is turned in place of the chain's own
    /// values.
    pub(super) fn add_to(&self, knobs: Option<&Knobs>, ladder: &mut Ladder) {
        if let Some(knobs) = knobs {
            knobs.add_cable_to(ladder);
        }
        let is_box = |(_, link): &(usize, &Link)| matches!(link, Link::Box(_));
        let heard = self.loading().enumerate().filter(is_box).last();
        let before = heard.map_or(usize::MAX, |(index, _)| index);
        self.loading().take(before).for_each(|link| link.add_as_load_to(ladder));
        if let Some((index, Link::Box(input))) = heard {
            let mut behind = Ladder::default();
            self.loading().skip(index + 1).for_each(|link| link.add_as_load_to(&mut behind));
            ladder.load(&behind);
            match knobs {
                Some(knobs) => knobs.add_box_to(input, ladder),
                None => input.add_to(ladder),
            }
        } else if let Some(knobs) = knobs {
            knobs.add_to(ladder);
        }
    }

    /// All of it as a load on something else, which is what is listened to.
    pub(super) fn add_as_load_to(&self, ladder: &mut Ladder) {
        self.loading().for_each(|link| link.add_as_load_to(ladder));
    }
}

impl From<&Load> for Chain {
    fn from(load: &Load) -> Self {
        let link = |part: &LoadPart| match *part {
            LoadPart::Resistance(value) => Link::Resistance(value),
            LoadPart::Capacitance(value) => Link::Capacitance(value),
            LoadPart::Cable(length) => Link::Cable(Cable::new(length)),
            LoadPart::Inductance(value) => Link::Inductance(value),
            LoadPart::Transformer(nominal) => Link::Box(InputBox::usual(part.to_string(), nominal)),
        };
        Self { links: load.parts().iter().map(link).collect() }
    }
}
