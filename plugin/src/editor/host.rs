use std::hash::{DefaultHasher, Hash, Hasher};
use std::sync::Arc;

use dsp_core::circuit::{Chain, Pickup, Positions};
use dsp_core::preset::{Preset, Setup};
use dsp_core::response::Ceiling;
use nice_plug::context::gui::GuiContext;
use nice_plug::prelude::*;

use super::gestures::{Gestures, Target};
use super::held::{held, rounded};
use super::{Document, Listener, NoiseAsked, Readings, Session, Stage};
use crate::host::params::{FirstjackParams, Heard, TakeParams};
use crate::host::view_field::View;
use crate::host::{preset, quantities, stored};
use crate::sound::SETUPS;
use crate::sound::circuit::Circuit;
use crate::sound::shown;
use crate::sound::telemetry::Telemetry;
use crate::sound::values::{Source, Values};

/// The plugin in a host. The document is the circuit's preset with the parameters' values in it.
pub struct HostSession {
    params: Arc<FirstjackParams>,
    gestures: Gestures,
    base: Base,
    /// Whether this gesture has changed the circuit.
    circuit_changed: bool,
    /// The circuit that cannot be read of which that has been told.
    told: Option<u64>,
    listener: Listener,
}

/// The circuit's preset as it was read.
struct Base {
    /// Of the circuit's text.
    version: u64,
    preset: Preset,
}

const LOADED_MEANWHILE: &str = "the host has loaded another state meanwhile: change that one";

/// A preset that is asked for, in parts.
struct Asked {
    preset: Preset,
    values: Values,
    circuit: Circuit,
}

/// What becomes of the circuit in a change.
type NewCircuit = Option<(Preset, Circuit)>;

impl HostSession {
    /// Of an instance whose window is open.
    pub fn new(params: Arc<FirstjackParams>, context: GuiContext, telemetry: Arc<Telemetry>) -> Self {
        let base = Base::of(&params);
        Self {
            params,
            gestures: Gestures::new(context),
            base,
            circuit_changed: false,
            told: None,
            listener: Listener::new(telemetry),
        }
    }

    /// Takes in what has sounded since the last frame, at so many seconds of the window's clock.
    pub fn listen(&mut self, now_seconds: f64) {
        self.listener.listen(now_seconds);
    }

    fn look(&mut self) {
        if self.params.circuit.version() != self.base.version {
            self.base = Base::of(&self.params);
        }
    }

    fn float(&self, param: &FloatParam) -> f32 {
        param.preview_plain(Gestures::now(param.as_ptr()))
    }

    fn switch(&self, param: &BoolParam) -> bool {
        param.preview_plain(Gestures::now(param.as_ptr()))
    }

    fn heard(&self) -> Option<usize> {
        let param = &self.params.heard;
        param.preview_plain(Gestures::now(param.as_ptr())).setup()
    }

    fn now(&self) -> Document {
        let level = &self.params.level;
        let TakeParams { ceiling_db, of_every_change, floor_hz, .. } = &self.params.take;
        let ceiling = shown::ceiling(self.float(ceiling_db), self.switch(of_every_change));
        Document {
            preset: self.shown_preset(&stored::values(&self.params, |param| self.float(param))),
            heard: self.heard(),
            bypass: self.switch(&self.params.bypass),
            ceiling,
            floor: shown::floor(self.float(floor_hz)),
            level_match: self.switch(&level.level_match),
            hold: self.switch(&level.hold),
            guard: self.switch(&level.guard),
            trim_db: shown::level_db(self.float(&level.trim_db)),
            output_db: shown::level_db(self.float(&level.output_db)),
        }
    }

    /// The preset as far as it is shown: what is heard is there, also where the preset has fewer setups.
    fn shown_preset(&self, values: &Values) -> Preset {
        let mut preset = self.base.preset.clone();
        let count = preset.setups.len().max(self.heard().map_or(0, |heard| heard + 1));
        for number in preset.setups.len() + 1..=count {
            preset.setups.push(unloaded(number, &preset));
        }
        held(&preset, values)
    }

