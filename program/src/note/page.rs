//! Where everything stands on the A4 page. It is laid out smaller and smaller until it fits; only the chain's
//! drawing keeps its size.

use super::content::{Item, Note};
use super::crew::Field;
use super::drawing::{Shape, WIDTH};
use crate::typeset::Typesetter;

/// A4 (ISO 216) in points.
pub const A4: (f32, f32) = (595.276, 841.89);

const MARGIN_TOP: f32 = 40.0;
const MARGIN_BOTTOM: f32 = 34.0;

/// Sizes in points, at scale 1.
const GIVE: f32 = 19.0;
const HEADING: f32 = 11.5;
const TEXT: f32 = 10.0;
const SMALL: f32 = 8.5;

/// From line to line, as a part of the size.
const LEADING: f32 = 1.3;
/// Where the terms' texts begin.
const TERMS: f32 = 82.0;
/// Room to write on by hand.
const HAND: f32 = 18.0;
/// The crew's fields stand in so many columns, so far apart.
const QUARTERS: u8 = 4;
const GUTTER: f32 = 10.0;
/// Room inside a frame.
const PADDING: f32 = 8.0;

/// Every content fits at the last one: the parts of a note are cut to lengths for which a test shows it, and offers to a line each.
const SCALES: [f32; 8] = [1.2, 1.1, 1.0, 0.94, 0.88, 0.82, 0.76, 0.7];

/// Something on the page; places in points from its upper left corner.
#[derive(Debug, Clone, PartialEq)]
pub enum Ink {
    /// A line of text from its left end, on its baseline.
    Text { x: f32, y: f32, size: f32, heavy: bool, text: String },
    /// A part of the chain's drawing.
    Drawn { x: f32, y: f32, shape: Shape },
    /// A frame around something, or a rule if it has no height.
    Frame { x: f32, y: f32, width: f32, height: f32 },
}

/// A page on which everything has its place.
pub struct Page {
    pub inks: Vec<Ink>,
    /// Whether it ends above the lower margin.
    pub fits: bool,
}

impl Page {
    pub fn new(note: &Note, typesetter: &Typesetter) -> Self {
        let laid = |scale: f32, whole: bool| Draft::new(typesetter, scale, whole).page(note);
        let pages = SCALES.into_iter().map(|scale| laid(scale, true));
        let smallest = SCALES[SCALES.len() - 1];
        pages.into_iter().find(|page| page.fits).unwrap_or_else(|| laid(smallest, false))
    }
}

struct Draft<'a> {
    typesetter: &'a Typesetter,
    scale: f32,
    /// Whether what is offered may take more than a line.
    whole: bool,
    left: f32,
    y: f32,
    inks: Vec<Ink>,
}

impl<'a> Draft<'a> {
    fn new(typesetter: &'a Typesetter, scale: f32, whole: bool) -> Self {
        Self { typesetter, scale, whole, left: (A4.0 - WIDTH) / 2.0, y: MARGIN_TOP, inks: Vec::new() }
    }

    fn page(mut self, note: &Note) -> Page {
        self.head(note);
        self.give(note);
        self.crew(note);
        note.sentences.iter().for_each(|sentence| self.text(sentence, TEXT, false));
        self.gap(6.0);
        note.items.iter().for_each(|item| self.item(item));
        self.chain(note);
        self.offers(note);
        self.cautions(note);
        Page { fits: self.y <= A4.1 - MARGIN_BOTTOM, inks: self.inks }
    }

    fn head(&mut self, note: &Note) {
        let size = TEXT * self.scale;
        let about = self.typesetter.known(&note.about);
        let x = self.left + WIDTH - self.typesetter.width(&about, size);
        self.y += size;
        self.ink(note.title, self.left, size, true);
        self.ink(&about, x, size, false);
        self.gap(5.0);
        self.frame(0.0);
        self.gap(8.0);
    }

