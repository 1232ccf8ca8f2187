/// One measured thing with what was fitted to it, to be drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Series {
    /// Such as `plugged`.
    pub name: &'static str,
    /// In rising frequency.
    pub points: Vec<Point>,
}

/// A measured level with its uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Where, in Hz.
    pub hz: f64,
    /// What was measured, in dB.
    pub db: f64,
    /// Its standard error, in dB.
    pub error_db: f64,
    /// What the fitted circuit gives there, in dB.
    pub fitted_db: f64,
}
