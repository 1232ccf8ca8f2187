//! Which sounds a page has.

use dsp_core::circuit::Pickups;
use dsp_core::preset::Crew;
use dsp_core::response::Response;
use firstjack_words::Words;

use super::figures::verdict_as_recorded;
use super::pairs::{self, Asked, Why};
use super::sound::{Cut, Recipe};
use crate::arguments::PackArguments;
use crate::error::Failure;
use crate::format::Kind;
use crate::name::Name;
use crate::note::{Note, Subject};
use crate::passes::Treatment;
use crate::reamp::{self, Peaks, Sheet, Situation, Told};
use crate::render::{Recorded, Take, Version, check_floor, floor};
use crate::rescue::Rescue;
use crate::source::{NamedChain, Source, Strings, find_setup};

/// All that is to be packed.
pub struct Plan {
    pub recorded: Recorded,
    pub setups: Vec<NamedChain>,
    /// What a desk's equaliser does about each setup.
    pub rescues: Vec<Rescue>,
    /// The setup whose rescue is one of the sounds.
    pub rescued: Option<usize>,
    /// As recorded, setups in the file's order, rescue, anchor.
    pub sounds: Vec<Sound>,
    pub title: String,
    /// The venue, if the setups are those of one.
    pub venue: Option<String>,
    /// What the crew has to know.
    crew: Crew,
    /// Loss to accept, in dB, for the input to ask for.
    max_loss_db: f64,
    /// Which pairs of sounds listeners are asked to tell apart; none where they choose.
    pub asked: Vec<Asked>,
}

/// One sound of a page.
pub struct Sound {
    pub name: Name,
    pub kind: Kind,
    pub verdict: String,
    /// At the lowest string.
    pub loss_db: f64,
    pub recipe: Recipe,
}

impl Plan {
    pub fn new(
        arguments: &PackArguments,
        source: Source,
        take: &Take,
        words: &Words,
    ) -> Result<Self, Failure> {
        // A blend is heard as it leaves its jack.
        take.check_pickups(&source.pickups, matches!(source.pickups, Pickups::Blend(_)))?;
        let strings = Strings::new(&arguments.strings, source.instrument.as_deref())?;
        let mut recorded = Recorded::new(
            &source,
            arguments.takes.through.as_deref(),
            strings,
            &arguments.undo_ceiling,
            None,
        )?;
        recorded.floor = floor(&arguments.undo_floor, recorded.strings.lowest_hz())?;
        let versions: Vec<Version> = source.setups.iter().map(|setup| recorded.version(setup)).collect();
        check_floor(recorded.floor, &versions)?;
        let file = || take.path().file_stem().unwrap_or_default().to_string_lossy().into_owned();
        let crew = source.crew().cloned();
        let mut plan = Self {
            recorded,
            rescues: Vec::new(),
            rescued: None,
            sounds: Vec::new(),
            title: arguments.title.clone().or(source.title).unwrap_or_else(file),
            setups: source.setups,
            crew: arguments.crew.over(crew.as_ref()),
            venue: source.venue.as_ref().map(ToString::to_string),
            max_loss_db: arguments.max_loss,
            asked: Vec::new(),
        };
        plan.add_setups(words);
        plan.add_rescue(arguments, take.format().rate_hz.into(), words)?;
        if arguments.anchor {
            plan.add_anchor(words);
        }
        plan.asked = plan.asked(arguments)?;
        Ok(plan)
    }

    /// Whether the pickups of a blend become one channel, as they do at their jack.
    pub fn sum(&self) -> bool {
        matches!(self.recorded.pickups, Pickups::Blend(_))
    }

    /// The crew note: about the setup that loses least.
    pub fn note(&self, words: &Words) -> Note {
        let subject = Subject {
            title: &self.title,
            venue: self.venue.as_deref(),
            pickups: &self.recorded.pickups,
            setups: &self.setups,
            crew: &self.crew,
            chosen: None,
            strings: &self.recorded.strings,
            max_loss_db: self.max_loss_db,
        };
        Note::new(&subject, words)
    }

    /// The sheet for re-amping through a setup.
    ///
    /// # Errors
    /// If there is none of this name, or nothing is plugged in there.
    pub fn reamp(&self, name: &str, words: &Words) -> Result<Sheet, Failure> {
        let setup = &self.setups[find_setup(&self.setups, name)?];
        if setup.chain.is_empty() {
            return Err(Failure::Usage(format!(
                "--reamp: nothing is plugged in in '{name}': accepted is a setup with an amplifier"
            )));
        }
        let situation = Situation::usual(&self.recorded, setup, Some(&self.title));
        Ok(Sheet::new(
            &Told::new(&situation, situation.ways(), Peaks::default()),
            reamp::Kind::File,
            None,
            words,
        ))
    }

    fn sound(&self, kind: Kind, verdict: String, version: Version) -> Sound {
        Sound {
            verdict,
            loss_db: version.to.loss_db(self.recorded.strings.lowest_hz()),
            recipe: Recipe::plain(version.shapes),
            name: version.name,
            kind,
        }
    }

    fn add_setups(&mut self, words: &Words) {
        let name = words.get("pack.as_recorded").into();
        let recorded = Version { name, ..self.recorded.unchanged() };
        let strings = &self.recorded.strings;
        let verdict = verdict_as_recorded(&recorded, strings, words);
        let setup = |setup| {
            let version = self.recorded.version(setup);
            let place = words.through(&version.name);
            let verdict = version.verdict(strings, &place, words);
            self.sound(Kind::Setup, verdict, version)
        };
        let setups = self.setups.iter().map(setup);
        self.sounds = std::iter::once(self.sound(Kind::Recorded, verdict, recorded)).chain(setups).collect();
    }

