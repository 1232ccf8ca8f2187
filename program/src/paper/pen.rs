//! How diagrams of wiring are drawn: blocks, parts in conductors, conductors, texts.

use super::{Drawing, Shape};
use crate::typeset::Typesetter;

/// Sizes of letters, and what a text in another font may be wider.
const SIZE: f32 = 8.0;
pub const SMALL: f32 = 7.0;
const SLACK: f32 = 0.86;

/// Height of a block and of a part in a conductor.
pub const BLOCK: f32 = 26.0;
pub const PART: f32 = 15.0;

/// Draws one diagram.
pub struct Pen {
    typesetter: Typesetter,
    shapes: Vec<Shape>,
}

impl Pen {
    pub fn new() -> Self {
        Self { typesetter: Typesetter::new(), shapes: Vec::new() }
    }

    pub fn drawing(self, width: f32, height: f32, text: &str) -> Drawing {
        Drawing { width, height, shapes: self.shapes, text: text.to_owned() }
    }

    pub fn block(&mut self, (x, y, width, height): (f32, f32, f32, f32), lines: &[&str], rounded: bool) {
        self.shapes.push(Shape::Outline { x, y, width, height, loads: true, rounded });
        let pitch = SIZE + 3.0;
        let mut base = y + height / 2.0 + SIZE * 0.35;
        for _ in 1..lines.len() {
            base -= pitch / 2.0;
        }
        for line in lines {
            self.fitted((x + width / 2.0, base), line, width - 4.0);
            base += pitch;
        }
    }

    /// A part in a conductor, with its value in it.
    pub fn part(&mut self, (x, y, width, height): (f32, f32, f32, f32), value: &str) {
        self.shapes.push(Shape::Outline { x, y, width, height, loads: true, rounded: false });
        self.fitted((x + width / 2.0, y + height / 2.0 + SIZE * 0.35), value, width - 4.0);
    }

    /// As large as has room, also in a wider font.
    fn fitted(&mut self, (x, y): (f32, f32), text: &str, room: f32) {
        let mut size = SIZE;
        while size > 5.5 && self.typesetter.width(text, size) > room * SLACK {
            size -= 0.5;
        }
        let text = self.typesetter.cut(text, size, room);
        self.shapes.push(Shape::Text { x, y, size, text });
    }

    pub fn text(&mut self, (x, y): (f32, f32), text: &str, size: f32) {
        self.shapes.push(Shape::Text { x, y, size, text: text.to_owned() });
    }

    pub fn wire(&mut self, points: &[(f32, f32)], loads: bool) {
        self.shapes.push(Shape::Wire { points: points.to_vec(), loads });
    }

    pub fn node(&mut self, (x, y): (f32, f32)) {
        self.shapes.push(Shape::Node { x, y });
    }
}
