//! From a document to a diagram: which symbol stands where, and which values under it. No drawing, and no formula.

mod boxes;
mod pickups;

use dsp_core::circuit::{Chain, InputBox, Link, Splitter};
use egui::{Pos2, Rect, Vec2, pos2, vec2};
use firstjack_words::visible;

use crate::editor::document::edits::{Field, LinkPart, text};
use crate::editor::document::links::Spot;
use crate::editor::document::names::name;
use crate::editor::views::symbols::Symbol;
use crate::editor::{Document, Where};

/// Length of a resistor's body in points.
pub(in crate::editor) const UNIT: f32 = 24.0;
/// Room for a symbol and its value.
pub(in crate::editor) const COLUMN: f32 = 60.0;
/// Height of a value.
pub(in crate::editor) const LINE: f32 = 16.0;
/// Height of a title.
pub(in crate::editor) const TITLE: f32 = 17.0;

/// From a row's top to its conductor.
const WIRE: f32 = 32.0;
/// From there to a second conductor, of what hangs at the first.
const LOW: f32 = 30.0;
/// From the conductor to ground.
const GROUND: f32 = 80.0;
/// From a symbol's axis to the text under it.
const UNDER: f32 = 10.0;
/// Height of a row: three lines of values.
const ROW: f32 = WIRE + GROUND + UNDER + 3.0 * LINE + 6.0;
/// From row to row, and from link to link.
const GAP: f32 = 14.0;
/// From a box's edge to what is inside.
const INSET: f32 = 14.0;
/// Widest title, in points.
const WIDEST_TITLE: f32 = 150.0;

/// A symbol between two points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::editor) struct Mark {
    pub symbol: Symbol,
    pub from: Pos2,
    pub to: Pos2,
    pub loads: bool,
}

/// A value under its symbol.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::editor) struct Value {
    pub field: Field,
    pub rect: Rect,
    /// As it is shown: "100 pF/m".
    pub text: String,
    /// Whose and which: "tuner: input".
    pub label: String,
    pub loads: bool,
}

/// What a cell is of.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::editor) enum What {
    Pickup(usize),
    Link(Spot),
}

/// A pickup or a link, with its values.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::editor) struct Cell {
    pub what: What,
    pub rect: Rect,
    pub title: String,
    pub loads: bool,
    /// Whether it is the box that is listened to.
    pub heard: bool,
    /// Whether an outline says that it is a thing of its own.
    pub outlined: bool,
    pub values: Vec<Value>,
}

/// A diagram, from the origin to the right and down.
#[derive(Debug, Clone, PartialEq, Default)]
pub(in crate::editor) struct Drawing {
    pub size: Vec2,
    pub marks: Vec<Mark>,
    pub cells: Vec<Cell>,
    /// Where another link can be put at the end of the chain, and of each branch.
    pub ends: Vec<(Spot, Pos2)>,
}

impl Drawing {
    /// Of the pickups and a chain.
    pub(in crate::editor) fn new(document: &Document, place: Where) -> Self {
        let mut drafter =
            Drafter { document, place, drawing: Self::default(), heard: None, cables: 0, bare: 0 };
        let x = drafter.pickups();
        if let Some(chain) = document.chain(place) {
            drafter.heard = chain.heard();
            drafter.chain(chain, None, pos2(x, WIRE), true);
        }
        let mut drawing = drafter.drawing;
        let corners = drawing.cells.iter().map(|cell| cell.rect.max);
        let ends = drawing.ends.iter().map(|(_, end)| *end + vec2(COLUMN, 0.0));
        drawing.size = corners.chain(ends).fold(Vec2::ZERO, |size, corner| size.max(corner.to_vec2()));
        drawing
    }
}

struct Drafter<'a> {
    document: &'a Document,
    place: Where,
    drawing: Drawing,
    heard: Option<&'a InputBox>,
    cables: usize,
    bare: usize,
}

/// A cell while it grows to the right.
struct Draft {
    /// Where its conductor begins.
    start: Pos2,
    /// How far the conductor has come.
    at: Pos2,
    /// How far the cell has.
    right: f32,
    loads: bool,
    title: String,
    values: Vec<Value>,
}

