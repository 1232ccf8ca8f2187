//! Whether colours can be told apart: by everybody from their ground, and one setup from another.

use egui::{Color32, Context, Visuals};

use super::{look, theme};
use crate::editor::Theme;

/// WCAG 2.2, success criterion 1.4.3 (AA).
const LEAST_OF_TEXT: f64 = 4.5;
/// WCAG 2.2, success criteria 1.4.3 for large text and 1.4.11 for graphics (AA).
const LEAST_OF_GRAPHICS: f64 = 3.0;
/// Colours at least so far apart in CIE L*a*b* are told apart side by side (common practice, no source).
const APART: f64 = 14.0;

fn themes() -> [Visuals; 2] {
    let context = Context::default();
    theme::apply(&context, Theme::System);
    [egui::Theme::Light, egui::Theme::Dark].map(|theme| context.style_of(theme).visuals.clone())
}

/// Red, green and blue as light: the sRGB curve of IEC 61966-2-1.
fn linear(colour: Color32) -> [f64; 3] {
    [colour.r(), colour.g(), colour.b()].map(|value| {
        let value = f64::from(value) / 255.0;
        if value <= 0.04045 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
    })
}

fn times(matrix: &[[f64; 3]; 3], colour: [f64; 3]) -> [f64; 3] {
    matrix.map(|row| row.iter().zip(colour).map(|(a, b)| a * b).sum())
}

/// Relative luminance and contrast ratio as WCAG 2.2 defines them.
fn contrast(a: Color32, b: Color32) -> f64 {
    let luminance = |colour| times(&[[0.2126, 0.7152, 0.0722]; 3], linear(colour))[0];
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

/// What is seen of a colour that lets its ground through.
fn over(colour: Color32, ground: Color32) -> Color32 {
    ground.blend(colour)
}

/// Under which a text stands that is no control: panels, popups, fields, lit rows, and each second row of a table.
fn grounds(visuals: &Visuals) -> Vec<Color32> {
    let panel = visuals.panel_fill;
    let row = visuals.widgets.inactive.weak_bg_fill;
    let second = over(visuals.faint_bg_color, panel);
    vec![panel, visuals.window_fill, visuals.extreme_bg_color, row, second]
}

/// Of controls: buttons at rest, under the pointer, pressed and open; what is chosen or marked.
fn fills(visuals: &Visuals) -> Vec<Color32> {
    let widgets = &visuals.widgets;
    let states = [&widgets.inactive, &widgets.hovered, &widgets.active, &widgets.open];
    let fills = states.into_iter().flat_map(|state| [state.weak_bg_fill, state.bg_fill]);
    fills.chain([visuals.selection.bg_fill]).collect()
}

fn assert_contrast(what: &str, colour: Color32, grounds: &[Color32], least: f64) {
    for ground in grounds {
        let ratio = contrast(over(colour, *ground), *ground);
        assert!(ratio >= least, "{what}, {colour:?} on {ground:?}: {ratio:.2}");
    }
}

/// Published pairs: black on white is 21, and #767676 is the lightest grey that passes on white.
#[test]
fn contrast_is_that_of_the_standard() {
    assert!((contrast(Color32::BLACK, Color32::WHITE) - 21.0).abs() < 1e-9);
    assert!((contrast(Color32::from_gray(0x76), Color32::WHITE) - 4.54).abs() < 0.005);
    assert!(contrast(Color32::from_gray(0x77), Color32::WHITE) < LEAST_OF_TEXT);
}

#[test]
fn every_text_stands_off_its_ground() {
    for visuals in themes() {
        let (grounds, fills) = (grounds(&visuals), fills(&visuals));
        for (what, colour) in [("text", visuals.text_color()), ("strong text", visuals.strong_text_color())] {
            assert_contrast(what, colour, &grounds, LEAST_OF_TEXT);
            assert_contrast(what, colour, &fills, LEAST_OF_TEXT);
        }
        for (what, colour) in [
            ("weak text", visuals.weak_text_color()),
            ("warning", visuals.warn_fg_color),
            ("error", visuals.error_fg_color),
            ("link", visuals.hyperlink_color),
        ] {
            assert_contrast(what, colour, &grounds, LEAST_OF_TEXT);
        }
        // "listened to".
        assert_contrast("tag", visuals.panel_fill, &[visuals.strong_text_color()], LEAST_OF_TEXT);
    }
}

/// Curves, lights, outlines and marks. The live spectrum is left out: it is dim on purpose, and no figure is read from it.
#[test]
fn every_line_stands_off_its_ground() {
    for visuals in themes() {
        let grounds = grounds(&visuals);
        for setup in 0..crate::SETUPS {
            let colour = look::of(Some(setup), false, theme::of(&visuals)).stroke.color;
            assert_contrast("setup", colour, &grounds, LEAST_OF_TEXT);
            assert_contrast(
                "second pickup",
                look::pale(colour),
                &[visuals.extreme_bg_color],
                LEAST_OF_GRAPHICS,
            );
        }
        assert_contrast("outline", theme::outline(visuals.dark_mode), &grounds[..3], LEAST_OF_GRAPHICS);
        assert_contrast("focus", visuals.selection.stroke.color, &grounds, LEAST_OF_GRAPHICS);
        let focused = visuals.widgets.hovered.bg_stroke.color;
        assert_contrast("focused control", focused, &grounds[..3], LEAST_OF_GRAPHICS);
    }
}

/// Of linear light, as seen without one kind of cone: Machado, Oliveira and Fernandes 2009, severity 1.0; and as everybody else sees it.
const VISIONS: [(&str, [[f64; 3]; 3]); 4] = [
    ("all cones", [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]),
    (
        "protanopia",
        [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]],
    ),
    (
        "deuteranopia",
        [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]],
    ),
    (
        "tritanopia",
        [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]],
    ),
];

