/// A sample format that the processor works on in place. Inside, everything is f64.
pub trait Sample: Copy {
    /// To the processor.
    fn to_f64(self) -> f64;
    /// From the processor. A result too small for a normal number becomes zero: a later stage could be slow on it.
    fn from_f64(value: f64) -> Self;
}

impl Sample for f64 {
    fn to_f64(self) -> f64 {
        self
    }

    fn from_f64(value: f64) -> Self {
        if value.abs() < f64::MIN_POSITIVE { 0.0 } else { value }
    }
}

impl Sample for f32 {
    fn to_f64(self) -> f64 {
        f64::from(self)
    }

    #[expect(clippy::cast_possible_truncation, reason = "the format's own precision")]
    fn from_f64(value: f64) -> Self {
        if value.abs() < f64::from(Self::MIN_POSITIVE) { 0.0 } else { value as Self }
    }
}
