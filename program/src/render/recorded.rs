use dsp_core::circuit::{Chain, Pickups, Positions, Spread};
use dsp_core::kit::Entry;
use dsp_core::response::{Between, Ceiling, Change, Floor, JohnsonNoise, Response, Shape, Transfer, Undo};
use dsp_core::units::FullScale;
use firstjack_words::Words;

use crate::arguments::{EndArgument, number_of};
use crate::error::Failure;
use crate::name::Name;
use crate::source::{NamedChain, OwnKit, Source, Strings, load};

/// What to write in a file that does not say what was recorded.
pub const RECORD_IT: &str =
    "write recorded = \"22M\" above its first [[setup]] (\"none\" if nothing loaded the pickup)";

/// What a take comes from: its pickups, the load that it was recorded through, the strings that were played.
pub struct Recorded {
    pub pickups: Pickups,
    /// Of a blend each pickup by itself. With every value in the middle.
    pub through: Response,
    chain: Chain,
    positions: Positions,
    pub strings: Strings,
    /// Of every change.
    pub ceiling: Ceiling,
    /// Where a change that lifts the lows comes down again.
    pub floor: Option<Floor>,
    /// At which end of the tolerances it is heard, if not in the middle.
    pub end: Option<EndArgument>,
}

/// The take as one load would have delivered it.
pub struct Version {
    pub name: Name,
    pub place: String,
    /// What the take was recorded through.
    pub from: Response,
    pub to: Response,
    /// The circuits of both; heard at an end of the tolerances, those of that end.
    pub between: Between,
    /// What is applied to each pickup's track; of a single pickup to all channels.
    pub shapes: Vec<Shape>,
    /// What keeps the shapes down.
    pub ceiling: Ceiling,
    /// Where they come down again.
    pub floor: Option<Floor>,
}

impl Recorded {
    /// `through` and `undo_ceiling` as they were typed; a load that was typed goes before that of a file of setups.
    pub fn new(
        source: &Source,
        through: Option<&str>,
        strings: Strings,
        undo_ceiling: &str,
        end: Option<EndArgument>,
    ) -> Result<Self, Failure> {
        let (chain, positions) = match through {
            Some(text) => {
                let load = load("--recorded-through", text, &source.pickups, &source.kit)?;
                (load.chain, Positions::default())
            }
            None => source.recorded.clone().ok_or_else(unrecorded)?,
        };
        Ok(Self {
            pickups: source.pickups,
            through: Response::recorded(&source.pickups.with_positions(positions), &chain),
            chain,
            positions,
            strings,
            ceiling: ceiling(undo_ceiling)?,
            floor: None,
            end,
        })
    }

    /// The take as it is.
    pub fn unchanged(&self) -> Version {
        let name = Words::ENGLISH.get("figures.recorded");
        Version {
            place: name.to_owned(),
            name: name.into(),
            from: self.through.clone(),
            to: self.through.clone(),
            between: self.between(&self.chain, self.positions),
            shapes: vec![Shape::UNCHANGED; self.pickups.count()],
            ceiling: self.ceiling,
            floor: None,
        }
    }

    /// The take through a setup.
    pub fn version(&self, setup: &NamedChain) -> Version {
        let between = self.at_end(self.between(&setup.chain, setup.positions));
        let (from, to) = between.responses();
        let mut version = Version {
            name: setup.name.clone(),
            place: setup.place.clone(),
            shapes: Vec::new(),
            between,
            from,
            to,
            ceiling: self.ceiling,
            floor: None,
        };
        version.floor = self.floor.filter(|floor| floor.ends(&version.within(self.ceiling)));
        version.shapes = version.within(self.ceiling);
        version
    }

    /// What full scale is at the one interface of the kit that the take was recorded through.
    pub fn full_scale(&self, kit: &OwnKit) -> Option<FullScale> {
        let is_here = |name: &str| self.chain.links().any(|(link, _)| link.name() == Some(name));
        let levels = kit.used().into_iter().filter_map(|entry| match entry {
            Entry::Box(own) if is_here(&own.input.name) => own.levels.recorded,
            _ => None,
        });
        let levels: Vec<FullScale> = levels.collect();
        levels.first().copied().filter(|_| levels.len() == 1)
    }

    /// The pickup of a track and what it was recorded through.
    pub fn johnson_noise(&self, track: usize) -> JohnsonNoise {
        let pickups = self.pickups.with_positions(self.positions);
        JohnsonNoise::new(pickups.pickup(track), &self.chain)
    }

    /// The take as an output without a resistance of its own has to play it where the pickups would be plugged in, one shape a pickup: with what a
    /// setup leaves of it at the jack, and not where a box listens behind it.
    pub fn at_jack(&self, setup: &NamedChain) -> Vec<Shape> {
        let pickups = self.pickups.with_positions(setup.positions);
        self.to_each(|index| Transfer::at_jack(&pickups, index, &setup.chain))
    }

