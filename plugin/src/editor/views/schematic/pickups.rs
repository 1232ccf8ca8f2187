//! Pickups with the controls on the instrument.

use dsp_core::circuit::{Element, Pickup, Pickups, Polarity};
use egui::{pos2, vec2};

use super::{Draft, Drafter, GAP, GROUND, LOW, ROW, UNDER, UNIT, WIRE, What};
use crate::editor::document::edits::{Control, Field, PickupPart, text};
use crate::editor::views::symbols::{Symbol, WIPER};

impl Drafter<'_> {
    /// One pickup, or two under each other with their common conductor. Tells where the chain begins.
    pub(super) fn pickups(&mut self) -> f32 {
        let Pickups::Blend(blend) = self.document.preset.pickups else {
            return self.pickup(0, 0.0, "pickup".to_owned()) + GAP;
        };
        let mut rights = [0.0f32; 2];
        for (index, (one, top)) in blend.iter().zip([0.0, ROW + GAP]).enumerate() {
            let wired = if one.polarity == Polarity::Reversed { ", reversed" } else { "" };
            rights[index] = self.pickup(index, top, format!("pickup {}{wired}", index + 1));
        }
        let x = rights[0].max(rights[1]) + GAP;
        let joint = |row: f32| pos2(x, WIRE + row * (ROW + GAP));
        self.mark(Symbol::Wire, pos2(rights[0], WIRE), joint(0.0), true);
        self.mark(Symbol::Wire, pos2(rights[1], joint(1.0).y), joint(1.0), true);
        self.mark(Symbol::Wire, joint(1.0), joint(0.0), true);
        self.mark(Symbol::Junction, joint(0.0), joint(0.0), true);
        x + GAP
    }

    fn pickup(&mut self, index: usize, top: f32, title: String) -> f32 {
        let mut draft = Draft::new(pos2(2.0, top + WIRE), 36.0, true, title);
        let part = |part| Field::Pickup(index, part);
        draft.at.x += 20.0;
        let ground = pos2(draft.at.x, draft.ground());
        self.mark(Symbol::Source, ground, draft.at, true);
        self.mark(Symbol::Ground, ground, ground + vec2(0.0, 1.0), true);
        let pickup = *self.document.preset.pickups.pickup(index);
        match pickup.element {
            Element::Capacitive(element) => {
                self.series(&mut draft, Symbol::Capacitor, part(PickupPart::Capacitance));
                if element.leakage.is_some() {
                    self.shunt(&mut draft, Symbol::Resistor, vec![part(PickupPart::Leakage)]);
                }
            }
            Element::Magnetic(coil) => {
                self.series(&mut draft, Symbol::Resistor, part(PickupPart::Resistance));
                let left = draft.right;
                self.series(&mut draft, Symbol::Inductor, part(PickupPart::Inductance));
                self.beside(&mut draft, left, part(PickupPart::Loss));
                if coil.winding.is_some() {
                    self.shunt(&mut draft, Symbol::Capacitor, vec![part(PickupPart::Winding)]);
                }
            }
        }
        self.controls(&mut draft, &pickup, index);
        self.series(&mut draft, Symbol::Resistor, part(PickupPart::Mixing));
        draft.right += 6.0;
        draft.widen();
        let right = draft.right;
        self.run(&mut draft, right);
        self.finish(draft, What::Pickup(index), false, true)
    }

    /// A resistor across the symbol that has just been drawn.
    fn beside(&mut self, draft: &mut Draft, left: f32, field: Field) {
        if text(self.document, &field).is_none() {
            return;
        }
        let (left, right) = (left + 2.0, draft.right);
        let low = draft.at.y + LOW + 8.0;
        for x in [left, right] {
            self.mark(Symbol::Wire, pos2(x, draft.at.y), pos2(x, low), true);
            self.mark(Symbol::Junction, pos2(x, draft.at.y), pos2(x, draft.at.y), true);
        }
        self.mark(Symbol::Resistor, pos2(left, low), pos2(right, low), true);
        self.value(draft, field, pos2(f32::midpoint(left, right), low + UNDER));
    }

    fn controls(&mut self, draft: &mut Draft, pickup: &Pickup, index: usize) {
        let part = |part| Field::Pickup(index, part);
        let position = |control| Field::Position(self.place, index, control);
        let (of_tone, of_volume) = (position(Control::Tone), position(Control::Volume));
        if pickup.tone.is_some() {
            let x = draft.column();
            self.run(draft, x);
            self.mark(Symbol::Junction, draft.at, draft.at, true);
            let middle = draft.at + vec2(0.0, GROUND / 2.0);
            self.mark(Symbol::VariableResistor, draft.at, middle, true);
            self.mark(Symbol::Capacitor, middle, pos2(x, draft.ground()), true);
            let fields = vec![part(PickupPart::ToneResistance), part(PickupPart::ToneCapacitance), of_tone];
            self.grounded(draft, x, fields);
        }
        if pickup.volume.is_some() {
            let x = draft.column();
            self.run(draft, x);
            let ground = pos2(x, draft.ground());
            self.mark(Symbol::Potentiometer, draft.at, ground, true);
            let wiper = pos2(x + WIPER * UNIT, f32::midpoint(draft.at.y, ground.y));
            draft.at.x = wiper.x;
            self.mark(Symbol::Wire, wiper, draft.at, true);
            self.grounded(draft, x, vec![part(PickupPart::VolumeResistance), of_volume]);
        }
    }
}
