//! `firstjack curve`: level against frequency, drawn or as a table. Lines differ by pattern as well as by colour, so the picture
//! survives a black-and-white printer.

mod legend;
mod responses;
mod table;

use std::ops::Range;

use dsp_core::circuit::{Pickup, Pickups};
use firstjack_words::Words;
use plotters::coord::Shift;
use plotters::coord::combinators::LogCoord;
use plotters::coord::types::RangedCoordf64;
use plotters::prelude::*;
use plotters::style::FontStyle;

use crate::arguments::{CurveArguments, PictureArgument};
use crate::error::Failure;
use crate::output::{self, Expected, Outputs};
use crate::source::{NamedChain, Source, Strings};
use legend::Legend;
use responses::Responses;

const SIZE: (u32, u32) = (1200, 760);
const BAND_HZ: Range<f64> = 20.0..20_000.0;
const POINTS: i32 = 400;
/// The least that is shown above 0 dB, and above a resonance that rises beyond it.
const TOP_DB: f64 = 4.0;
const ABOVE_PEAK_DB: f64 = 3.0;
/// Below this a curve lies on the lower edge: where two pickups cancel, levels have no end.
const FLOOR_DB: f64 = -200.0;

/// Dark enough for white paper, apart in lightness for colour-blind eyes and grey printers.
const COLOURS: [RGBColor; 6] = [
    RGBColor(0, 0, 0),
    RGBColor(0, 84, 147),
    RGBColor(178, 65, 0),
    RGBColor(0, 114, 74),
    RGBColor(126, 47, 142),
    RGBColor(110, 110, 110),
];

/// On and off lengths in pixels; the first is a full line.
const PATTERNS: [&[i32]; 6] = [&[], &[12, 5], &[3, 4], &[14, 4, 3, 4], &[22, 6], &[8, 3, 3, 3, 3, 3]];

/// How much of its curve's colour a band has.
const BAND_TINT: f64 = 0.16;

type Plot<'a, B> = ChartContext<'a, B, Cartesian2d<LogCoord<f64>, RangedCoordf64>>;

struct Picture {
    title: String,
    levels: &'static str,
    curves: Vec<(String, Vec<(f64, f64)>)>,
    /// Of each curve the outline of what its tolerances leave open: along the lower edge and back along the upper one; empty without any.
    bands: Vec<Vec<(f64, f64)>>,
    strings: Vec<(String, f64)>,
    span_db: Range<f64>,
}

/// Runs the command.
pub fn run(arguments: &CurveArguments) -> Result<(), Failure> {
    let source = Source::new(&arguments.source)?;
    let strings = Strings::new(&arguments.strings, source.instrument.as_deref())?;
    let output = &arguments.output;
    let kinds = [("svg", PictureArgument::Svg), ("png", PictureArgument::Png), ("csv", PictureArgument::Csv)];
    let kind = output::kind_of(output, arguments.format, &kinds)?;
    let mut outputs = Outputs::new(&arguments.write, arguments.source.inputs());
    outputs.add("-o", output, Expected::default())?;
    if !outputs.prepare(false)? {
        return Ok(());
    }
    let picture = || Picture::new(&source.pickups, &source.setups, &strings);
    let bytes = match kind {
        PictureArgument::Csv => Ok(table::csv(&source.pickups, &source.setups).into_bytes()),
        PictureArgument::Svg => picture().svg(),
        PictureArgument::Png => picture().png(),
    }
    .map_err(|error| Failure::Usage(format!("{}: cannot draw: {error}", output.display())))?;
    output::write(&outputs, output, &bytes)
}

type Drawn<T> = Result<T, Box<dyn std::error::Error>>;

impl Picture {
    fn new(pickups: &Pickups, setups: &[NamedChain], strings: &Strings) -> Self {
        let ratio = BAND_HZ.end / BAND_HZ.start;
        let at = |i: i32| BAND_HZ.start * ratio.powf(f64::from(i) / f64::from(POINTS));
        let all: Vec<Responses> = setups.iter().map(|setup| Responses::new(pickups, setup)).collect();
        let curve = |(setup, responses): (&NamedChain, &Responses)| {
            let points = (0..=POINTS).map(|i| (at(i), responses.db(at(i)).max(FLOOR_DB))).collect();
            (setup.name.clone(), points)
        };
        let curves: Vec<(String, Vec<(f64, f64)>)> = setups.iter().zip(&all).map(curve).collect();
        let bands: Vec<Vec<(f64, f64)>> = all.iter().map(|responses| band(responses, at)).collect();
        let points = || curves.iter().map(|(_, points)| points).chain(&bands).flatten();
        let levels = || points().map(|(_, db)| *db);
        let deepest_db = (levels().fold(-20.0, f64::min) / 10.0).floor() * 10.0;
        let top_db = levels().fold(TOP_DB, |top, db| top.max((db + ABOVE_PEAK_DB).ceil()));
        let (what, levels) = wording(pickups);
        let title = format!("{what}, {}", strings.instrument_name);
        Self {
            title,
            levels,
            curves,
            bands,
            strings: strings.marks().into_iter().map(|(pitch, hz)| (pitch.to_string(), hz)).collect(),
            span_db: deepest_db..top_db,
        }
    }