    /// What a desk's equaliser makes of all setups, and as a sound of one: the one that loses most, unless another is named, or none.
    fn add_rescue(&mut self, arguments: &PackArguments, rate_hz: f64, words: &Words) -> Result<(), Failure> {
        let (recorded, desk) = (&self.recorded, arguments.desk.desk());
        let rescue = |setup: &NamedChain| {
            let between = recorded.version(setup).between;
            Rescue::new(&setup.name, &between, &recorded.strings, &desk, rate_hz)
        };
        self.rescues = self.setups.iter().map(rescue).collect::<Result<_, _>>()?;
        let index = match arguments.rescue.as_deref() {
            Some("none") => return Ok(()),
            Some(name) => self.find_setup(name)?,
            None => match self.loses_most() {
                Some(most) => most,
                None => return Ok(()),
            },
        };
        let setup = &self.setups[index];
        let version = self.recorded.version(setup);
        let rescue = &self.rescues[index];
        self.rescued = Some(index);
        self.sounds.push(Sound {
            name: words.say("pack.rescue_of", &[("name", &setup.name)]).into(),
            kind: Kind::Rescue,
            verdict: rescue.verdict(words),
            loss_db: rescue.lowest().reach.left_db,
            recipe: Recipe { shapes: version.shapes, treatment: treatment(rescue) },
        });
        Ok(())
    }

    /// What is worse than every setup by what setups take: of coils the take without its highs, else the setup that loses most without what
    /// it has left of the lows.
    fn add_anchor(&mut self, words: &Words) {
        let lowest_hz = self.recorded.strings.lowest_hz();
        let (version, cut, lacks) = match self.loses_most() {
            Some(most) if !self.recorded.through.is_magnetic() => {
                (self.recorded.version(&self.setups[most]), Cut::lows(lowest_hz), "pack.anchor_lacks_lows")
            }
            _ => (self.recorded.unchanged(), Cut::highs(), "pack.anchor_lacks_highs"),
        };
        let lacks = words.say(lacks, &[("hz", &words.hz(cut.corner_hz())), ("name", &version.name)]);
        self.sounds.push(Sound {
            name: words.get("pack.anchor").into(),
            kind: Kind::Anchor,
            verdict: words.say("pack.anchor_verdict", &[("lacks", &lacks)]),
            loss_db: version.to.loss_db(lowest_hz) + cut.loss_db(lowest_hz),
            recipe: Recipe::anchor(version.shapes, cut),
        });
    }

    /// The setup that loses most at the lowest string.
    fn loses_most(&self) -> Option<usize> {
        let loss_db = |index: &usize| self.sounds[index + 1].loss_db;
        (0..self.setups.len()).max_by(|a, b| loss_db(a).total_cmp(&loss_db(b)))
    }

    /// The pair that the organiser names; else, where names are kept from listeners, the pairs that matter, so that their votes add up.
    fn asked(&self, arguments: &PackArguments) -> Result<Vec<Asked>, Failure> {
        let Some([a, b]) = arguments.abx.as_deref() else {
            let setups = self.setups.iter().map(|setup| self.recorded.version(setup).to);
            let sounds: Vec<Response> =
                std::iter::once(self.recorded.through.clone()).chain(setups).collect();
            let lowest_hz = self.recorded.strings.lowest_hz();
            return Ok(if arguments.blind { pairs::that_matter(&sounds, lowest_hz) } else { Vec::new() });
        };
        let sounds = [self.find("--abx", a)?, self.find("--abx", b)?];
        if sounds[0] == sounds[1] {
            return Err(Failure::Usage(
                "--abx: both are the same sound; accepted are two different ones".to_owned(),
            ));
        }
        Ok(vec![Asked { sounds, why: Why::Named }])
    }

    fn find_setup(&self, name: &str) -> Result<usize, Failure> {
        let names = || self.setups.iter().map(|setup| &setup.name);
        let known = || names().map(|name| &**name).chain(["none"]).collect::<Vec<_>>().join(", ");
        names().position(|known| known.is(name)).ok_or_else(|| {
            Failure::Usage(format!("--rescue: there is no setup '{name}': accepted are {}", known()))
        })
    }

    fn find(&self, option: &str, name: &str) -> Result<usize, Failure> {
        let names = || self.sounds.iter().map(|sound| &sound.name);
        let known = || names().map(|name| &**name).collect::<Vec<_>>().join(", ");
        names().position(|known| known.is(name)).ok_or_else(|| {
            Failure::Usage(format!("{option}: there is no sound '{name}': accepted are {}", known()))
        })
    }
}

/// An equaliser for each channel, and its level; they are made for the take's rate, at which sounds are rendered.
fn treatment(rescue: &Rescue) -> Box<dyn Fn(f64, usize) -> Treatment> {
    let (channel, level) = (rescue.equaliser.clone(), 10f64.powf(rescue.level_db / 20.0));
    Box::new(move |_, channels| {
        let mut running = vec![channel.clone(); channels];
        Box::new(move |block| {
            for (channel, samples) in running.iter_mut().zip(block) {
                channel.process(samples);
                samples.iter_mut().for_each(|sample| *sample *= level);
            }
        })
    })
}
