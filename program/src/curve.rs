//! `firstjack curve`: loss against frequency. Lines differ by pattern as well as by colour, so the picture survives
//! a black-and-white printer.

use std::io::Write;
use std::ops::Range;

use dsp_core::circuit::Pickups;
use dsp_core::response::Transfer;
use plotters::coord::Shift;
use plotters::coord::combinators::LogCoord;
use plotters::coord::types::RangedCoordf64;
use plotters::prelude::*;
use plotters::style::FontStyle;

use crate::arguments::CurveArguments;
use crate::error::Failure;
use crate::source::{NamedChain, Source, Strings};
use crate::wav::{check_target, publish, temporary};

const SIZE: (u32, u32) = (1200, 760);
const BAND_HZ: Range<f64> = 20.0..20_000.0;
const POINTS: i32 = 400;
const TOP_DB: f64 = 4.0;

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

type Plot<'a, B> = ChartContext<'a, B, Cartesian2d<LogCoord<f64>, RangedCoordf64>>;

struct Picture {
    title: String,
    curves: Vec<(String, Vec<(f64, f64)>)>,
    strings: Vec<(String, f64)>,
    deepest_db: f64,
}

/// Runs the command.
pub fn run(arguments: &CurveArguments) -> Result<(), Failure> {
    let source = Source::new(&arguments.source, &arguments.load)?;
    let strings = Strings::new(&arguments.strings, source.instrument.as_deref())?;
    let output = &arguments.output;
    let extension = output.extension().unwrap_or_default().to_string_lossy().to_lowercase();
    if extension != "svg" && extension != "png" {
        return Err(Failure::Usage(format!(
            "{}: accepted are names ending in .svg or .png",
            output.display()
        )));
    }
    check_target(output, None, arguments.overwrite)?;
    let picture = Picture::new(&source.pickups, &source.setups, &strings);
    let bytes = if extension == "svg" { picture.svg() } else { picture.png() }
        .map_err(|error| Failure::Usage(format!("{}: cannot draw: {error}", output.display())))?;
    let mut file = temporary(output)?;
    file.write_all(&bytes).map_err(|error| Failure::write(output, error))?;
    publish(file, output, arguments.overwrite)
}

type Drawn<T> = Result<T, Box<dyn std::error::Error>>;

impl Picture {
    fn new(pickups: &Pickups, setups: &[NamedChain], strings: &Strings) -> Self {
        let ratio = BAND_HZ.end / BAND_HZ.start;
        let at = |i: i32| BAND_HZ.start * ratio.powf(f64::from(i) / f64::from(POINTS));
        let curve = |setup: &NamedChain| {
            let transfer = Transfer::new(&pickups.with_positions(setup.positions), &setup.chain);
            let points = (0..=POINTS).map(|i| (at(i), -transfer.loss_db(at(i)))).collect();
            (setup.name.clone(), points)
        };
        let curves: Vec<(String, Vec<(f64, f64)>)> = setups.iter().map(curve).collect();
        let lowest = curves.iter().flat_map(|(_, points)| points).map(|(_, db)| *db).fold(-20.0, f64::min);
        let title = format!("Loss of a {}, {}", pickups.pickup(0), strings.instrument_name);
        let mut strings: Vec<(String, f64)> =
            strings.pitches.iter().map(|p| (p.to_string(), p.hz(strings.a4_hz))).collect();
        strings.sort_by(|(_, a), (_, b)| a.total_cmp(b));
        Self { title, curves, strings, deepest_db: (lowest / 10.0).floor() * 10.0 }
    }

    fn svg(&self) -> Drawn<Vec<u8>> {
        register_font()?;
        let mut text = String::new();
        self.draw(&SVGBackend::with_string(&mut text, SIZE).into_drawing_area())?;
        Ok(text.into_bytes())
    }

    fn png(&self) -> Drawn<Vec<u8>> {
        register_font()?;
        let mut pixels = vec![0; (SIZE.0 * SIZE.1 * 3) as usize];
        self.draw(&BitMapBackend::with_buffer(&mut pixels, SIZE).into_drawing_area())?;
        encode_png(&pixels)
    }

