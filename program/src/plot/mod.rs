//! Curves of level against frequency on a logarithmic axis, as SVG: one drawing for charts inside of a page and for pictures that are
//! files. Lines differ by pattern as well as by colour, and where there are more than colours each bears its number. Colours
//! are a style sheet's, by class; without one everything is in the text's colour.

mod axes;
mod legend;
mod look;
mod picture;
mod tags;

use std::fmt::Write;

use askama::Template;

use crate::typeset::{Typesetter, WIDER};
use axes::{Axes, frequency, level};
pub use look::{colour_class, pattern, tags};
pub use picture::{Picture, PictureKind};
use tags::Tag;

/// Height of lettering, in units of the drawing, and between the rows of strings' names.
const LETTERING: f64 = 16.0;
const ROW: f64 = 20.0;
/// Of a line's number.
const TAG_HEIGHT: f64 = 18.0;
/// Strings that find no room in so many rows have no names.
const MOST_ROWS: usize = 4;

/// Room above the strings' names, and below the plot for the names of its lines and units.
const ABOVE: f64 = 6.0;
const BELOW: f64 = 44.0;

/// How lines of the grid stand out: that of 0 dB more than others.
const FAINT: &str = "0.25";
const STRONG: &str = "0.8";

/// How large a drawing is, in its units.
#[derive(Debug, Clone, Copy)]
struct Sheet {
    width: f64,
    plot_height: f64,
    left: f64,
    right: f64,
}

/// Scaled to a page: lettering is readable at 320 pixels.
const PAGE: Sheet = Sheet { width: 400.0, plot_height: 220.0, left: 56.0, right: 12.0 };

/// Curves with what is marked among them.
pub struct Plot<'a> {
    pub curves: Vec<Curve<'a>>,
    /// Strings by name and frequency in Hz, from low to high.
    pub strings: Vec<(String, f64)>,
    /// The level in dB of a line across, if there is one.
    pub ask_db: Option<f64>,
    /// The least that the level axis spans, in dB: what is hardly there shall not look large.
    pub least_db: f64,
    pub units: Units<'a>,
}

/// Of losses and gains.
pub const LEAST_DB: f64 = 10.0;

/// What the axes are in.
#[derive(Debug, Clone, Copy)]
pub struct Units<'a> {
    pub level: &'a str,
    pub frequency: &'a str,
    /// Whether the level's stands beside the axis, as a short one can.
    pub beside: bool,
}

impl Units<'_> {
    /// The units by their symbols.
    pub const SHORT: Self = Self { level: "dB", frequency: "Hz", beside: true };
}

/// A line.
pub struct Curve<'a> {
    /// Whose it is, of the page's keys.
    pub key: &'a str,
    /// What a pointer is told; empty for nothing.
    pub name: &'a str,
    /// Decides about colour and pattern.
    pub number: usize,
    /// Frequency in Hz and level in dB.
    pub points: Vec<(f64, f64)>,
    /// The outline of what tolerances leave open around it; empty without any.
    pub band: Vec<(f64, f64)>,
    /// What was measured of it; empty where nothing was.
    pub measured: Vec<Reading>,
}

/// A measured level with the bar that holds it.
#[derive(Debug, Clone, Copy)]
pub struct Reading {
    pub hz: f64,
    pub db: f64,
    /// To either side, in dB.
    pub bar_db: f64,
}

/// What a chart on a page is called; `id` is different from that of any other there.
pub struct Called<'a> {
    pub id: &'a str,
    pub title: &'a str,
    pub description: &'a str,
}

#[derive(Template)]
#[template(path = "plot/page.svg")]
struct OnPage<'a> {
    id: &'a str,
    title: &'a str,
    description: &'a str,
    width: f64,
    height: f64,
    lettering: f64,
    chart: String,
}

