//! What a person's kit has, in words.

use dsp_core::circuit::{Element, Input, InputBox, Pickup, Thru};
use dsp_core::kit::{Entry, Levels, Method, Origin};
use dsp_core::units::{FullScale, Resistance};

use super::Words;

impl Words {
    /// The values of a kit's entry, what matters most first.
    pub fn kit_values(&self, entry: &Entry) -> String {
        match entry {
            Entry::Pickup(pickup) => self.pickup_values(&pickup.pickup),
            Entry::Box(input) => {
                let levels = self.levels(&input.levels);
                let values = std::iter::once(self.box_values(&input.input)).chain(levels);
                values.collect::<Vec<_>>().join(", ")
            }
        }
    }

    fn pickup_values(&self, pickup: &Pickup) -> String {
        let one = |id: &str, value: String| Some(self.say(id, &[("value", &value)]));
        let mut values = match &pickup.element {
            Element::Capacitive(element) => vec![
                Some(self.figure(element.capacitance)),
                element.leakage.and_then(|value| one("kit.leakage", self.figure(value))),
            ],
            Element::Magnetic(coil) => vec![
                Some(self.figure(coil.inductance)),
                one("kit.resistance", self.figure(coil.resistance)),
                coil.winding.and_then(|value| one("kit.winding", self.figure(value))),
                coil.loss.and_then(|value| one("kit.loss", self.figure(value))),
            ],
        };
        values.push(pickup.volume.and_then(|volume| one("kit.pot", self.figure(volume.resistance))));
        values.push(pickup.tone.map(|tone| {
            let (ohms, farads) = (self.figure(tone.resistance), self.figure(tone.capacitance));
            self.say("kit.tone", &[("resistance", &ohms), ("capacitance", &farads)])
        }));
        values.into_iter().flatten().collect::<Vec<_>>().join(", ")
    }

    fn box_values(&self, input: &InputBox) -> String {
        let one = |id: &str, value: String| self.say(id, &[("value", &value)]);
        let main = match input.input {
            Input::Resistance(value) => self.figure(value),
            Input::Transformer(transformer) => {
                let nominal = Resistance::from_ohms(transformer.nominal_ohms());
                let nominal = nominal.map(|value| self.figure(value)).unwrap_or_default();
                let primary = self.figure(transformer.primary);
                self.say("kit.transformer", &[("primary", &primary), ("nominal", &nominal)])
            }
        };
        let thru = input.thru.map(|thru| match thru {
            Thru::Before => self.get("kit.before"),
            Thru::After => self.get("kit.buffered"),
            Thru::Active => self.get("kit.active"),
        });
        let values = [
            Some(main),
            input.capacitance.map(|value| one("kit.capacitance", self.figure(value))),
            input.blocking.map(|value| one("kit.blocking", self.figure(value))),
            thru.map(str::to_owned),
        ];
        values.into_iter().flatten().collect::<Vec<_>>().join(", ")
    }

    /// Those of an audio interface that are known.
    fn levels(&self, levels: &Levels) -> impl Iterator<Item = String> {
        let dbu = |level: FullScale| self.figure(format!("{:.1} dBu", level.dbu()));
        let values = [
            levels.recorded.map(|level| ("kit.recorded", dbu(level))),
            levels.played.map(|level| ("kit.played", dbu(level))),
            levels.resistance.map(|value| ("kit.output", self.figure(value))),
        ];
        values.into_iter().flatten().map(|(id, value)| self.say(id, &[("value", &value)]))
    }

    /// Where a kit's values come from.
    pub fn kit_origin(&self, origin: &Origin) -> String {
        let method = |method: Method| {
            self.get(match method {
                Method::Sweep => "kit.sweep",
                Method::Toggle => "kit.toggle",
                Method::Rub => "kit.rub",
                Method::Meter => "kit.meter",
                Method::Printed => "kit.printed",
            })
        };
        match (&origin.measured, origin.method) {
            (Some(date), Some(Method::Printed)) => self.say("kit.printed_on", &[("date", &date.to_string())]),
            (None, Some(Method::Printed)) => self.get("kit.printed").to_owned(),
            (Some(date), Some(by)) => {
                self.say("kit.measured_by", &[("date", &date.to_string()), ("method", method(by))])
            }
            (Some(date), None) => self.say("kit.measured", &[("date", &date.to_string())]),
            (None, Some(by)) => self.say("kit.method", &[("method", method(by))]),
            (None, None) => self.get("kit.unsaid").to_owned(),
        }
    }
}
