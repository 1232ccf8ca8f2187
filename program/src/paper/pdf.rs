//! A page as PDF: its text selectable, its fonts embedded as subsets. The same page gives the same bytes: there is no date in it.

use std::ops::Range;

use firstjack_looks::letters::{REGULAR, SEMIBOLD};
use krilla::color::luma;
use krilla::error::KrillaError;
use krilla::geom::{Path, PathBuilder, Point, Rect};
use krilla::metadata::Metadata;
use krilla::page::PageSettings;
use krilla::paint::{Fill, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::text::{Font, GlyphId, KrillaGlyph};
use krilla::{Document, SerializeSettings};
use thiserror::Error;

use super::draft::{A4, Ink, Page};
use super::drawing::Shape;
use crate::typeset::Typesetter;

/// Widths of lines, in points. What loads the pickup is thick, what does not is thin and dashed.
const THICK: f32 = 1.8;
const THIN: f32 = 0.7;
const DASHES: [f32; 2] = [3.0, 2.0];
/// How round the pickup's corners are, and how far from a corner a curve's handles lie (a circle by cubic curves, textbook).
const RADIUS: f32 = 12.0;
const HANDLE: f32 = 0.447_7;
/// The bars of a buffer.
const BAR_HEIGHT: f32 = 14.0;
const BAR_GAP: f32 = 3.0;
/// The radius of a node.
const DOT: f32 = 3.0;

/// Why there is no PDF.
#[derive(Debug, Error)]
pub enum PaperError {
    /// The page could not be made.
    #[error("cannot make the page")]
    Page,
    /// The PDF could not be written.
    #[error("cannot write a PDF: {0}")]
    Pdf(KrillaError),
}

/// A page as a PDF, with its title and its language (BCP 47).
pub fn pdf(page: &Page, title: &str, language: &str) -> Result<Vec<u8>, PaperError> {
    let face = |typesetter, font: &'static [u8]| {
        Font::new(font.into(), 0).map(|font| Face { typesetter, font }).ok_or(PaperError::Page)
    };
    let regular = face(Typesetter::new(), REGULAR)?;
    let heavy = face(Typesetter::heavy(), SEMIBOLD)?;
    let mut document = Document::new_with(SerializeSettings { enable_tagging: false, ..Default::default() });
    let metadata = Metadata::new().title(title.to_owned()).language(language.to_owned());
    document.set_metadata(metadata);
    let settings = PageSettings::from_wh(A4.0, A4.1).ok_or(PaperError::Page)?;
    let mut sheet = document.start_page_with(settings);
    let mut pen = Pen { surface: sheet.surface(), regular, heavy };
    page.inks.iter().for_each(|ink| pen.put(ink));
    drop(pen);
    sheet.finish();
    document.finish().map_err(PaperError::Pdf)
}

struct Face {
    typesetter: Typesetter,
    font: Font,
}

struct Pen<'a> {
    surface: Surface<'a>,
    regular: Face,
    heavy: Face,
}