/// From linear sRGB to CIE XYZ (IEC 61966-2-1), white being D65.
const TO_XYZ: [[f64; 3]; 3] = [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]];

/// CIE 1976 L*a*b* of linear light.
fn lab(light: [f64; 3]) -> [f64; 3] {
    let white = times(&TO_XYZ, [1.0; 3]);
    let xyz = times(&TO_XYZ, light.map(|value| value.clamp(0.0, 1.0)));
    let parts = [0, 1, 2].map(|axis| {
        let part = xyz[axis] / white[axis];
        if part > 216.0 / 24389.0 { part.cbrt() } else { (24389.0 / 27.0 * part + 16.0) / 116.0 }
    });
    [116.0 * parts[1] - 16.0, 500.0 * (parts[0] - parts[1]), 200.0 * (parts[1] - parts[2])]
}

fn distance(a: Color32, b: Color32, vision: &[[f64; 3]; 3]) -> f64 {
    let [a, b] = [a, b].map(|colour| lab(times(vision, linear(colour))));
    a.iter().zip(b).map(|(a, b)| (a - b).powi(2)).sum::<f64>().sqrt()
}

/// Not by the dashes alone: by the colour, too, whichever cones an eye has.
#[test]
fn setups_are_told_apart_by_every_eye() {
    for visuals in themes() {
        let places = || (0..crate::SETUPS).map(Some).chain([None]);
        let colour = |place| look::of(place, false, theme::of(&visuals)).stroke.color;
        for one in places() {
            for other in places().filter(|other| *other > one) {
                for (vision, matrix) in &VISIONS {
                    let apart = distance(colour(one), colour(other), matrix);
                    assert!(apart >= APART, "{one:?} and {other:?}, {vision}: {apart:.1}");
                }
            }
        }
    }
}

/// In print, or without any colour: every setup has dashes of its own.
#[test]
fn setups_are_told_apart_without_colour() {
    let visuals = Visuals::light();
    let styles: Vec<String> = (0..crate::SETUPS)
        .map(Some)
        .chain([None])
        .map(|place| format!("{:?}", look::of(place, false, theme::of(&visuals)).dashes))
        .collect();
    for (index, style) in styles.iter().enumerate() {
        assert!(!styles[..index].contains(style), "{style} twice in {styles:?}");
    }
}
