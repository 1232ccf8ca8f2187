use super::{Response, landmark};
use crate::circuit::{Cable, Chain, Link, Pickups};
use crate::units::{Capacitance, Length};

/// The lengths that are looked at, in metres: those that a [`Length`] can be.
const LENGTHS_METRES: (f64, f64) = (1e-3, 1e4);

/// One cable from the pickup to the first box, of any length, in place of all cables that load the pickup; for how long it may be.
/// Of a blend with a coil it is the coil's response that is looked at, since it is the coil that a cable changes most.
#[derive(Debug, Clone)]
pub struct CableRun {
    pickups: Pickups,
    boxes: Chain,
    per_metre: Option<Capacitance>,
    coil: Option<usize>,
}

impl CableRun {
    /// In `chain`, of the kind of its first cable, or of the default one.
    pub fn new(pickups: &Pickups, chain: &Chain) -> Self {
        let mut per_metre = None;
        let mut boxes = Vec::new();
        for (link, loads) in chain.links() {
            match link {
                Link::Cable(cable) if loads => per_metre = per_metre.or(cable.per_metre),
                _ => boxes.push(link.clone()),
            }
        }
        let coil = (0..pickups.count()).find(|index| pickups.pickup(*index).is_magnetic());
        Self { pickups: *pickups, boxes: Chain::of(boxes), per_metre, coil }
    }

    /// Which pickup is looked at, counted from zero, if one of them is a coil; then the cable costs top, otherwise level.
    pub const fn coil(&self) -> Option<usize> {
        self.coil
    }

    /// Its capacitance per metre.
    pub fn per_metre(&self) -> Capacitance {
        let default = || Capacitance::from_farads(Cable::PER_METRE_FARADS).expect("within its range");
        self.per_metre.unwrap_or_else(default)
    }

    /// The length with which it costs so many dB of the level in the passband; `None` if none does.
    ///
    /// Of a capacitive pickup without controls into boxes of a capacitance `C` it is `(C_p + C) (10^(dB/20) - 1) / C'` (textbook:
    /// a divider of capacitances). Otherwise too it is found numerically.
    pub fn for_level(&self, db: f64) -> Option<Length> {
        let most_db = self.response(None).level_loss_db() + db;
        self.longest(|response| response.level_loss_db() <= most_db)
    }

    /// The length with which the top falls by 3 dB at `part` (below 1) of the frequency where it does without cable; `None` if none
    /// does, or the top does not fall below 100 kHz without. Found numerically.
    pub fn for_top(&self, part: f64) -> Option<Length> {
        let least_hz = part * self.top_hz()?;
        self.longest(|response| response.top_corner_hz().is_none_or(|hz| hz >= least_hz))
    }

    /// Where the top falls by 3 dB without cable, in Hz, if it does below 100 kHz.
    pub fn top_hz(&self) -> Option<f64> {
        self.response(None).top_corner_hz()
    }

    fn longest(&self, suffices: impl Fn(&Response) -> bool) -> Option<Length> {
        let holds = |metres: f64| suffices(&self.response(Length::from_metres(metres).ok()));
        let (shortest, longest) = LENGTHS_METRES;
        if holds(longest) {
            return None;
        }
        Length::from_metres(landmark::between(shortest, longest, holds)).ok()
    }

    fn response(&self, length: Option<Length>) -> Response {
        let cable = |length| Link::Cable(Cable { per_metre: self.per_metre, ..Cable::new(length) });
        let boxes = self.boxes.links().map(|(link, _)| link.clone());
        let chain = Chain::of(length.map(cable).into_iter().chain(boxes).collect());
        let response = Response::new(&self.pickups, &chain);
        self.coil.map_or(response.clone(), |index| response.of_part(index, true))
    }
}