    fn give(&mut self, note: &Note) {
        let top = self.y;
        let outer = self.left;
        self.y += PADDING;
        self.left += PADDING;
        let width = WIDTH - 2.0 * PADDING;
        self.lines(note.give_title, SMALL, width, false);
        self.lines(&note.give, GIVE, width, true);
        self.gap(2.0);
        note.besides.iter().for_each(|said| self.lines(said, TEXT, width, false));
        self.left = outer;
        self.y += PADDING;
        let (x, width, height) = (self.left, WIDTH, self.y - top);
        self.inks.push(Ink::Frame { x, y: top, width, height });
        self.gap(10.0);
    }

    /// What the crew fills in, in rows of four quarters; a rule to write on where nothing is said.
    fn crew(&mut self, note: &Note) {
        let (outer, mut top, mut below) = (self.left, self.y, self.y);
        let mut quarter = 0;
        for field in &note.fields {
            if quarter + field.quarters > QUARTERS {
                (quarter, top) = (0, below + 4.0 * self.scale);
            }
            let width = |quarters: u8| f32::from(quarters) * (WIDTH + GUTTER) / f32::from(QUARTERS) - GUTTER;
            self.left = outer + if quarter > 0 { width(quarter) + GUTTER } else { 0.0 };
            self.y = top;
            self.field(field, width(field.quarters));
            below = below.max(self.y);
            quarter += field.quarters;
        }
        (self.left, self.y) = (outer, below);
        self.gap(8.0);
    }

    fn field(&mut self, field: &Field, width: f32) {
        self.lines(field.term, SMALL, width, false);
        match &field.text {
            Some(text) => self.lines(text, TEXT, width, true),
            None => {
                self.y += HAND * self.scale;
                self.inks.push(Ink::Frame { x: self.left, y: self.y, width, height: 0.0 });
            }
        }
    }

    fn item(&mut self, item: &Item) {
        let (outer, top) = (self.left, self.y);
        self.lines(item.term, TEXT, TERMS - 4.0, true);
        let below = std::mem::replace(&mut self.y, top);
        self.left += TERMS;
        self.lines(&item.text, TEXT, WIDTH - TERMS, false);
        self.left = outer;
        self.y = self.y.max(below);
        self.gap(3.0);
    }

    fn chain(&mut self, note: &Note) {
        self.heading(note.chain_title);
        for shape in &note.drawing.shapes {
            self.inks.push(Ink::Drawn { x: self.left, y: self.y, shape: shape.clone() });
        }
        self.y += note.drawing.height;
        self.gap(3.0);
        self.text(&note.legend.join("; "), SMALL, false);
    }

    fn offers(&mut self, note: &Note) {
        self.heading(&note.offers_title);
        for (rank, offer) in note.offers.iter().enumerate() {
            let mark = offer.mark.map_or(String::new(), |mark| format!(": {mark}"));
            let said = self.typesetter.known(&format!("{}. {}{mark}", rank + 1, offer.text));
            let said = if self.whole { said } else { self.typesetter.cut(&said, TEXT * self.scale, WIDTH) };
            self.text(&said, TEXT, offer.mark.is_some());
        }
        note.more_offers.iter().chain(&note.of_order).for_each(|said| self.text(said, TEXT, false));
    }

    fn cautions(&mut self, note: &Note) {
        self.heading(note.cautions_title);
        note.cautions.iter().for_each(|caution| self.text(caution, SMALL, false));
    }

    fn heading(&mut self, text: &str) {
        self.gap(10.0);
        self.text(text, HEADING, true);
        self.gap(3.0);
    }

    fn gap(&mut self, points: f32) {
        self.y += points * self.scale;
    }

    fn text(&mut self, text: &str, size: f32, heavy: bool) {
        self.lines(text, size, WIDTH, heavy);
    }

    fn lines(&mut self, text: &str, size: f32, width: f32, heavy: bool) {
        let size = size * self.scale;
        for line in self.typesetter.lines(&self.typesetter.known(text), size, width) {
            self.y += size;
            self.ink(&line, self.left, size, heavy);
            self.y += size * (LEADING - 1.0);
        }
    }

    fn ink(&mut self, text: &str, x: f32, size: f32, heavy: bool) {
        self.inks.push(Ink::Text { x, y: self.y, size, heavy, text: text.to_owned() });
    }

    fn frame(&mut self, height: f32) {
        self.inks.push(Ink::Frame { x: self.left, y: self.y, width: WIDTH, height });
    }
}
