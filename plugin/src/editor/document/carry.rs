//! What one edit changed, carried over to a document that has changed meanwhile: value by value, so that nothing else moves.

use dsp_core::circuit::{
    CapacitivePickup, Chain, Element, Knobs, MagneticPickup, Pickup, Pickups, Positions,
};
use dsp_core::preset::{Preset, Setup};

use super::Document;

/// Two documents before and after an edit, or after and before it.
struct Carry {
    /// Where something is neither what it was nor what it became, somebody else has changed it: it stays.
    keeps_others: bool,
}

/// `onto` with what `from` and `to` differ in taken of `to`, but for what is not as it was in `from`: that has been changed by somebody
/// else since.
pub fn carried(from: &Document, to: &Document, onto: &Document) -> Document {
    Carry { keeps_others: true }.document([from, to, onto, to])
}

/// `from` with what `from` and `to` differ in taken of what became of `to`.
pub fn held(from: &Document, to: &Document, became: &Document) -> Document {
    Carry { keeps_others: false }.document([from, to, from, became])
}

/// One thing in all four documents: before, after, what it is put into, and what it is taken of.
type Four<'a, T> = [&'a T; 4];

/// The same part of all four.
fn part<'a, T, P: ?Sized>(all: Four<'a, T>, of: impl Fn(&'a T) -> &'a P) -> [&'a P; 4] {
    all.map(of)
}

impl Carry {
    fn one<T: PartialEq + Clone>(&self, [from, to, onto, of]: Four<'_, T>) -> T {
        let is_taken = from != to && (!self.keeps_others || onto == from);
        if is_taken { of } else { onto }.clone()
    }

    fn document(&self, all: Four<'_, Document>) -> Document {
        Document {
            preset: self.preset(part(all, |one| &one.preset)),
            heard: self.heard(all),
            bypass: self.one(part(all, |one| &one.bypass)),
            ceiling: self.one(part(all, |one| &one.ceiling)),
            floor: self.one(part(all, |one| &one.floor)),
            level_match: self.one(part(all, |one| &one.level_match)),
            hold: self.one(part(all, |one| &one.hold)),
            guard: self.one(part(all, |one| &one.guard)),
            trim_db: self.one(part(all, |one| &one.trim_db)),
            output_db: self.one(part(all, |one| &one.output_db)),
        }
    }

    /// Where setups have other numbers, what is heard is heard still.
    fn heard(&self, all: Four<'_, Document>) -> Option<usize> {
        let [from, to, onto, _] = all;
        let name =
            |document: &Document, index: usize| document.preset.setups.get(index).map(|one| one.name.clone());
        let is_list = self.list(part(all, |one| &one.preset.setups)) == List::Other;
        match onto.heard {
            Some(heard) if is_list && onto.heard != from.heard => {
                let place = name(from, heard)
                    .and_then(|name| to.preset.setups.iter().position(|setup| setup.name == name));
                Some(place.unwrap_or_else(|| heard.min(to.preset.setups.len().saturating_sub(1))))
            }
            _ => self.one(part(all, |one| &one.heard)),
        }
    }

    fn preset(&self, all: Four<'_, Preset>) -> Preset {
        Preset {
            name: self.one(part(all, |one| &one.name)),
            instrument: self.one(part(all, |one| &one.instrument)),
            pickups: self.pickups(part(all, |one| &one.pickups)),
            recorded: self.chain(part(all, |one| &one.recorded)),
            says_recorded: self.one(part(all, |one| &one.says_recorded)),
            recorded_at: self.positions(part(all, |one| &one.recorded_at)),
            venues: self.one(part(all, |one| &one.venues)),
            setups: self.setups(part(all, |one| &one.setups)),
        }
    }

    fn pickups(&self, all: Four<'_, Pickups>) -> Pickups {
        match all {
            [Pickups::One(from), Pickups::One(to), Pickups::One(onto), Pickups::One(of)] => {
                Pickups::One(self.pickup([from, to, onto, of]))
            }
            [Pickups::Blend(from), Pickups::Blend(to), Pickups::Blend(onto), Pickups::Blend(of)] => {
                let mut blend = *onto;
                for (index, one) in blend.iter_mut().enumerate() {
                    let all = [&from[index], &to[index], &onto[index], &of[index]];
                    one.pickup = self.pickup(part(all, |one| &one.pickup));
                    one.mixing = self.one(part(all, |one| &one.mixing));
                    one.polarity = self.one(part(all, |one| &one.polarity));
                }
                Pickups::Blend(blend)
            }
            _ => self.one(all),
        }
    }

