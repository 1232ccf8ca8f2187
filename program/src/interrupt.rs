//! Ctrl-C: a rendering that is stopped leaves no temporary file behind.

use std::sync::atomic::{AtomicBool, Ordering};

use crate::error::Failure;

static INTERRUPTED: AtomicBool = AtomicBool::new(false);

/// From here on the system's wish to end the program only raises a flag, which [`check`] sees.
pub fn watch() {
    // Whoever started the program may have chosen to ignore these signals (nohup does); then that stays.
    let _ = ctrlc::try_set_handler(|| INTERRUPTED.store(true, Ordering::Relaxed));
}

/// # Errors
/// Once the program was asked to end.
pub fn check() -> Result<(), Failure> {
    if INTERRUPTED.load(Ordering::Relaxed) { Err(Failure::Interrupted { takes: 0 }) } else { Ok(()) }
}
