//! Boxes: what their jack leads to, and their thru.

use dsp_core::circuit::{Input, InputBox, Thru};
use egui::{Pos2, pos2, vec2};
use firstjack_words::visible;

use super::{Draft, Drafter, Face, HEARD_HERE, INSET, LEAD, LOW, OFF, UNIT, What};
use crate::editor::document::edits::{Field, LinkPart, text};
use crate::editor::document::links::Spot;
use crate::editor::views::symbols::{SECONDARY, Symbol};

impl<'a> Drafter<'a> {
    pub(super) fn input_box(&mut self, at: Pos2, loads: bool, spot: &Spot, input: &'a InputBox) -> f32 {
        let mut draft = self.draft(at, INSET, loads, visible(&input.name).into_owned());
        let part = |part| Field::Link(spot.clone(), part);
        let heard = self.heard.is_some_and(|heard| std::ptr::eq(heard, input));
        if heard {
            draft.names.push((HEARD_HERE.to_owned(), Face::Heard));
        }
        let has_transformer = matches!(input.input, Input::Transformer(_));
        let input_part = if has_transformer { LinkPart::Primary } else { LinkPart::Input };
        draft.stands_for = Some(part(input_part));
        if input.capacitance.is_some() {
            self.shunt(&mut draft, Symbol::Capacitor, &[part(LinkPart::Capacitance)]);
        }
        let through = input.thru == Some(Thru::Before);
        let buffered = input.thru.is_some_and(|thru| !thru.passes_load());
        if through && (has_transformer || input.blocking.is_some()) {
            self.hang(&mut draft);
        }
        self.series(&mut draft, Symbol::Capacitor, &[part(LinkPart::Blocking)]);
        if has_transformer {
            self.transformer(&mut draft, spot);
        } else {
            self.shunt(&mut draft, Symbol::Resistor, &[part(LinkPart::Input)]);
        }
        if buffered {
            // Behind the text, which it would cover.
            let right = draft.right;
            self.run(&mut draft, right);
            draft.right += UNIT;
            self.mark(Symbol::Buffer, draft.at, pos2(draft.right, draft.at.y), draft.loads);
        }
        if through {
            self.mark(Symbol::Wire, at, pos2(draft.right, at.y), loads);
        }
        self.mark(Symbol::Jack, at, at, loads);
        self.finish(draft, What::Link(spot.clone()), heard)
    }

    /// What follows hangs at the conductor, which goes on above it.
    fn hang(&mut self, draft: &mut Draft) {
        let x = draft.right;
        self.run(draft, x);
        self.mark(Symbol::Junction, draft.at, draft.at, draft.loads);
        let low = draft.at + vec2(0.0, LOW);
        self.mark(Symbol::Wire, draft.at, low, draft.loads);
        draft.at = low;
    }

    fn transformer(&mut self, draft: &mut Draft, spot: &Spot) {
        let part = |part| Field::Link(spot.clone(), part);
        if text(self.document, &part(LinkPart::OwnCapacitance)).is_some() {
            self.shunt(draft, Symbol::Capacitor, &[part(LinkPart::OwnCapacitance)]);
        }
        self.series(draft, Symbol::Resistor, &[part(LinkPart::Winding)]);
        if text(self.document, &part(LinkPart::Core)).is_some() {
            self.shunt(draft, Symbol::Resistor, &[part(LinkPart::Core)]);
        }
        let primary = draft.right + LEAD;
        let secondary = primary + SECONDARY * UNIT;
        self.run(draft, primary);
        let ground = draft.ground();
        self.mark(Symbol::Transformer, draft.at, pos2(primary, ground), draft.loads);
        // The secondary's side is a loop of its own, with the values between its coil and its load.
        self.grounded(
            draft,
            primary,
            SECONDARY * UNIT + OFF,
            &[part(LinkPart::Primary), part(LinkPart::Ratio)],
        );
        draft.at.x = secondary;
        let x = draft.right;
        self.run(draft, x);
        self.mark(Symbol::Resistor, draft.at, pos2(x, ground), draft.loads);
        self.mark(Symbol::Wire, pos2(x, ground), pos2(secondary, ground), draft.loads);
        draft.right = x + OFF;
        self.more(draft, &[part(LinkPart::Secondary)]);
    }
}
