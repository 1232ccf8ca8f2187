use super::{Blended, Chain, Knobs, Ladder, Pickup, Positions, Visit, blend};

/// The pickups of an instrument.
#[derive(Debug, Clone, Copy, PartialEq)]
#[expect(clippy::large_enum_variant, reason = "copied on the audio thread, where nothing may be allocated")]
pub enum Pickups {
    /// One.
    One(Pickup),
    /// Two that share a jack, directly or through mixing resistors: they load each other, and what is plugged in loads both.
    Blend([Blended; 2]),
}

impl Pickups {
    /// How many, and so how many tracks a take of each alone has.
    pub const fn count(&self) -> usize {
        match self {
            Self::One(_) => 1,
            Self::Blend(_) => 2,
        }
    }

    /// One of them, counted from zero; the last one beyond.
    pub const fn pickup(&self, index: usize) -> &Pickup {
        match self {
            Self::One(pickup) => pickup,
            Self::Blend([first, second]) => {
                if index == 0 {
                    &first.pickup
                } else {
                    &second.pickup
                }
            }
        }
    }

    /// Of a pickup: 1, or -1 if it is wired the other way round.
    pub const fn sign(&self, index: usize) -> f64 {
        match self {
            Self::One(_) => 1.0,
            Self::Blend([first, second]) => {
                if index == 0 {
                    first.polarity.sign()
                } else {
                    second.polarity.sign()
                }
            }
        }
    }

    /// One of them, to be changed; the last one beyond.
    pub const fn pickup_mut(&mut self, index: usize) -> &mut Pickup {
        match self {
            Self::One(pickup) => pickup,
            Self::Blend([first, second]) => {
                if index == 0 {
                    &mut first.pickup
                } else {
                    &mut second.pickup
                }
            }
        }
    }

    /// With the instrument's controls at other positions, those of both pickups alike.
    #[must_use]
    pub fn with_positions(mut self, positions: Positions) -> Self {
        match &mut self {
            Self::One(pickup) => *pickup = pickup.with_positions(positions),
            Self::Blend(both) => {
                both.iter_mut().for_each(|one| one.pickup = one.pickup.with_positions(positions));
            }
        }
        self
    }

    /// Visits the values of all pickups, their controls and mixing resistors.
    pub(super) fn each_value(&mut self, visit: &mut Visit<'_>) {
        match self {
            Self::One(pickup) => pickup.each_value(visit),
            Self::Blend(both) => both.iter_mut().for_each(|one| one.each_value(visit)),
        }
    }

    /// The network from the source of pickup `index` through `chain` to where it is listened to.
    pub(crate) fn ladder(&self, index: usize, chain: &Chain, knobs: Option<&Knobs>) -> Ladder {
        let mut ladder = Ladder::default();
        match self {
            Self::One(pickup) => pickup.add_to(&mut ladder),
            Self::Blend(both) => blend::add_to(both, index, &mut ladder),
        }
        chain.add_to(knobs, &mut ladder);
        ladder
    }

    /// The network from the source of pickup `index` to the jack that `chain` is plugged into.
    pub(crate) fn ladder_to_jack(&self, index: usize, chain: &Chain) -> Ladder {
        let (mut ladder, mut load) = (self.ladder(index, &Chain::default(), None), Ladder::default());
        chain.add_as_load_to(&mut load);
        ladder.load(&load);
        ladder
    }
}

impl From<Pickup> for Pickups {
    fn from(pickup: Pickup) -> Self {
        Self::One(pickup)
    }
}
