//! Diagrams: where each outline, wire and text stands. The page and the PDF draw the same.

/// The widest drawing; its unit is a point on paper.
pub const WIDTH: f32 = 500.0;

/// A part of a drawing.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// A block's outline; rounded for the pickup. What does not load the pickup is thin and dashed.
    Outline { x: f32, y: f32, width: f32, height: f32, loads: bool, rounded: bool },
    /// A conductor through these points.
    Wire { points: Vec<(f32, f32)>, loads: bool },
    /// The buffer at a box's thru: two bars across the conductor.
    Buffer { x: f32, y: f32 },
    /// Where conductors meet.
    Node { x: f32, y: f32 },
    /// Text around its middle, on its baseline.
    Text { x: f32, y: f32, size: f32, text: String },
}

/// A drawing, and the same in words.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    pub width: f32,
    pub height: f32,
    pub shapes: Vec<Shape>,
    pub text: String,
}
