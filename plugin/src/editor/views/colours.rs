//! Whether colours can be told apart: by everybody from their ground, and one setup from another.

use egui::{Color32, Context, Visuals};
use firstjack_looks::sight::{Eye, LEAST_APART, LEAST_OF_GRAPHICS, LEAST_OF_TEXT};
use firstjack_looks::{Colour, contrast};

use super::{look, theme};
use crate::editor::Theme;

fn themes() -> [Visuals; 2] {
    let context = Context::default();
    theme::apply(&context, Theme::System);
    [egui::Theme::Light, egui::Theme::Dark].map(|theme| context.style_of(theme).visuals.clone())
}

/// An opaque one.
const fn colour(of: Color32) -> Colour {
    Colour([of.r(), of.g(), of.b()])
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

fn assert_contrast(what: &str, of: Color32, grounds: &[Color32], least: f64) {
    for ground in grounds {
        let ratio = contrast(colour(over(of, *ground)), colour(*ground));
        assert!(ratio >= least, "{what}, {of:?} on {ground:?}: {ratio:.2}");
    }
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
        // "heard here".
        let looks = theme::of(&visuals);
        let ground = theme::colour32(looks.surface);
        assert_contrast("tag", theme::colour32(looks.accent), &[ground], LEAST_OF_TEXT);
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

/// Not by the dashes alone: by the colour, too, whichever cones an eye has.
#[test]
fn setups_are_told_apart_by_every_eye() {
    for visuals in themes() {
        let places = || (0..crate::SETUPS).map(Some).chain([None]);
        let of = |place| colour(look::of(place, false, theme::of(&visuals)).stroke.color);
        for one in places() {
            for other in places().filter(|other| *other > one) {
                for eye in Eye::ALL {
                    let apart = eye.distance(of(one), of(other));
                    assert!(apart >= LEAST_APART, "{one:?} and {other:?}, {eye:?}: {apart:.1}");
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
