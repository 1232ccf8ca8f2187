//! Colours and text sizes. Contrast against the background is at least 4.5 to 1 (WCAG 2.2, AA), which a test computes; the hues of setups
//! are apart for colour-blind eyes (after Okabe and Ito, from memory).

use egui::{Color32, Context, FontFamily, FontId, TextStyle, Visuals};
use serde::{Deserialize, Serialize};

/// Light or dark.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Theme {
    /// As the system has it.
    #[default]
    System,
    /// Dark text on light.
    Light,
    /// Light text on dark.
    Dark,
}

const ON_LIGHT: [Color32; 6] = [
    Color32::from_rgb(0, 84, 147),
    Color32::from_rgb(170, 60, 0),
    Color32::from_rgb(0, 108, 70),
    Color32::from_rgb(126, 47, 142),
    Color32::from_rgb(118, 92, 0),
    Color32::from_rgb(80, 80, 80),
];

const ON_DARK: [Color32; 6] = [
    Color32::from_rgb(110, 190, 240),
    Color32::from_rgb(255, 160, 100),
    Color32::from_rgb(80, 215, 150),
    Color32::from_rgb(220, 165, 250),
    Color32::from_rgb(235, 220, 90),
    Color32::from_rgb(200, 200, 200),
];

/// The colour of a setup's curve, counted from zero.
pub fn colour(setup: usize, dark: bool) -> Color32 {
    let all = if dark { &ON_DARK } else { &ON_LIGHT };
    all[setup % all.len()]
}

/// Puts the theme to work; also how large text is.
pub fn apply(context: &Context, theme: Theme) {
    let preference = match theme {
        Theme::System => egui::ThemePreference::System,
        Theme::Light => egui::ThemePreference::Light,
        Theme::Dark => egui::ThemePreference::Dark,
    };
    context.options_mut(|options| options.theme_preference = preference);
    for (theme, mut visuals) in [(egui::Theme::Light, Visuals::light()), (egui::Theme::Dark, Visuals::dark())]
    {
        let dark = theme == egui::Theme::Dark;
        visuals.override_text_color =
            Some(if dark { Color32::from_gray(225) } else { Color32::from_gray(25) });
        visuals.weak_text_color = Some(if dark { Color32::from_gray(165) } else { Color32::from_gray(85) });
        visuals.hyperlink_color = colour(0, dark);
        visuals.selection.stroke.color = if dark { Color32::WHITE } else { Color32::BLACK };
        context.set_visuals_of(theme, visuals);
    }
    context.all_styles_mut(|style| {
        let proportional = |size| FontId::new(size, FontFamily::Proportional);
        style.text_styles = [
            (TextStyle::Heading, proportional(19.0)),
            (TextStyle::Body, proportional(13.5)),
            (TextStyle::Button, proportional(13.5)),
            (TextStyle::Small, proportional(11.5)),
            (TextStyle::Monospace, FontId::new(12.5, FontFamily::Monospace)),
        ]
        .into();
        // A window that is looked at once draws once.
        style.animation_time = 0.0;
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance and contrast ratio of WCAG 2.2 (from memory).
    fn contrast(a: Color32, b: Color32) -> f64 {
        let luminance = |colour: Color32| {
            let channel = |value: u8| {
                let value = f64::from(value) / 255.0;
                if value <= 0.04045 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
            };
            0.2126 * channel(colour.r()) + 0.7152 * channel(colour.g()) + 0.0722 * channel(colour.b())
        };
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    #[test]
    fn all_colours_stand_out() {
        let context = Context::default();
        apply(&context, Theme::System);
        for theme in [egui::Theme::Light, egui::Theme::Dark] {
            let visuals = context.style_of(theme).visuals.clone();
            let dark = theme == egui::Theme::Dark;
            let texts = [visuals.text_color(), visuals.weak_text_color()];
            for colour in (0..6).map(|setup| colour(setup, dark)).chain(texts) {
                for background in [visuals.panel_fill, visuals.extreme_bg_color, visuals.window_fill] {
                    let ratio = contrast(colour, background);
                    assert!(ratio >= 4.5, "{colour:?} on {background:?}: {ratio:.2}");
                }
            }
        }
    }
}
