use dsp_core::circuit::{Cable, Chain, Input, InputBox, Link, Pickups};
use dsp_core::response::InputNeeded;
use dsp_core::units::{Length, Resistance};

use super::{Doing, Outcome, Situation, boxes, in_front};

/// Beyond the loss to accept, in dB: less is not worth asking for anything.
const LEAST_DB: f64 = 0.5;

/// An input that takes nothing.
const OPEN_OHMS: f64 = 1e12;

/// What a usual buffer box may leave lost, in dB.
const MOST_LEFT_DB: f64 = 3.0;

/// Inputs of buffer boxes, in ohms, from what is usual on (common practice, no source).
const BUFFERS_OHMS: [f64; 4] = [10e6, 22e6, 47e6, 100e6];

/// What helps where what there is is not good enough.
#[derive(Debug, Clone, PartialEq)]
pub enum Remedy {
    /// It is good enough.
    Enough,
    /// An input that can be had, straight behind the pickup.
    Ask { needed: InputNeeded, outcome: Outcome },
    /// A buffer box of so many ohms, first in line, since inputs as high as what is needed are rare; whether any box here has as much, and
    /// whether it stands on a metre of cable where there is more now.
    Bring { ohms: f64, needed: InputNeeded, outcome: Outcome, is_here: bool, on_short: bool },
    /// No input helps; what would, is said of this.
    Else(InputNeeded),
}

impl Remedy {
    pub fn new(situation: &Situation, doing: &Doing) -> Self {
        let pickups = situation.pickups_of(&situation.setups[doing.setup]);
        let lowest_hz = situation.strings.lowest_hz();
        let needed_of = |chain: &Chain| InputNeeded::new(&pickups, chain, lowest_hz, situation.max_loss_db);
        if doing.outcome.most_loss_db() <= situation.max_loss_db + LEAST_DB && !pickups_are_coils(&pickups)
            || has(&doing.chain, needed_of(&doing.chain).from_ohms)
        {
            return Self::Enough;
        }
        let Ok(mut front) = Chain::new(in_front(&doing.chain)) else { return Self::Enough };
        let mut needed = needed_of(&front);
        // A box that is brought stands at the instrument, and what is left of the cable follows its buffer.
        let short = short(&front).filter(|_| is_rare(&needed));
        let on_short = short.is_some();
        if let Some(short) = short {
            (needed, front) = (needed_of(&short), short);
        }
        let (Some(from), _) = needed.asked_ohms() else { return Self::Else(needed) };
        let outcome = |ohms: f64| Some(Outcome::new(&pickups, &with_input(&front, ohms)?, lowest_hz));
        let is_usual = from <= InputNeeded::USUAL_OHMS;
        let ohms = if is_usual { Some(from) } else { buffer_ohms(from, situation.max_loss_db, outcome) };
        let Some((ohms, outcome)) = ohms.and_then(|ohms| Some((ohms, outcome(ohms)?))) else {
            return Self::Enough;
        };
        if outcome.merit.steps_over(&doing.outcome.merit) < 1.0 {
            Self::Enough
        } else if is_usual {
            Self::Ask { needed, outcome }
        } else {
            let is_here = situation.setups.iter().any(|setup| has_box(&setup.chain, ohms.min(from)));
            Self::Bring { ohms, needed, outcome, is_here, on_short }
        }
    }
}

/// The smallest of usual buffer boxes with which the lowest string loses as little as it may against an open input; 3 dB of it may be
/// lost before a rarer one is worth looking for.
fn buffer_ohms(from: f64, max_loss_db: f64, outcome: impl Fn(f64) -> Option<Outcome>) -> Option<f64> {
    let open_db = outcome(OPEN_OHMS)?.most_loss_db();
    let suffices = |ohms: &f64| {
        outcome(*ohms)
            .is_some_and(|outcome| outcome.most_loss_db() - open_db <= max_loss_db.max(MOST_LEFT_DB))
    };
    Some(BUFFERS_OHMS.into_iter().find(|ohms| *ohms >= from || suffices(ohms)).unwrap_or(from))
}

/// Whether hardly any box has what is needed.
pub fn is_rare(needed: &InputNeeded) -> bool {
    needed.from_ohms.is_some_and(|ohms| ohms > InputNeeded::USUAL_OHMS)
}

fn pickups_are_coils(pickups: &Pickups) -> bool {
    (0..pickups.count()).all(|index| pickups.pickup(index).is_magnetic())
}

/// Whether the input that is listened to is a plain one and as high as is needed.
fn has(chain: &Chain, needed_ohms: Option<f64>) -> bool {
    let ohms = match chain.heard() {
        Some(InputBox { input: Input::Resistance(value), blocking: None, .. }) => value.ohms(),
        Some(_) => 0.0,
        None => chain.shunt().ohms(),
    };
    // What is needed is found numerically.
    needed_ohms.is_some_and(|needed| ohms >= needed * (1.0 - 1e-6))
}

fn has_box(chain: &Chain, ohms: f64) -> bool {
    boxes(chain).any(|(_, input, _)| matches!(input.input, Input::Resistance(value) if value.ohms() >= ohms))
}

/// A metre of the same cable, where there is more.
fn short(front: &Chain) -> Option<Chain> {
    let cables = || {
        front.links().filter_map(|(link, _)| if let Link::Cable(cable) = link { Some(cable) } else { None })
    };
    let metre = Length::from_metres(1.0).ok()?;
    let is_longer = cables().map(|cable| cable.length.metres()).sum::<f64>() > metre.metres();
    let per_metre = cables().next().filter(|_| is_longer)?.per_metre;
    Chain::new(vec![Link::Cable(Cable { per_metre, ..Cable::new(metre) })]).ok()
}

fn with_input(front: &Chain, ohms: f64) -> Option<Chain> {
    let input = InputBox::new("input", Resistance::from_ohms(ohms).ok()?);
    let front = front.links().map(|(link, _)| link.clone());
    Chain::new(front.chain([Link::Box(input)]).collect()).ok()
}
