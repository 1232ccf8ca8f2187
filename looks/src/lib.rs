//! How everything that Firstjack shows looks, each colour, size and letter once: window, page, note and curves take it from here. No
//! toolkit is known here, and nothing is drawn.
//!
//! ```
//! use firstjack_looks::{LIGHT, Theme, contrast};
//!
//! assert_eq!(LIGHT.accent.to_string(), "#0b5d57");
//! assert!(contrast(LIGHT.ink, LIGHT.background) >= 7.0);
//! ```

mod colour;
pub mod letters;
pub mod motion;
pub mod sight;
pub mod space;
pub mod strokes;
pub mod text;
mod theme;

pub use colour::Colour;
pub use sight::contrast;
pub use theme::{CURVES, DARK, LIGHT, Theme};