    /// What parameters hold of a preset that is to be.
    fn parted(&self, preset: &Preset) -> Result<Asked, String> {
        let now = stored::values(&self.params, |param| self.float(param));
        let asked = Preset::from_toml(&preset.to_toml()).map_err(|error| error.to_string())?;
        let (circuit, mut values) = preset::part(&asked).map_err(|error| error.to_string())?;
        let count = asked.setups.len();
        values.setups[count..].copy_from_slice(&now.setups[count..]);
        // The value of the kind of pickup that it is not stays.
        let Source { picofarads, henries } = values.source;
        values.source = if asked.pickups.pickup(0).is_magnetic() {
            Source { henries, ..now.source }
        } else {
            Source { picofarads, ..now.source }
        };
        Ok(Asked { preset: asked, values, circuit })
    }

    /// The values that parameters are to have before and after a change, and whatever they do not hold of it.
    fn plan(&self, from: &Preset, to: &Preset) -> Result<(Values, Values, NewCircuit), String> {
        if from == to {
            let now = stored::values(&self.params, |param| self.float(param));
            return Ok((now, now, None));
        }
        let Asked { preset, values, circuit } = self.parted(to)?;
        let before = self.parted(from)?.values;
        let is_new = rounded(&self.shown_preset(&values)) != rounded(&preset);
        Ok((before, values, is_new.then(|| (rounded(&preset), circuit))))
    }

    /// A circuit that cannot be read is not replaced unasked: the first attempt is refused.
    fn ask(&mut self, stage: Stage) -> Result<(), String> {
        let Some(problem) = self.params.circuit_problem() else { return Ok(()) };
        let starts = matches!(stage, Stage::Whole | Stage::Begin);
        if starts && self.told == Some(self.base.version) {
            return Ok(());
        }
        self.told = Some(self.base.version);
        Err(format!(
            "the circuit of this project cannot be read and is kept: {problem}. Change it again to replace it"
        ))
    }

    /// Sets parameters and circuit; which parameters. Nothing if the host has loaded another circuit than the one that was changed.
    fn put(&mut self, targets: Vec<Target>, new: NewCircuit) -> Option<Vec<Target>> {
        if self.params.circuit.version() != self.base.version {
            return None;
        }
        let set = Gestures::set(targets);
        if let Some((preset, circuit)) = new {
            self.params.circuit.put(preset.to_toml(), circuit);
            self.base = Base { version: self.params.circuit.version(), preset };
            self.circuit_changed = true;
        }
        Some(set)
    }

    fn targets(&self, to: &Document, values: &Values) -> Result<Vec<Target>, String> {
        let FirstjackParams { heard, bypass, take, level, .. } = &*self.params;
        let float = |param: &FloatParam, value: f32| (param.as_ptr(), param.preview_normalized(value));
        let switch = |param: &BoolParam, value: bool| (param.as_ptr(), param.preview_normalized(value));
        let ceiling_db = match to.ceiling.db() {
            Some(db) => decibels("the boost limit", db, (shown::CEILING_DB.0, shown::MOST_CEILING_DB))?,
            None => shown::CEILING_DB.1,
        };
        let floor_hz = match to.floor {
            Some(floor) => {
                number("the boost floor", floor.hz, (shown::LEAST_FLOOR_HZ, shown::FLOOR_HZ.1), "Hz")?
            }
            None => shown::FLOOR_HZ.0,
        };
        let choice = heard_of(to.heard)?;
        let mut targets = vec![
            (heard.as_ptr(), heard.preview_normalized(choice)),
            switch(bypass, to.bypass),
            switch(&level.level_match, to.level_match),
            switch(&level.hold, to.hold),
            switch(&level.guard, to.guard),
            float(&level.trim_db, decibels("the trim", to.trim_db, shown::LEVEL_DB)?),
            float(&level.output_db, decibels("the output gain", to.output_db, shown::LEVEL_DB)?),
            float(&take.ceiling_db, ceiling_db),
            switch(&take.of_every_change, !matches!(to.ceiling, Ceiling::OfUndo(_))),
            float(&take.floor_hz, floor_hz),
        ];
        let mut values = *values;
        targets
            .extend(quantities::held(&self.params, &mut values).map(|(param, value)| float(param, *value)));
        Ok(targets)
    }
}

impl Session for HostSession {
    fn version(&mut self) -> u64 {
        let mut hasher = DefaultHasher::new();
        self.params.circuit.version().hash(&mut hasher);
        for (_, param, _) in self.params.param_map() {
            Gestures::now(param).to_bits().hash(&mut hasher);
        }
        hasher.finish()
    }

    fn document(&mut self) -> Document {
        // All of one moment: what is changed later counts only if that is still true.
        let params = self.params.clone();
        params.whole.read(|| {
            self.look();
            self.now()
        })
    }