impl Draft {
    fn new(start: Pos2, inset: f32, loads: bool, title: String) -> Self {
        Self { start, at: start, right: start.x + inset, loads, title, values: Vec::new() }
    }

    /// Where ground is.
    fn ground(&self) -> f32 {
        self.start.y + GROUND
    }

    /// Makes room for one more symbol, and tells where its middle is.
    fn column(&mut self) -> f32 {
        let middle = self.right + COLUMN / 2.0;
        self.right += COLUMN;
        middle
    }

    /// Makes room for a title.
    fn widen(&mut self) {
        let letters: f32 = self.title.chars().map(|_| 6.8).sum();
        self.right = self.right.max(self.start.x + (letters + 12.0).min(WIDEST_TITLE));
    }
}

impl<'a> Drafter<'a> {
    fn mark(&mut self, symbol: Symbol, from: Pos2, to: Pos2, loads: bool) {
        self.drawing.marks.push(Mark { symbol, from, to, loads });
    }

    /// The conductor goes on to the right.
    fn run(&mut self, draft: &mut Draft, x: f32) {
        let to = pos2(x, draft.at.y);
        self.mark(Symbol::Wire, draft.at, to, draft.loads);
        draft.at = to;
    }

    /// A value under a symbol, if it is there.
    fn value(&self, draft: &mut Draft, field: Field, top: Pos2) -> bool {
        let Some(text) = text(self.document, &field) else { return false };
        let (name, suffix) = name(&field);
        let rect = Rect::from_center_size(top + vec2(0.0, LINE / 2.0), vec2(COLUMN - 2.0, LINE));
        let label = format!("{}: {name}", draft.title);
        let loads = draft.loads;
        draft.values.push(Value { field, rect, text: text + suffix, label, loads });
        true
    }

    /// A symbol from the conductor to ground, in a column of its own, with values under it.
    fn shunt(&mut self, draft: &mut Draft, symbol: Symbol, fields: Vec<Field>) {
        let x = draft.column();
        self.run(draft, x);
        self.mark(Symbol::Junction, draft.at, draft.at, draft.loads);
        self.mark(symbol, draft.at, pos2(x, draft.ground()), draft.loads);
        self.grounded(draft, x, fields);
    }

    /// Ground, with values under it.
    fn grounded(&mut self, draft: &mut Draft, x: f32, fields: Vec<Field>) {
        let ground = pos2(x, draft.ground());
        self.mark(Symbol::Ground, ground, ground + vec2(0.0, 1.0), draft.loads);
        let mut top = ground + vec2(0.0, UNDER);
        for field in fields {
            if self.value(draft, field, top) {
                top.y += LINE;
            }
        }
    }

    /// A symbol along the conductor, if its value is there.
    fn series(&mut self, draft: &mut Draft, symbol: Symbol, field: Field) {
        if text(self.document, &field).is_none() {
            return;
        }
        let left = draft.right;
        let middle = draft.column();
        self.run(draft, left);
        self.mark(symbol, draft.at, pos2(draft.right, draft.at.y), draft.loads);
        draft.at.x = draft.right;
        self.value(draft, field, pos2(middle, draft.at.y + UNDER));
    }

    fn finish(&mut self, draft: Draft, what: What, heard: bool, outlined: bool) -> f32 {
        let top = draft.start.y - WIRE;
        let right = draft.right;
        let rect = Rect::from_min_max(pos2(draft.start.x, top), pos2(right, top + ROW));
        let Draft { title, loads, values, .. } = draft;
        self.drawing.cells.push(Cell { what, rect, title, loads, heard, outlined, values });
        right
    }