    fn svg(mut self) -> Drawn<Vec<u8>> {
        register_font()?;
        self.make_room()?;
        let mut text = String::new();
        self.draw(&SVGBackend::with_string(&mut text, SIZE).into_drawing_area())?;
        Ok(text.into_bytes())
    }

    fn png(mut self) -> Drawn<Vec<u8>> {
        register_font()?;
        self.make_room()?;
        let mut pixels = vec![0; (SIZE.0 * SIZE.1 * 3) as usize];
        self.draw(&BitMapBackend::with_buffer(&mut pixels, SIZE).into_drawing_area())?;
        encode_png(&pixels)
    }

    /// Lets the scale go further down until a lower corner is free for the legend. Drawn into the void: only a drawn plot knows
    /// its pixels.
    fn make_room(&mut self) -> Drawn<()> {
        loop {
            let mut void = String::new();
            let area = SVGBackend::with_string(&mut void, SIZE).into_drawing_area();
            let plot = self.plot(&area)?;
            let (lines, range) = (self.lines(&plot), plot.plotting_area().get_pixel_range());
            let legend = Legend::place(&area, range, &lines, &self.outlines(&plot))?;
            if legend.covered == 0 || self.span_db.start < 2.0 * FLOOR_DB {
                return Ok(());
            }
            self.span_db.start -= 10.0;
        }
    }

    fn plot<'a, B: DrawingBackend>(&self, area: &'a DrawingArea<B, Shift>) -> Drawn<Plot<'a, B>>
    where
        B::ErrorType: 'static,
    {
        let plot = ChartBuilder::on(area)
            .caption(&self.title, ("sans-serif", 28))
            .margin(18)
            .x_label_area_size(56)
            .y_label_area_size(72)
            .build_cartesian_2d(BAND_HZ.log_scale(), self.span_db.clone())?;
        Ok(plot)
    }

    /// The curves by name, in pixels.
    fn lines<B: DrawingBackend>(&self, plot: &Plot<'_, B>) -> Vec<(&str, Vec<(i32, i32)>)> {
        let pixels = |points: &[(f64, f64)]| points.iter().map(|point| plot.backend_coord(point)).collect();
        self.curves.iter().map(|(name, points)| (name.as_str(), pixels(points))).collect()
    }

    /// The bands, in pixels.
    fn outlines<B: DrawingBackend>(&self, plot: &Plot<'_, B>) -> Vec<Vec<(i32, i32)>> {
        let pixels =
            |points: &Vec<(f64, f64)>| points.iter().map(|point| plot.backend_coord(point)).collect();
        self.bands.iter().map(pixels).collect()
    }

    fn draw<B: DrawingBackend>(&self, area: &DrawingArea<B, Shift>) -> Drawn<()>
    where
        B::ErrorType: 'static,
    {
        area.fill(&WHITE)?;
        let mut plot = self.plot(area)?;
        plot.configure_mesh()
            .x_desc("frequency in Hz")
            .y_desc(self.levels)
            .x_label_formatter(&|hz| {
                if *hz >= 1000.0 { format!("{}k", hz / 1000.0) } else { format!("{hz}") }
            })
            .y_label_formatter(&|db| format!("{db:.0}"))
            .y_labels(11)
            .label_style(("sans-serif", 18))
            .bold_line_style(RGBColor(205, 205, 205))
            .light_line_style(RGBColor(240, 240, 240))
            .draw()?;
        self.draw_strings(area, &mut plot)?;
        let (lines, outlines) = (self.lines(&plot), self.outlines(&plot));
        for (index, outline) in outlines.iter().enumerate().filter(|(_, outline)| !outline.is_empty()) {
            let tint = COLOURS[index % COLOURS.len()].mix(BAND_TINT);
            area.draw(&Polygon::new(outline.clone(), tint.filled()))?;
        }
        for (index, (_, pixels)) in lines.iter().enumerate() {
            draw_line(area, index, pixels)?;
        }
        Legend::place(area, plot.plotting_area().get_pixel_range(), &lines, &outlines)?.draw(area, &lines)?;
        area.present()?;
        Ok(())
    }

    /// A mark and a name at each string's fundamental, along the top.
    fn draw_strings<B: DrawingBackend>(
        &self,
        area: &DrawingArea<B, Shift>,
        plot: &mut Plot<'_, B>,
    ) -> Drawn<()>
    where
        B::ErrorType: 'static,
    {
        let grey = RGBColor(90, 90, 90);
        let Range { start: bottom_db, end: top_db } = self.span_db;
        for (_, hz) in &self.strings {
            let line = [(*hz, bottom_db), (*hz, top_db)];
            plot.draw_series(DashedLineSeries::new(line, 2, 6, grey.stroke_width(1)))?;
        }
        for (index, (name, hz)) in self.strings.iter().enumerate() {
            let style = ("sans-serif", 17).into_font().color(&grey);
            // In two rows, since neighbours may be close.
            let rows = if index % 2 == 0 { 0.2 } else { 1.5 };
            let height = top_db - rows * (top_db - bottom_db) / 54.0;
            // No line of the grid goes through it.
            let (left, top) = plot.backend_coord(&(*hz, height));
            let (width, high) = area.estimate_text_size(name, &style)?;
            let end = (left + 4 + width.cast_signed(), top + high.cast_signed());
            area.draw(&Rectangle::new([(left + 2, top), end], WHITE.filled()))?;
            area.draw(&Text::new(name.clone(), (left + 3, top), style))?;
        }
        Ok(())
    }
}

