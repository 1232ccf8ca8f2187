//! What came of a step, held against what ought to have come of it.

use std::collections::BTreeMap;

use crate::desk::Desk;
use crate::host::Told;
use crate::oracle::{Expected, Gesture, SAME, TRIM};
use crate::preset::{Preset, SETUPS};
use crate::sides::{Sides, circuit_of};
use crate::step::Step;
use crate::walk::{Fault, Walk};

impl<D: Desk> Walk<'_, D> {
    pub fn judge(&mut self, number: usize, step: &Step, expected: &Expected) {
        let before = self.faults.len();
        let mut wrong = self.gestures(expected);
        wrong.extend(self.values());
        wrong.extend(self.setups());
        let marks = self.sides.desk.marks();
        if expected.is_marked && marks == 0 && !self.is_marked_by_another() {
            wrong.push("mark: the project is not marked as changed".to_owned());
        }
        if self.sides.differences > 0 {
            let Sides { differences, first, .. } = self.sides;
            wrong.push(format!(
                "sound: {differences} samples are not those without a window, first {first:?}"
            ));
            self.sides.meet();
            self.rest();
            (self.sides.differences, self.sides.first) = (0, None);
        }
        let fault = |what| Fault { number, step: step.clone(), what };
        self.faults.extend(wrong.into_iter().map(fault));
        if self.faults.len() > before {
            self.agree();
        }
    }

    /// Goes on from what there is.
    fn agree(&mut self) {
        let names: Vec<String> = self.oracle.state.keys().cloned().collect();
        for name in names {
            let value = self.sides.desk.value(&name);
            self.oracle.state.insert(name, value);
        }
        let circuit = circuit_of(&self.sides.desk.save());
        let known = Preset::all().into_iter().find(|one| circuit.contains(&format!("\"{}\"", one.name)));
        if let (Some(mut preset), Ok(setups)) = (known, names_of(&circuit)) {
            preset.setups = setups;
            self.oracle.preset = preset;
        }
        self.lay_out();
    }

    /// Told by a value of a parameter that no host automates.
    fn is_marked_by_another(&self) -> bool {
        self.sides.told.iter().any(|one| matches!(one, Told::Value(name, _) if !self.automatable[name]))
    }

    fn gestures(&mut self, expected: &Expected) -> Vec<String> {
        let mut by_name: BTreeMap<&str, Vec<&Told>> = BTreeMap::new();
        for one in &self.sides.told {
            let (Told::Begin(name) | Told::Value(name, _) | Told::End(name)) = one;
            if self.automatable[name] {
                by_name.entry(name).or_default().push(one);
            }
        }
        let mut wrong = Vec::new();
        let desk = &mut self.sides.desk;
        for (name, told) in &by_name {
            let mut alike = |one, other| alike(desk, name, one, other);
            if let Err(what) = gesture(told, expected.gestures.get(*name), &mut alike) {
                wrong.push(format!("gestures: {name}: {what}"));
            }
        }
        for name in expected.gestures.keys().filter(|name| !by_name.contains_key(name.as_str())) {
            wrong.push(format!("gestures: {name}: none, {:?} was expected", expected.gestures[name]));
        }
        let last = by_name.get(TRIM).and_then(|told| told.iter().rev().find_map(|one| value(one)));
        if let (Some(Gesture::Way { .. }), Some(last)) = (expected.gestures.get(TRIM), last) {
            self.oracle.dragged_to(last);
        }
        wrong
    }

    fn values(&mut self) -> Vec<String> {
        let (desk, state) = (&mut self.sides.desk, &self.oracle.state);
        let wrong = state.iter().filter_map(|(name, expected)| {
            let value = desk.value(name);
            let differs = !alike(desk, name, value, *expected);
            let [is, should] = [value, *expected].map(|one| desk.text(name, one));
            differs.then(|| format!("values: {name} is {is}, not {should}"))
        });
        wrong.collect()
    }

    fn setups(&mut self) -> Option<String> {
        let is = names_of(&circuit_of(&self.sides.desk.save()));
        let should = &self.oracle.preset.setups;
        (is.as_ref() != Ok(should)).then(|| format!("setups: they are {is:?}, not {should:?}"))
    }
}

fn names_of(circuit: &str) -> Result<[String; SETUPS], String> {
    let preset = dsp_core::preset::Preset::from_toml(circuit).map_err(|error| error.to_string())?;
    let names: Vec<String> = preset.setups.into_iter().map(|setup| setup.name).collect();
    names.try_into().map_err(|names| format!("{names:?}"))
}

/// A value is what it shows, of which circuits are made: undo gives back the digits that were there.
fn alike<D: Desk>(desk: &mut D, name: &str, one: f64, other: f64) -> bool {
    (one - other).abs() < SAME || desk.text(name, one) == desk.text(name, other)
}

const fn value(one: &Told) -> Option<f64> {
    if let Told::Value(_, value) = one { Some(*value) } else { None }
}

/// Begun once, ended once, and between them what was expected.
fn gesture(
    told: &[&Told],
    expected: Option<&Gesture>,
    alike: &mut dyn FnMut(f64, f64) -> bool,
) -> Result<(), String> {
    let said = || {
        let words = told.iter().map(|one| match one {
            Told::Begin(_) => "begin".to_owned(),
            Told::Value(_, value) => format!("{value:.4}"),
            Told::End(_) => "end".to_owned(),
        });
        format!("{} events ({})", told.len(), words.collect::<Vec<_>>().join(" "))
    };
    let Some(expected) = expected else { return Err(format!("{}, none was expected", said())) };
    let [Told::Begin(_), values @ .., Told::End(_)] = told else {
        return Err(format!("{} are no gesture", said()));
    };
    let values: Option<Vec<f64>> = values.iter().map(|one| value(one)).collect();
    let is_right = values.is_some_and(|values| match (expected, &values[..]) {
        (Gesture::To(to), [one]) => alike(*one, *to),
        (Gesture::Way { rises }, [first, .., last]) => {
            let sorted = if *rises { values.is_sorted() } else { values.iter().rev().is_sorted() };
            sorted && first != last
        }
        _ => false,
    });
    if is_right { Ok(()) } else { Err(format!("{}, {expected:?} was expected", said())) }
}
