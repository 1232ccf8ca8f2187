//! How far a run is, on standard error: one bar for all its passes and takes.

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

/// Counts frames that were worked on, once a pass.
pub struct Progress(ProgressBar);

impl Progress {
    /// Shows nothing if it is to be quiet, or where standard error is no terminal.
    ///
    /// # Panics
    /// Never: the template is a constant.
    pub fn new(quiet: bool) -> Self {
        let target =
            if quiet { ProgressDrawTarget::hidden() } else { ProgressDrawTarget::stderr_with_hz(10) };
        let style = "{msg:12} [{bar:40}] {percent:>3} %, {eta} left";
        let style = ProgressStyle::with_template(style).expect("a constant").progress_chars("=> ");
        Self(ProgressBar::with_draw_target(Some(0), target).with_style(style))
    }

    /// So many frames are still to come, in all passes together.
    pub fn expect(&self, frames: u64) {
        self.0.set_length(self.0.position() + frames);
    }

    /// What is being done.
    pub fn say(&self, what: &'static str) {
        self.0.set_message(what);
    }

    /// So many frames more have been worked on.
    pub fn advance(&self, frames: u64) {
        self.0.inc(frames);
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.0.finish_and_clear();
    }
}