/// The outline of what a setup's tolerances leave open; empty without any.
fn band(responses: &Responses, at: impl Fn(i32) -> f64) -> Vec<(f64, f64)> {
    let edges = (0..=POINTS).filter_map(|i| Some((at(i), responses.band(None, at(i))?)));
    let (lower, upper): (Vec<_>, Vec<_>) =
        edges.map(|(hz, band)| ((hz, band.low.max(FLOOR_DB)), (hz, band.high.max(FLOOR_DB)))).unzip();
    lower.into_iter().chain(upper.into_iter().rev()).collect()
}

/// What the picture shows, and what its levels are against. Only the unloaded element of a capacitive pickup without controls
/// has the open-circuit voltage at its jack.
fn wording(pickups: &Pickups) -> (String, &'static str) {
    const AGAINST_VOLTAGE: &str = "level in dB against the open-circuit voltage";
    let called = |pickup: &Pickup| Words::ENGLISH.pickup_short(pickup);
    match pickups {
        Pickups::One(pickup @ Pickup { tone: None, volume: None, .. }) if !pickup.is_magnetic() => {
            (format!("Loss of a {}", called(pickup)), "level in dB against the unloaded pickup")
        }
        Pickups::One(pickup) => (format!("Response of a {}", called(pickup)), AGAINST_VOLTAGE),
        Pickups::Blend([first, second]) => {
            let (first, second) = (called(&first.pickup), called(&second.pickup));
            (format!("Response of a {first} and a {second} together"), AGAINST_VOLTAGE)
        }
    }
}

/// Draws the line of curve `index` through pixels, in its colour and pattern.
fn draw_line<B: DrawingBackend>(
    area: &DrawingArea<B, Shift>,
    index: usize,
    pixels: &[(i32, i32)],
) -> Drawn<()>
where
    B::ErrorType: 'static,
{
    let style = COLOURS[index % COLOURS.len()].stroke_width(3);
    for stroke in strokes(pixels, PATTERNS[index % PATTERNS.len()]) {
        area.draw(&PathElement::new(stroke, style))?;
    }
    Ok(())
}

/// A line in its pattern, as strokes.
fn strokes(pixels: &[(i32, i32)], pattern: &[i32]) -> Vec<Vec<(i32, i32)>> {
    if pattern.is_empty() {
        return vec![pixels.to_vec()];
    }
    let mut strokes = vec![Vec::new()];
    let (mut place, mut left) = (0, pattern[0]);
    for pair in pixels.windows(2) {
        let (from, to) = (pair[0], pair[1]);
        let steps = (to.0 - from.0).abs().max((to.1 - from.1).abs()).max(1);
        for step in 0..steps {
            if place % 2 == 0 {
                let at = |a: i32, b: i32| a + (b - a) * step / steps;
                strokes.last_mut().expect("starts with one").push((at(from.0, to.0), at(from.1, to.1)));
            }
            left -= 1;
            if left == 0 {
                place = (place + 1) % pattern.len();
                left = pattern[place];
                if place % 2 == 0 {
                    strokes.push(Vec::new());
                }
            }
        }
    }
    strokes
}

/// The one font, built in: pictures come out the same on every machine, and none needs a font installed.
fn register_font() -> Drawn<()> {
    let font = epaint_default_fonts::UBUNTU_LIGHT;
    plotters::style::register_font("sans-serif", FontStyle::Normal, font).map_err(|_| "the font".into())
}

fn encode_png(pixels: &[u8]) -> Drawn<Vec<u8>> {
    let mut bytes = std::io::Cursor::new(Vec::new());
    let image = image::RgbImage::from_raw(SIZE.0, SIZE.1, pixels.to_vec()).ok_or("the picture's size")?;
    image.write_to(&mut bytes, image::ImageOutputFormat::Png)?;
    Ok(bytes.into_inner())
}
