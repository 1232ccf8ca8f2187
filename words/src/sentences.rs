//! Verdicts, what to ask for, parts of a chain and cautions.

use dsp_core::circuit::{Chain, Element, Input, InputBox, Link, Pickup, Pickups, Spread};
use dsp_core::filter::Sections;
use dsp_core::kit::TypedLoad;
use dsp_core::processor::GuardCause;
use dsp_core::response::{Between, Floor, InputNeeded, Keeps, Leak, Noise, Range, Response, Shape, Undo};
use dsp_core::units::Pitch;

use super::{Words, visible};

/// A take that was recorded through what cost the lowest string less than this, in dB, has lost nothing worth a word.
const LEAST_LOSS_DB: f64 = 0.5;

/// Less is said as "less than 0.1 dB", in dB.
const HARDLY_DB: f64 = 0.05;

impl Words {
    /// The first line: what the lowest string loses, of coils also where the top falls. `place` says where.
    pub fn verdict(&self, response: &Response, lowest: &Pitch, lowest_hz: f64, place: &str) -> String {
        let verdict = self.loses(lowest, response.loss_db(lowest_hz), place);
        match response.top_corner_hz().filter(|_| response.is_magnetic()) {
            Some(hz) => self.say("verdict.top", &[("verdict", &verdict), ("hz", &self.hz(hz))]),
            None => verdict,
        }
    }

    /// The first line on a chain: as [`Words::verdict`], and where any value carries a tolerance, with ranges.
    pub fn verdict_of(
        &self,
        pickups: &Pickups,
        chain: &Chain,
        lowest: &Pitch,
        lowest_hz: f64,
        place: &str,
    ) -> String {
        let response = Response::new(pickups, chain);
        match Spread::of(pickups, [chain]) {
            Some(spread) => self.verdict_within(&spread, response.is_magnetic(), lowest, lowest_hz, place),
            None => self.verdict(&response, lowest, lowest_hz, place),
        }
    }

    /// The first line on a chain within its tolerances; `is_magnetic` says whether every pickup is a coil.
    pub fn verdict_within(
        &self,
        spread: &Spread,
        is_magnetic: bool,
        lowest: &Pitch,
        lowest_hz: f64,
        place: &str,
    ) -> String {
        let verdict = self.loses_between(lowest, spread.loss_db(lowest_hz), place);
        let top_hz = is_magnetic.then(|| spread.top_corner_hz());
        match top_hz.filter(|range| range.low.is_finite()) {
            Some(range) => self.say("verdict.top", &[("verdict", &verdict), ("hz", &self.hz_range(range))]),
            None => verdict,
        }
    }

    /// The first line on a take that is heard through another chain: where the one that it was recorded through cost nothing, what is lost; else
    /// what of that comes back, or what is lost more. `shape` is what is done to the track of a single pickup.
    pub fn verdict_of_change(
        &self,
        between: &Between,
        shape: &Shape,
        lowest: &Pitch,
        lowest_hz: f64,
        place: &str,
    ) -> String {
        let (recorded, heard) = between.responses();
        let (chain, at) = &between.heard;
        let pickups = between.pickups.with_positions(*at);
        if between.pickups.count() > 1 || between.is_same() || recorded.loss_db(lowest_hz) < LEAST_LOSS_DB {
            return self.verdict_of(&pickups, chain, lowest, lowest_hz, place);
        }
        let verdict = self.changes(between, shape, lowest, lowest_hz, place);
        match (recorded.top_corner_hz(), heard.top_corner_hz()) {
            (Some(from_hz), Some(hz)) if heard.is_magnetic() && self.hz(from_hz) != self.hz(hz) => {
                let values = [("verdict", &*verdict), ("hz", &self.hz(hz)), ("from_hz", &self.hz(from_hz))];
                self.say("change.top", &values)
            }
            _ => verdict,
        }
    }