#[derive(Template)]
#[template(path = "plot/chart.svg")]
struct Chart<'a> {
    left: f64,
    right: f64,
    top: f64,
    bottom: f64,
    across: Vec<Line>,
    down: Vec<Line>,
    strings: Vec<StringMark>,
    ask: Option<String>,
    units: Units<'a>,
    paths: Vec<Path<'a>>,
    has_bands: bool,
    has_readings: bool,
    tags: Vec<TagMark>,
}

/// A line of the grid, and what it is called.
struct Line {
    at: String,
    name: String,
    opacity: &'static str,
}

/// Without a name where `y` is empty.
struct StringMark {
    name: String,
    x: String,
    y: String,
}

struct Path<'a> {
    key: &'a str,
    name: &'a str,
    class: String,
    pattern: &'static str,
    /// Empty without one.
    band: String,
    d: String,
    /// Where dots are, and the bars across them as a path.
    dots: Vec<(String, String)>,
    bars: String,
}

struct TagMark {
    text: String,
    x: String,
    y: String,
    width: String,
    height: String,
    middle: String,
    base: String,
}

impl Plot<'_> {
    /// As SVG inside of a page.
    pub fn svg(&self, called: &Called) -> String {
        let (chart, height) = self.drawn(PAGE);
        OnPage {
            id: called.id,
            title: called.title,
            description: called.description,
            width: PAGE.width,
            height,
            lettering: LETTERING,
            chart,
        }
        .render()
        .expect("a template without functions that fail")
    }

    /// The elements of the drawing, and how high it is.
    fn drawn(&self, sheet: Sheet) -> (String, f64) {
        let typesetter = Typesetter::new();
        let right = sheet.width - sheet.right;
        let readings = self.curves.iter().flat_map(|curve| &curve.measured);
        let hz = self.points().map(|(hz, _)| *hz).chain(readings.clone().map(|reading| reading.hz));
        let levels = self.curves.iter().flat_map(|curve| curve.points.iter().chain(&curve.band));
        let ends = readings.flat_map(|reading| [reading.db - reading.bar_db, reading.db + reading.bar_db]);
        let levels = levels.map(|(_, db)| *db).chain(self.ask_db).chain(ends);
        let mut axes = Axes::new((sheet.left, right), (0.0, 0.0), hz, levels, self.least_db);
        let (strings, strings_height) = self.string_marks(&axes, &typesetter);
        axes.top = ABOVE + strings_height;
        axes.bottom = axes.top + sheet.plot_height;
        let chart = Chart {
            left: axes.left,
            right,
            top: axes.top,
            bottom: axes.bottom,
            down: frequencies(&axes, sheet, &typesetter),
            across: levels_across(&axes),
            strings,
            ask: self.ask_db.map(|db| format!("{:.1}", axes.y(db))),
            units: self.units,
            has_bands: self.curves.iter().any(|curve| !curve.band.is_empty()),
            has_readings: self.curves.iter().any(|curve| !curve.measured.is_empty()),
            paths: self.curves.iter().map(|curve| path(curve, &axes)).collect(),
            tags: self.tag_marks(&axes, &typesetter),
        };
        let chart = chart.render().expect("a template without functions that fail");
        (chart, axes.bottom + BELOW)
    }

    fn points(&self) -> impl Iterator<Item = &(f64, f64)> + Clone {
        self.curves.iter().flat_map(|curve| &curve.points)
    }

    /// Each string's name in the lowest row where it has room; and how high they are together.
    #[expect(clippy::cast_precision_loss, reason = "a few rows")]
    fn string_marks(&self, axes: &Axes, typesetter: &Typesetter) -> (Vec<StringMark>, f64) {
        let mut ends: Vec<f64> = Vec::new();
        let mut places = Vec::new();
        for (name, hz) in self.strings.iter().filter(|(_, hz)| axes.span_hz.contains(hz)) {
            let at = axes.x(*hz);
            let half = 0.5 * width(typesetter, name);
            let row = ends.iter().position(|end| end + 0.5 * LETTERING < at - half).unwrap_or(ends.len());
            let has_room = row < MOST_ROWS && at > half;
            if has_room {
                ends.resize(ends.len().max(row + 1), 0.0);
                ends[row] = at + half;
            }
            places.push((name, at, has_room.then_some(row)));
        }
        let y = |row: usize| format!("{:.1}", ROW * (ends.len() - row) as f64);
        let mark = |(name, at, row): (&String, f64, Option<usize>)| StringMark {
            name: name.clone(),
            x: format!("{at:.1}"),
            y: row.map_or_else(String::new, y),
        };
        (places.into_iter().map(mark).collect(), ROW * ends.len() as f64)
    }

    fn tag_marks(&self, axes: &Axes, typesetter: &Typesetter) -> Vec<TagMark> {
        let text = tags(self.curves.len());
        let line = |curve: &Curve| curve.points.iter().map(|(hz, db)| (axes.x(*hz), axes.y(*db))).collect();
        let lines: Vec<Vec<(f64, f64)>> = self.curves.iter().map(line).collect();
        let sized = |index: usize, (x, y): (f64, f64)| {
            let text = text(self.curves[index].number)?;
            let width = width(typesetter, &text) + 4.0;
            Some(Tag { text, x, y, width, height: TAG_HEIGHT })
        };
        let mark = |tag: Tag| TagMark {
            x: format!("{:.1}", tag.x - 0.5 * tag.width),
            y: format!("{:.1}", tag.y - 0.5 * tag.height),
            width: format!("{:.1}", tag.width),
            height: format!("{:.1}", tag.height),
            middle: format!("{:.1}", tag.x),
            base: format!("{:.1}", tag.y + 0.36 * LETTERING),
            text: tag.text,
        };
        tags::placed(&lines, axes, sized).into_iter().map(mark).collect()
    }
}

