use dsp_core::circuit::{Chain, Pickups, Positions};
use dsp_core::response::{Ceiling, Change, Response, Shape};

use firstjack_words::Words;

use crate::arguments::number_of;
use crate::error::Failure;
use crate::source::{NamedChain, Source, Strings, value};

/// What a take comes from: its pickups, the load that it was recorded through, the strings that were played.
pub struct Recorded {
    pub pickups: Pickups,
    /// Of a blend each pickup by itself.
    pub through: Response,
    pub strings: Strings,
    /// Of undoing.
    pub ceiling: Ceiling,
}

/// The take as one load would have delivered it.
pub struct Version {
    pub name: String,
    pub place: String,
    pub to: Response,
    /// What is applied to each pickup's track; of a single pickup to all channels.
    pub shapes: Vec<Shape>,
}

impl Recorded {
    /// `through` and `undo_ceiling` as they were typed; a load that was typed goes before that of a file of setups.
    pub fn new(
        source: &Source,
        through: Option<&str>,
        strings: Strings,
        undo_ceiling: &str,
    ) -> Result<Self, Failure> {
        let (chain, positions) = match through {
            Some(text) => (Chain::from(&value("--through", text)?), Positions::default()),
            None => source.recorded.clone().unwrap_or_default(),
        };
        Ok(Self {
            pickups: source.pickups,
            through: Response::recorded(&source.pickups.with_positions(positions), &chain),
            strings,
            ceiling: ceiling(undo_ceiling)?,
        })
    }

    /// The take as it is.
    pub fn unchanged(&self) -> Version {
        let name = Words::ENGLISH.get("figures.recorded").to_owned();
        Version {
            place: name.clone(),
            name,
            to: self.through.clone(),
            shapes: vec![Shape::UNCHANGED; self.pickups.count()],
        }
    }

    /// The take through a setup.
    pub fn version(&self, setup: &NamedChain) -> Version {
        let pickups = self.pickups.with_positions(setup.positions);
        let to = Response::new(&pickups, &setup.chain);
        let change = |(from, to)| Change::new(from, to).shape(self.ceiling);
        Version {
            name: setup.name.clone(),
            place: setup.place.clone(),
            shapes: self.through.parts().iter().zip(to.parts()).map(change).collect(),
            to,
        }
    }

    /// Whether a version takes away all load.
    pub fn undoes(&self, version: &Version) -> bool {
        version.to.is_unloaded() && !self.through.is_unloaded()
    }
}

impl Version {
    /// Whether nothing is done to the take's tracks.
    pub fn is_unchanged(&self) -> bool {
        let unchanged = |shape: &Shape| shape.is_flat() && shape.gain == 1.0;
        self.shapes.iter().all(unchanged)
    }

    /// Of what is applied, what boosts most.
    pub fn most_boosted(&self) -> &Shape {
        let most = self.shapes.iter().max_by(|a, b| a.boost_db().total_cmp(&b.boost_db()));
        most.unwrap_or(&Shape::UNCHANGED)
    }

    /// The most boost of any track, in dB.
    pub fn boost_db(&self) -> f64 {
        self.most_boosted().boost_db()
    }
}

fn ceiling(text: &str) -> Result<Ceiling, Failure> {
    let text = text.trim();
    if text.eq_ignore_ascii_case("off") {
        return Ok(Ceiling::Off);
    }
    match number_of(text, "dB") {
        Some(db) if db > 0.0 && db <= 120.0 => Ok(Ceiling::Db(db)),
        _ => Err(Failure::Usage(format!(
            "--undo-ceiling: cannot read '{text}': accepted are more than 0 and at most 120 dB, or off"
        ))),
    }
}
