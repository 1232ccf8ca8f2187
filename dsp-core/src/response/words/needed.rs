use std::fmt;

use crate::response::{HIGHEST_RESONANCE_DB, InputNeeded, Keeps, spoken_hz, spoken_ohms};

/// As it is asked for, to two figures: "an input of at least 8.4 MΩ", "an input of 120 kΩ to 2.5 MΩ".
impl fmt::Display for InputNeeded {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (Some(from), to) = self.asked_ohms() else {
            return f.write_str(match self.keeps {
                Keeps::Level(_) => "less capacitance: no input is high enough for it",
                Keeps::LowString | Keeps::Resonance(_) | Keeps::Top(_) => "no input is high enough for it",
            });
        };
        match to {
            Some(to) => write!(f, "an input of {} to {}", spoken_ohms(from), spoken_ohms(to)),
            None => write!(f, "an input of at least {}", spoken_ohms(from)),
        }
    }
}

impl InputNeeded {
    /// The smallest resistance and the largest one as they are asked for, in ohms: to two figures, inwards.
    pub fn asked_ohms(&self) -> (Option<f64>, Option<f64>) {
        let from = self.from_ohms.map(round_up);
        let to = self.to_ohms.map(round_down).filter(|to| from.is_some_and(|from| *to > from));
        (from, to)
    }

    /// What the input keeps, with the `max_loss_db` that was asked for.
    pub fn reason(&self, max_loss_db: f64) -> String {
        match self.keeps {
            Keeps::Level(level_db) if level_db > 0.05 => {
                format!("low string within {max_loss_db} dB of the level that is left")
            }
            Keeps::Level(_) => format!("low string within {max_loss_db} dB"),
            Keeps::LowString => format!("low string within {max_loss_db} dB of what an open input leaves"),
            Keeps::Top(hz) => {
                format!("{} within {max_loss_db} dB of what an open input leaves", spoken_hz(hz))
            }
            Keeps::Resonance(hz) => {
                let dull = format!("{} at most {max_loss_db} dB below the rest", spoken_hz(hz));
                format!("{dull}, resonance at most {HIGHEST_RESONANCE_DB} dB high")
            }
        }
    }
}

/// To two figures, upwards: what is asked for must suffice.
fn round_up(ohms: f64) -> f64 {
    let step = step(ohms);
    (ohms / step - 1e-9).ceil() * step
}

fn round_down(ohms: f64) -> f64 {
    let step = step(ohms);
    (ohms / step + 1e-9).floor() * step
}

fn step(ohms: f64) -> f64 {
    10f64.powf(ohms.log10().floor() - 1.0)
}
