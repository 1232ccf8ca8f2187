//! Whether the system is light or dark, as the library wants to know it: it is told before each frame.

use egui::{Context, Plugin, RawInput, Theme};
use firstjack_looks::motion;

/// What the desktop wants.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Desktop {
    /// `None` where nobody says.
    pub theme: Option<Theme>,
    /// That nothing moves.
    pub is_still: bool,
}

/// Told by the window's surroundings, where there are any that know.
#[derive(Default)]
struct System {
    theme: Option<Theme>,
}

impl Plugin for System {
    fn debug_name(&self) -> &'static str {
        "system"
    }

    fn input_hook(&mut self, _ctx: &Context, input: &mut RawInput) {
        input.system_theme = self.theme;
    }
}

/// From the next frame on the desktop is this one.
pub(super) fn tell(ctx: &Context, desktop: Desktop) {
    ctx.plugin_or_default::<System>().lock().theme = desktop.theme;
    ctx.all_styles_mut(|style| {
        style.animation_time = if desktop.is_still { 0.0 } else { motion::CHANGE.as_secs_f32() }
    });
}
