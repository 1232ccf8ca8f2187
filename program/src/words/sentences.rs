//! Verdicts, what to ask for, parts of a chain and cautions.

use dsp_core::circuit::{Element, Input, InputBox, Link, Pickup, Pickups};
use dsp_core::response::{HIGHEST_RESONANCE_DB, InputNeeded, Keeps, Response};
use dsp_core::units::Pitch;

use super::Words;

impl Words {
    /// The first line on a setup called `name`: what the lowest string loses, of coils also where the top falls.
    pub fn verdict(&self, response: &Response, lowest: &Pitch, lowest_hz: f64, name: &str) -> String {
        let loss_db = response.loss_db(lowest_hz);
        let place = self.say("verdict.place", &[("name", name)]);
        let db = self.db(loss_db);
        let values = [("string", self.note(lowest)), ("db", &db), ("place", &place)];
        let gains = loss_db < -0.05;
        let verdict =
            if gains { self.say("verdict.gains", &values) } else { self.say("verdict.loses", &values) };
        match response.top_corner_hz().filter(|_| response.is_magnetic()) {
            Some(hz) => self.say("verdict.top", &[("verdict", &verdict), ("hz", &self.hz(hz))]),
            None => verdict,
        }
    }

    /// The input to ask for, and what it keeps with the `max_loss_db` that was asked for.
    pub fn asked(&self, needed: &InputNeeded, max_loss_db: f64) -> String {
        let ask = match needed.asked_ohms() {
            (Some(from), Some(to)) => {
                self.say("ask.range", &[("from", &self.ohms(from)), ("to", &self.ohms(to))])
            }
            (Some(from), None) => self.say("ask.from", &[("from", &self.ohms(from))]),
            (None, _) => {
                let is_level = matches!(needed.keeps, Keeps::Level(_));
                let id = if is_level { self.get("ask.less_capacitance") } else { self.get("ask.none") };
                return id.to_owned();
            }
        };
        let reason = self.reason(needed.keeps, max_loss_db);
        self.say("ask.with_reason", &[("ask", &ask), ("reason", &reason)])
    }

    fn reason(&self, keeps: Keeps, max_loss_db: f64) -> String {
        let loss = self.figure(max_loss_db);
        match keeps {
            Keeps::Level(level_db) if level_db > 0.05 => self.say("ask.reason_left", &[("loss", &loss)]),
            Keeps::Level(_) => self.say("ask.reason_level", &[("loss", &loss)]),
            Keeps::LowString => self.say("ask.reason_low_string", &[("loss", &loss)]),
            Keeps::Top(hz) => self.say("ask.reason_top", &[("hz", &self.hz(hz)), ("loss", &loss)]),
            Keeps::Resonance(hz) => {
                let high = self.figure(HIGHEST_RESONANCE_DB);
                let values = [("hz", &*self.hz(hz)), ("loss", &loss), ("high", &high)];
                self.say("ask.reason_resonance", &values)
            }
        }
    }

    /// What a link is called: a box by its own name, the rest by its value.
    pub fn link_name(&self, link: &Link) -> String {
        match link {
            Link::Cable(cable) => self.say("link.cable", &[("length", &self.figure(cable.length))]),
            Link::Box(InputBox { name, .. }) => name.clone(),
            Link::Splitter(splitter) => splitter.name.clone(),
            Link::Resistance(value) => self.figure(value),
            Link::Capacitance(value) => self.figure(value),
            Link::Inductance(value) => self.figure(value),
        }
    }

    /// An instrument by its id, which is empty for a tuning of one's own.
    pub fn instrument(&self, id: &str) -> &'static str {
        self.get(&format!("instrument.{}", if id.is_empty() { "own" } else { id }))
    }

    /// What a box's jack leads to.
    pub fn input(&self, input: &Input) -> String {
        match input {
            Input::Resistance(value) => self.figure(value),
            Input::Transformer(transformer) => {
                self.say("link.transformer", &[("ohms", &self.ohms(transformer.reflected_ohms()))])
            }
        }
    }

    /// "680 pF pickup".
    pub fn pickup_short(&self, pickup: &Pickup) -> String {
        self.say("pickup.short", &[("value", &self.value(pickup))])
    }

    /// What the pickups are, with their controls.
    pub fn pickups(&self, pickups: &Pickups) -> String {
        let one = self.pickup(pickups.pickup(0));
        if pickups.count() == 1 {
            return one;
        }
        self.say("pickup.blend", &[("one", &one), ("other", &self.pickup(pickups.pickup(1)))])
    }

    fn pickup(&self, pickup: &Pickup) -> String {
        let value = self.value(pickup);
        let values = [("value", &*value)];
        let kind = if pickup.is_magnetic() {
            self.say("pickup.magnetic", &values)
        } else {
            self.say("pickup.capacitive", &values)
        };
        let volume = pickup
            .volume
            .map(|volume| self.say("pickup.volume", &[("position", &self.figure(volume.position))]));
        let tone =
            pickup.tone.map(|tone| self.say("pickup.tone", &[("position", &self.figure(tone.position))]));
        [Some(kind), volume, tone].into_iter().flatten().collect::<Vec<_>>().join(", ")
    }

    /// A pickup's capacitance or inductance.
    pub fn value(&self, pickup: &Pickup) -> String {
        match &pickup.element {
            Element::Capacitive(element) => self.figure(format!("{:.4}", element.capacitance)),
            Element::Magnetic(element) => self.figure(format!("{:.4}", element.inductance)),
        }
    }

    /// What every page and note carries.
    pub fn cautions(&self, pickups: &Pickups) -> [&'static str; 4] {
        let magnetic = |index| pickups.pickup(index).is_magnetic();
        let model = match (0..pickups.count()).filter(|index| magnetic(*index)).count() {
            0 => self.get("caution.model_capacitance"),
            coils if coils == pickups.count() => self.get("caution.model_inductance"),
            _ => self.get("caution.model_both"),
        };
        [self.get("caution.mute"), self.get("caution.earth"), self.get("caution.undo"), model]
    }
}