/// How much room a text needs, in units of the drawing.
fn width(typesetter: &Typesetter, text: &str) -> f64 {
    f64::from(typesetter.width(text, 1.0) * WIDER) * LETTERING
}

/// The lines down, those named whose name is not cut off.
fn frequencies(axes: &Axes, sheet: Sheet, typesetter: &Typesetter) -> Vec<Line> {
    let line = |hz: f64| {
        let (at, name) = (axes.x(hz), frequency(hz));
        let fits = at + 0.5 * width(typesetter, &name) <= sheet.width;
        Line { at: format!("{at:.1}"), name: if fits { name } else { String::new() }, opacity: FAINT }
    };
    axes.lines_hz().map(line).collect()
}

fn levels_across(axes: &Axes) -> Vec<Line> {
    let line = |db: f64| Line {
        at: format!("{:.1}", axes.y(db)),
        name: level(db),
        opacity: if db == 0.0 { STRONG } else { FAINT },
    };
    axes.lines_db().map(line).collect()
}

fn path<'a>(curve: &Curve<'a>, axes: &Axes) -> Path<'a> {
    let drawn = |points: &[(f64, f64)]| {
        let mut d = String::new();
        for (hz, db) in points {
            let command = if d.is_empty() { 'M' } else { 'L' };
            let _ = write!(d, "{command}{:.1} {:.1}", axes.x(*hz), axes.y(*db));
        }
        d
    };
    Path {
        key: curve.key,
        name: curve.name,
        class: colour_class(curve.number),
        pattern: pattern(curve.number),
        band: drawn(&curve.band),
        d: drawn(&curve.points),
        dots: curve.measured.iter().map(|reading| dot(reading, axes)).collect(),
        bars: curve.measured.iter().map(|reading| bar(reading, axes)).collect(),
    }
}

fn dot(reading: &Reading, axes: &Axes) -> (String, String) {
    (format!("{:.1}", axes.x(reading.hz)), format!("{:.1}", axes.y(reading.db)))
}

fn bar(reading: &Reading, axes: &Axes) -> String {
    let y = |db| axes.y(db);
    let (low, high) = (y(reading.db - reading.bar_db), y(reading.db + reading.bar_db));
    format!("M{:.1} {low:.1}V{high:.1}", axes.x(reading.hz))
}
