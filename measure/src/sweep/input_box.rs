use super::Known;
use super::circuit::{Arm, Node, Source};
use super::empty::{MOST_LEFT_DB, not_louder_than_the_reference};
use super::fit::{BETTER, Fit, Problem};
use super::pickup::INPUT_LEFT_OUT;
use super::steps::{Levelled, levelled};
use super::told::{Unit, chart, estimate, is_told, refused, told};
use crate::{Found, Measured, Recording, Refusal};

/// Places of a box's values.
const OHMS: usize = 0;
const FARADS: usize = 1;
const THIRD: usize = 2;
const WINDING: usize = 3;

const STEP: &str = "box";

/// The plateau of a capacitance of two fifths of the known one, in dB.
const LOWEST_PLATEAU_DB: f64 = 3.5;

const OHMS_STARTS: [f64; 4] = [2e4, 1e5, 1e6, 5e6];
const FARADS_START: f64 = 100e-12;
const BLOCKING_STARTS: [f64; 2] = [5e-9, 47e-9];
const PRIMARY_STARTS: [f64; 2] = [20.0, 150.0];

/// What the output's own impedance may be off what it is taken to be, in ohms.
const OUTPUT_OFF_OHMS: f64 = 150.0;

/// A transformer's winding, in ohms, and the error of its logarithm: a few kilohms (common practice, no source). What shows counts more.
const WINDING_OHMS: f64 = 2e3;
const WINDING_ERROR: f64 = 1.2;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Plain,
    Blocked,
    Transformer,
}

impl Kind {
    fn node(self) -> Node {
        let first = match self {
            Self::Plain => vec![Arm::Resistor(OHMS)],
            Self::Blocked => vec![Arm::Blocked { resistor: OHMS, capacitor: THIRD }],
            Self::Transformer => vec![Arm::Coil { inductor: THIRD, resistor: WINDING, loss: OHMS }],
        };
        Node { arms: [first, vec![Arm::Capacitor(FARADS)]].concat(), gain: None }
    }

    fn starts(self) -> Vec<Vec<f64>> {
        let third: &[f64] = match self {
            Self::Plain => &[],
            Self::Blocked => &BLOCKING_STARTS,
            Self::Transformer => &PRIMARY_STARTS,
        };
        let plain = OHMS_STARTS.map(|ohms| vec![ohms.ln(), FARADS_START.ln()]);
        if third.is_empty() {
            return plain.to_vec();
        }
        let with = |start: &Vec<f64>, third: f64| {
            let winding = (self == Self::Transformer).then(|| WINDING_OHMS.ln());
            start.iter().copied().chain([third.ln()]).chain(winding).collect()
        };
        plain.iter().flat_map(|start| third.iter().map(|third| with(start, *third))).collect()
    }
}

/// Resistance and capacitance of a box's input and, where they show, its blocking capacitor or its transformer's primary: from the output straight
/// into the box and the box into the input (`reference`), and with the known part between output and box (`boxed`).
pub fn input_box(reference: &Recording, boxed: &Recording, known: &Known) -> Measured {
    let levelled = match levelled(&[("reference", reference), (STEP, boxed)]) {
        Ok(levelled) => levelled,
        Err(refusal) => return refused(refusal, known.remarks(), Vec::new()),
    };
    let (kind, fit) = best(&levelled, known);
    let chart = chart(&[STEP], &levelled.steps, &fit);
    let mut remarks = known.remarks();
    remarks.extend(levelled.remarks.iter().cloned());
    match found(&levelled, known, kind, &fit, &mut remarks) {
        Ok(found) => Measured { found, refused: None, remarks, chart },
        Err(refusal) => refused(refusal, remarks, chart),
    }
}

/// The plain input, unless another circuit is much better.
fn best(levelled: &Levelled, known: &Known) -> (Kind, Fit) {
    let fit = |kind: Kind| {
        let node = kind.node();
        let before = (kind == Kind::Transformer).then(|| (WINDING, WINDING_OHMS.ln(), WINDING_ERROR));
        let steps = vec![(node.clone(), levelled.steps[0].as_slice())];
        (kind, Problem { source: known.source(), reference: node, steps, before }.solved(&kind.starts()))
    };
    let plain = fit(Kind::Plain);
    let more = [Kind::Blocked, Kind::Transformer].map(fit);
    let [blocked, transformer] = more;
    let better = if blocked.1.criterion() < transformer.1.criterion() { blocked } else { transformer };
    if better.1.criterion() + BETTER < plain.1.criterion() { better } else { plain }
}

fn found(
    levelled: &Levelled,
    known: &Known,
    kind: Kind,
    fit: &Fit,
    remarks: &mut Vec<String>,
) -> Result<Found, Refusal> {
    if kind != Kind::Transformer {
        not_louder_than_the_reference(STEP, &levelled.steps[0])?;
    }
    let left_db = fit.most_left_db(0);
    if left_db > MOST_LEFT_DB {
        return Err(Refusal::Unexplained { db: left_db });
    }
    if let Source::Capacitor(farads) = known.source() {
        let plateau_db = 20.0 / std::f64::consts::LN_10 * (fit.ln[FARADS].exp() / farads).ln_1p();
        if plateau_db > LOWEST_PLATEAU_DB {
            return Err(Refusal::BoxTooLow { db: plateau_db });
        }
    }
    let left_out = INPUT_LEFT_OUT.hypot(OUTPUT_OFF_OHMS / fit.ln[OHMS].exp());
    let of = |place| estimate(fit, place, known.tolerance(), left_out);
    let better = "use another known part: 1 nF for inputs up to 5 MΩ, 100 pF above, or a resistor of a third of the input's";
    let input_ohms = told(of(OHMS), "the input's resistance", Unit::Ohm, better)?;
    let third = (kind != Kind::Plain).then(|| of(THIRD));
    let input_f = of(FARADS);
    if !is_told(&input_f) {
        remarks.push(format!(
            "the input has less than {}; how much less does not show",
            Unit::Farad.text(input_f.high)
        ));
    }
    if kind == Kind::Plain {
        remarks.push(
            "a blocking capacitor or a transformer is not visible, which does not say that there is none"
                .to_owned(),
        );
    }
    if matches!(known, Known::Resistor(_)) {
        remarks.push(
            "the resistance rests on the level, and so on gains that were not changed in between".to_owned(),
        );
    }
    remarks.push("the input's capacitance includes that of the cable to it".to_owned());
    let told_if = |asked: Kind| third.filter(|third| kind == asked && is_told(third));
    Ok(Found {
        input_ohms: Some(input_ohms),
        input_f: Some(input_f).filter(is_told),
        blocking_f: told_if(Kind::Blocked),
        primary_h: told_if(Kind::Transformer),
        ..Found::default()
    })
}