    /// The take as each pickup would have delivered it by itself without any load.
    pub fn unloaded(&self) -> Vec<Shape> {
        self.to_each(|index| Transfer::of(&self.pickups, index, &Chain::default()))
    }

    fn to_each(&self, to: impl Fn(usize) -> Transfer) -> Vec<Shape> {
        let change = |(index, from)| Change::new(from, &to(index)).shape(self.ceiling);
        self.through.parts().iter().enumerate().map(change).collect()
    }

    fn between(&self, heard: &Chain, heard_at: Positions) -> Between {
        Between {
            pickups: self.pickups,
            recorded: (self.chain.clone(), self.positions),
            heard: (heard.clone(), heard_at),
        }
    }

    /// In the middle, or at the end of all tolerances, of the recording's too, where the lowest string gains least or most from the one to the
    /// other.
    fn at_end(&self, between: Between) -> Between {
        let Some(end) = self.end else { return between };
        let hz = self.strings.lowest_hz();
        let Some([low, high]) = between.ends(|from, to| to.loss_db(hz) - from.loss_db(hz)) else {
            return between;
        };
        match end {
            EndArgument::Low => low,
            EndArgument::High => high,
        }
    }

    /// Whether any value of the pickups, of what was recorded or of a setup carries a tolerance.
    pub fn has_tolerances(&self, setups: &[NamedChain]) -> bool {
        let chains = setups.iter().map(|setup| &setup.chain).chain([&self.chain]);
        Spread::of(&self.pickups, chains).is_some()
    }
}

impl Version {
    /// The first line on it: what the lowest string loses, or if the take had lost something, what of that comes back.
    pub fn verdict(&self, strings: &Strings, place: &str, words: &Words) -> String {
        let (lowest, hz) = (&strings.lowest, strings.lowest_hz());
        if self.between.is_same() && self.between.pickups.count() > 1 {
            // Each pickup of a blend is recorded by itself.
            return words.verdict(&self.to, lowest, hz, place);
        }
        words.verdict_of_change(&self.between, self.most_boosted(), lowest, hz, place)
    }

    /// The same change of every track within another ceiling.
    pub fn within(&self, ceiling: Ceiling) -> Vec<Shape> {
        (0..self.from.parts().len()).map(|track| self.shape_within(track, ceiling)).collect()
    }

    /// Of one track.
    pub fn shape_within(&self, track: usize, ceiling: Ceiling) -> Shape {
        let shape = Change::new(&self.from.parts()[track], &self.to.parts()[track]).shape(ceiling);
        self.floor.map_or(shape, |floor| floor.under(&shape))
    }

    /// Is heard within another ceiling.
    pub fn set_ceiling(&mut self, ceiling: Ceiling) {
        (self.shapes, self.ceiling) = (self.within(ceiling), ceiling);
    }

    /// Whether it takes away all load.
    pub fn undoes(&self) -> bool {
        self.to.is_unloaded() && !self.from.is_unloaded()
    }

    /// What it is heard through, within its tolerances, if there are any; of a blend as recorded none, each of whose pickups is recorded by itself.
    pub fn spread(&self) -> Option<Spread> {
        let (chain, at) = &self.between.heard;
        let together = self.between.pickups.count() == 1 || !self.between.is_same();
        Spread::of(&self.between.pickups.with_positions(*at), [chain]).filter(|_| together)
    }

    /// Whether any value of its circuits carries a tolerance.
    pub fn has_tolerances(&self) -> bool {
        let Between { pickups, recorded, heard } = &self.between;
        Spread::of(pickups, [&recorded.0, &heard.0]).is_some()
    }

    /// What is done to each pickup's track.
    pub fn parts(&self) -> impl Iterator<Item = Undo<'_>> {
        let parts = self.from.parts().iter().zip(self.to.parts()).zip(&self.shapes).enumerate();
        parts.map(|(index, ((from, to), shape))| {
            let magnetic = self.between.pickups.pickup(index).is_magnetic();
            Undo { from, to, shape, magnetic }
        })
    }

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
        // A page's setups are heard by one rule.
        None if text.eq_ignore_ascii_case("auto") => Err(Failure::Usage(
            "--undo-ceiling: auto goes with firstjack render, whose report says what it comes to: give that here in dB; accepted are more than 0 and at most 120 dB, or off"
                .to_owned(),
        )),
        _ => Err(Failure::Usage(format!(
            "--undo-ceiling: cannot read '{text}': accepted are more than 0 and at most 120 dB, or off; firstjack render takes auto too"
        ))),
    }
}

/// No sound can be made of a take without that.
fn unrecorded() -> Failure {
    Failure::Usage(format!(
        "the file of setups does not say what the take was recorded through: {RECORD_IT}, or give --recorded-through 22M"
    ))
}
