//! Names beside samples of their lines, in a corner where no curve goes.

use std::ops::Range;

use plotters::coord::Shift;
use plotters::prelude::*;

use super::{Drawn, draw_line};

const ROW: i32 = 28;
/// From the edges of the plot, and from the nearest curve.
const AWAY: i32 = 16;

/// Where the legend goes, in pixels.
#[derive(Debug, Clone, Copy)]
pub struct Legend {
    corners: [(i32, i32); 2],
    /// Points of curves, and of the edges of their bands, that it would cover.
    pub covered: usize,
}

impl Legend {
    /// The lower right corner, where no high-pass goes, unless curves go there and not to the lower left one.
    pub fn place<B: DrawingBackend>(
        area: &DrawingArea<B, Shift>,
        (across, down): (Range<i32>, Range<i32>),
        curves: &[(&str, Vec<(i32, i32)>)],
        outlines: &[Vec<(i32, i32)>],
    ) -> Drawn<Self>
    where
        B::ErrorType: 'static,
    {
        let font = ("sans-serif", 19).into_font().into_text_style(area);
        let mut widest = 0;
        for (name, _) in curves {
            widest = widest.max(area.estimate_text_size(name, &font)?.0);
        }
        let (width, height) = (i32::try_from(widest)? + 96, ROW * i32::try_from(curves.len())? + 12);
        let bottom = down.end - AWAY;
        let at = |left: i32| {
            let corners = [(left, bottom - height), (left + width, bottom)];
            let near = |(x, y): &(i32, i32)| {
                (left - AWAY..left + width + AWAY).contains(x) && *y > bottom - height - AWAY
            };
            let pixels = curves.iter().map(|(_, pixels)| pixels).chain(outlines).flatten();
            let covered = pixels.filter(|pixel| near(pixel)).count();
            Self { corners, covered }
        };
        let (right, left) = (at(across.end - AWAY - width), at(across.start + AWAY));
        Ok(if left.covered < right.covered { left } else { right })
    }

    pub fn draw<B: DrawingBackend>(
        self,
        area: &DrawingArea<B, Shift>,
        curves: &[(&str, Vec<(i32, i32)>)],
    ) -> Drawn<()>
    where
        B::ErrorType: 'static,
    {
        let font = ("sans-serif", 19).into_font();
        let (left, top) = self.corners[0];
        area.draw(&Rectangle::new(self.corners, WHITE.filled()))?;
        area.draw(&Rectangle::new(self.corners, RGBColor(150, 150, 150).stroke_width(1)))?;
        for (index, (name, _)) in curves.iter().enumerate() {
            let y = top + 6 + ROW * i32::try_from(index)? + ROW / 2;
            draw_line(area, index, &[(left + 12, y), (left + 70, y)])?;
            area.draw(&Text::new((*name).to_owned(), (left + 82, y - 6), font.clone()))?;
        }
        Ok(())
    }
}
