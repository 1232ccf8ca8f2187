//! Line charts on a logarithmic frequency axis, as SVG inside of a page. Lines differ by pattern as well as by colour. Colours are the
//! style sheet's, by class; without one everything is in the text's colour.

use std::fmt::Write;
use std::ops::Range;

use askama::Template;

/// In units of the drawing, which is scaled to the page: lettering is readable at 320 pixels.
const WIDTH: f64 = 400.0;
const PLOT_HEIGHT: f64 = 220.0;
const LEFT: f64 = 46.0;
const RIGHT: f64 = 12.0;
const ABOVE: f64 = 6.0;
const BELOW: f64 = 42.0;
const LETTERING: f64 = 16.0;

/// The width of a letter, about, and the distance between the rows of strings' names.
const LETTER: f64 = 9.5;
const ROW: f64 = 17.0;

/// How lines of the grid stand out: that of 0 dB more than others.
const FAINT: &str = "0.25";
const STRONG: &str = "0.8";

/// Where the frequency axis has lines.
const LINES_HZ: [f64; 12] = [20.0, 50.0, 100.0, 200.0, 500.0, 1e3, 2e3, 5e3, 10e3, 20e3, 50e3, 100e3];

/// Steps of the level axis in dB, the first with few enough lines is taken.
const STEPS_DB: [f64; 5] = [1.0, 2.0, 5.0, 10.0, 20.0];
const MOST_STEPS: f64 = 7.0;

/// On and off lengths; the first is a full line.
const PATTERNS: [&str; 8] = ["none", "10 4", "2 3", "12 3 2 3", "18 5", "6 2 2 2 2 2", "5 5", "14 3 6 3"];

/// A chart.
pub struct Plot<'a> {
    /// Different from that of any other on the page.
    pub id: String,
    pub title: String,
    pub description: String,
    pub curves: Vec<Curve<'a>>,
    /// Strings by name and frequency in Hz, from low to high.
    pub strings: Vec<(String, f64)>,
}

/// A line.
pub struct Curve<'a> {
    /// Whose it is, of the page's keys.
    pub key: &'a str,
    /// Decides about colour and pattern.
    pub number: usize,
    /// Frequency in Hz and level in dB.
    pub points: Vec<(f64, f64)>,
    /// The outline of what tolerances leave open around it; empty without any.
    pub band: Vec<(f64, f64)>,
}

/// The pattern of a line's number.
pub fn pattern(number: usize) -> &'static str {
    PATTERNS[number % PATTERNS.len()]
}

/// The class that colours a line's number.
pub fn colour_class(number: usize) -> String {
    format!("curve-{}", number % PATTERNS.len())
}

#[derive(Template)]
#[template(path = "pack/plot/plot.svg")]
struct Drawing<'a> {
    id: &'a str,
    title: &'a str,
    description: &'a str,
    width: f64,
    height: f64,
    lettering: f64,
    left: f64,
    right: f64,
    top: f64,
    bottom: f64,
    across: Vec<Line>,
    down: Vec<Line>,
    strings: Vec<StringMark>,
    paths: Vec<Path<'a>>,
    has_bands: bool,
}

/// A line of the grid, and what it is called.
struct Line {
    at: String,
    name: String,
    opacity: &'static str,
}

struct StringMark {
    name: String,
    x: String,
    y: String,
}

struct Path<'a> {
    key: &'a str,
    class: String,
    pattern: &'static str,
    /// Empty without one.
    band: String,
    d: String,
}