    fn draw<B: DrawingBackend>(&self, area: &DrawingArea<B, Shift>) -> Drawn<()>
    where
        B::ErrorType: 'static,
    {
        area.fill(&WHITE)?;
        let mut plot = ChartBuilder::on(area)
            .caption(&self.title, ("sans-serif", 28))
            .margin(18)
            .x_label_area_size(56)
            .y_label_area_size(72)
            .build_cartesian_2d(BAND_HZ.log_scale(), self.deepest_db..TOP_DB)?;
        plot.configure_mesh()
            .x_desc("frequency in Hz")
            .y_desc("level in dB against the unloaded pickup")
            .x_label_formatter(&|hz| {
                if *hz >= 1000.0 { format!("{}k", hz / 1000.0) } else { format!("{hz}") }
            })
            .y_label_formatter(&|db| format!("{db:.0}"))
            .y_labels(11)
            .label_style(("sans-serif", 18))
            .bold_line_style(RGBColor(205, 205, 205))
            .light_line_style(RGBColor(240, 240, 240))
            .draw()?;
        self.draw_strings(&mut plot)?;
        for (index, (_, points)) in self.curves.iter().enumerate() {
            let pixels: Vec<(i32, i32)> = points
                .iter()
                .filter(|(_, db)| *db >= self.deepest_db)
                .map(|point| plot.backend_coord(point))
                .collect();
            draw_line(area, index, &pixels)?;
        }
        self.draw_legend(area, plot.plotting_area().get_pixel_range())?;
        area.present()?;
        Ok(())
    }

    /// A mark and a name at each string's fundamental, along the top.
    fn draw_strings<B: DrawingBackend>(&self, plot: &mut Plot<'_, B>) -> Drawn<()>
    where
        B::ErrorType: 'static,
    {
        let grey = RGBColor(90, 90, 90);
        for (index, (name, hz)) in self.strings.iter().enumerate() {
            let line = [(*hz, self.deepest_db), (*hz, TOP_DB)];
            plot.draw_series(DashedLineSeries::new(line, 2, 6, grey.stroke_width(1)))?;
            let style = ("sans-serif", 17).into_font().color(&grey);
            // In two rows, since neighbours may be close.
            let height = TOP_DB - if index % 2 == 0 { 0.2 } else { 1.5 };
            plot.draw_series([Text::new(name.clone(), (*hz * 1.01, height), style)])?;
        }
        Ok(())
    }

    /// Names beside samples of their lines, in the lower right corner, where no high-pass goes.
    fn draw_legend<B: DrawingBackend>(
        &self,
        area: &DrawingArea<B, Shift>,
        (across, down): (Range<i32>, Range<i32>),
    ) -> Drawn<()>
    where
        B::ErrorType: 'static,
    {
        const ROW: i32 = 28;
        let font = ("sans-serif", 19).into_font();
        let mut widest = 0;
        for (name, _) in &self.curves {
            widest = widest.max(area.estimate_text_size(name, &font.clone().into_text_style(area))?.0);
        }
        let rows = i32::try_from(self.curves.len())?;
        let corner = (across.end - 16, down.end - 16);
        let (left, top) = (corner.0 - i32::try_from(widest)? - 96, corner.1 - ROW * rows - 12);
        let boxed = [(left, top), corner];
        area.draw(&Rectangle::new(boxed, WHITE.filled()))?;
        area.draw(&Rectangle::new(boxed, RGBColor(150, 150, 150).stroke_width(1)))?;
        for (index, (name, _)) in self.curves.iter().enumerate() {
            let y = top + 6 + ROW * i32::try_from(index)? + ROW / 2;
            draw_line(area, index, &[(left + 12, y), (left + 70, y)])?;
            area.draw(&Text::new(name.clone(), (left + 82, y - 6), font.clone()))?;
        }
        Ok(())
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
