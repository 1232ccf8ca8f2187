//! What a host sees and keeps: parameters with their names, ids and texts, and the state. From here values go to where sound is made,
//! never back but for what the level match has learned.

pub(crate) mod circuit_field;
pub(crate) mod moment;
pub(crate) mod music_field;
pub(crate) mod params;
pub(crate) mod preset;
pub(crate) mod quantities;
pub(crate) mod state;
pub(crate) mod stored;
pub(crate) mod text;
pub(crate) mod view_field;
pub(crate) mod whole;