    /// The links of a chain, of a branch if there is a way to it.
    fn chain(&mut self, chain: &'a Chain, branch_of: Option<&Spot>, start: Pos2, loads: bool) {
        let spot = |index| match branch_of {
            Some(splitter) => splitter.branch(index),
            None => Spot::new(self.place, index),
        };
        let spots: Vec<Spot> = (0..=chain.links().count()).map(spot).collect();
        let last_splitter =
            chain.links().enumerate().filter(|(_, (link, _))| matches!(link, Link::Splitter(_))).last();
        let last_splitter = last_splitter.map(|(index, _)| index);
        let mut at = start;
        let mut goes_on = true;
        for (index, ((link, first), spot)) in chain.links().zip(&spots).enumerate() {
            let loads = loads && first;
            self.mark(Symbol::Wire, at - vec2(GAP, 0.0), at, loads);
            let right = match link {
                Link::Cable(cable) => self.cable(at, loads, spot, cable.leakage.is_some()),
                Link::Box(input) => self.input_box(at, loads, spot, input),
                Link::Splitter(splitter) => {
                    let is_last = last_splitter == Some(index);
                    self.splitter(at, loads, spot, splitter, is_last)
                }
                Link::Resistance(_) => self.bare(at, loads, spot, Symbol::Resistor),
                Link::Capacitance(_) => self.bare(at, loads, spot, Symbol::Capacitor),
                Link::Inductance(_) => self.bare(at, loads, spot, Symbol::Inductor),
            };
            goes_on = !matches!(link, Link::Box(InputBox { thru: None, .. }));
            at.x = right + GAP;
        }
        if goes_on {
            let behind = chain
                .links()
                .any(|(link, _)| matches!(link, Link::Box(InputBox { thru: Some(thru), .. }) if !thru.passes_load()));
            self.mark(Symbol::Wire, at - vec2(GAP, 0.0), at, loads && !behind);
        }
        self.drawing.ends.extend(spots.into_iter().last().map(|spot| (spot, at)));
    }

    fn cable(&mut self, at: Pos2, loads: bool, spot: &Spot, leaks: bool) -> f32 {
        self.cables += 1;
        let mut draft = Draft::new(at, 6.0, loads, format!("cable {}", self.cables));
        let part = |part| Field::Link(spot.clone(), part);
        self.mark(Symbol::Coaxial, at + vec2(13.0, 0.0), at, loads);
        self.shunt(&mut draft, Symbol::Capacitor, vec![part(LinkPart::Length), part(LinkPart::PerMetre)]);
        if leaks {
            self.shunt(&mut draft, Symbol::Resistor, vec![part(LinkPart::Leakage)]);
        }
        let right = draft.right;
        self.run(&mut draft, right);
        self.finish(draft, What::Link(spot.clone()), false, false)
    }

    fn bare(&mut self, at: Pos2, loads: bool, spot: &Spot, symbol: Symbol) -> f32 {
        self.bare += 1;
        let mut draft = Draft::new(at, 0.0, loads, format!("load {}", self.bare));
        self.shunt(&mut draft, symbol, vec![Field::Link(spot.clone(), LinkPart::Bare)]);
        let right = draft.right;
        self.run(&mut draft, right);
        self.finish(draft, What::Link(spot.clone()), false, false)
    }

    /// The leg of the branch goes down to the next row; what follows stays clear of the branch if it has another one.
    fn splitter(&mut self, at: Pos2, loads: bool, spot: &Spot, splitter: &'a Splitter, is_last: bool) -> f32 {
        let mut draft = Draft::new(at, INSET, loads, visible(&splitter.name).into_owned());
        let field = Field::Link(spot.clone(), LinkPart::Resistor);
        self.run(&mut draft, at.x + INSET);
        let joint = draft.at;
        self.mark(Symbol::Junction, joint, joint, loads);
        self.series(&mut draft, Symbol::Resistor, field);
        draft.right += 6.0;
        draft.widen();
        let right = draft.right;
        self.run(&mut draft, right);
        for x in [at.x, right] {
            self.mark(Symbol::Jack, pos2(x, at.y), pos2(x, at.y), loads);
        }
        let ground = joint + vec2(0.0, GROUND);
        let leg = if splitter.resistor.is_some() { Symbol::Resistor } else { Symbol::Wire };
        self.mark(leg, joint, ground, loads);
        let down = pos2(joint.x, at.y + ROW + GAP);
        self.mark(Symbol::Wire, ground, down, loads);
        let right = self.finish(draft, What::Link(spot.clone()), false, true);
        let start = down + vec2(GAP, 0.0);
        let before = self.drawing.ends.len();
        self.chain(&splitter.branch, Some(spot), start, loads);
        let branch_end = self.drawing.ends[before..].iter().map(|(_, end)| end.x + COLUMN);
        if is_last { right } else { branch_end.fold(right, f32::max) }
    }
}
