//! Colours and text sizes. Tests compute the contrast of all of them (WCAG 2.2, AA), and that eyes of every kind tell setups apart.

use egui::{Color32, Context, FontFamily, FontId, Stroke, TextStyle, Visuals};

use crate::editor::Theme;

/// Found by trial: any two are at least 14 apart in CIE L*a*b* on light, 25 on dark, to eyes with and without all cones.
const ON_LIGHT: [Color32; 6] = [
    Color32::from_rgb(1, 95, 175),
    Color32::from_rgb(204, 16, 20),
    Color32::from_rgb(4, 113, 63),
    Color32::from_rgb(136, 22, 128),
    Color32::from_rgb(110, 104, 25),
    Color32::from_rgb(78, 78, 78),
];

const ON_DARK: [Color32; 6] = [
    Color32::from_rgb(138, 182, 226),
    Color32::from_rgb(247, 119, 59),
    Color32::from_rgb(65, 232, 128),
    Color32::from_rgb(200, 120, 255),
    Color32::from_rgb(255, 210, 55),
    Color32::from_rgb(155, 155, 155),
];

/// The colour of a setup's curve, counted from zero.
pub fn colour(setup: usize, dark: bool) -> Color32 {
    let all = if dark { &ON_DARK } else { &ON_LIGHT };
    all[setup % all.len()]
}

/// The colour of what bounds a control or a meter, and of marks in a plot.
pub fn outline(dark: bool) -> Color32 {
    Color32::from_gray(if dark { 115 } else { 130 })
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
        visuals.warn_fg_color =
            if dark { Color32::from_rgb(255, 143, 0) } else { Color32::from_rgb(165, 60, 0) };
        visuals.error_fg_color =
            if dark { Color32::from_rgb(255, 120, 120) } else { Color32::from_rgb(190, 0, 0) };
        visuals.widgets.inactive.bg_stroke = Stroke::new(1.0, outline(dark));
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
