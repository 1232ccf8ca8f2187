use thiserror::Error;

/// Why recordings cannot tell, and what to do better.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum Refusal {
    /// A recording has nothing in it.
    #[error("the recording '{recording}' is silent: check the lead and the input, and record it again")]
    Silent {
        /// Which of those that were given.
        recording: &'static str,
    },
}