impl Pen<'_> {
    fn put(&mut self, ink: &Ink) {
        match ink {
            Ink::Text { x, y, size, heavy, text } => self.text((*x, *y), *size, *heavy, text),
            Ink::Drawn { x, y, shape } => self.shape((*x, *y), shape),
            Ink::Frame { x, y, width, height } => {
                let right = x + width;
                if *height > 0.0 {
                    self.stroke(rectangle(*x, *y, *width, *height), THICK, false);
                } else {
                    self.stroke(line(&[(*x, *y), (right, *y)]), THIN, false);
                }
            }
        }
    }

    fn shape(&mut self, (left, top): (f32, f32), shape: &Shape) {
        match shape {
            Shape::Outline { x, y, width, height, loads, rounded } => {
                let (x, y) = (left + x, top + y);
                let outline = if *rounded {
                    round(x, y, *width, *height, RADIUS)
                } else {
                    rectangle(x, y, *width, *height)
                };
                self.stroke(outline, weight(*loads), !loads);
            }
            Shape::Wire { points, loads } => {
                let points: Vec<(f32, f32)> = points.iter().map(|(x, y)| (left + x, top + y)).collect();
                self.stroke(line(&points), weight(*loads), !loads);
            }
            Shape::Buffer { x, y } => {
                for x in [left + x, left + x + BAR_GAP] {
                    let (above, below) = (top + y - BAR_HEIGHT / 2.0, top + y + BAR_HEIGHT / 2.0);
                    self.stroke(line(&[(x, above), (x, below)]), THICK, false);
                }
            }
            Shape::Node { x, y } => {
                self.fill(round(left + x - DOT, top + y - DOT, 2.0 * DOT, 2.0 * DOT, DOT))
            }
            Shape::Text { x, y, size, text } => {
                let typesetter = &self.regular.typesetter;
                let text = typesetter.known(text);
                let x = left + x - typesetter.width(&text, *size) / 2.0;
                self.text((x, top + y), *size, false, &text);
            }
        }
    }

    fn stroke(&mut self, path: Option<Path>, width: f32, dashed: bool) {
        let Some(path) = path else { return };
        let dash = dashed.then(|| StrokeDash { array: DASHES.to_vec(), offset: 0.0 });
        self.surface.set_fill(None);
        self.surface.set_stroke(Some(Stroke { width, dash, ..black() }));
        self.surface.draw_path(&path);
    }

    fn fill(&mut self, path: Option<Path>) {
        let Some(path) = path else { return };
        self.surface.set_fill(Some(Fill { paint: luma::Color::black().into(), ..Fill::default() }));
        self.surface.set_stroke(None);
        self.surface.draw_path(&path);
    }

    fn text(&mut self, (x, y): (f32, f32), size: f32, heavy: bool, text: &str) {
        let ends = text.char_indices().map(|(start, c)| start..start + c.len_utf8());
        let glyph = |((id, advance), range): ((ab_glyph::GlyphId, f32), Range<usize>)| {
            KrillaGlyph::new(GlyphId::new(u32::from(id.0)), advance, 0.0, 0.0, 0.0, range, None)
        };
        let face = if heavy { &self.heavy } else { &self.regular };
        let glyphs: Vec<KrillaGlyph> =
            face.typesetter.glyphs(text).into_iter().zip(ends).map(glyph).collect();
        self.surface.set_fill(Some(Fill { paint: luma::Color::black().into(), ..Fill::default() }));
        self.surface.set_stroke(None);
        self.surface.draw_glyphs(Point::from_xy(x, y), &glyphs, face.font.clone(), text, size, false);
    }
}

fn black() -> Stroke {
    Stroke { paint: luma::Color::black().into(), ..Stroke::default() }
}

const fn weight(loads: bool) -> f32 {
    if loads { THICK } else { THIN }
}

fn line(points: &[(f32, f32)]) -> Option<Path> {
    let mut path = PathBuilder::new();
    for (index, (x, y)) in points.iter().enumerate() {
        if index == 0 { path.move_to(*x, *y) } else { path.line_to(*x, *y) }
    }
    path.finish()
}

fn rectangle(x: f32, y: f32, width: f32, height: f32) -> Option<Path> {
    let mut path = PathBuilder::new();
    path.push_rect(Rect::from_xywh(x, y, width, height)?);
    path.finish()
}

/// With corners of a radius; a circle, where that is half of it.
fn round(x: f32, y: f32, width: f32, height: f32, radius: f32) -> Option<Path> {
    let (right, bottom) = (x + width, y + height);
    let (r, h) = (radius, radius * HANDLE);
    let mut path = PathBuilder::new();
    path.move_to(x + r, y);
    path.line_to(right - r, y);
    path.cubic_to(right - h, y, right, y + h, right, y + r);
    path.line_to(right, bottom - r);
    path.cubic_to(right, bottom - h, right - h, bottom, right - r, bottom);
    path.line_to(x + r, bottom);
    path.cubic_to(x + h, bottom, x, bottom - h, x, bottom - r);
    path.line_to(x, y + r);
    path.cubic_to(x, y + h, x + h, y, x + r, y);
    path.close();
    path.finish()
}
