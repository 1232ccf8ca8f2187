//! The one family of letters: Inter 4.1 (SIL Open Font License 1.1), cut down by `scripts/fonts.py`. Figures, `+`, `−` and `±` are equally wide
//! in it without any feature asked for. It has Latin, Greek and Cyrillic letters and the arrows and triangles that a window draws.

/// What the family is called in the fonts; changed fonts do not have the name of the original.
pub const FAMILY: &str = "Firstjack Sans";

/// The weight of texts, as OpenType and style sheets count it, and the font with it (TrueType).
pub const REGULAR_WEIGHT: u16 = 400;
/// See [`REGULAR_WEIGHT`].
pub const REGULAR: &[u8] = include_bytes!("../fonts/FirstjackSans-Regular.ttf");

/// The weight of verdicts, names and figures that answer, and the font with it.
pub const SEMIBOLD_WEIGHT: u16 = 600;
/// See [`SEMIBOLD_WEIGHT`].
pub const SEMIBOLD: &[u8] = include_bytes!("../fonts/FirstjackSans-SemiBold.ttf");

/// The licence of both fonts, to be shown wherever they are handed on.
pub const LICENCE: &str = include_str!("../fonts/OFL.txt");
