//! From a document to a diagram: which symbol stands where, and which values under it. No drawing, and no formula.

mod boxes;
mod pickups;
mod text;

use dsp_core::circuit::{Chain, InputBox, Link, Splitter};
use egui::{Pos2, Rect, Vec2, pos2, vec2};
use firstjack_words::visible;

pub(in crate::editor) use self::text::{Face, Note};
use crate::editor::document::edits::{self, Field, LinkPart};
use crate::editor::document::links::Spot;
use crate::editor::views::symbols::Symbol;
use crate::editor::{Document, Where};

/// Length of a resistor's body in points.
pub(in crate::editor) const UNIT: f32 = 28.0;

/// From a row's top to its conductor.
const WIRE: f32 = 13.0;
/// From there to a second conductor, of what hangs at the first.
const LOW: f32 = 20.0;
/// From the conductor to ground.
const GROUND: f32 = 56.0;
/// From the conductor to a text beside a symbol that leads to ground, and to one under a symbol that lies.
const BESIDE: f32 = 4.0;
const UNDER: f32 = 13.0;
/// From a symbol's axis to the text beside it.
const OFF: f32 = 15.0;
/// From what is before to a symbol that leads to ground, and from its text to what follows.
const LEAD: f32 = 14.0;
/// Least width of a symbol that lies, and room around its text.
const LYING: f32 = 46.0;
const AIR: f32 = 12.0;
/// Height of a row: two values with what they are, or one that is heard here.
const ROW: f32 = WIRE + BESIDE + 2.0 * (text::VALUE + text::NOTE) + text::NOTE;
/// From row to row, and from link to link.
const GAP: f32 = 8.0;
/// From a box's jack to what is inside.
const INSET: f32 = 14.0;
/// What says where more can be plugged in.
const TILE: f32 = 26.0;
/// What is said of the box that is listened to.
const HEARD_HERE: &str = "heard here";

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
    /// What it is called for those who do not see it.
    pub label: String,
    pub loads: bool,
    /// Whether it is the box that is listened to.
    pub heard: bool,
    pub values: Vec<Value>,
    /// What is written under them.
    pub notes: Vec<Note>,
}

/// A diagram, from the origin to the right and down.
#[derive(Debug, Clone, PartialEq, Default)]
pub(in crate::editor) struct Drawing {
    pub size: Vec2,
    /// How far some of it stands above the first row.
    pub above: f32,
    pub marks: Vec<Mark>,
    pub cells: Vec<Cell>,
    /// Where another link can be put at the end of the chain, and of each branch.
    pub ends: Vec<(Spot, Rect)>,
}

impl Drawing {
    /// Of the pickups and a chain, with letters as wide as they are measured.
    pub(in crate::editor) fn new(
        document: &Document,
        place: Where,
        measure: &dyn Fn(&str, Face) -> f32,
    ) -> Self {
        let drawing = Self::default();
        let mut drafter = Drafter { document, place, measure, drawing, heard: None, cables: 0, bare: 0 };
        let x = drafter.pickups();
        if let Some(chain) = document.chain(place) {
            drafter.heard = chain.heard();
            drafter.chain(chain, None, pos2(x, WIRE), true);
        }
        let mut drawing = drafter.drawing;
        let corners = drawing.cells.iter().map(|cell| cell.rect.max);
        let ends = drawing.ends.iter().map(|(_, tile)| tile.max);
        drawing.size = corners.chain(ends).fold(Vec2::ZERO, |size, corner| size.max(corner.to_vec2()));
        drawing.size.y += drawing.above;
        drawing
    }
}

struct Drafter<'a> {
    document: &'a Document,
    place: Where,
    measure: &'a dyn Fn(&str, Face) -> f32,
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
    /// How far the cell has, to the right and down.
    right: f32,
    bottom: f32,
    loads: bool,
    title: String,
    /// What it is called for those who do not see it.
    label: String,
    /// The value that has the cell's name under it.
    stands_for: Option<Field>,
    /// What is written there, as long as it is not.
    names: Vec<(String, Face)>,
    values: Vec<Value>,
    notes: Vec<Note>,
}

