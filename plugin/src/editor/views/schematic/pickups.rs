//! Pickups with the controls on the instrument.

use dsp_core::circuit::{Element, Pickup, Pickups, Polarity};
use egui::{Pos2, pos2, vec2};

use super::{Draft, Drafter, Face, GAP, GROUND, LEAD, OFF, UNIT, WIRE, What};
use crate::editor::document::edits::{Control, Field, PickupPart};
use crate::editor::views::symbols::{Symbol, WIPER};

/// From the conductor up to a resistor across an inductor.
const ABOVE: f32 = 13.0;
/// Which track of a recording is whose.
const TRACKS: [&str; 2] = ["left track", "right track"];
const REVERSED: &str = "polarity reversed";

impl Drafter<'_> {
    /// One pickup, or two under each other with their common conductor. Tells where the chain begins.
    pub(super) fn pickups(&mut self) -> f32 {
        let Pickups::Blend(blend) = self.document.preset.pickups else {
            return self.pickup(0, 0.0, "pickup".to_owned(), false).x + GAP;
        };
        let mut corners = [pos2(0.0, 0.0); 2];
        for (index, (one, track)) in blend.iter().zip(TRACKS).enumerate() {
            let kind = if one.pickup.is_magnetic() { "magnetic" } else { "capacitive" };
            let top = if index > 0 { corners[0].y + GAP } else { 0.0 };
            let reversed = one.polarity == Polarity::Reversed;
            corners[index] = self.pickup(index, top, format!("{track}, {kind}"), reversed);
        }
        let x = corners[0].x.max(corners[1].x) + GAP;
        let wires = [WIRE, corners[0].y + GAP + WIRE];
        for (corner, wire) in corners.iter().zip(wires) {
            self.mark(Symbol::Wire, pos2(corner.x, wire), pos2(x, wire), true);
        }
        self.mark(Symbol::Wire, pos2(x, wires[1]), pos2(x, wires[0]), true);
        self.mark(Symbol::Junction, pos2(x, wires[0]), pos2(x, wires[0]), true);
        x + GAP
    }

    /// Tells where its lower right corner is.
    fn pickup(&mut self, index: usize, top: f32, title: String, reversed: bool) -> Pos2 {
        let mut draft = self.draft(pos2(0.0, top + WIRE), LEAD + OFF, true, title);
        if reversed {
            draft.names.push((REVERSED.to_owned(), Face::Name));
            draft.label = format!("{}, {REVERSED}", draft.label);
        }
        let part = |part| Field::Pickup(index, part);
        draft.at.x += LEAD;
        let ground = pos2(draft.at.x, draft.ground());
        self.mark(Symbol::Source, ground, draft.at, true);
        self.mark(Symbol::Ground, ground, ground + vec2(0.0, 1.0), true);
        let pickup = *self.document.preset.pickups.pickup(index);
        match pickup.element {
            Element::Capacitive(element) => {
                draft.stands_for = Some(part(PickupPart::Capacitance));
                self.series(&mut draft, Symbol::Capacitor, &[part(PickupPart::Capacitance)]);
                if element.leakage.is_some() {
                    self.shunt(&mut draft, Symbol::Resistor, &[part(PickupPart::Leakage)]);
                }
            }
            Element::Magnetic(coil) => {
                draft.stands_for = Some(part(PickupPart::Inductance));
                self.series(&mut draft, Symbol::Resistor, &[part(PickupPart::Resistance)]);
                let left = draft.right;
                self.series(
                    &mut draft,
                    Symbol::Inductor,
                    &[part(PickupPart::Inductance), part(PickupPart::Loss)],
                );
                if coil.loss.is_some() {
                    self.above(&draft, left);
                }
                if coil.winding.is_some() {
                    self.shunt(&mut draft, Symbol::Capacitor, &[part(PickupPart::Winding)]);
                }
            }
        }
        self.controls(&mut draft, &pickup, index);
        self.series(&mut draft, Symbol::Resistor, &[part(PickupPart::Mixing)]);
        let right = draft.right;
        self.run(&mut draft, right);
        let bottom = draft.bottom;
        self.finish(draft, What::Pickup(index), false);
        pos2(right, bottom)
    }

    /// A resistor across the symbol that has just been drawn.
    fn above(&mut self, draft: &Draft, left: f32) {
        let ends = [left, draft.right].map(|x| pos2(x, draft.at.y));
        self.drawing.above = ABOVE + UNIT / 6.0 - WIRE;
        let high = ends.map(|end| end - vec2(0.0, ABOVE));
        for (end, high) in ends.into_iter().zip(high) {
            self.mark(Symbol::Wire, end, high, true);
            self.mark(Symbol::Junction, end, end, true);
        }
        self.mark(Symbol::Resistor, high[0], high[1], true);
    }

    fn controls(&mut self, draft: &mut Draft, pickup: &Pickup, index: usize) {
        let part = |part| Field::Pickup(index, part);
        let position = |control| Field::Position(self.place, index, control);
        let (of_tone, of_volume) = (position(Control::Tone), position(Control::Volume));
        if pickup.tone.is_some() {
            let x = draft.right + LEAD;
            self.run(draft, x);
            self.mark(Symbol::Junction, draft.at, draft.at, true);
            // The capacitor is short beside the resistor.
            let middle = draft.at + vec2(0.0, 0.7 * GROUND);
            self.mark(Symbol::VariableResistor, draft.at, middle, true);
            self.mark(Symbol::Capacitor, middle, pos2(x, draft.ground()), true);
            self.grounded(
                draft,
                x,
                OFF + 4.0,
                &[part(PickupPart::ToneResistance), part(PickupPart::ToneCapacitance)],
            );
            self.more(draft, &[of_tone]);
        }
        if pickup.volume.is_some() {
            let x = draft.right + LEAD;
            self.run(draft, x);
            let ground = pos2(x, draft.ground());
            self.mark(Symbol::Potentiometer, draft.at, ground, true);
            let wiper = pos2(x + WIPER * UNIT, f32::midpoint(draft.at.y, ground.y));
            draft.at.x = wiper.x;
            self.mark(Symbol::Wire, wiper, draft.at, true);
            self.grounded(draft, x, WIPER * UNIT + LEAD, &[part(PickupPart::VolumeResistance), of_volume]);
        }
    }
}