    fn pickup(&self, all: Four<'_, Pickup>) -> Pickup {
        Pickup {
            element: self.element(part(all, |one| &one.element)),
            volume: self.one(part(all, |one| &one.volume)),
            tone: self.one(part(all, |one| &one.tone)),
        }
    }

    /// Its first value is a parameter's.
    fn element(&self, all: Four<'_, Element>) -> Element {
        use Element::{Capacitive, Magnetic};
        match all {
            [Capacitive(from), Capacitive(to), Capacitive(onto), Capacitive(of)] => {
                let all = [from, to, onto, of];
                Capacitive(CapacitivePickup {
                    capacitance: self.one(part(all, |one| &one.capacitance)),
                    leakage: self.one(part(all, |one| &one.leakage)),
                })
            }
            [Magnetic(from), Magnetic(to), Magnetic(onto), Magnetic(of)] => {
                let all = [from, to, onto, of];
                Magnetic(MagneticPickup {
                    inductance: self.one(part(all, |one| &one.inductance)),
                    resistance: self.one(part(all, |one| &one.resistance)),
                    winding: self.one(part(all, |one| &one.winding)),
                    loss: self.one(part(all, |one| &one.loss)),
                })
            }
            _ => self.one(all),
        }
    }

    fn positions(&self, all: Four<'_, Positions>) -> Positions {
        Positions {
            volume: self.one(part(all, |one| &one.volume)),
            tone: self.one(part(all, |one| &one.tone)),
        }
    }

    /// What parameters hold of a chain apart from the rest of it.
    fn chain(&self, all: Four<'_, Chain>) -> Chain {
        let [from, to, onto, of] = all;
        if from == to {
            return onto.clone();
        }
        let knobs = all.map(|chain| Knobs::take(chain).0);
        let [a, b, c, d] = &knobs;
        let knobs = Knobs {
            input: self.one([&a.input, &b.input, &c.input, &d.input]),
            capacitance: self.one([&a.capacitance, &b.capacitance, &c.capacitance, &d.capacitance]),
            cable: self.one([&a.cable, &b.cable, &c.cable, &d.cable]),
            primary: self.one([&a.primary, &b.primary, &c.primary, &d.primary]),
        };
        // All four with the same values: what differs still is the rest.
        let [from, to, onto, of] = [from, to, onto, of].map(|chain| knobs.put(chain));
        self.one([&from, &to, &onto, &of])
    }

    fn setup(&self, all: Four<'_, Setup>) -> Setup {
        Setup {
            name: self.one(part(all, |one| &one.name)),
            venue: self.one(part(all, |one| &one.venue)),
            chain: self.chain(part(all, |one| &one.chain)),
            positions: self.positions(part(all, |one| &one.positions)),
        }
    }

    fn setups(&self, all: Four<'_, Vec<Setup>>) -> Vec<Setup> {
        let [from, to, onto, of] = all;
        match self.list(all) {
            List::Same => (0..onto.len()).map(|index| self.setup(part(all, |one| &one[index]))).collect(),
            List::Others => onto.clone(),
            List::Other => of
                .iter()
                .map(|setup| {
                    let named = |list: &'_ Vec<Setup>| list.iter().position(|one| one.name == setup.name);
                    match (named(from), named(to), named(onto)) {
                        (Some(a), Some(b), Some(c)) => self.setup([&from[a], &to[b], &onto[c], setup]),
                        _ => setup.clone(),
                    }
                })
                .collect(),
        }
    }

    fn list(&self, [from, to, onto, of]: Four<'_, Vec<Setup>>) -> List {
        let names = |list: &[Setup]| list.iter().map(|setup| setup.name.clone()).collect::<Vec<_>>();
        let (before, after) = (names(from), names(to));
        let is_renamed =
            before.iter().zip(&after).all(|(one, other)| one == other || !before.contains(other));
        let lengths = [to.len(), onto.len(), of.len()];
        if is_renamed && lengths == [from.len(); 3] {
            List::Same
        } else if before == after || (self.keeps_others && names(onto) != before) {
            List::Others
        } else {
            List::Other
        }
    }
}

/// What an edit did to the list of setups.
#[derive(PartialEq)]
enum List {
    /// Each is where it was.
    Same,
    /// Nothing, but somebody else did.
    Others,
    /// There are more, fewer, or in another order.
    Other,
}
