//! What pickups and coils share: the input with the measuring lead on it, and what is plugged in beside.

use super::Known;
use super::bands::{Band, median};
use super::circuit::{Arm, Node, Source};
use super::fit::{BETTER, Fit, Problem};
use super::steps::{Levelled, levelled};
use super::told::{chart, refused};
use crate::{Found, Measured, Recording, Refusal};

/// Places of the input's values; those of what is plugged in follow.
pub(super) const INPUT_OHMS: usize = 0;
pub(super) const INPUT_FARADS: usize = 1;
pub(super) const PLUGGED: usize = 2;

/// Names of the steps.
pub(super) const STEPS: [&str; 2] = ["empty", "plugged"];

/// Louder than the reference by more than this, and by so many bands, is no noise, in dB.
const LOUDER_DB: f64 = 0.15;
const LOUD_BANDS: usize = 3;
/// The plateau of an empty input of three times the resistor: 20 lg(4/3). What is lower cannot be told from another gain. With a
/// capacitor as much: that of the input and the lead is two fifths of it.
const LOWEST_PLATEAU_DB: f64 = 2.6;
const LOWEST_WITH_A_CAPACITOR_DB: f64 = 3.5;
/// Off a circuit by more than this in a quarter of the bands is another circuit, in dB.
pub(super) const MOST_LEFT_DB: f64 = 0.5;
/// A gain that differs by more than this has been changed, in dB.
const GAIN_DB: f64 = 0.25;
/// A gain is looked for if it can be told to this, in dB.
const GAIN_TOLD_DB: f64 = 0.5;

const GAIN_STARTS_DB: [f64; 3] = [0.0, -6.0, -12.0];

const INPUT_STARTS: [(f64, f64); 3] = [(1e6, 300e-12), (1e7, 100e-12), (3e5, 1e-9)];

/// What the three recordings, in the order of their steps, come to by a fit and what is found in it.
pub(super) fn measured(
    [reference, empty, plugged]: [&Recording; 3],
    known: &Known,
    fit: fn(&Plugged) -> Fit,
    found: fn(&Plugged, &Fit, &mut Vec<String>) -> Result<Found, Refusal>,
) -> Measured {
    let measured = match Plugged::new(reference, empty, plugged, known) {
        Ok(measured) => measured,
        Err(refusal) => return refused(refusal, known.remarks(), Vec::new()),
    };
    let fit = fit(&measured);
    let chart = chart(&STEPS, &measured.levelled.steps, &fit);
    let mut remarks = known.remarks();
    remarks.extend(measured.levelled.remarks.iter().cloned());
    match found(&measured, &fit, &mut remarks) {
        Ok(found) => Measured { found, refused: None, remarks, chart },
        Err(refusal) => refused(refusal, remarks, chart),
    }
}

/// The two steps, and the input by itself.
pub(super) struct Plugged {
    pub levelled: Levelled,
    pub known: Known,
    input: Vec<f64>,
}

impl Plugged {
    /// Checks what can be said before anything is assumed of what is plugged in.
    pub fn new(
        reference: &Recording,
        empty: &Recording,
        plugged: &Recording,
        known: &Known,
    ) -> Result<Self, Refusal> {
        let recordings = [("reference", reference), (STEPS[0], empty), (STEPS[1], plugged)];
        // Behind a sound that others have, nothing is an answer, too.
        let levelled = levelled(&recordings).map_err(|refusal| match refusal {
            Refusal::NoSweep { recording } if recording == STEPS[1] => Refusal::Shorted,
            refusal => refusal,
        })?;
        not_louder_than_the_reference(STEPS[0], &levelled.steps[0])?;
        let differences = differences(&levelled.steps);
        let louder_db = median(differences.clone());
        if louder_db > LOUDER_DB {
            return Err(Refusal::Swapped { db: differences.iter().copied().fold(0.0, f64::max) });
        }
        let alone = Problem {
            source: known.source(),
            reference: input(),
            steps: vec![(input(), &levelled.steps[0])],
            before: None,
        };
        let starts = INPUT_STARTS.map(|(ohms, farads)| vec![ohms.ln(), farads.ln()]);
        let fit = alone.solved(&starts);
        let left_db = fit.most_left_db(0);
        if left_db > MOST_LEFT_DB {
            return Err(Refusal::Unexplained { db: left_db });
        }
        not_too_low(known.source(), &fit)?;
        Ok(Self { levelled, known: *known, input: fit.ln })
    }

