use crate::Colour;

/// How many curves have a colour of their own.
pub const CURVES: usize = 8;

/// Colours by what they are for, on light ground or on dark. Tests hold every pair that meets against WCAG 2.2, and curves against each other for every eye.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Theme {
    /// Behind everything.
    pub background: Colour,
    /// What lies on it: tiles, fields, menus, the ground of curves and diagrams.
    pub surface: Colour,
    /// Around surfaces and between rows. No more than a hint: nothing may depend on it.
    pub line: Colour,
    /// Behind curves, on a surface.
    pub grid: Colour,
    /// What bounds a control or a meter, where its ground does not.
    pub outline: Colour,
    /// Text and diagrams.
    pub ink: Colour,
    /// Text that stands back: units, captions, what is not chosen.
    pub quiet: Colour,
    /// What is heard, what is chosen, links and the focus.
    pub accent: Colour,
    /// The accent as a ground: behind the answer and what is chosen. Ink, quiet ink and accent can stand on it.
    pub wash: Colour,
    /// Text on the accent.
    pub on_accent: Colour,
    /// What a setup keeps, where it is not heard.
    pub bar: Colour,
    /// What a bar or a meter runs in.
    pub track: Colour,
    /// Between the heard curve and 0 dB, on a surface, below the grid.
    pub area: Colour,
    /// A curve that is not heard, where one is.
    pub quiet_curve: Colour,
    /// Text and marks of warnings: clipping, a closed guard, what cannot be done.
    pub warning: Colour,
    /// Behind them.
    pub warning_wash: Colour,
    /// Curves that are compared: first the take as recorded, in ink, then the setups. The last is the accent, so none of the others is taken for it. `scripts/curves.py` found those between.
    pub curves: [Colour; CURVES],
}

impl Theme {
    /// Every colour but those of curves, by the name that it has in style sheets.
    pub const fn roles(&self) -> [(&'static str, Colour); 16] {
        [
            ("background", self.background),
            ("surface", self.surface),
            ("line", self.line),
            ("grid", self.grid),
            ("outline", self.outline),
            ("ink", self.ink),
            ("quiet", self.quiet),
            ("accent", self.accent),
            ("wash", self.wash),
            ("on-accent", self.on_accent),
            ("bar", self.bar),
            ("track", self.track),
            ("area", self.area),
            ("quiet-curve", self.quiet_curve),
            ("warning", self.warning),
            ("warning-wash", self.warning_wash),
        ]
    }
}

const fn curves(hex: [u32; CURVES]) -> [Colour; CURVES] {
    let mut curves = [Colour::new(0); CURVES];
    let mut index = 0;
    while index < CURVES {
        curves[index] = Colour::new(hex[index]);
        index += 1;
    }
    curves
}

/// Dark on light, for rooms with light, and for paper.
pub const LIGHT: Theme = Theme {
    background: Colour::new(0xf4_f2ee),
    surface: Colour::new(0xff_ffff),
    line: Colour::new(0xe2_ddd4),
    grid: Colour::new(0xec_e8e0),
    outline: Colour::new(0x89_837a),
    ink: Colour::new(0x1d_1b18),
    quiet: Colour::new(0x6d_675e),
    accent: Colour::new(0x0b_5d57),
    wash: Colour::new(0xd9_ece9),
    on_accent: Colour::new(0xff_ffff),
    bar: Colour::new(0x6d_675e),
    track: Colour::new(0xec_e8e0),
    area: Colour::new(0xe8_f0ef),
    quiet_curve: Colour::new(0x89_837a),
    warning: Colour::new(0xa0_3c00),
    warning_wash: Colour::new(0xfb_e6d6),
    curves: curves([0x1d_1b18, 0x13_63c6, 0x94_5c02, 0x63_1974, 0x3c_4801, 0xba_3d3b, 0x62_5d80, 0x0b_5d57]),
};

/// Light on dark, for stages.
pub const DARK: Theme = Theme {
    background: Colour::new(0x16_1513),
    surface: Colour::new(0x1f_1d1b),
    line: Colour::new(0x34_312d),
    grid: Colour::new(0x2a_2825),
    outline: Colour::new(0x8a_8377),
    ink: Colour::new(0xf1_eee8),
    quiet: Colour::new(0xa4_9c90),
    accent: Colour::new(0x5c_c4b8),
    wash: Colour::new(0x17_3a37),
    on_accent: Colour::new(0x16_1513),
    bar: Colour::new(0xa4_9c90),
    track: Colour::new(0x2a_2825),
    area: Colour::new(0x26_3330),
    quiet_curve: Colour::new(0x8a_8377),
    warning: Colour::new(0xf0_9a4a),
    warning_wash: Colour::new(0x3d_2813),
    curves: curves([0xf1_eee8, 0x8a_9cc5, 0xd6_8957, 0xba_83e8, 0x91_e38d, 0xfa_6a89, 0xe1_d15b, 0x5c_c4b8]),
};
