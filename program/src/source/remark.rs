use dsp_core::circuit::{Chain, Input, InputBox, Link, MagneticPickup, Pickups, Spread, Thru, ToneControl};
use dsp_core::kit::Entry;
use dsp_core::preset::Remark as Slip;
use dsp_core::response::Response;
use dsp_core::units::{Capacitance, Length, NominalInput, Resistance};
use firstjack_words::Words;

use super::{NamedChain, Strings};

/// Inputs that are as often those of passive boxes as of others, in ohms (common practice, no source).
const PASSIVE_OHMS: (f64, f64) = (47e3, 250e3);

/// A longer cable is seldom between an instrument and its first box, in metres (common practice, no source).
const LONG_METRES: f64 = 50.0;

/// What was assumed without being said, or is asked back.
pub(super) enum Remark {
    /// What of the kit was used.
    Own(Box<Entry>),
    /// A pickup of the kit has the name of a kind.
    OwnKind(String),
    /// A box that has a buffer by the kit stands in parallel with others.
    Parallel(String),
    /// A capacitive pickup by its kind has this capacitance.
    Kind { name: String, capacitance: Capacitance },
    /// A magnetic one these values.
    CoilKind { name: String, coil: MagneticPickup },
    /// A coil has the controls that are usual; the volume pot is as large as that of the tone control.
    Controls(ToneControl),
    /// The coil of a file has no controls.
    NoControls,
    /// An input of these ohms may be a passive box: what it is plugged into, as it was typed and as a usual transformer.
    Passive { input: Resistance, typed: Chain, passive: Chain },
    /// A cable is very long.
    LongCable(Length),
    /// What is as a rule a slip in a file.
    Slip(Slip),
}

impl Remark {
    /// On the coil of a file, which keeps its meaning.
    pub fn no_controls(pickups: &Pickups) -> Option<Self> {
        let bare = |index| {
            let pickup = pickups.pickup(index);
            pickup.is_magnetic() && pickup.volume.is_none() && pickup.tone.is_none()
        };
        (0..pickups.count()).any(bare).then_some(Self::NoControls)
    }

    /// On an input that was typed, the only one among those that a capacitive pickup sees that may be a passive box's. A box with a buffer is none,
    /// nor is one of the kit, which says what it is.
    pub fn passive(pickups: &Pickups, setup: &NamedChain, own: &[Entry]) -> Option<Self> {
        if pickups.pickup(0).is_magnetic() {
            return None;
        }
        let (links, inputs): (Vec<&Link>, Vec<_>) = setup
            .chain
            .loading()
            .map(|link| (link, may_be_passive(link).filter(|_| !is_own(link, own))))
            .unzip();
        let mut found = inputs.iter().flatten();
        let input = *found.next().filter(|_| found.next().is_none())?;
        let nominal: NominalInput = input.to_string().parse().ok()?;
        let usual = |(link, input): (&Link, &Option<Resistance>)| match link {
            Link::Box(InputBox { name, thru, .. }) if input.is_some() => {
                Link::Box(InputBox { thru: *thru, ..InputBox::usual(name, nominal) })
            }
            _ if input.is_some() => Link::Box(InputBox::usual(nominal.to_string(), nominal)),
            _ => link.clone(),
        };
        let passive = Chain::new(links.into_iter().zip(&inputs).map(usual).collect()).ok()?;
        Some(Self::Passive { input, typed: setup.chain.clone(), passive })
    }

    /// On the longest cable.
    pub fn long_cable(setups: &[NamedChain]) -> Option<Self> {
        let length = |(link, _): (&Link, bool)| match link {
            Link::Cable(cable) => Some(cable.length),
            _ => None,
        };
        let lengths = setups.iter().flat_map(|setup| setup.chain.links().filter_map(length));
        let longest = lengths.max_by(|a, b| a.metres().total_cmp(&b.metres()))?;
        (longest.metres() > LONG_METRES).then_some(Self::LongCable(longest))
    }

    /// As a sentence.
    pub fn said(&self, pickups: &Pickups, strings: &Strings, words: &Words) -> String {
        match self {
            Self::Own(entry) => {
                let (values, origin) = (words.kit_values(entry), words.kit_origin(entry.origin()));
                words.say("remark.kit", &[("name", entry.name()), ("values", &values), ("origin", &origin)])
            }
            Self::OwnKind(name) => words.say("remark.kit_kind", &[("name", name)]),
            Self::Parallel(name) => words.say("remark.kit_parallel", &[("name", name)]),
            Self::Kind { name, capacitance } => {
                words.say("remark.kind", &[("name", name), ("value", &words.figure(capacitance))])
            }
            Self::CoilKind { name, coil } => {
                let [inductance, resistance] = [words.figure(coil.inductance), words.figure(coil.resistance)];
                let winding = coil.winding.map(|value| words.figure(value)).unwrap_or_default();
                let loss = coil.loss.map(|value| words.figure(value)).unwrap_or_default();
                let values = [
                    ("name", name.as_str()),
                    ("inductance", &inductance),
                    ("resistance", &resistance),
                    ("winding", &winding),
                    ("loss", &loss),
                ];
                words.say("remark.coil_kind", &values)
            }
            Self::Controls(tone) => {
                let (ohms, farads) = (words.figure(tone.resistance), words.figure(tone.capacitance));
                words.say("remark.controls", &[("ohms", &ohms), ("farads", &farads)])
            }
            Self::NoControls => words.get("remark.no_controls").to_owned(),
            Self::Passive { input, typed, passive } => {
                let hz = strings.lowest_hz();
                let loss = |chain: &Chain| match Spread::of(pickups, [chain]) {
                    Some(spread) => words.db_range(spread.loss_db(hz)),
                    None => words.db(Response::new(pickups, chain).loss_db(hz)),
                };
                let values = [
                    ("ohms", &*words.figure(input)),
                    ("typed", &input.to_string().replace(" kΩ", "k")),
                    ("string", words.note(&strings.lowest)),
                    ("range", &loss(passive)),
                    ("loss", &loss(typed)),
                ];
                words.say("remark.passive", &values)
            }
            Self::Slip(Slip::SameSetups { one, other }) => {
                words.say("remark.same_setups", &[("one", one), ("other", other)])
            }
            Self::Slip(Slip::NearVenues { one, other }) => {
                words.say("remark.near_venues", &[("one", one), ("other", other)])
            }
            Self::LongCable(length) => words.say("remark.long_cable", &[("length", &words.figure(length))]),
        }
    }
}

fn is_own(link: &Link, own: &[Entry]) -> bool {
    link.name().is_some_and(|name| own.iter().any(|entry| entry.name() == name))
}

/// The input of a link, if it may be a passive box's.
fn may_be_passive(link: &Link) -> Option<Resistance> {
    let input = match link {
        Link::Resistance(value) => value,
        Link::Box(InputBox { input: Input::Resistance(value), thru: None | Some(Thru::Before), .. }) => value,
        _ => return None,
    };
    (PASSIVE_OHMS.0..=PASSIVE_OHMS.1).contains(&input.ohms()).then_some(*input)
}