    /// The best fit of both steps with these arms plugged in, from these values of theirs.
    pub fn fit(&self, arms: &[Arm], starts: &[Vec<f64>]) -> Fit {
        self.fit_with(Node { arms: [&input().arms, arms].concat(), gain: None }, starts)
    }

    fn fit_with(&self, node: Node, starts: &[Vec<f64>]) -> Fit {
        let steps = vec![(input(), self.levelled.steps[0].as_slice()), (node, &self.levelled.steps[1])];
        let problem = Problem { source: self.known.source(), reference: input(), steps, before: None };
        let of = |start: &Vec<f64>| [self.input.as_slice(), start].concat();
        problem.solved(&starts.iter().map(of).collect::<Vec<_>>())
    }

    /// A fit of the same arms that leaves the gain between the steps free, and by how much that was changed, in dB, if it explains the recordings and
    /// they tell it.
    pub fn gain_db(&self, arms: &[Arm], fit: &Fit) -> Option<f64> {
        let gain = fit.ln.len();
        let node = Node { arms: [&input().arms, arms].concat(), gain: Some(gain) };
        let starts = GAIN_STARTS_DB.map(|gain_db| [&fit.ln[PLUGGED..], &[gain_db]].concat());
        let with = self.fit_with(node, &starts);
        let (db, error_db) = (with.ln[gain], with.error[gain]);
        let explains = with.most_left_db(1) < MOST_LEFT_DB && with.criterion() + BETTER < fit.criterion();
        (explains && error_db < GAIN_TOLD_DB && db.abs() > GAIN_DB + 3.0 * error_db).then_some(db)
    }
}

/// The input alone.
fn input() -> Node {
    Node { arms: vec![Arm::Resistor(INPUT_OHMS), Arm::Capacitor(INPUT_FARADS)], gain: None }
}

/// The plateau of the empty node is that of a high input: what is lower may as well be another gain.
fn not_too_low(source: Source, fit: &Fit) -> Result<(), Refusal> {
    let (over, lowest_db) = match source {
        Source::Resistor(ohms) => (ohms / fit.ln[INPUT_OHMS].exp(), LOWEST_PLATEAU_DB),
        Source::Capacitor(farads) => (fit.ln[INPUT_FARADS].exp() / farads, LOWEST_WITH_A_CAPACITOR_DB),
    };
    let db = 20.0 * (1.0 + over).log10();
    if db > lowest_db { Err(Refusal::EmptyTooLow { db }) } else { Ok(()) }
}

/// Plugged less empty, band by band.
fn differences(steps: &[Vec<Band>]) -> Vec<f64> {
    steps[0].iter().zip(&steps[1]).map(|(empty, plugged)| plugged.db - empty.db).collect()
}

/// Nothing in series makes a sound louder; a transformer that resonates with a capacitor does, and is not asked.
pub(super) fn not_louder_than_the_reference(name: &'static str, bands: &[Band]) -> Result<(), Refusal> {
    let mut louder: Vec<f64> = bands.iter().map(|band| band.db - 3.0 * band.error_db).collect();
    louder.sort_by(|a, b| b.total_cmp(a));
    match louder.get(LOUD_BANDS - 1) {
        Some(db) if *db > LOUDER_DB => Err(Refusal::LouderThanReference { recording: name, db: *db }),
        _ => Ok(()),
    }
}
