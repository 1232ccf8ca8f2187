//! A plot as a file of its own: with a heading, what the lines are called, on light ground.

use std::path::Path;
use std::sync::Arc;

use askama::Template;
use firstjack_looks::letters::{FAMILY, REGULAR, REGULAR_WEIGHT, SEMIBOLD, SEMIBOLD_WEIGHT};
use firstjack_looks::{LIGHT, Theme};
use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{self, fontdb};
use thiserror::Error;

use super::legend::{Entry, Legend};
use super::{LETTERING, Plot, Sheet, colour_class, pattern, tags, width};
use crate::error::Failure;
use crate::typeset::{HEAVY_WIDER, Typesetter, WIDER};

/// Readable where a README shows it, some 800 pixels wide.
const SHEET: Sheet = Sheet { width: 960.0, plot_height: 420.0, left: 58.0, right: 28.0 };

/// Of a plot below another one.
const BELOW: Sheet = Sheet { plot_height: 150.0, ..SHEET };

/// Around everything.
const MARGIN: f64 = 16.0;
/// Sizes of the title and of what stands below it, and from line to line, in sizes.
const TITLE: f32 = 22.0;
const BELOW_TITLE: f32 = 16.0;
const LINE: f64 = 1.3;
/// Pixels of a PNG for a unit.
const SHARPNESS: f32 = 2.0;

/// A plot with its heading.
pub struct Picture<'a> {
    pub title: String,
    /// What is to be read first, below the title.
    pub said: String,
    pub plot: Plot<'a>,
    /// Another one below it, of the same curves.
    pub below: Option<Plot<'a>>,
    /// What the line across stands for.
    pub ask: Option<String>,
}

/// What a picture is written as.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PictureKind {
    Svg,
    Png,
}

impl PictureKind {
    /// By the endings of names.
    pub const NAMED: [(&str, Self); 2] = [("svg", Self::Svg), ("png", Self::Png)];

    /// The file at `path`.
    ///
    /// # Errors
    /// If there is no memory for its pixels.
    pub fn bytes(self, picture: &Picture, path: &Path) -> Result<Vec<u8>, Failure> {
        let cannot = |error| Failure::Usage(format!("{}: cannot draw: {error}", path.display()));
        match self {
            Self::Svg => Ok(picture.svg().into_bytes()),
            Self::Png => picture.png().map_err(cannot),
        }
    }
}

/// Why there is no picture.
#[derive(Debug, Error)]
pub enum PictureError {
    /// The drawing cannot be read back.
    #[error("{0}")]
    Read(#[from] usvg::Error),
    /// There is no memory for so many pixels.
    #[error("there is no room for its pixels")]
    Room,
    /// The picture cannot be written.
    #[error("it cannot be written as PNG")]
    Write,
}

#[derive(Template)]
#[template(path = "plot/picture.svg")]
struct Drawing<'a> {
    full_title: &'a str,
    width: f64,
    height: f64,
    lettering: f64,
    theme: Theme,
    left: f64,
    heading: Vec<Text>,
    charts: Vec<(f64, String)>,
    legend_y: f64,
    lines: Vec<Line<'a>>,
}

struct Text {
    base: String,
    size: f32,
    weight: u16,
    text: String,
}

struct Line<'a> {
    name: &'a str,
    entry: Entry,
    look: Look,
}

struct Look {
    tag: Option<String>,
    class: String,
    pattern: &'static str,
}

impl Picture<'_> {
    /// As SVG, in letters that the reader's system has: without serifs.
    pub fn svg(&self) -> String {
        let typesetter = Typesetter::new();
        let (heading, chart_y) = self.heading(&typesetter);
        let plots = [(&self.plot, SHEET)].into_iter().chain(self.below.iter().map(|plot| (plot, BELOW)));
        let mut end = chart_y;
        let mut charts = Vec::new();
        for (chart, height) in plots.map(|(plot, sheet)| plot.drawn(sheet)) {
            charts.push((end, chart));
            end += height;
        }
        let tag = tags(self.plot.curves.len());
        let widest = self.plot.curves.iter().filter_map(|curve| tag(curve.number));
        let widest = widest.map(|tag| width(&typesetter, &tag)).fold(0.0, f64::max);
        let (names, ask): (Vec<&str>, _) =
            (self.plot.curves.iter().map(|curve| curve.name).collect(), self.ask.as_deref());
        let wide = SHEET.width - SHEET.left - MARGIN;
        let legend = Legend::new(&names, ask, wide, widest, &typesetter);
        let legend_y = end + 0.5 * MARGIN;
        let curves = self.plot.curves.iter();
        let looks = curves.map(|curve| Look {
            tag: tag(curve.number),
            class: format!("curve {}", colour_class(curve.number)),
            pattern: pattern(curve.number),
        });
        let looks = looks.chain([Look { tag: None, class: "ask".to_owned(), pattern: "none" }]);
        let lines = names.into_iter().chain(ask).zip(legend.entries).zip(looks);
        let drawing = Drawing {
            full_title: &self.title,
            width: SHEET.width,
            height: (legend_y + legend.height + MARGIN).ceil(),
            lettering: LETTERING,
            theme: LIGHT,
            left: SHEET.left,
            heading,
            charts,
            legend_y,
            lines: lines.map(|((name, entry), look)| Line { name, entry, look }).collect(),
        };
        drawing.render().expect("a template without functions that fail")
    }

    /// The lines above the plot, and where they end.
    #[expect(clippy::cast_possible_truncation, reason = "units of a drawing")]
    fn heading(&self, typesetter: &Typesetter) -> (Vec<Text>, f64) {
        let room = (SHEET.width - SHEET.left - MARGIN) as f32;
        let heavy = Typesetter::heavy();
        let sized = [
            (TITLE, SEMIBOLD_WEIGHT, heavy.lines(&self.title, TITLE * HEAVY_WIDER, room)),
            (BELOW_TITLE, REGULAR_WEIGHT, typesetter.lines(&self.said, BELOW_TITLE * WIDER, room)),
        ];
        let mut end = MARGIN;
        let mut heading = Vec::new();
        for (size, weight, lines) in sized {
            for text in lines {
                heading.push(Text { base: format!("{:.1}", end + f64::from(size)), size, weight, text });
                end += LINE * f64::from(size);
            }
        }
        (heading, (end + 0.5 * MARGIN).round())
    }

    /// The same as pixels, in the letters that are built in: the picture is the same everywhere.
    ///
    /// # Errors
    /// If there is no memory for it.
    pub fn png(&self) -> Result<Vec<u8>, PictureError> {
        let typesetter = Typesetter::new();
        let known = |c: char| if c.is_ascii() || typesetter.has(c) { c } else { Typesetter::UNKNOWN };
        let svg: String = self.svg().chars().map(known).collect();
        let mut fonts = fontdb::Database::new();
        fonts.load_font_data(REGULAR.to_vec());
        fonts.load_font_data(SEMIBOLD.to_vec());
        fonts.set_sans_serif_family(FAMILY);
        let options = usvg::Options { fontdb: Arc::new(fonts), ..usvg::Options::default() };
        let tree = usvg::Tree::from_str(&svg, &options)?;
        let size = tree.size().to_int_size().scale_by(SHARPNESS).ok_or(PictureError::Room)?;
        let mut pixels = Pixmap::new(size.width(), size.height()).ok_or(PictureError::Room)?;
        resvg::render(&tree, Transform::from_scale(SHARPNESS, SHARPNESS), &mut pixels.as_mut());
        pixels.encode_png().map_err(|_| PictureError::Write)
    }
}
