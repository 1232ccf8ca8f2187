//! What tests hold pages against.

use super::{A4, Drawing, Ink, Page, Shape, WIDTH};
use crate::typeset::Typesetter;

/// Where an ink ends to the left, to the right and below.
fn ends(ink: &Ink, typesetter: &Typesetter) -> (f32, f32, f32) {
    match ink {
        Ink::Text { x, y, size, heavy, text } => {
            let width =
                if *heavy { Typesetter::heavy().width(text, *size) } else { typesetter.width(text, *size) };
            (*x, x + width, *y)
        }
        Ink::Frame { x, y, width, height } => (*x, x + width, y + height),
        Ink::Drawn { x, y, shape } => match shape {
            Shape::Outline { x: left, y: top, width, height, .. } => {
                (x + left, x + left + width, y + top + height)
            }
            Shape::Buffer { x: left, y: top } => (x + left, x + left + 3.0, y + top + 7.0),
            Shape::Node { x: middle, y: high } => (x + middle - 3.0, x + middle + 3.0, y + high + 3.0),
            Shape::Text { x: middle, y: base, size, text } => {
                let half = typesetter.width(text, *size) / 2.0;
                (x + middle - half, x + middle + half, y + base)
            }
            Shape::Wire { points, .. } => {
                let (xs, ys): (Vec<f32>, Vec<f32>) = points.iter().copied().unzip();
                let most = |values: &[f32]| values.iter().copied().fold(f32::MIN, f32::max);
                (x + xs.iter().copied().fold(f32::MAX, f32::min), x + most(&xs), y + most(&ys))
            }
        },
    }
}

/// Everything stands within the margins.
#[track_caller]
pub fn assert_within(page: &Page, typesetter: &Typesetter) {
    let (left, right) = ((A4.0 - WIDTH) / 2.0, (A4.0 + WIDTH) / 2.0);
    for ink in &page.inks {
        let (from, to, below) = ends(ink, typesetter);
        assert!(from >= left - 0.1 && to <= right + 0.1 && below <= A4.1 - 30.0, "{ink:?}");
    }
}

/// No two texts of a drawing cover each other.
#[track_caller]
pub fn assert_clear(drawing: &Drawing, typesetter: &Typesetter) {
    let texts: Vec<(f32, f32, f32, f32)> = drawing
        .shapes
        .iter()
        .filter_map(|shape| match shape {
            Shape::Text { x, y, size, text } => {
                let half = typesetter.width(text, *size) / 2.0;
                Some((x - half, x + half, y - size * 0.7, *y))
            }
            _ => None,
        })
        .collect();
    for (index, one) in texts.iter().enumerate() {
        for other in &texts[index + 1..] {
            let apart = one.1 <= other.0 || other.1 <= one.0 || one.3 <= other.2 || other.3 <= one.2;
            assert!(apart, "{one:?} {other:?}");
        }
    }
}
