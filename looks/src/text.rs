//! The four sizes of letters, in points of a screen (pixels at 100 %).

/// The verdict.
pub const TITLE: f32 = 28.0;
/// The answer: what to ask for, and figures that are to be read from a distance.
pub const ANSWER: f32 = 18.0;
/// Everything else.
pub const BODY: f32 = 13.0;
/// Units, captions, what axes are marked with.
pub const SMALL: f32 = 11.0;

/// From line to line, in sizes.
pub const LEADING: f32 = 1.35;
