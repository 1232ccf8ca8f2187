//! What eyes make of colours: contrast, and how far two are apart, for tests of whatever is drawn in them.

use crate::Colour;

/// Least contrast of text (WCAG 2.2, success criterion 1.4.3, AA).
pub const LEAST_OF_TEXT: f64 = 4.5;
/// Least contrast of text that is read most (WCAG 2.2, success criterion 1.4.6, AAA).
pub const LEAST_OF_INK: f64 = 7.0;
/// Least contrast of lines and controls (WCAG 2.2, success criterion 1.4.11, AA).
pub const LEAST_OF_GRAPHICS: f64 = 3.0;
/// Colours at least so far apart are told apart side by side (common practice, no source).
pub const LEAST_APART: f64 = 14.0;

type Matrix = [[f64; 3]; 3];

/// An eye, by the cones that it lacks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Eye {
    /// None.
    Usual,
    /// Those for long waves.
    Protanopic,
    /// Those for middle waves.
    Deuteranopic,
    /// Those for short waves.
    Tritanopic,
}

impl Eye {
    /// Every kind.
    pub const ALL: [Self; 4] = [Self::Usual, Self::Protanopic, Self::Deuteranopic, Self::Tritanopic];

    /// Of linear light, at severity 1.0: Machado, Oliveira and Fernandes 2009.
    const fn matrix(self) -> Matrix {
        match self {
            Self::Usual => [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]],
            Self::Protanopic => [
                [0.152286, 1.052583, -0.204868],
                [0.114503, 0.786281, 0.099216],
                [-0.003882, -0.048116, 1.051998],
            ],
            Self::Deuteranopic => [
                [0.367322, 0.860646, -0.227968],
                [0.280085, 0.672501, 0.047413],
                [-0.011820, 0.042940, 0.968881],
            ],
            Self::Tritanopic => [
                [1.255528, -0.076749, -0.178779],
                [-0.078411, 0.930809, 0.147602],
                [0.004733, 0.691367, 0.303900],
            ],
        }
    }

    /// How far apart it sees two colours: their distance in CIE 1976 L*a*b*.
    pub fn distance(self, one: Colour, other: Colour) -> f64 {
        let [one, other] = [one, other].map(|colour| lab(times(&self.matrix(), linear(colour))));
        one.iter().zip(other).map(|(one, other)| (one - other).powi(2)).sum::<f64>().sqrt()
    }
}

/// The contrast ratio of WCAG 2.2, (L1 + 0.05) / (L2 + 0.05) with the relative luminance of the lighter colour above: from 1 to 21, whichever comes first.
pub fn contrast(one: Colour, other: Colour) -> f64 {
    let luminance = |colour| {
        let [red, green, blue] = linear(colour);
        0.2126 * red + 0.7152 * green + 0.0722 * blue
    };
    let (one, other) = (luminance(one), luminance(other));
    (one.max(other) + 0.05) / (one.min(other) + 0.05)
}

/// Red, green and blue as light, from 0 to 1: the sRGB curve of IEC 61966-2-1.
fn linear(colour: Colour) -> [f64; 3] {
    colour.0.map(|value| {
        let value = f64::from(value) / 255.0;
        if value <= 0.04045 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
    })
}

/// From linear sRGB to CIE XYZ (IEC 61966-2-1), white being D65.
const TO_XYZ: Matrix = [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]];

fn lab(light: [f64; 3]) -> [f64; 3] {
    let white = times(&TO_XYZ, [1.0; 3]);
    let xyz = times(&TO_XYZ, light.map(|value| value.clamp(0.0, 1.0)));
    let parts = [0, 1, 2].map(|axis| {
        let part = xyz[axis] / white[axis];
        if part > 216.0 / 24389.0 { part.cbrt() } else { (24389.0 / 27.0 * part + 16.0) / 116.0 }
    });
    [116.0 * parts[1] - 16.0, 500.0 * (parts[0] - parts[1]), 200.0 * (parts[1] - parts[2])]
}

fn times(matrix: &Matrix, colour: [f64; 3]) -> [f64; 3] {
    matrix.map(|row| row.iter().zip(colour).map(|(a, b)| a * b).sum())
}