    fn loads(&mut self) -> u64 {
        self.params.circuit.loads()
    }

    fn change(&mut self, from: &Document, to: &Document, stage: Stage) -> Result<(), String> {
        let (before, after, new) = self.plan(&from.preset, &to.preset)?;
        let untouched = self.targets(from, &before)?;
        let mut targets = self.targets(to, &after)?;
        // What the host moves meanwhile is none of this change.
        let mut untouched = untouched.iter();
        targets.retain(|target| untouched.next() != Some(target));
        if new.is_some() {
            self.ask(stage)?;
        }
        if matches!(stage, Stage::Whole | Stage::Begin) {
            self.circuit_changed = false;
        }
        let params = self.params.clone();
        // A block that meets a writer keeps what it had, also of what the host moves. One value, and what is not heard, can be met
        // without.
        let is_new = new.as_ref().is_some_and(|(_, circuit)| !params.circuit.is_heard(circuit));
        let is_simple = !is_new && targets.len() < 2;
        let put = || self.put(targets, new);
        let set = if is_simple { params.whole.read(put) } else { params.whole.write(put) };
        let Some(set) = set else {
            self.gestures.end();
            return Err(LOADED_MEANWHILE.to_owned());
        };
        self.gestures.tell(&set, stage);
        if self.circuit_changed && stage != Stage::During {
            self.params.mark_changed();
        }
        Ok(())
    }

    fn readings(&mut self) -> &Readings {
        self.listener.readings()
    }

    fn heed(&mut self, asked: &Arc<NoiseAsked>) {
        self.listener.heed(asked);
    }

    fn problem(&mut self) -> Option<String> {
        self.params.problem()
    }

    fn view(&mut self) -> View {
        self.params.view.get()
    }

    fn keep_view(&mut self, view: View) {
        let params = &self.params;
        if params.whole.read(|| params.view.put(view)) {
            params.mark_changed();
        }
    }
}

impl Drop for HostSession {
    fn drop(&mut self) {
        self.gestures.end();
    }
}

impl Base {
    fn of(params: &FirstjackParams) -> Self {
        let (text, version) = params.circuit.text();
        let preset = Preset::from_toml(&text).unwrap_or_else(|_| plain());
        // What is heard of a text that the plugin cannot hold is plain, too.
        let preset = if preset::part(&preset).is_ok() { preset } else { plain() };
        Self { version, preset }
    }
}

/// What is heard of a state without a circuit.
fn plain() -> Preset {
    let capacitance = shown::pickup_capacitance(Source::DEFAULT.picofarads).expect("a value of the range");
    let mut preset = Preset {
        name: "Plain".to_owned(),
        instrument: None,
        pickups: Pickup::new(capacitance).into(),
        recorded: Chain::default(),
        says_recorded: true,
        recorded_at: Positions::default(),
        venues: Vec::new(),
        setups: Vec::new(),
    };
    preset.setups = (1..=SETUPS).map(|number| unloaded(number, &preset)).collect();
    preset
}

fn unloaded(number: usize, preset: &Preset) -> Setup {
    let is_taken = |name: &String| preset.setups.iter().any(|setup| setup.name == *name);
    let mut name = format!("setup {number}");
    while is_taken(&name) {
        name.push('\'');
    }
    Setup { name, venue: None, chain: Chain::default(), positions: preset.recorded_at }
}

fn heard_of(setup: Option<usize>) -> Result<Heard, String> {
    match setup {
        None => Ok(Heard::AsRecorded),
        Some(index) if index < SETUPS => Ok(Heard::from_index(index)),
        Some(index) => Err(format!("there is no setup {}: accepted are 1 to {SETUPS}", index + 1)),
    }
}

fn decibels(what: &str, db: f64, range: (f32, f32)) -> Result<f32, String> {
    number(what, db, range, "dB")
}

/// A number of a unit as it is stored.
fn number(what: &str, value: f64, (low, high): (f32, f32), unit: &str) -> Result<f32, String> {
    #[expect(clippy::cast_possible_truncation, reason = "the precision in which hosts keep parameters")]
    let stored = value as f32;
    if (low..=high).contains(&stored) {
        Ok(stored)
    } else {
        Err(format!("{what} is {value} {unit}: accepted is {low} {unit} to {high} {unit}"))
    }
}
