//! Boxes: what their jack leads to, and their thru.

use dsp_core::circuit::{Input, InputBox, Thru};
use egui::{Pos2, pos2, vec2};
use firstjack_words::visible;

use super::{Draft, Drafter, INSET, LINE, LOW, UNDER, UNIT, What};
use crate::editor::document::edits::{Field, LinkPart, text};
use crate::editor::document::links::Spot;
use crate::editor::views::symbols::{SECONDARY, Symbol};

impl<'a> Drafter<'a> {
    pub(super) fn input_box(&mut self, at: Pos2, loads: bool, spot: &Spot, input: &'a InputBox) -> f32 {
        let mut draft = Draft::new(at, INSET, loads, visible(&input.name).into_owned());
        let part = |part| Field::Link(spot.clone(), part);
        if input.capacitance.is_some() {
            self.shunt(&mut draft, Symbol::Capacitor, vec![part(LinkPart::Capacitance)]);
        }
        let has_transformer = matches!(input.input, Input::Transformer(_));
        let through = input.thru == Some(Thru::Before);
        let buffered = input.thru.is_some_and(|thru| !thru.passes_load());
        if through && (has_transformer || input.blocking.is_some()) {
            self.hang(&mut draft);
        }
        self.series(&mut draft, Symbol::Capacitor, part(LinkPart::Blocking));
        if has_transformer {
            self.transformer(&mut draft, spot);
        } else {
            self.shunt(&mut draft, Symbol::Resistor, vec![part(LinkPart::Input)]);
        }
        if buffered {
            draft.right += 6.0;
            let from = draft.at;
            draft.at.x = draft.right;
            self.mark(Symbol::Buffer, from, draft.at, draft.loads);
        }
        draft.right += 6.0;
        draft.widen();
        if through {
            let right = pos2(draft.right, at.y);
            self.mark(Symbol::Wire, at, right, loads);
            self.mark(Symbol::Jack, right, right, loads);
        } else if buffered {
            let right = pos2(draft.right, at.y);
            self.mark(Symbol::Wire, draft.at, right, false);
            self.mark(Symbol::Jack, right, right, false);
        }
        self.mark(Symbol::Jack, at, at, loads);
        let heard = self.heard.is_some_and(|heard| std::ptr::eq(heard, input));
        self.finish(draft, What::Link(spot.clone()), heard, true)
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
            self.shunt(draft, Symbol::Capacitor, vec![part(LinkPart::OwnCapacitance)]);
        }
        self.series(draft, Symbol::Resistor, part(LinkPart::Winding));
        if text(self.document, &part(LinkPart::Core)).is_some() {
            self.shunt(draft, Symbol::Resistor, vec![part(LinkPart::Core)]);
        }
        let middle = draft.column();
        let half = SECONDARY * UNIT / 2.0;
        self.run(draft, middle - half);
        let ground = draft.ground();
        self.mark(Symbol::Transformer, draft.at, pos2(middle - half, ground), draft.loads);
        self.grounded(draft, middle - half, Vec::new());
        let mut top = pos2(middle, ground + UNDER);
        for field in [part(LinkPart::Primary), part(LinkPart::Ratio)] {
            self.value(draft, field, top);
            top.y += LINE;
        }
        // The secondary's side is a loop of its own.
        draft.at.x = middle + half;
        let x = draft.column();
        self.run(draft, x);
        self.mark(Symbol::Resistor, draft.at, pos2(x, ground), draft.loads);
        self.mark(Symbol::Wire, pos2(x, ground), pos2(middle + half, ground), draft.loads);
        self.value(draft, part(LinkPart::Secondary), pos2(x, ground + UNDER));
    }
}
