//! Where everything stands on the A4 page, from above to below. It is laid out smaller and smaller until it fits; only drawings keep their size.

use super::drawing::{Drawing, Shape, WIDTH};
use crate::typeset::Typesetter;

/// A4 (ISO 216) in points.
pub const A4: (f32, f32) = (595.276, 841.89);

const MARGIN_TOP: f32 = 40.0;
const MARGIN_BOTTOM: f32 = 34.0;

/// Sizes in points, at scale 1.
const HEADING: f32 = 11.5;
pub const TEXT: f32 = 10.0;
pub const SMALL: f32 = 8.5;

/// From line to line, as a part of the size.
const LEADING: f32 = 1.3;
/// Where the terms' texts begin.
const TERMS: f32 = 82.0;
/// Room inside a frame.
const PADDING: f32 = 8.0;

/// Every content fits at the last one: its parts are cut to lengths for which tests show it.
const SCALES: [f32; 8] = [1.2, 1.1, 1.0, 0.94, 0.88, 0.82, 0.76, 0.7];

/// Something on the page; places in points from its upper left corner.
#[derive(Debug, Clone, PartialEq)]
pub enum Ink {
    /// A line of text from its left end, on its baseline.
    Text { x: f32, y: f32, size: f32, heavy: bool, text: String },
    /// A part of a drawing.
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
    /// As large as fits: `lay` puts everything down, and is told whether all of it may be there; at the very end what is cut has to do.
    pub fn new(typesetter: &Typesetter, lay: impl Fn(&mut Draft, bool)) -> Self {
        let laid = |scale: f32, whole: bool| {
            let mut draft = Draft::new(typesetter, scale);
            lay(&mut draft, whole);
            Self { fits: draft.y <= A4.1 - MARGIN_BOTTOM, inks: draft.inks }
        };
        let pages = SCALES.into_iter().map(|scale| laid(scale, true));
        let smallest = SCALES[SCALES.len() - 1];
        pages.into_iter().find(|page| page.fits).unwrap_or_else(|| laid(smallest, false))
    }
}

/// A page that is being laid out.
pub struct Draft<'a> {
    pub typesetter: &'a Typesetter,
    heavy: Typesetter,
    pub scale: f32,
    left: f32,
    width: f32,
    y: f32,
    inks: Vec<Ink>,
}

impl<'a> Draft<'a> {
    fn new(typesetter: &'a Typesetter, scale: f32) -> Self {
        Self {
            typesetter,
            heavy: Typesetter::heavy(),
            scale,
            left: (A4.0 - WIDTH) / 2.0,
            width: WIDTH,
            y: MARGIN_TOP,
            inks: Vec::new(),
        }
    }

    /// A title at the left, what it is about at the right, a rule below.
    pub fn head(&mut self, title: &str, about: &str) {
        let size = TEXT * self.scale;
        let about = self.typesetter.known(about);
        let x = self.left + WIDTH - self.typesetter.width(&about, size);
        self.y += size;
        self.ink(title, self.left, size, true);
        self.ink(&about, x, size, false);
        self.gap(5.0);
        self.rule();
        self.gap(8.0);
    }

    /// What `lay` puts down, in a frame.
    pub fn framed(&mut self, lay: impl FnOnce(&mut Self)) {
        let (top, left, width) = (self.y, self.left, self.width);
        self.y += PADDING;
        (self.left, self.width) = (left + PADDING, width - 2.0 * PADDING);
        lay(self);
        (self.left, self.width) = (left, width);
        self.y += PADDING;
        self.inks.push(Ink::Frame { x: left, y: top, width, height: self.y - top });
        self.gap(10.0);
    }

    /// What `lay` puts down beside each other, each from `x` on and so wide; all begin at one height, and the next thing below the longest.
    pub fn beside<Part>(&mut self, parts: &[(f32, f32, Part)], lay: impl Fn(&mut Self, &Part)) {
        let (top, left, width, mut below) = (self.y, self.left, self.width, self.y);
        for (x, wide, part) in parts {
            (self.left, self.width, self.y) = (left + x, *wide, top);
            lay(self, part);
            below = below.max(self.y);
        }
        (self.left, self.width, self.y) = (left, width, below);
    }

    /// A term and what is said of it.
    pub fn item(&mut self, term: &str, text: &str) {
        let parts = [(0.0, TERMS - 4.0, (term, true)), (TERMS, self.width - TERMS, (text, false))];
        self.beside(&parts, |draft, (text, heavy)| draft.text(text, TEXT, *heavy));
        self.gap(3.0);
    }

    pub fn drawing(&mut self, drawing: &Drawing) {
        for shape in &drawing.shapes {
            self.inks.push(Ink::Drawn { x: self.left, y: self.y, shape: shape.clone() });
        }
        self.y += drawing.height;
        self.gap(3.0);
    }

    pub fn heading(&mut self, text: &str) {
        self.gap(10.0);
        self.text(text, HEADING, true);
        self.gap(3.0);
    }

    pub fn gap(&mut self, points: f32) {
        self.y += points * self.scale;
    }

    /// In as many lines as it takes.
    pub fn text(&mut self, text: &str, size: f32, heavy: bool) {
        let size = size * self.scale;
        let typesetter = if heavy { &self.heavy } else { self.typesetter };
        for line in typesetter.lines(&typesetter.known(text), size, self.width) {
            self.y += size;
            self.ink(&line, self.left, size, heavy);
            self.y += size * (LEADING - 1.0);
        }
    }

    /// A rule across.
    pub fn rule(&mut self) {
        self.inks.push(Ink::Frame { x: self.left, y: self.y, width: self.width, height: 0.0 });
    }

    fn ink(&mut self, text: &str, x: f32, size: f32, heavy: bool) {
        self.inks.push(Ink::Text { x, y: self.y, size, heavy, text: text.to_owned() });
    }
}