    fn changes(&self, between: &Between, shape: &Shape, lowest: &Pitch, hz: f64, place: &str) -> String {
        let more = between.range(|recorded, heard| heard.loss_db(hz) - recorded.loss_db(hz));
        let all = self.db_range(between.range(|_, heard| heard.loss_db(hz)));
        let (string, place) = (("string", self.note(lowest)), ("place", place));
        match (more.low < -HARDLY_DB, more.high > HARDLY_DB) {
            (true, true) => {
                let (loss, gain) = (self.db(more.high), self.db(more.low));
                self.say("change.either", &[string, ("loss", &loss), ("gain", &gain), place])
            }
            (true, false) => {
                let (from, to) = between.responses();
                let change =
                    Undo { from: &from.parts()[0], to: &to.parts()[0], shape, magnetic: to.is_magnetic() };
                let lost = self.db_range(between.range(|recorded, _| recorded.loss_db(hz)));
                let back = self.db(change.given_db(hz));
                self.say("change.gets_back", &[string, ("back", &back), ("lost", &lost), place])
            }
            (false, true) => {
                let more = self.db_range(more);
                self.say("change.loses", &[string, ("more", &more), ("all", &all), place])
            }
            (false, false) => self.say("change.same", &[string, ("all", &all), place]),
        }
    }

    /// "low A loses 11 to 16 dB through the tuner"; losses are negative for gains.
    pub fn loses_between(&self, string: &Pitch, loss_db: Range, place: &str) -> String {
        let (string, db) = (("string", self.note(string)), self.db_range(loss_db));
        let values = [string, ("db", &db), ("place", place)];
        let (gains, loses) = (loss_db.low < -HARDLY_DB, loss_db.high > HARDLY_DB);
        if gains && loses {
            let (loss, gain) = (self.db(loss_db.high), self.db(loss_db.low));
            self.say("verdict.either", &[string, ("loss", &loss), ("gain", &gain), ("place", place)])
        } else if gains {
            self.say("verdict.gains", &values)
        } else {
            self.say("verdict.loses", &values)
        }
    }

    /// "low A loses 13 dB through the tuner"; `loss_db` is negative for a gain.
    pub fn loses(&self, string: &Pitch, loss_db: f64, place: &str) -> String {
        let db = self.db(loss_db);
        let values = [("string", self.note(string)), ("db", &db), ("place", place)];
        if loss_db < -HARDLY_DB {
            self.say("verdict.gains", &values)
        } else {
            self.say("verdict.loses", &values)
        }
    }

    /// Where something is lost: through a box, by its name.
    pub fn through(&self, name: &str) -> String {
        self.say("verdict.through", &[("name", name)])
    }

    /// Where something is lost: into a load, or into none.
    pub fn into_load(&self, load: &TypedLoad) -> String {
        let none = load.is_empty();
        let load = if none { self.get("verdict.no_load").to_owned() } else { self.figure(load) };
        self.say("verdict.into", &[("load", &load)])
    }

