//! Widths of lines, in points of a screen.

/// The grid, borders, ticks.
pub const THIN: f32 = 1.0;
/// Diagrams, and curves that are not heard.
pub const LINE: f32 = 1.5;
/// The curve that is heard, which also has its area filled.
pub const HEARD: f32 = 3.0;
/// How much of its colour an area under a curve has, from 0 to 1.
pub const AREA: f32 = 0.1;
