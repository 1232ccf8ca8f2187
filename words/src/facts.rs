//! What shaped a response, as sentences.

use dsp_core::circuit::{Chain, Pickups};
use dsp_core::response::{Against, Fact, Owner, Peak, Resonance, Slope};
use dsp_core::units::Pitch;

use super::Words;

impl Words {
    /// What shaped the response of `pickups` into `chain`, a sentence each; `lowest` is the lowest string, sounding at `lowest_hz`.
    pub fn facts(&self, pickups: &Pickups, chain: &Chain, lowest: &Pitch, lowest_hz: f64) -> Vec<String> {
        Fact::all(pickups, chain, lowest_hz).iter().map(|fact| self.fact(fact, lowest)).collect()
    }

    fn fact(&self, fact: &Fact, lowest: &Pitch) -> String {
        let string = ("string", self.note(lowest));
        match fact {
            Fact::EachAlone(each) => {
                let [(one, loss_db), (other, other_db)] = &**each;
                let (one, other) = (self.pickup_short(one), self.pickup_short(other));
                let (loss, other_loss) = (self.db(*loss_db), self.db(*other_db));
                let values =
                    [("one", &*one), ("other", &other), ("loss", &loss), ("other_loss", &other_loss)];
                self.say("fact.each_alone", &[&values[..], &[string]].concat())
            }
            Fact::Cancel(gain_db) => self.say("fact.cancel", &[string, ("db", &self.db(*gain_db))]),
            Fact::Controls(db) => self.say("fact.controls", &[("db", &self.db(*db))]),
            Fact::Inductive { owner, slope, peak, cost_db, against } => {
                let (owner, size, than) = (self.owner(owner), self.size(*cost_db), self.than(*against));
                let values = [string, ("owner", &owner), ("size", &size), ("than", &than)];
                self.inductive(slope.as_ref(), *peak, &values)
            }
            Fact::Blocking(capacitance, db) => {
                let (farads, size) = (self.figure(capacitance), self.db(*db));
                let values = [string, ("farads", &farads), ("db", &size)];
                if *db < 0.0 {
                    self.say("fact.blocking_lifts", &values)
                } else {
                    self.say("fact.blocking_costs", &values)
                }
            }
            Fact::Active(name) => self.say("fact.active", &[("name", name)]),
            Fact::Resonance(None, resonance) => self.resonance(*resonance),
            Fact::Resonance(Some(pickup), resonance) => {
                let (pickup, resonance) = (self.pickup_short(pickup), self.resonance(*resonance));
                self.say("fact.resonance_of", &[("pickup", &pickup), ("resonance", &resonance)])
            }
            Fact::Top(hz, None) => self.say("fact.top", &[("hz", &self.hz(*hz))]),
            Fact::Top(hz, Some(position)) => {
                let position = self.figure(position);
                self.say("fact.top_volume", &[("hz", &self.hz(*hz)), ("position", &position)])
            }
        }
    }

    fn inductive(&self, slope: Option<&Slope>, peak: Option<Peak>, values: &[(&str, &str)]) -> String {
        let Some(slope) = slope else { return self.say("fact.inductive", values) };
        let (steepness, hz) = ((6 * slope.order).to_string(), self.hz(slope.below_hz));
        let falls = [values, &[("slope", &*steepness), ("hz", &hz)]].concat();
        let Some(peak) = peak else { return self.say("fact.inductive_slope", &falls) };
        let (peak_db, peak_hz) = (self.db(peak.db), self.hz(peak.hz));
        let rises = [("peak_db", &*peak_db), ("peak_hz", &peak_hz)];
        self.say("fact.inductive_peak", &[&falls[..], &rises].concat())
    }

    fn owner(&self, owner: &Owner) -> String {
        match owner {
            Owner::Heard => self.get("fact.owner_heard").to_owned(),
            Owner::Box(name) => self.say("fact.owner_box", &[("name", name)]),
            Owner::Bare(henries) => self.say("fact.owner_bare", &[("henries", &self.figure(henries))]),
        }
    }

    /// Less than 0.05 dB is not worth a word.
    fn size(&self, cost_db: f64) -> String {
        match cost_db {
            ..-0.05 => self.say("fact.size_less", &[("db", &self.db(-cost_db))]),
            ..0.05 => self.get("fact.size_same").to_owned(),
            _ => self.say("fact.size_more", &[("db", &self.db(cost_db))]),
        }
    }

    fn than(&self, against: Against) -> String {
        match against {
            Against::Resistor(ohms) => self.say("fact.than_resistor", &[("ohms", &self.ohms(ohms))]),
            Against::Rest(ohms) => self.say("fact.than_rest", &[("ohms", &self.ohms(ohms))]),
            Against::Nothing => self.get("fact.than_nothing").to_owned(),
        }
    }

    fn resonance(&self, resonance: Resonance) -> String {
        let from = |peak: Peak| [("from_hz", self.hz(peak.hz)), ("from_db", self.db(peak.db))];
        let to = |peak: Peak| [("to_hz", self.hz(peak.hz)), ("to_db", self.db(peak.db))];
        let say = |id, values: Vec<(&str, String)>| {
            let values: Vec<(&str, &str)> =
                values.iter().map(|(name, value)| (*name, value.as_str())).collect();
            self.say(id, &values)
        };
        match resonance {
            Resonance::Moves(before, after) => {
                say("fact.resonance_moves", from(before).into_iter().chain(to(after)).collect())
            }
            Resonance::Damped(before) => say("fact.resonance_damped", from(before).to_vec()),
            Resonance::Appears(after) => say("fact.resonance_appears", to(after).to_vec()),
            Resonance::Unloaded(at) => say("fact.resonance_unloaded", from(at).to_vec()),
            Resonance::Nowhere => self.get("fact.resonance_nowhere").to_owned(),
        }
    }
}
