use dsp_core::circuit::{Chain, Input, InputBox, Link, Pickups, Spread, ToneControl};
use dsp_core::preset::Remark as Slip;
use dsp_core::response::Response;
use dsp_core::units::{Length, NominalInput, Resistance};
use firstjack_words::Words;

use super::{NamedChain, Strings};

/// Inputs that are as often those of passive boxes as of others, in ohms (common practice, no source).
const PASSIVE_OHMS: (f64, f64) = (47e3, 250e3);

/// A longer cable is seldom between an instrument and its first box, in metres (common practice, no source).
const LONG_METRES: f64 = 50.0;

/// What was assumed without being said, or is asked back.
pub(super) enum Remark {
    /// A pickup by its kind has these values.
    Kind { name: String, values: Vec<String> },
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

    /// On a resistance that was typed, the only one that a capacitive pickup sees of what it is plugged into.
    pub fn passive(pickups: &Pickups, setup: &NamedChain) -> Option<Self> {
        if pickups.pickup(0).is_magnetic() {
            return None;
        }
        let last = |link: &Link| match link {
            Link::Resistance(value) => Some(*value),
            Link::Box(InputBox { input: Input::Resistance(value), thru: None, .. }) => Some(*value),
            _ => None,
        };
        let links: Vec<&Link> = setup.chain.loading().collect();
        let mut inputs = links.iter().filter_map(|link| last(link));
        let input = inputs.next().filter(|_| inputs.next().is_none())?;
        if !(PASSIVE_OHMS.0..=PASSIVE_OHMS.1).contains(&input.ohms()) {
            return None;
        }
        let nominal: NominalInput = input.to_string().parse().ok()?;
        let usual = |link: &Link| match last(link) {
            Some(_) => Link::Box(InputBox::usual(input.to_string(), nominal)),
            None => link.clone(),
        };
        let passive = Chain::new(links.into_iter().map(usual).collect()).ok()?;
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
            Self::Kind { name, values } => {
                let values = values.iter().map(|value| words.figure(value)).collect::<Vec<_>>().join(", ");
                words.say("remark.kind", &[("name", name), ("values", &values)])
            }
            Self::Controls(tone) => {
                let (ohms, farads) = (words.figure(tone.resistance), words.figure(tone.capacitance));
                words.say("remark.controls", &[("ohms", &ohms), ("farads", &farads)])
            }
            Self::NoControls => words.get("remark.no_controls").to_owned(),
            Self::Passive { input, typed, passive } => {
                let hz = strings.lowest_hz();
                let loss = words.db(Response::new(pickups, typed).loss_db(hz));
                let range = Spread::of(pickups, [passive]).map(|spread| words.db_range(spread.loss_db(hz)));
                let values = [
                    ("ohms", &*words.figure(input)),
                    ("typed", &input.to_string().replace(" kΩ", "k")),
                    ("string", words.note(&strings.lowest)),
                    ("range", &range.unwrap_or_default()),
                    ("loss", &loss),
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
