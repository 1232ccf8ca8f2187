use super::{CapacitivePickup, Ladder, MagneticPickup, ToneControl, Visit, VolumePot};
use crate::units::{Capacitance, Percent};

/// The source itself: a voltage behind an impedance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Element {
    /// A capacitance.
    Capacitive(CapacitivePickup),
    /// A coil.
    Magnetic(MagneticPickup),
}

/// A pickup with the controls on the instrument: the element, a tone control across it, a volume pot behind.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pickup {
    /// The source itself.
    pub element: Element,
    /// Tone control on the instrument.
    pub tone: Option<ToneControl>,
    /// Volume pot on the instrument.
    pub volume: Option<VolumePot>,
}

/// Positions of an instrument's controls that differ from those in the pickup's description.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Positions {
    /// Of the volume pot.
    pub volume: Option<Percent>,
    /// Of the tone control.
    pub tone: Option<Percent>,
}

impl Pickup {
    /// A pickup of this element, without controls.
    pub const fn of(element: Element) -> Self {
        Self { element, tone: None, volume: None }
    }

    /// A capacitive pickup without leakage or controls.
    pub const fn new(capacitance: Capacitance) -> Self {
        Self::of(Element::Capacitive(CapacitivePickup { capacitance, leakage: None }))
    }

    /// Whether its element is a coil, whose loss is at the top.
    pub const fn is_magnetic(&self) -> bool {
        self.coil().is_some()
    }

    /// Its coil, if it has one.
    pub(crate) const fn coil(&self) -> Option<&MagneticPickup> {
        match &self.element {
            Element::Magnetic(coil) => Some(coil),
            Element::Capacitive(_) => None,
        }
    }

    /// With its controls at other positions; those that it does not have are left aside.
    #[must_use]
    pub fn with_positions(mut self, positions: Positions) -> Self {
        if let (Some(volume), Some(position)) = (&mut self.volume, positions.volume) {
            volume.position = position;
        }
        if let (Some(tone), Some(position)) = (&mut self.tone, positions.tone) {
            tone.position = position;
        }
        self
    }

    pub(super) fn each_value(&mut self, visit: &mut Visit<'_>) {
        let Self { element, tone, volume } = self;
        match element {
            Element::Capacitive(element) => element.each_value(visit),
            Element::Magnetic(element) => element.each_value(visit),
        }
        if let Some(tone) = tone {
            tone.each_value(visit);
        }
        if let Some(volume) = volume {
            volume.each_value(visit);
        }
    }

    /// From the source to the pickup's jack.
    pub(super) fn add_to(&self, ladder: &mut Ladder) {
        match self.element {
            Element::Capacitive(element) => element.add_to(ladder),
            Element::Magnetic(element) => element.add_to(ladder),
        }
        if let Some(tone) = self.tone {
            tone.add_to(ladder);
        }
        if let Some(volume) = self.volume {
            volume.add_to(ladder);
        }
    }
}
