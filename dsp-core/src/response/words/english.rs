use super::{Against, Cost, Fact, Owner, Resonance};
use crate::response::{Peak, Slope, spoken_db, spoken_hz, spoken_ohms};
use crate::units::Pitch;

impl Fact {
    /// As an English sentence; `lowest` is the lowest string.
    pub fn english(&self, lowest: &Pitch) -> String {
        let low = format!("low {}", lowest.letter());
        match self {
            Self::EachAlone([(one, loss_db), (other, other_db)]) => {
                let (loss, other_loss) = (spoken_db(*loss_db), spoken_db(*other_db));
                format!("by itself the {one} loses {loss} at {low}, the {other} {other_loss}")
            }
            Self::Cancel(gain_db) => {
                let turned = "with the polarity of one turned round it gains";
                format!("as they are wired the two cancel at {low}: {turned} {}", spoken_db(*gain_db))
            }
            Self::Controls(db) => {
                format!("{} of it goes to the controls on the instrument, plugged in or not", spoken_db(*db))
            }
            Self::Inductive { owner, slope, peak, cost, against } => {
                let falls = slope.map_or(String::new(), |slope| format!("{} and ", falls(slope, *peak)));
                format!("{} {falls}costs {low} {} {}", inductance(owner), size(*cost), than(*against))
            }
            Self::Blocking(capacitance, db) => {
                let (size, capacitor) = (spoken_db(*db), format!("its blocking capacitor of {capacitance}"));
                if *db < 0.0 {
                    format!("{capacitor} lifts {low} by {size}")
                } else {
                    format!("{capacitor} costs {low} {size}")
                }
            }
            Self::Resonance(None, resonance) => moves(*resonance),
            Self::Resonance(Some(pickup), resonance) => format!("{pickup}: {}", moves(*resonance)),
            Self::Top(hz, volume) => {
                let falls = format!("the top falls too, by 3 dB at {}", spoken_hz(*hz));
                volume.map_or(falls.clone(), |position| format!("with the volume at {position} {falls}"))
            }
        }
    }
}

fn inductance(owner: &Owner) -> String {
    match owner {
        Owner::Heard => "its transformer".to_owned(),
        Owner::Box(name) => format!("the {name}'s transformer"),
        Owner::Bare(henries) => format!("{henries} across the pickup"),
    }
}

/// "falls by 12 dB an octave below 140 Hz", and whether it rises before.
fn falls(slope: Slope, peak: Option<Peak>) -> String {
    let falls = format!("falls by {} dB an octave below {}", 6 * slope.order, spoken_hz(slope.below_hz));
    match peak {
        Some(Peak { hz, db }) => format!("{falls}, stands out by {} at {}", spoken_db(db), spoken_hz(hz)),
        None => falls,
    }
}

fn size(cost: Cost) -> String {
    match cost {
        Cost::More(db) => format!("{} more", spoken_db(db)),
        Cost::Same => "no more".to_owned(),
        Cost::Less(db) => format!("{} less", spoken_db(db)),
    }
}

fn than(against: Against) -> String {
    match against {
        Against::Resistor(ohms) => format!("than a resistor of {} would", spoken_ohms(ohms)),
        Against::Rest(ohms) => format!("than {} alone would", spoken_ohms(ohms)),
        Against::Nothing => "than nothing would".to_owned(),
    }
}

fn moves(resonance: Resonance) -> String {
    let place = |peak: Peak| format!("{}, {} high", spoken_hz(peak.hz), spoken_db(peak.db));
    match resonance {
        Resonance::Moves(from, to) => format!("resonance moves from {}, to {}", place(from), place(to)),
        Resonance::Damped(from) => format!("resonance at {}, is damped: no peak", place(from)),
        Resonance::Appears(to) => {
            format!("no peak until it is plugged in, then resonance at {}", place(to))
        }
        Resonance::Unloaded(at) => format!("resonance at {}", place(at)),
        Resonance::Nowhere => "no peak".to_owned(),
    }
}
