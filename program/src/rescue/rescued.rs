use dsp_core::circuit::Chain;
use dsp_core::response::{Between, Noise, Range};
use dsp_core::units::Pitch;
use firstjack_equaliser::{Band, BandKind, Desk, Equaliser, Fit, Needed};
use serde::{Serialize, Serializer};

use crate::error::Failure;
use crate::name::Name;
use crate::source::Strings;

/// A control is at its stop when it is this close to it, as a part of its range.
const AT_STOP: f64 = 1e-3;

/// Less gain than this, in dB, does nothing that is heard.
pub const NO_GAIN_DB: f64 = 0.1;

/// What may still be lacking into a better input, in dB.
const NEARLY_DB: f64 = 3.0;

/// What a desk's equaliser does about one setup, against what is aimed at, at equal levels; the JSON's fields.
#[derive(Debug, Serialize)]
pub struct Rescue {
    pub name: Name,
    /// The settings, and the filters that they are.
    #[serde(rename = "bands", serialize_with = "bands")]
    pub equaliser: Equaliser,
    /// The gain at all frequencies that goes with them.
    pub level_db: f64,
    /// Whether no more is needed than a desk should boost.
    pub advised: bool,
    /// Whether an input without any load would give all of it back; controls and leaks are not the input's.
    pub input_takes_it: bool,
    /// The most that it should, against the passband.
    pub limit_db: f64,
    /// The most that is needed, against the passband, from the lowest string on.
    pub needed_boost_db: f64,
    /// The least and the most that is needed where most is, wherever values lie within their tolerances. The settings are for the middle.
    pub needed_range_db: Range,
    /// The most that bands and level boost, against the passband: so much lower the channel must be set.
    pub headroom_db: f64,
    /// Root mean square of what is left, each octave counting the same.
    pub left_rms_db: f64,
    /// Of what may be boosted, by the best settings without a bell, with one, with two. A bell that gains less than 0.1 dB stays unused.
    pub left_rms_by_bells_db: Vec<f64>,
    /// Where most is left, too little or too much.
    pub worst: Reach,
    /// The difference from what is aimed at without any equaliser, at the best level.
    pub needed_at_most_db: f64,
    /// Controls that would go on if the desk let them.
    pub at_stops: Vec<Control>,
    /// The noise that is lifted most, and by how much.
    #[serde(serialize_with = "noise")]
    pub noise: Noise,
    pub noise_rises_db: f64,
    pub strings: Vec<StringReach>,
    /// Over the band that is judged, a semitone apart.
    pub curve: Vec<Reach>,
    /// Whether the pickups are coils, whose loss is at the top.
    #[serde(skip)]
    pub magnetic: bool,
}

/// What is needed at a frequency to sound as aimed at, what of it the desk is asked for, what it gives (its level included), and what is
/// still lacking.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct Reach {
    pub hz: f64,
    pub needed_db: f64,
    pub asked_db: f64,
    pub given_db: f64,
    /// Negative where the desk gives too much.
    pub left_db: f64,
}

#[derive(Debug, Serialize)]
pub struct StringReach {
    #[serde(rename = "name")]
    pub pitch: Pitch,
    #[serde(flatten)]
    pub reach: Reach,
}

/// A control of the desk's equaliser.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Control {
    ShelfHz,
    ShelfGain,
    /// Of a bell, counted from one.
    BellHz(usize),
    BellGain(usize),
    BellQ(usize),
    /// How close the bells stand to each other.
    BellsApart,
}

