use super::{Range, Response};
use crate::circuit::{Chain, Pickups, Positions, Spread};

/// A take between the chain that it was recorded through and the one that it is to be heard through.
#[derive(Debug, Clone, PartialEq)]
pub struct Between {
    /// Of both: one instrument.
    pub pickups: Pickups,
    /// What the take was recorded through, and where the instrument's controls stood.
    pub recorded: (Chain, Positions),
    /// What it is to be heard through.
    pub heard: (Chain, Positions),
}

impl Between {
    /// What the take was recorded with, of a blend each pickup by itself, and what it is to be heard with.
    pub fn responses(&self) -> (Response, Response) {
        let ((recorded, recorded_at), (heard, heard_at)) = (&self.recorded, &self.heard);
        (
            Response::recorded(&self.pickups.with_positions(*recorded_at), recorded),
            Response::new(&self.pickups.with_positions(*heard_at), heard),
        )
    }

    /// Whether it is heard as it was recorded.
    pub fn is_same(&self) -> bool {
        self.recorded == self.heard
    }

    /// The two ends of the tolerances at which a figure of both responses is least and greatest, without tolerances; `None` if no value carries one.
    pub fn ends(&self, figure: impl Fn(&Response, &Response) -> f64) -> Option<[Self; 2]> {
        self.ends_of(|between| {
            let (recorded, heard) = between.responses();
            figure(&recorded, &heard)
        })
    }

    /// The same of a figure of the circuits.
    pub fn ends_of(&self, figure: impl Fn(&Self) -> f64) -> Option<[Self; 2]> {
        let spread = Spread::of(&self.pickups, [&self.recorded.0, &self.heard.0])?;
        let figure = |pickups: &Pickups, chains: &[Chain]| figure(&self.settled(*pickups, chains));
        Some(spread.ends(figure).map(|(pickups, chains)| self.settled(pickups, &chains)))
    }

    /// A figure of both responses, least and greatest within the tolerances; twice the same if no value carries one.
    pub fn range(&self, figure: impl Fn(&Response, &Response) -> f64) -> Range {
        let of = |between: &Self| {
            let (recorded, heard) = between.responses();
            figure(&recorded, &heard)
        };
        match self.ends(&figure) {
            Some([low, high]) => Range { low: of(&low), high: of(&high) },
            None => Range { low: of(self), high: of(self) },
        }
    }

    fn settled(&self, pickups: Pickups, chains: &[Chain]) -> Self {
        Self {
            pickups,
            recorded: (chains[0].clone(), self.recorded.1),
            heard: (chains[1].clone(), self.heard.1),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::Pickup;
    use crate::units::Load;

    fn between(pickup: &str, recorded: &str, heard: &str) -> Between {
        let chain = |load: &str| (Chain::from(&load.parse::<Load>().unwrap()), Positions::default());
        Between {
            pickups: Pickup::new(pickup.parse().unwrap()).into(),
            recorded: chain(recorded),
            heard: chain(heard),
        }
    }

    /// Textbook RC: `10 log10(1 + (f_c/f)²)`, `f_c = 1/(2π R C)`.
    fn rc_db(ohms: f64, farads: f64, hz: f64) -> f64 {
        let corner_hz = 1.0 / (std::f64::consts::TAU * ohms * farads);
        10.0 * (1.0 + (corner_hz / hz).powi(2)).log10()
    }

    /// One pickup on both sides: its capacitance is the same one in the recording and in what is heard.
    #[test]
    fn both_sides_have_the_same_pickup() {
        let more = |recorded: &Response, heard: &Response| heard.loss_db(55.0) - recorded.loss_db(55.0);
        let range = between("680p ±30 %", "10M", "1M").range(more);
        let expected = |farads: f64| rc_db(1e6, farads, 55.0) - rc_db(10e6, farads, 55.0);
        assert!((range.low - expected(1.3 * 680e-12)).abs() < 1e-9, "{range:?}");
        assert!((range.high - expected(0.7 * 680e-12)).abs() < 1e-9, "{range:?}");
        let plain = between("680p", "10M", "1M").range(more);
        assert!((plain.low - expected(680e-12)).abs() < 1e-9 && plain.low == plain.high);
    }
}
