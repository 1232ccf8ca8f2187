use super::{Chain, Immittance, Ladder};
use crate::units::{Capacitance, Resistance};

/// What a recording is played into a chain from, where the pickup would be plugged in: an output's voltage behind its resistance, perhaps a
/// pad, perhaps a capacitor in series. The capacitor is the pickup's own `1/(s C_p)` (Thévenin's theorem): with it, and an output and a pad of low
/// resistance in front of it, the chain loads what is played as it would load the pickup.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Feed {
    /// The resistance of the output itself, or of the isolating box behind it; 50 to 600 Ω are usual (common practice, no source).
    pub output: Resistance,
    /// A pad behind it.
    pub pad: Option<Pad>,
    /// A capacitance in series, behind all of that.
    pub capacitance: Option<Capacitance>,
}

/// A pad of two resistors: one in series, one across what follows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pad {
    /// In series.
    pub series: Resistance,
    /// Across what follows.
    pub shunt: Resistance,
}

impl Pad {
    /// Across what follows unless less is asked for, in ohms: 0.57 µV of Johnson noise, and what no input minds.
    const SHUNT_OHMS: f64 = 1e3;

    /// The pad behind an output that takes away about so many dB, of resistors of the E24 series (IEC 60063), and with the output has no more
    /// than `most` as its own resistance. `None` where that takes no more than a resistance that the output has already.
    pub fn of_db(db: f64, output: Resistance, most: Resistance) -> Option<Self> {
        let shunt = Resistance::from_ohms(Self::SHUNT_OHMS.min(most.ohms())).ok()?.preferred_below();
        let series = shunt.ohms() * (10f64.powf(db / 20.0) - 1.0) - output.ohms();
        let series = Resistance::from_ohms(series).ok()?.preferred();
        Some(Self { series, shunt })
    }
}

impl Feed {
    /// The resistance of output and pad together, in ohms, as what follows sees it.
    pub fn ohms(&self) -> f64 {
        let output = self.output.ohms();
        match self.pad {
            Some(Pad { series, shunt }) => (1.0 / (output + series.ohms()) + 1.0 / shunt.ohms()).recip(),
            None => output,
        }
    }

    /// What the pad takes away where nothing is plugged in behind it, in dB.
    pub fn pad_db(&self) -> f64 {
        let taken =
            |pad: Pad| 20.0 * (1.0 + (self.output.ohms() + pad.series.ohms()) / pad.shunt.ohms()).log10();
        self.pad.map_or(0.0, taken)
    }

    /// From the output's voltage to where the chain is listened to.
    pub(crate) fn ladder(&self, chain: &Chain) -> Ladder {
        let mut ladder = Ladder::default();
        let series = self.pad.map_or(0.0, |pad| pad.series.ohms());
        ladder.series(Immittance::real(self.output.ohms() + series));
        if let Some(pad) = self.pad {
            ladder.shunt(Immittance::real(pad.shunt.ohms().recip()));
        }
        if let Some(capacitance) = self.capacitance {
            ladder.series(Immittance::linear(0.0, capacitance.farads()).inverse());
        }
        chain.add_to(None, &mut ladder);
        ladder
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ohms(text: &str) -> Resistance {
        text.parse().unwrap()
    }

    /// Ohm's law.
    #[test]
    fn a_pad_takes_what_it_is_asked_for() {
        for db in [6.0, 12.0, 20.0, 34.0] {
            let pad = Pad::of_db(db, ohms("100"), ohms("10k")).unwrap();
            let feed = Feed { output: ohms("100"), pad: Some(pad), capacitance: None };
            assert!((feed.pad_db() - db).abs() < 0.5, "{db}: {}", feed.pad_db());
            assert!(feed.ohms() < 1e3 && feed.ohms() > 400.0);
        }
        let small = Pad::of_db(20.0, ohms("100"), ohms("220")).unwrap();
        assert_eq!(small, Pad { series: ohms("1k8"), shunt: ohms("220") });
        assert_eq!(Pad::of_db(0.5, ohms("100"), ohms("10k")), None);
    }
}
