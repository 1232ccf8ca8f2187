//! Looks, put to work in the toolkit: colours, sizes and letters of `firstjack_looks`, and nothing of its own.

use std::sync::Arc;

use egui::style::{Selection, WidgetVisuals, Widgets};
use egui::{
    Color32, Context, CornerRadius, FontData, FontDefinitions, FontFamily, FontId, Margin, Shadow, Spacing,
    Stroke, TextStyle, Ui, Visuals, vec2,
};
use firstjack_looks::{Colour, DARK, LIGHT, letters, space, strokes, text};

use crate::editor::Theme;

/// The heavier weight: verdicts, names and figures that answer.
const SEMIBOLD: &str = "semibold";
/// Style of answers: what to ask for, and figures that are to be read from a distance.
const ANSWER: &str = "answer";
/// Of the toolkit's own letters only those stay whose signs it and the dialog for files draw, behind the family's.
const SIGNS: [&str; 3] = ["egui-icons", "NotoEmoji-Regular", "emoji-icon-font"];

/// The colours by what they are for.
pub(crate) fn of(visuals: &Visuals) -> &'static firstjack_looks::Theme {
    if visuals.dark_mode { &DARK } else { &LIGHT }
}

/// As the toolkit has it.
pub(crate) const fn colour32(Colour([red, green, blue]): Colour) -> Color32 {
    Color32::from_rgb(red, green, blue)
}

/// The colour of what bounds a control or a meter, and of marks in a plot.
pub(crate) fn outline(dark: bool) -> Color32 {
    colour32(if dark { DARK.outline } else { LIGHT.outline })
}

/// The heavier weight in a size; the usual one in a window's first frame, if its letters are not there yet.
pub(crate) fn semibold(ui: &Ui, size: f32) -> FontId {
    let family = FontFamily::Name(SEMIBOLD.into());
    let is_there = ui.fonts(|fonts| fonts.definitions().families.contains_key(&family));
    FontId::new(size, if is_there { family } else { FontFamily::Proportional })
}

/// The family in both weights; signs that it lacks come from the toolkit's.
pub fn fonts() -> FontDefinitions {
    let mut fonts = FontDefinitions::default();
    fonts.font_data.retain(|name, _| SIGNS.contains(&name.as_str()));
    fonts.families.clear();
    for (name, data, families) in [
        ("regular", letters::REGULAR, [FontFamily::Proportional, FontFamily::Monospace].as_slice()),
        (SEMIBOLD, letters::SEMIBOLD, &[FontFamily::Name(SEMIBOLD.into())]),
    ] {
        fonts.font_data.insert(name.to_owned(), Arc::new(FontData::from_static(data)));
        for family in families {
            let all = [name].into_iter().chain(SIGNS).map(str::to_owned);
            fonts.families.insert(family.clone(), all.collect());
        }
    }
    fonts
}

/// Puts the theme to work: colours, letters, sizes and distances.
pub fn apply(context: &Context, theme: Theme) {
    let preference = match theme {
        Theme::System => egui::ThemePreference::System,
        Theme::Light => egui::ThemePreference::Light,
        Theme::Dark => egui::ThemePreference::Dark,
    };
    context.options_mut(|options| options.theme_preference = preference);
    context.set_fonts(fonts());
    context.set_visuals_of(egui::Theme::Light, visuals(Visuals::light()));
    context.set_visuals_of(egui::Theme::Dark, visuals(Visuals::dark()));
    context.all_styles_mut(|style| {
        let proportional = |size| FontId::new(size, FontFamily::Proportional);
        style.text_styles = [
            (TextStyle::Heading, FontId::new(text::TITLE, FontFamily::Name(SEMIBOLD.into()))),
            (TextStyle::Name(ANSWER.into()), FontId::new(text::ANSWER, FontFamily::Name(SEMIBOLD.into()))),
            (TextStyle::Body, proportional(text::BODY)),
            (TextStyle::Button, proportional(text::BODY)),
            (TextStyle::Small, proportional(text::SMALL)),
            (TextStyle::Monospace, FontId::new(text::BODY, FontFamily::Monospace)),
        ]
        .into();
        spacing(&mut style.spacing);
        // None, unless the system is known to have nothing against it.
        style.animation_time = 0.0;
    });
}

fn spacing(spacing: &mut Spacing) {
    spacing.item_spacing = vec2(space::NEAR, space::TIGHT);
    spacing.button_padding = vec2(space::NEAR, space::TIGHT);
    spacing.interact_size = vec2(space::steps(9.0), space::steps(6.0));
    spacing.window_margin = margin(space::INSIDE);
    spacing.menu_margin = margin(space::NEAR);
}

/// The same on every side.
#[expect(clippy::cast_possible_truncation, reason = "some points")]
pub(crate) const fn margin(points: f32) -> Margin {
    Margin::same(points as i8)
}

/// The same at every corner.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "some points")]
pub(crate) const fn radius(points: f32) -> CornerRadius {
    CornerRadius::same(points as u8)
}

fn visuals(mut visuals: Visuals) -> Visuals {
    let theme = of(&visuals);
    let [background, surface, line, ink, accent, wash, warning] =
        [theme.background, theme.surface, theme.line, theme.ink, theme.accent, theme.wash, theme.warning]
            .map(colour32);
    // A control, by its ground and its border.
    let state = |ground: Color32, border: Stroke| WidgetVisuals {
        bg_fill: ground,
        weak_bg_fill: ground,
        bg_stroke: border,
        corner_radius: radius(space::CONTROL_RADIUS),
        fg_stroke: Stroke::new(strokes::LINE, ink),
        expansion: 0.0,
    };
    let border = Stroke::new(strokes::THIN, line);
    // What has the focus looks like what is under the pointer.
    let focus = Stroke::new(2.0 * strokes::THIN, accent);
    visuals.widgets = Widgets {
        noninteractive: state(background, border),
        inactive: state(surface, border),
        hovered: state(surface, focus),
        active: state(wash, focus),
        open: state(wash, border),
    };
    visuals.selection = Selection { bg_fill: wash, stroke: Stroke::new(2.0 * strokes::THIN, accent) };
    visuals.override_text_color = None;
    visuals.weak_text_color = Some(colour32(theme.quiet));
    visuals.hyperlink_color = accent;
    visuals.warn_fg_color = warning;
    visuals.error_fg_color = warning;
    visuals.panel_fill = background;
    visuals.window_fill = surface;
    visuals.extreme_bg_color = surface;
    visuals.code_bg_color = background;
    visuals.faint_bg_color = background;
    visuals.window_stroke = border;
    visuals.window_corner_radius = radius(space::SURFACE_RADIUS);
    visuals.menu_corner_radius = radius(space::TILE_RADIUS);
    let shadow = Shadow { offset: [0, 4], blur: 16, spread: 0, color: Color32::from_black_alpha(32) };
    (visuals.window_shadow, visuals.popup_shadow) = (shadow, shadow);
    visuals
}
