use std::fmt;

/// A colour in sRGB (IEC 61966-2-1), eight bits each of red, green and blue.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Colour(pub [u8; 3]);

impl Colour {
    /// From `0xrrggbb`.
    pub const fn new(hex: u32) -> Self {
        let [_, red, green, blue] = hex.to_be_bytes();
        Self([red, green, blue])
    }
}

/// As style sheets and SVG have it: `#0b5d57`.
impl fmt::Display for Colour {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        let [red, green, blue] = self.0;
        write!(f, "#{red:02x}{green:02x}{blue:02x}")
    }
}
