//! Views: each reads the model and says what it asks for; one file a widget.

mod alarms;
mod allowance;
mod blind_view;
mod boost_floor;
mod chain;
#[cfg(test)]
mod colours;
mod curves;
mod decibels;
mod files;
mod foot;
mod help;
mod instrument_menu;
mod layout;
mod levels;
mod look;
mod measure;
mod meters;
mod notices;
mod number;
mod preset_menu;
mod schematic;
mod setups;
mod shelf;
mod strings;
pub mod symbols;
pub(crate) mod theme;
mod tiles;
mod topline;
mod verdict;

pub use alarms::{Alarms, Side};
pub use blind_view::BlindView;
pub use chain::ChainViews;
pub use curves::CurvesView;
pub use layout::Views;
pub use levels::LevelsView;
pub use meters::Meters;
pub use setups::{SetupsView, keys, preset_text};
pub use strings::StringsView;
pub use theme::{apply as apply_theme, fonts};
pub use verdict::VerdictView;