impl Plot<'_> {
    /// As SVG.
    pub fn svg(&self) -> String {
        let span_hz = self.span_hz();
        let (step_db, span_db) = self.span_db();
        let octaves = (span_hz.end / span_hz.start).log2();
        let right = WIDTH - RIGHT;
        let x = |hz: f64| LEFT + (right - LEFT) * (hz / span_hz.start).log2() / octaves;
        let (strings, strings_height) = self.string_marks(&span_hz, x);
        let top = ABOVE + strings_height;
        let bottom = top + PLOT_HEIGHT;
        let y = |db: f64| {
            let part = (span_db.end - db) / (span_db.end - span_db.start);
            top + PLOT_HEIGHT * part.clamp(0.0, 1.0)
        };
        let path = |points: &[(f64, f64)]| {
            let mut d = String::new();
            for (hz, db) in points {
                let command = if d.is_empty() { 'M' } else { 'L' };
                let _ = write!(d, "{command}{:.1} {:.1}", x(*hz), y(*db));
            }
            d
        };
        let lines = LINES_HZ.into_iter().filter(|hz| span_hz.contains(hz));
        let levels = std::iter::successors(Some(span_db.start), |db| Some(db + step_db));
        Drawing {
            id: &self.id,
            title: &self.title,
            description: &self.description,
            width: WIDTH,
            height: bottom + BELOW,
            lettering: LETTERING,
            left: LEFT,
            right,
            top,
            bottom,
            down: lines
                .map(|hz| Line { at: format!("{:.1}", x(hz)), name: frequency(hz), opacity: FAINT })
                .collect(),
            across: levels
                .take_while(|db| *db <= span_db.end)
                .map(|db| Line {
                    at: format!("{:.1}", y(db)),
                    name: level(db),
                    opacity: if db == 0.0 { STRONG } else { FAINT },
                })
                .collect(),
            strings,
            has_bands: self.curves.iter().any(|curve| !curve.band.is_empty()),
            paths: self
                .curves
                .iter()
                .map(|curve| Path {
                    key: curve.key,
                    class: colour_class(curve.number),
                    pattern: pattern(curve.number),
                    band: path(&curve.band),
                    d: path(&curve.points),
                })
                .collect(),
        }
        .render()
        .expect("a template without functions that fail")
    }

    fn span_hz(&self) -> Range<f64> {
        let all = || self.curves.iter().flat_map(|curve| &curve.points).map(|(hz, _)| *hz);
        all().fold(f64::INFINITY, f64::min)..all().fold(0.0, f64::max)
    }

    /// From a whole step below all levels to a whole step above them.
    fn span_db(&self) -> (f64, Range<f64>) {
        let all =
            || self.curves.iter().flat_map(|curve| curve.points.iter().chain(&curve.band)).map(|(_, db)| *db);
        let (low, high) = (all().fold(0.0, f64::min), all().fold(0.0, f64::max));
        let steps = |step: f64| (high / step).ceil() - (low / step).floor();
        let widest = STEPS_DB[STEPS_DB.len() - 1];
        let step = STEPS_DB.into_iter().find(|step| steps(*step) <= MOST_STEPS).unwrap_or(widest);
        // A line along an edge would be cut in half.
        let span = (low / step).floor() * step..((high / step).ceil() * step).max(high + 0.1 * step);
        (step, span)
    }

    /// Each string's name in the lowest row where it has room; and how high they are together.
    #[expect(clippy::cast_precision_loss, reason = "some letters, some rows")]
    fn string_marks(&self, span_hz: &Range<f64>, x: impl Fn(f64) -> f64) -> (Vec<StringMark>, f64) {
        let mut ends: Vec<f64> = Vec::new();
        let mut places = Vec::new();
        for (name, hz) in self.strings.iter().filter(|(_, hz)| span_hz.contains(hz)) {
            let at = x(*hz);
            let half = 0.5 * LETTER * name.chars().count() as f64;
            let row = ends.iter().position(|end| end + LETTER < at - half).unwrap_or(ends.len());
            ends.resize(ends.len().max(row + 1), 0.0);
            ends[row] = at + half;
            places.push((name, at, row));
        }
        let mark = |(name, at, row): (&String, f64, usize)| StringMark {
            name: name.clone(),
            x: format!("{at:.1}"),
            y: format!("{:.1}", ROW * (ends.len() - row) as f64),
        };
        (places.into_iter().map(mark).collect(), ROW * ends.len() as f64)
    }
}

/// "50", "2k".
fn frequency(hz: f64) -> String {
    if hz < 1000.0 { format!("{hz}") } else { format!("{}k", hz / 1000.0) }
}

/// With a minus sign, not a hyphen.
fn level(db: f64) -> String {
    if db < 0.0 { format!("−{}", -db) } else { format!("{}", db + 0.0) }
}
