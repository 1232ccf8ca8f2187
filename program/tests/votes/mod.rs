//! `firstjack votes`. Expected figures are scipy's 1.17.1 where nothing else is said; `tests/python/test_votes.py` has many more.

mod abx;
mod ballot;
mod gathering;
mod ranking;
mod refused;

use serde_json::Value;

#[track_caller]
fn close(actual: &Value, expected: f64) {
    let actual = actual.as_f64().unwrap_or_else(|| panic!("{actual} instead of {expected}"));
    assert!((actual - expected).abs() <= 1e-9 * expected.abs(), "{actual} instead of {expected}");
}