    /// Why the guard closed.
    pub fn guard_cause(&self, cause: GuardCause) -> &'static str {
        self.get(match cause {
            GuardCause::NotFinite => "guard.not_finite",
            GuardCause::Runaway => "guard.runaway",
            GuardCause::Unexplained => "guard.unexplained",
        })
    }

    /// How often the guard closed, why, and if it is known, when first; nothing if it did not.
    pub fn guard(
        &self,
        closures: u64,
        cause: Option<GuardCause>,
        first_seconds: Option<f64>,
    ) -> Option<String> {
        let (times, cause) = (closures.to_string(), self.guard_cause(cause?));
        Some(match first_seconds {
            Some(seconds) => {
                let values = [("times", &*times), ("cause", cause), ("seconds", &format!("{seconds:.3}"))];
                self.say("guard.closed_first", &values)
            }
            None => self.say("guard.closed", &[("times", &times), ("cause", cause)]),
        })
    }

    /// What undoing gives back: at a coil's top, of any other pickup at the lowest string.
    pub fn undo(&self, undo: &Undo, lowest: &Pitch, lowest_hz: f64) -> String {
        let hz = undo.judged_hz(lowest_hz);
        let (lost, back, at) = (self.db(undo.lost_db(hz)), self.db(undo.shape.db(hz)), self.hz(hz));
        let values = [("string", self.note(lowest)), ("back", &*back), ("lost", &lost), ("hz", &at)];
        if undo.magnetic { self.say("undo.top", &values) } else { self.say("undo.string", &values) }
    }

    /// How far the filter is from the model at most, to thousandths, upwards, at a sample rate.
    pub fn filter_error(&self, db: f64, rate_hz: f64) -> String {
        let (db, rate, to) = (
            self.figure(format!("{:.3} dB", (db * 1e3).ceil() / 1e3)),
            self.figure(format!("{} kHz", rate_hz / 1e3)),
            self.hz(Sections::accurate_to_hz(rate_hz)),
        );
        self.say("filter.error", &[("db", &db), ("rate", &rate), ("hz", &to)])
    }

    /// By how much noise rises.
    pub fn noise(&self, noise: Noise, db: f64) -> String {
        let db = self.db(db);
        match noise {
            Noise::Rumble => self.say("noise.rumble", &[("db", &db)]),
            Noise::Hiss => self.say("noise.hiss", &[("db", &db)]),
        }
    }

    /// Where what lifts the lows comes down again, and what that costs the lowest string.
    pub fn undo_floor(&self, floor: Floor, lowest_hz: f64) -> String {
        let hz = self.figure(format!("{} Hz", (floor.hz * 10.0).round() / 10.0));
        self.say("noise.undo_floor", &[("hz", &hz), ("db", &self.db(floor.cost_db(lowest_hz)))])
    }

    /// The input to ask for, and what it keeps with the `max_loss_db` that was asked for.
    pub fn asked(&self, needed: &InputNeeded, max_loss_db: f64) -> String {
        let ask = self.input_asked(needed);
        if needed.from_ohms.is_none() {
            return ask;
        }
        let reason = self.reason(needed, max_loss_db);
        self.say("ask.with_reason", &[("ask", &ask), ("reason", &reason)])
    }

    /// What to ask for in two parts: "ask for an input of at least", and "470 kΩ"; where no input is high enough, why, and
    /// what to do instead, if anything helps.
    pub fn asked_figure(&self, needed: &InputNeeded) -> (String, Option<String>) {
        match needed.asked_ohms() {
            (Some(from), Some(to)) => {
                let range = self.say("range.to", &[("from", &self.ohms(from)), ("to", &self.ohms(to))]);
                (self.get("ask.between").to_owned(), Some(range))
            }
            (Some(from), None) => (self.get("ask.at_least").to_owned(), Some(self.ohms(from))),
            (None, _) => {
                let said = self.input_asked(needed);
                // What to do instead stands behind a colon.
                match said.split_once(": ") {
                    Some((why, what)) => (why.to_owned(), Some(what.to_owned())),
                    None => (said, None),
                }
            }
        }
    }

    /// What would help most: "without the combo in parallel it would lose 13 dB".
    pub fn without(&self, name: &str, loss_db: f64) -> String {
        self.say("help.without", &[("name", name), ("db", &self.db(loss_db))])
    }

    /// What the level match does: "turned up 27 dB"; nothing where that is hardly heard.
    pub fn turned(&self, gain_db: f64) -> Option<String> {
        let id = if gain_db < 0.0 { "match.down" } else { "match.up" };
        (gain_db.abs() >= HARDLY_DB).then(|| self.say(id, &[("db", &self.db(gain_db))]))
    }

    /// The input to ask for, "an input of at least 470 kΩ", or what would help where none is high enough.
    pub fn input_asked(&self, needed: &InputNeeded) -> String {
        match needed.asked_ohms() {
            (Some(from), Some(to)) => {
                self.say("ask.range", &[("from", &self.ohms(from)), ("to", &self.ohms(to))])
            }
            (Some(from), None) => self.say("ask.from", &[("from", &self.ohms(from))]),
            (None, _) => match (&needed.buffer_before, needed.leak) {
                (Some(name), _) => self.say("ask.buffer", &[("name", name)]),
                (None, Some(Leak::Pickup(ohms))) => {
                    self.say("ask.leak_pickup", &[("ohms", &self.ohms(ohms))])
                }
                (None, Some(Leak::Cable(ohms))) => self.say("ask.leak_cable", &[("ohms", &self.ohms(ohms))]),
                (None, None) => self.get("ask.none").to_owned(),
            },
        }
    }

    fn reason(&self, needed: &InputNeeded, max_loss_db: f64) -> String {
        let (loss, usual) = (self.figure(max_loss_db), self.ohms(InputNeeded::USUAL_OHMS));
        let at = |hz: f64| [("hz", self.hz(hz)), ("loss", loss.clone()), ("usual", usual.clone())];
        let top = |id, hz| self.say(id, &at(hz).each_ref().map(|(name, value)| (*name, value.as_str())));
        match needed.keeps {
            Keeps::Level(level_db) if level_db > 0.05 => self.say("ask.reason_left", &[("loss", &loss)]),
            Keeps::Level(_) => self.say("ask.reason_level", &[("loss", &loss)]),
            Keeps::LowString => self.say("ask.reason_low_string", &[("loss", &loss)]),
            Keeps::Top(hz) => top("ask.reason_top", hz),
            Keeps::Resonance(hz) if needed.to_ohms.is_none() => top("ask.reason_resonance", hz),
            Keeps::Resonance(hz) => {
                let (reason, high) = (top("ask.reason_resonance", hz), self.figure(InputNeeded::SHRILL_DB));
                self.say("ask.reason_shrill", &[("reason", &reason), ("high", &high)])
            }
        }
    }

    /// What a link is called: a box by its own name, the rest by its value.
    pub fn link_name(&self, link: &Link) -> String {
        match link {
            Link::Cable(cable) => self.say("link.cable", &[("length", &self.figure(cable.length))]),
            Link::Box(InputBox { name, .. }) => visible(name).into_owned(),
            Link::Splitter(splitter) => visible(&splitter.name).into_owned(),
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

    /// A pickup's value as far as it is known: "680 pF ±30 %", "about 680 pF" where no tolerance is given.
    pub fn about(&self, pickup: &Pickup) -> String {
        self.stated(pickup, "pickup.about")
    }

    fn stated(&self, pickup: &Pickup, without_tolerance: &str) -> String {
        let value = self.value(pickup);
        let tolerance = match &pickup.element {
            Element::Capacitive(element) => element.capacitance.tolerance(),
            Element::Magnetic(element) => element.inductance.tolerance(),
        };
        if tolerance.is_none() { self.say(without_tolerance, &[("value", &value)]) } else { value }
    }

    /// What the pickups are, with their controls; a value without a tolerance is not taken for a measured one.
    pub fn pickups(&self, pickups: &Pickups) -> String {
        let one = self.pickup(pickups.pickup(0));
        if pickups.count() == 1 {
            return one;
        }
        self.say("pickup.blend", &[("one", &one), ("other", &self.pickup(pickups.pickup(1)))])
    }

    fn pickup(&self, pickup: &Pickup) -> String {
        let value = self.stated(pickup, "pickup.unmeasured");
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
        let model = ["caution.model_capacitance", "caution.model_inductance", "caution.model_both"];
        let model = self.of_kind(pickups, model);
        [self.get("caution.mute"), self.get("caution.earth"), self.get("caution.undo"), model]
    }

    /// That figures are those of a model, in short.
    pub fn measure(&self, pickups: &Pickups) -> &'static str {
        self.of_kind(
            pickups,
            ["caution.measure_capacitance", "caution.measure_inductance", "caution.measure_both"],
        )
    }

    /// What a report of losses carries.
    pub fn cautions_in_short(&self, pickups: &Pickups) -> String {
        format!("{}\n{}\n", self.measure(pickups), self.get("caution.local"))
    }

    /// What is said of capacitive pickups, of coils, and of one of each.
    fn of_kind(&self, pickups: &Pickups, ids: [&str; 3]) -> &'static str {
        let coils = (0..pickups.count()).filter(|index| pickups.pickup(*index).is_magnetic()).count();
        self.get(match coils {
            0 => ids[0],
            coils if coils == pickups.count() => ids[1],
            _ => ids[2],
        })
    }
}
