use super::circuit::Arm;
use super::empty::{INPUT_FARADS, INPUT_OHMS, MOST_LEFT_DB, PLUGGED, Plugged, measured};
use super::fit::Fit;
use super::told::{Unit, estimate, is_told, told};
use super::{Known, coil};
use crate::{Estimate, Found, Measured, Recording, Refusal};

/// A pickup's capacitance is not one number: it moves with the bridge that it lies under, as a part.
pub(super) const MECHANICS: f64 = 0.05;
/// What the model of an input leaves out, as a part.
pub(super) const INPUT_LEFT_OUT: f64 = 0.02;

/// Less than this does not show beside the lead, in farads.
const LEAST_FARADS: f64 = 30e-12;
const STARTS: [f64; 4] = [200e-12, 1e-9, 5e-9, 30e-9];

/// A source of less than this is active: no volume control is so low, in ohms (common practice, no source).
const ACTIVE_OHMS: f64 = 25e3;
const ACTIVE_STARTS: [f64; 3] = [300.0, 3e3, 15e3];
const CABLE_FARADS: f64 = 100e-12;

/// The capacitor that is plugged in.
pub(super) const CAPACITOR: [Arm; 1] = [Arm::Capacitor(PLUGGED)];

/// A pickup's capacitance, and resistance and capacitance of the input: from the output straight into the input (`reference`), through the
/// known part with the measuring lead on the node (`empty`), and with the pickup at the node besides (`plugged`).
pub fn pickup(reference: &Recording, empty: &Recording, plugged: &Recording, known: &Known) -> Measured {
    measured([reference, empty, plugged], known, fit, found)
}

/// The best capacitor.
pub(super) fn fit(measured: &Plugged) -> Fit {
    measured.fit(&CAPACITOR, &STARTS.map(|farads| vec![farads.ln()]))
}

/// The capacitance of that fit.
pub(super) fn capacitance(measured: &Plugged, fit: &Fit) -> Estimate {
    estimate(fit, PLUGGED, measured.known.tolerance(), MECHANICS)
}

/// Whether there is something at all.
pub(super) fn shows(capacitance: &Estimate) -> Result<(), Refusal> {
    let least_pf = 1e12 * LEAST_FARADS;
    if capacitance.low < LEAST_FARADS { Err(Refusal::NothingPlugged { least_pf }) } else { Ok(()) }
}

/// Refuses a resistance with no more than a cable's capacitance, as it is behind a buffer.
pub(super) fn passive(measured: &Plugged) -> Result<(), Refusal> {
    let resistor = [Arm::Resistor(PLUGGED), Arm::Capacitor(PLUGGED + 1)];
    let fit = measured.fit(&resistor, &ACTIVE_STARTS.map(|ohms| vec![ohms.ln(), CABLE_FARADS.ln()]));
    let is_active = fit.most_left_db(1) < MOST_LEFT_DB && fit.ln[PLUGGED] < ACTIVE_OHMS.ln();
    if is_active { Err(Refusal::Active { ohms: fit.ln[PLUGGED].exp() }) } else { Ok(()) }
}

fn found(measured: &Plugged, fit: &Fit, remarks: &mut Vec<String>) -> Result<Found, Refusal> {
    let tolerance = measured.known.tolerance();
    let capacitance = capacitance(measured, fit);
    let left_db = fit.most_left_db(1);
    if left_db > MOST_LEFT_DB {
        passive(measured)?;
    }
    if let Some(db) = measured.gain_db(&CAPACITOR, fit) {
        return Err(Refusal::GainChanged { db });
    }
    if left_db > MOST_LEFT_DB {
        let like_a_coil = coil::fit(measured).most_left_db(1) < MOST_LEFT_DB;
        return Err(if like_a_coil { Refusal::LikeACoil } else { Refusal::Unexplained { db: left_db } });
    }
    shows(&capacitance)?;
    let better = "record again with less noise, with a resistor of 100k, on an input for instruments";
    let capacitance = told(capacitance, "the capacitance", Unit::Farad, better)?;
    let input_ohms = estimate(fit, INPUT_OHMS, tolerance, INPUT_LEFT_OUT);
    let input_f = estimate(fit, INPUT_FARADS, tolerance, INPUT_LEFT_OUT);
    if !is_told(&input_ohms) {
        remarks.push(format!(
            "the input has more than {}; more cannot be told by this part",
            Unit::Ohm.text(input_ohms.low)
        ));
    }
    remarks.push(
        "the input's capacitance includes the measuring lead's, the pickup's that of its own cable"
            .to_owned(),
    );
    Ok(Found {
        capacitance_f: Some(capacitance),
        input_ohms: Some(input_ohms).filter(is_told),
        input_f: Some(input_f).filter(is_told),
        ..Found::default()
    })
}