impl Draft {
    fn new(start: Pos2, inset: f32, loads: bool, title: String) -> Self {
        Self {
            start,
            at: start,
            right: start.x + inset,
            bottom: start.y + GROUND + 2.0,
            loads,
            label: title.clone(),
            names: vec![(title.clone(), Face::Name)],
            title,
            stands_for: None,
            values: Vec::new(),
            notes: Vec::new(),
        }
    }

    /// Where ground is.
    fn ground(&self) -> f32 {
        self.start.y + GROUND
    }
}

impl<'a> Drafter<'a> {
    fn draft(&self, start: Pos2, inset: f32, loads: bool, title: String) -> Draft {
        let mut draft = Draft::new(start, inset, loads, title);
        if self.place == Where::Recorded {
            // The same pickup stands in both diagrams.
            draft.label = format!("recorded: {}", draft.label);
        }
        draft
    }

    fn mark(&mut self, symbol: Symbol, from: Pos2, to: Pos2, loads: bool) {
        self.drawing.marks.push(Mark { symbol, from, to, loads });
    }

    /// The conductor goes on to the right.
    fn run(&mut self, draft: &mut Draft, x: f32) {
        let to = pos2(x, draft.at.y);
        self.mark(Symbol::Wire, draft.at, to, draft.loads);
        draft.at = to;
    }

    /// A symbol from the conductor to ground, with values beside it.
    fn shunt(&mut self, draft: &mut Draft, symbol: Symbol, fields: &[Field]) {
        let x = draft.right + LEAD;
        self.run(draft, x);
        self.mark(Symbol::Junction, draft.at, draft.at, draft.loads);
        self.mark(symbol, draft.at, pos2(x, draft.ground()), draft.loads);
        self.grounded(draft, x, OFF, fields);
    }

    /// Ground, with values so far beside it.
    fn grounded(&mut self, draft: &mut Draft, x: f32, off: f32, fields: &[Field]) {
        let ground = pos2(x, draft.ground());
        self.mark(Symbol::Ground, ground, ground + vec2(0.0, 1.0), draft.loads);
        draft.right = x + off;
        self.more(draft, fields);
    }

    /// Values beside what has just been drawn.
    fn more(&mut self, draft: &mut Draft, fields: &[Field]) {
        let block = self.block(draft, fields);
        let left_top = pos2(draft.right, draft.at.y + BESIDE);
        draft.right += block.width + LEAD;
        Self::write(draft, block, left_top);
    }

    /// A symbol along the conductor, if the first of its values is there; they stand under it.
    fn series(&mut self, draft: &mut Draft, symbol: Symbol, fields: &[Field]) {
        if fields.first().is_none_or(|field| edits::text(self.document, field).is_none()) {
            return;
        }
        let block = self.block(draft, fields);
        let left = draft.right;
        let width = LYING.max(block.width + AIR);
        self.run(draft, left);
        draft.right += width;
        self.mark(symbol, draft.at, pos2(draft.right, draft.at.y), draft.loads);
        draft.at.x = draft.right;
        let top = pos2(left + width / 2.0, draft.at.y + UNDER);
        Self::write_under(draft, block, top);
    }

    fn finish(&mut self, draft: Draft, what: What, heard: bool) -> f32 {
        let right = draft.right;
        let top = pos2(draft.start.x, draft.start.y - WIRE);
        let rect = Rect::from_min_max(top, pos2(right, draft.bottom));
        let Draft { label, title, loads, values, notes, .. } = draft;
        let heard_here = if heard { HEARD_HERE } else { "" };
        let behind = if loads { "" } else { "behind a buffer" };
        let label = [label.as_str(), heard_here, behind].into_iter().filter(|part| !part.is_empty());
        let label = label.collect::<Vec<_>>().join(", ");
        self.drawing.cells.push(Cell { what, rect, title, label, loads, heard, values, notes });
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
                Link::Cable(_) => self.cable(at, loads, spot),
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
        let behind = chain.links().any(
            |(link, _)| matches!(link, Link::Box(InputBox { thru: Some(thru), .. }) if !thru.passes_load()),
        );
        // What is plugged in there follows at the conductor, or takes the place of the last box.
        let mut left = pos2(at.x + LEAD, at.y);
        if goes_on {
            self.mark(Symbol::Wire, at - vec2(GAP, 0.0), left, loads && !behind);
        } else {
            left.y += GROUND / 2.0;
        }
        let tile = Rect::from_min_size(
            left - vec2(0.0, TILE / 2.0),
            vec2((self.measure)(ADD, Face::Name) + 2.0 * AIR, TILE),
        );
        self.drawing.ends.extend(spots.into_iter().last().map(|spot| (spot, tile)));
    }

