use arrayvec::ArrayVec;

use super::Immittance;
use crate::limits::{MOST_ARMS, MOST_ORDER};
use crate::polynomial::Polynomial;

/// One arm of a ladder network, in the order from the source to the output.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Arm {
    /// An impedance on the way.
    Series(Immittance),
    /// An admittance to ground.
    Shunt(Immittance),
}

/// A ladder network from a source to an output.
///
/// Seen from the output with one volt there, each arm in turn gives the voltage and the current before it (Kirchhoff's laws; the
/// chain matrix of textbooks): `I += Y V` at a shunt, `V += Z I` at a series arm. Both are kept as polynomials over a common
/// denominator, the product of the arms' own; nothing is sampled.
#[derive(Debug, Clone, Default)]
pub(crate) struct Ladder {
    arms: ArrayVec<Arm, MOST_ARMS>,
    /// The source's voltage, where it is not 1, over the denominator of the first arm.
    source: Option<Polynomial>,
}

/// A voltage ratio `H = Π zeros / denominator`. The factors of the numerator stand apart: each comes from one arm, and cancels
/// as a whole against the same arm of another circuit.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Factored {
    pub zeros: ArrayVec<Polynomial, MOST_ORDER>,
    pub denominator: Polynomial,
}

/// Voltage and current at one place of a ladder, over a denominator that is kept elsewhere.
struct State {
    voltage: Polynomial,
    current: Polynomial,
}

impl State {
    fn pass(&mut self, arm: &Arm) {
        match arm {
            Arm::Shunt(Immittance { numerator, denominator }) => {
                self.current = self.current.times(denominator).plus(&numerator.times(&self.voltage));
                self.voltage = self.voltage.times(denominator);
            }
            Arm::Series(Immittance { numerator, denominator }) => {
                self.voltage = self.voltage.times(denominator).plus(&numerator.times(&self.current));
                self.current = self.current.times(denominator);
            }
        }
    }
}

impl Ladder {
    pub fn series(&mut self, impedance: Immittance) {
        self.push(Arm::Series(impedance));
    }

    /// Begins with a source of the voltage `numerator` over the impedance's denominator, behind that impedance.
    pub fn source(&mut self, impedance: Immittance, numerator: Polynomial) {
        self.series(impedance);
        self.source = Some(numerator);
    }

    /// Shunts side by side share a node: those of one denominator become one, and their order does not matter.
    pub fn shunt(&mut self, admittance: Immittance) {
        if admittance.numerator == Polynomial::ZERO {
            return;
        }
        let mut place = self.arms.len();
        while place > 0
            && let Arm::Shunt(before) = &mut self.arms[place - 1]
        {
            if before.denominator == admittance.denominator {
                before.numerator = before.numerator.plus(&admittance.numerator);
                return;
            }
            if before.order(&admittance).is_lt() {
                break;
            }
            place -= 1;
        }
        self.push(Arm::Shunt(admittance));
        self.arms[place..].rotate_right(1);
    }

    /// # Panics
    /// If there are more than [`MOST_ARMS`]: chains are checked when they are made.
    fn push(&mut self, arm: Arm) {
        self.arms.push(arm);
    }

    /// Adds what another ladder, its far end open, puts across this one's end.
    pub fn load(&mut self, other: &Self) {
        let first_series = other.arms.iter().position(|arm| matches!(arm, Arm::Series(_)));
        let (own, rest) = other.arms.split_at(first_series.unwrap_or(other.arms.len()));
        for arm in own {
            if let Arm::Shunt(admittance) = arm {
                self.shunt(*admittance);
            }
        }
        if !rest.is_empty() {
            let mut state = State { voltage: Polynomial::ONE, current: Polynomial::ZERO };
            rest.iter().rev().for_each(|arm| state.pass(arm));
            self.shunt(Immittance::new(state.current, state.voltage));
        }
    }

    /// Adds what another ladder's output, its source at zero volts, puts across this one's end.
    pub fn load_with_output_of(&mut self, other: &Self) {
        let Immittance { numerator, denominator } = other.output_impedance();
        self.shunt(Immittance::new(denominator, numerator));
    }

    /// What its end shows, the source at zero volts, as an impedance.
    pub fn output_impedance(&self) -> Immittance {
        let mut state = State { voltage: Polynomial::ZERO, current: Polynomial::ONE };
        self.arms.iter().for_each(|arm| state.pass(arm));
        Immittance { numerator: state.voltage, denominator: state.current }
    }

    /// The voltage at the end over the source's. Zeros and poles at the origin that are one are taken out: a capacitance in
    /// series with another stores no charge of its own.
    pub fn transfer(&self) -> Factored {
        let mut state = State { voltage: Polynomial::ONE, current: Polynomial::ZERO };
        let mut zeros = ArrayVec::new();
        for arm in self.arms.iter().rev() {
            state.pass(arm);
            let (Arm::Series(part) | Arm::Shunt(part)) = arm;
            if part.denominator.degree() > 0 {
                zeros.push(part.denominator);
            } else {
                debug_assert_eq!(part.denominator, Polynomial::ONE);
            }
        }
        // The first arm's factor is the last one.
        if let (Some(source), Some(first)) = (self.source, zeros.last_mut()) {
            *first = source;
        }
        let mut denominator = state.voltage;
        for zero in &mut zeros {
            let common = zero.roots_at_origin().min(denominator.roots_at_origin());
            *zero = zero.divided_by_s(common);
            denominator = denominator.divided_by_s(common);
        }
        Factored { zeros, denominator }
    }
}
