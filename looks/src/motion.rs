//! How things move: only what is heard does, and nothing where the system asks for no motion.

use std::time::Duration;

/// From one state to the next.
pub const CHANGE: Duration = Duration::from_millis(120);
