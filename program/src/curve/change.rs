//! What is done to a take: each setup's change, within the ceiling and down again below the floor.

use dsp_core::circuit::Pickups;
use dsp_core::response::{Floor, Shape};
use firstjack_words::Words;

use super::MOST_CURVES;
use crate::arguments::CurveArguments;
use crate::error::Failure;
use crate::plot::{Curve, LEAST_DB, Picture, Plot, Units};
use crate::render::{Recorded, check_floor, floor};
use crate::source::{Source, Strings};

/// What is drawn, in Hz and in how many steps: from below the lowest floor of a bass on.
const BAND_HZ: (f64, f64) = (10.0, 20e3);
const STEPS: u32 = 400;

/// A table, from 1 Hz to 100 kHz.
const DECADES: u32 = 5;
const POINTS_PER_DECADE: u32 = 100;

/// The changes of all setups.
pub struct Changes {
    changes: Vec<Change>,
    title: String,
    said: String,
}

/// Of one pickup's track.
struct Change {
    /// The setup's, and of a blend the pickup's.
    name: String,
    /// As it was given.
    setup: String,
    /// Counted from one.
    pickup: usize,
    shape: Shape,
}

impl Changes {
    /// # Errors
    /// If it is not said what was recorded through, or an option cannot be read.
    pub fn new(
        arguments: &CurveArguments,
        source: &Source,
        strings: &Strings,
        words: &Words,
    ) -> Result<Self, Failure> {
        if arguments.through.is_none() && source.recorded.is_none() && arguments.source.setups.is_none() {
            return Err(Failure::Usage(
                "--change: what the take was recorded through is not said: give --recorded-through 22M"
                    .to_owned(),
            ));
        }
        let (through, ceiling) = (arguments.through.as_deref(), &arguments.undo_ceiling);
        let of_recorded = Strings::new(&arguments.strings, source.instrument.as_deref())?;
        let mut recorded = Recorded::new(source, through, of_recorded, ceiling, None)?;
        recorded.floor = floor(&arguments.undo_floor, strings.lowest_hz())?;
        let versions: Vec<_> = source.setups.iter().map(|setup| recorded.version(setup)).collect();
        check_floor(recorded.floor, &versions)?;
        let is_blend = source.pickups.count() > 1;
        let changes = versions.iter().flat_map(|version| {
            version.shapes.iter().zip(1..).map(move |(shape, pickup)| Change {
                name: if is_blend {
                    format!("{}, {pickup}", &*version.name)
                } else {
                    version.name.to_string()
                },
                setup: version.name.given().to_owned(),
                pickup,
                shape: *shape,
            })
        });
        let floor = versions.iter().find_map(|version| version.floor);
        Ok(Self {
            changes: changes.collect(),
            title: title(&source.pickups, words.instrument(&strings.instrument_id), words),
            said: said(recorded.ceiling.db(), floor, strings, words),
        })
    }

    /// # Errors
    /// If there are more than can be told from each other.
    pub fn picture<'a>(&'a self, strings: &Strings, words: &'a Words) -> Result<Picture<'a>, usize> {
        if self.changes.len() > MOST_CURVES {
            return Err(self.changes.len());
        }
        let ratio = BAND_HZ.1 / BAND_HZ.0;
        let grid = || (0..=STEPS).map(|i| BAND_HZ.0 * ratio.powf(f64::from(i) / f64::from(STEPS)));
        let curve = |(number, change): (usize, &'a Change)| Curve {
            key: "",
            name: &change.name,
            number,
            points: grid().map(|hz| (hz, change.shape.db(hz).max(super::FLOOR_DB))).collect(),
            band: Vec::new(),
            measured: Vec::new(),
        };
        Ok(Picture {
            title: self.title.clone(),
            said: self.said.clone(),
            plot: Plot {
                curves: self.changes.iter().enumerate().map(curve).collect(),
                strings: strings.marks().into_iter().map(|(pitch, hz)| (words.pitch(pitch), hz)).collect(),
                ask_db: None,
                least_db: LEAST_DB,
                units: Units {
                    level: words.get("curve.against_take"),
                    frequency: words.get("curve.frequency"),
                    beside: false,
                },
            },
            below: None,
            ask: None,
        })
    }

    /// A row for each setup, pickup and frequency, as RFC 4180 has it.
    pub fn csv(&self) -> String {
        let mut text = "setup,pickup,hz,db\n".to_owned();
        for change in &self.changes {
            for step in 0..=DECADES * POINTS_PER_DECADE {
                let hz = 10f64.powf(f64::from(step) / f64::from(POINTS_PER_DECADE));
                let (setup, db) = (super::table::field(&change.setup), change.shape.db(hz));
                text += &format!("{setup},{},{hz:.16e},{db:.16e}\n", change.pickup);
            }
        }
        text
    }
}

/// What the picture shows.
fn title(pickups: &Pickups, instrument: &str, words: &Words) -> String {
    let instrument = ("instrument", instrument);
    match pickups {
        Pickups::One(pickup) => {
            words.say("curve.change", &[("pickup", &words.pickup_short(pickup)), instrument])
        }
        Pickups::Blend([first, second]) => {
            let [one, other] = [first, second].map(|blended| words.pickup_short(&blended.pickup));
            words.say("curve.change_both", &[("one", &one), ("other", &other), instrument])
        }
    }
}

/// What keeps the changes down.
fn said(ceiling_db: Option<f64>, floor: Option<Floor>, strings: &Strings, words: &Words) -> String {
    let ceiling = match ceiling_db {
        Some(db) => words.say("curve.at_most", &[("db", &words.figure(format!("{db} dB")))]),
        None => words.get("curve.unbounded").to_owned(),
    };
    let floor = floor.map(|floor| words.undo_floor(floor, strings.lowest_hz()));
    let said = [Some(ceiling), floor].into_iter().flatten().collect::<Vec<_>>().join("; ");
    words.sentence(&said)
}
