//! Parameters that the editor turns: each gesture is told to the host, and a value counts from the moment it is set, although the
//! framework only takes it in at the end of a block, or when the host gives it back.

use std::time::{Duration, Instant};

use nice_plug::context::gui::GuiContext;
use nice_plug::prelude::*;

use super::Stage;

/// Closer than this is the same normalized value.
const SAME: f32 = 1e-6;

/// A host that has not answered for so long does not run the plugin now: twice the longest of usual blocks (8192 frames at 48 kHz).
const PATIENCE: Duration = Duration::from_millis(350);

/// One parameter's values on the way, first the one that it had.
struct InFlight {
    param: ParamPtr,
    values: Vec<f32>,
    /// When the last was set.
    since: Instant,
}

impl InFlight {
    /// Gives the last value to the plugin itself, so that what is shown is what is heard and saved. The host is told nonetheless.
    fn hold(&self) {
        let Some(value) = self.values.last() else { return };
        // SAFETY: the parameters outlive the session that holds this and them. Values are atomic; the framework would not set one in
        // the middle of a block, but no block has come.
        unsafe { self.param._internal_set_normalized_value(*value) };
    }
}

pub(super) struct Gestures {
    context: GuiContext,
    open: Vec<ParamPtr>,
    in_flight: Vec<InFlight>,
}

impl Gestures {
    pub const fn new(context: GuiContext) -> Self {
        Self { context, open: Vec::new(), in_flight: Vec::new() }
    }

    /// Whether a value is on the way, so that somebody should look again.
    pub const fn is_waiting(&self) -> bool {
        !self.in_flight.is_empty()
    }

    /// Forgets what has arrived, or what the host has overruled. A value that nobody takes is held here.
    pub fn look(&mut self) {
        self.in_flight.retain_mut(|one| {
            // SAFETY: the parameters outlive the session that holds this and them.
            let now = unsafe { one.param.unmodulated_normalized_value() };
            match one.values.iter().rposition(|value| (value - now).abs() < SAME) {
                Some(arrived) => drop(one.values.drain(..arrived)),
                None => one.values.clear(),
            }
            let is_waiting = one.values.len() > 1;
            if is_waiting && one.since.elapsed() > PATIENCE {
                one.hold();
                return false;
            }
            is_waiting
        });
    }

    /// The value that counts, normalized.
    pub fn now(&self, param: ParamPtr) -> f32 {
        let on_the_way =
            self.in_flight.iter().find(|one| one.param == param).and_then(|one| one.values.last());
        // SAFETY: as above.
        on_the_way.copied().unwrap_or_else(|| unsafe { param.unmodulated_normalized_value() })
    }

    /// Sets those parameters that show something else; true if any does.
    pub fn turn(&mut self, targets: &[(ParamPtr, f32)], stage: Stage) -> bool {
        if matches!(stage, Stage::Whole | Stage::Begin) {
            self.end();
        }
        let mut any = false;
        for (param, to) in targets {
            // SAFETY: as above.
            let text = |value| unsafe { param.normalized_value_to_string(value, true) };
            if text(self.now(*param)) != text(*to) {
                self.set(*param, *to);
                any = true;
            }
        }
        if matches!(stage, Stage::Whole | Stage::End) {
            self.end();
        }
        any
    }

    /// The framework has no word to the host for a state that has changed, other than a parameter that is set: here to the value
    /// that it has.
    pub fn mark_changed(&mut self, param: ParamPtr) {
        let now = self.now(param);
        self.set(param, now);
        self.end();
    }

    fn set(&mut self, param: ParamPtr, to: f32) {
        if !self.open.contains(&param) {
            self.open.push(param);
            // SAFETY: as above.
            unsafe { self.context.raw_begin_set_parameter(param) };
        }
        match self.in_flight.iter_mut().find(|one| one.param == param) {
            Some(one) => {
                one.values.push(to);
                one.since = Instant::now();
            }
            None => {
                // SAFETY: as above.
                let now = unsafe { param.unmodulated_normalized_value() };
                self.in_flight.push(InFlight { param, values: vec![now, to], since: Instant::now() });
            }
        }
        // SAFETY: as above.
        unsafe { self.context.raw_set_parameter_normalized(param, to) };
    }

    /// Ends the gestures that are open; nobody will look any more.
    pub fn close(&mut self) {
        self.end();
        self.look();
        self.in_flight.drain(..).for_each(|one| one.hold());
    }

    /// Ends the gestures that are open.
    pub fn end(&mut self) {
        for param in self.open.drain(..) {
            // SAFETY: as above.
            unsafe { self.context.raw_end_set_parameter(param) };
        }
    }
}