    fn cable(&mut self, at: Pos2, loads: bool, spot: &Spot) -> f32 {
        self.cables += 1;
        let mut draft = self.draft(at, 2.0 * INSET, loads, format!("cable {}", self.cables));
        let part = |part| Field::Link(spot.clone(), part);
        draft.stands_for = Some(part(LinkPart::Length));
        self.mark(Symbol::Coaxial, at + vec2(INSET, 0.0), at, loads);
        self.shunt(&mut draft, Symbol::Capacitor, &[part(LinkPart::Length), part(LinkPart::PerMetre)]);
        if edits::text(self.document, &part(LinkPart::Leakage)).is_some() {
            self.shunt(&mut draft, Symbol::Resistor, &[part(LinkPart::Leakage)]);
        }
        let right = draft.right;
        self.run(&mut draft, right);
        self.finish(draft, What::Link(spot.clone()), false)
    }

    fn bare(&mut self, at: Pos2, loads: bool, spot: &Spot, symbol: Symbol) -> f32 {
        self.bare += 1;
        let mut draft = self.draft(at, 0.0, loads, format!("load {}", self.bare));
        let field = Field::Link(spot.clone(), LinkPart::Bare);
        draft.stands_for = Some(field.clone());
        self.shunt(&mut draft, symbol, &[field]);
        let right = draft.right;
        self.run(&mut draft, right);
        self.finish(draft, What::Link(spot.clone()), false)
    }

    /// The leg of the branch goes down to the next row; what follows stays clear of the branch if it has another one.
    fn splitter(&mut self, at: Pos2, loads: bool, spot: &Spot, splitter: &'a Splitter, is_last: bool) -> f32 {
        let mut draft = self.draft(at, INSET, loads, visible(&splitter.name).into_owned());
        let field = Field::Link(spot.clone(), LinkPart::Resistor);
        draft.stands_for = Some(field.clone());
        self.run(&mut draft, at.x + INSET);
        let joint = draft.at;
        self.mark(Symbol::Junction, joint, joint, loads);
        draft.right += OFF;
        self.series(&mut draft, Symbol::Resistor, &[field]);
        let names = self.names(&mut draft);
        if !names.is_empty() {
            let left_top = pos2(draft.right, at.y + UNDER);
            draft.right += names.width + AIR;
            Self::write(&mut draft, names, left_top);
        }
        let right = draft.right;
        self.run(&mut draft, right);
        self.mark(Symbol::Jack, at, at, loads);
        let ground = joint + vec2(0.0, GROUND);
        let leg = if splitter.resistor.is_some() { Symbol::Resistor } else { Symbol::Wire };
        self.mark(leg, joint, ground, loads);
        let down = pos2(joint.x, at.y + ROW + GAP);
        self.mark(Symbol::Wire, ground, down, loads);
        let right = self.finish(draft, What::Link(spot.clone()), false);
        let start = down + vec2(GAP, 0.0);
        let before = self.drawing.ends.len();
        self.chain(&splitter.branch, Some(spot), start, loads);
        let branch_end = self.drawing.ends[before..].iter().map(|(_, tile)| tile.right());
        if is_last { right } else { branch_end.fold(right, f32::max) }
    }
}

/// What says where more can be plugged in.
pub(in crate::editor) const ADD: &str = "+ box or cable";