impl Rescue {
    /// Of the setup of this name. For sound at `rate_hz`.
    pub fn new(
        name: &Name,
        between: &Between,
        strings: &Strings,
        desk: &Desk,
        rate_hz: f64,
    ) -> Result<Self, Failure> {
        let (aim, heard) = between.responses();
        let needed_db = |hz: f64| heard.loss_db(hz) - aim.loss_db(hz);
        let usage = |problem: &dyn std::error::Error| Failure::Usage(problem.to_string());
        let needed = Needed::new(strings.lowest_hz(), rate_hz, needed_db).map_err(|error| usage(&error))?;
        let fitted = Fit::new(&needed, desk).map_err(|error| usage(&error))?;
        let equaliser = Equaliser::new(fitted.bands.clone(), rate_hz).map_err(|error| usage(&error))?;
        let flat_db = needed.flat_db();
        let reach = |(hz, needed_db): (f64, f64)| {
            let given_db = equaliser.db(hz) + fitted.level_db;
            let asked_db = needed_db.min(flat_db + desk.most_boost_db);
            Reach { hz, needed_db, asked_db, given_db, left_db: needed_db - given_db }
        };
        let curve: Vec<Reach> = needed.points().iter().copied().map(reach).collect();
        let string = |pitch: &Pitch| {
            let hz = pitch.hz(strings.a4_hz);
            StringReach { pitch: pitch.clone(), reach: reach((hz, Needed::bounded(needed_db(hz)))) }
        };
        let each_string: Vec<StringReach> = strings.pitches.iter().map(string).collect();
        let unloaded =
            Between { heard: (Chain::default(), between.heard.1), ..between.clone() }.responses().1;
        let is_back = |reach: &Reach| unloaded.loss_db(reach.hz) - aim.loss_db(reach.hz) <= NEARLY_DB;
        let most = most_needed(&each_string, &curve);
        let needed_boost_db = most.needed_db - flat_db;
        let noise = Noise::raised_by_power(|hz| equaliser.power(hz));
        Ok(Self {
            name: name.clone(),
            level_db: fitted.level_db,
            advised: needed_boost_db <= desk.most_boost_db,
            input_takes_it: curve.iter().all(is_back),
            limit_db: desk.most_boost_db,
            needed_boost_db,
            needed_range_db: between.range(|aim, heard| heard.loss_db(most.hz) - aim.loss_db(most.hz)),
            headroom_db: equaliser.most_db() + fitted.level_db - flat_db,
            left_rms_db: left_rms_db(&curve),
            left_rms_by_bells_db: fitted.rms_db.to_vec(),
            worst: *curve
                .iter()
                .max_by(|a, b| a.left_db.abs().total_cmp(&b.left_db.abs()))
                .expect("has points"),
            needed_at_most_db: half_span(&needed),
            at_stops: at_stops(equaliser.bands(), desk),
            noise,
            noise_rises_db: noise.rise_of_power_db(|hz| equaliser.power(hz)),
            strings: each_string,
            magnetic: heard.is_magnetic(),
            curve,
            equaliser,
        })
    }

    /// The lowest string.
    pub fn lowest(&self) -> &StringReach {
        self.strings.iter().min_by(|a, b| a.reach.hz.total_cmp(&b.reach.hz)).expect("there are strings")
    }
}

/// Where most is needed, from the lowest string on.
fn most_needed(strings: &[StringReach], curve: &[Reach]) -> Reach {
    let strings = || strings.iter().map(|string| string.reach);
    let lowest_hz = strings().map(|reach| reach.hz).fold(f64::INFINITY, f64::min);
    let above = curve.iter().copied().filter(|reach| reach.hz >= lowest_hz);
    strings().chain(above).max_by(|a, b| a.needed_db.total_cmp(&b.needed_db)).expect("there are strings")
}

fn left_rms_db(curve: &[Reach]) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "some hundred points")]
    let count = curve.len() as f64;
    (curve.iter().map(|reach| reach.left_db.powi(2)).sum::<f64>() / count).sqrt()
}

/// Half of what lies between the most and the least that is needed.
fn half_span(needed: &Needed) -> f64 {
    let levels = || needed.points().iter().map(|(_, db)| *db);
    0.5 * (levels().fold(f64::NEG_INFINITY, f64::max) - levels().fold(f64::INFINITY, f64::min))
}

/// The controls at their stops, but those that stand still; what a band without gain is set to does nothing.
fn at_stops(bands: &[Band], desk: &Desk) -> Vec<Control> {
    let near = |value: f64, (low, high): (f64, f64)| {
        high > low && (value - low).min(high - value) <= AT_STOP * (high - low)
    };
    let logarithmic = |value: f64, (low, high): (f64, f64)| near(value.ln(), (low.ln(), high.ln()));
    let gain = |band: &Band| near(band.gain_db, (-desk.most_gain_db, desk.most_gain_db));
    let mut all = Vec::new();
    for (number, band) in bands.iter().enumerate().filter(|(_, band)| band.gain_db.abs() > NO_GAIN_DB) {
        let (hz, gain_control) = match band.kind {
            BandKind::LowShelf => (Control::ShelfHz, Control::ShelfGain),
            BandKind::Bell => (Control::BellHz(number), Control::BellGain(number)),
        };
        let range_hz = if band.kind == BandKind::LowShelf { desk.shelf_hz } else { desk.bell_hz };
        let controls = [
            (gain_control, gain(band)),
            (hz, logarithmic(band.hz, range_hz)),
            (Control::BellQ(number), band.kind == BandKind::Bell && logarithmic(band.q, desk.bell_q)),
        ];
        all.extend(controls.into_iter().filter(|(_, at_stop)| *at_stop).map(|(control, _)| control));
    }
    if let [_, lower, upper] = bands
        && Desk::are_closest(lower.hz, upper.hz)
    {
        all.push(Control::BellsApart);
    }
    all
}

fn bands<S: Serializer>(equaliser: &Equaliser, serializer: S) -> Result<S::Ok, S::Error> {
    equaliser.bands().serialize(serializer)
}

fn noise<S: Serializer>(noise: &Noise, serializer: S) -> Result<S::Ok, S::Error> {
    let name = match noise {
        Noise::Rumble => "rumble",
        Noise::Hiss => "hiss",
    };
    serializer.serialize_str(name)
}
