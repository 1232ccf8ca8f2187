//! Parameters that the editor turns. The plugin sets them itself, at once and together with what belongs to them; the host is told of
//! each gesture afterwards.

use nice_plug::context::gui::GuiContext;
use nice_plug::prelude::*;

use super::Stage;

/// A parameter and the normalized value that it is to have.
pub(super) type Target = (ParamPtr, f32);

pub(super) struct Gestures {
    context: GuiContext,
    open: Vec<ParamPtr>,
}

impl Gestures {
    pub const fn new(context: GuiContext) -> Self {
        Self { context, open: Vec::new() }
    }

    /// The value that counts, normalized.
    pub fn now(param: ParamPtr) -> f32 {
        // SAFETY: the parameters outlive the session that holds this and them.
        unsafe { param.unmodulated_normalized_value() }
    }

    /// Sets those parameters that show something else; which these are. The host hears of them by [`Gestures::tell`].
    pub fn set(mut targets: Vec<Target>) -> Vec<Target> {
        targets.retain(|(param, to)| {
            // SAFETY: as above.
            let text = |value| unsafe { param.normalized_value_to_string(value, true) };
            text(Self::now(*param)) != text(*to)
        });
        for (param, to) in &targets {
            // SAFETY: as above. Values are atomic, and whoever makes sound of them looks whether they are being written.
            unsafe { param._internal_set_normalized_value(*to) };
        }
        targets
    }

    /// Tells the host of what has been set. It may save or load from within.
    pub fn tell(&mut self, set: &[Target], stage: Stage) {
        if matches!(stage, Stage::Whole | Stage::Begin) {
            self.end();
        }
        for (param, to) in set {
            if !self.open.contains(param) {
                self.open.push(*param);
                // SAFETY: as above.
                unsafe { self.context.raw_begin_set_parameter(*param) };
            }
            // SAFETY: as above.
            unsafe { self.context.raw_set_parameter_normalized(*param, *to) };
        }
        if matches!(stage, Stage::Whole | Stage::End) {
            self.end();
        }
    }

    /// Ends the gestures that are open.
    pub fn end(&mut self) {
        for param in self.open.drain(..) {
            // SAFETY: as above.
            unsafe { self.context.raw_end_set_parameter(param) };
        }
    }
}
