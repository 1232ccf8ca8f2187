use super::Known;
use super::circuit::Arm;
use super::empty::{INPUT_FARADS, MOST_LEFT_DB, PLUGGED, Plugged, measured};
use super::fit::Fit;
use super::pickup::{self, MECHANICS, passive};
use super::told::{Unit, estimate, is_told, told};
use crate::{Estimate, Found, Measured, Recording, Refusal};

/// Places of a coil's values.
const INDUCTOR: usize = PLUGGED;
const RESISTOR: usize = PLUGGED + 1;
const LOSS: usize = PLUGGED + 2;
const WINDING: usize = PLUGGED + 3;

const COIL: [Arm; 2] =
    [Arm::Coil { inductor: INDUCTOR, resistor: RESISTOR, loss: LOSS }, Arm::Capacitor(WINDING)];

/// Henries, ohms, ohms of the losses, farads: common practice, no source.
const STARTS: [[f64; 4]; 4] =
    [[2.0, 6e3, 4e5, 100e-12], [5.0, 9e3, 4e5, 100e-12], [0.5, 2e3, 1e5, 100e-12], [10.0, 15e3, 1e6, 50e-12]];

/// A coil has at least so many henries.
const LEAST_HENRIES: f64 = 0.05;

/// Inductance, resistance, losses and winding capacitance of a magnetic pickup, by the same three recordings as a capacitive one.
pub fn coil(reference: &Recording, empty: &Recording, plugged: &Recording, known: &Known) -> Measured {
    measured([reference, empty, plugged], known, fit, found)
}

/// The best coil.
pub(super) fn fit(measured: &Plugged) -> Fit {
    measured.fit(&COIL, &STARTS.map(|start| start.map(f64::ln).to_vec()))
}

fn found(measured: &Plugged, fit: &Fit, remarks: &mut Vec<String>) -> Result<Found, Refusal> {
    let capacitor = pickup::fit(measured);
    if capacitor.most_left_db(1) < MOST_LEFT_DB {
        pickup::shows(&pickup::capacitance(measured, &capacitor))?;
        return Err(Refusal::LikeACapacitor);
    }
    passive(measured)?;
    let left_db = fit.most_left_db(1);
    if left_db > MOST_LEFT_DB || fit.ln[INDUCTOR] < LEAST_HENRIES.ln() {
        return Err(Refusal::Unexplained { db: left_db });
    }
    let tolerance = measured.known.tolerance();
    let of = |place| estimate(fit, place, tolerance, MECHANICS);
    let better = "record again with less noise, volume and tone full up, with a resistor of 100k";
    let inductance = told(of(INDUCTOR), "the inductance", Unit::Henry, better)?;
    let resistance = told(of(RESISTOR), "the resistance", Unit::Ohm, better)?;
    let winding = winding(fit, tolerance);
    if !is_told(&winding) {
        remarks
            .push(format!("the winding has less than {}; the lead hides it", Unit::Farad.text(winding.high)));
    }
    let loss = of(LOSS);
    if !is_told(&loss) {
        remarks.push(format!(
            "the losses are those of more than {}; the resonance is too damped to tell",
            Unit::Ohm.text(loss.low)
        ));
    }
    remarks.push("losses include those of the instrument's own controls, the winding's capacitance that of its cable; gains are taken as unchanged".to_owned());
    Ok(Found {
        inductance_h: Some(inductance),
        resistance_ohms: Some(resistance),
        loss_ohms: Some(loss).filter(is_told),
        winding_f: Some(winding).filter(is_told),
        ..Found::default()
    })
}

/// The winding stands beside the lead: what is left out counts of both.
fn winding(fit: &Fit, tolerance: f64) -> Estimate {
    let share = (fit.ln[INPUT_FARADS] - fit.ln[WINDING]).exp();
    estimate(fit, WINDING, tolerance, MECHANICS * (1.0 + share))
}
