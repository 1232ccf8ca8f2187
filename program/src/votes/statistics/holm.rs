/// Chances of several tests as they count when all are looked at (S. Holm, Scandinavian Journal of Statistics 6, 1979): the smallest
/// counts as many times as there are tests, the next one time less, and none less than one before it.
pub fn holm(chances: &[f64]) -> Vec<f64> {
    let mut order: Vec<usize> = (0..chances.len()).collect();
    order.sort_by(|one, other| chances[*one].total_cmp(&chances[*other]));
    let mut corrected = vec![0.0; chances.len()];
    let (mut times, mut least) = (chances.len(), 0.0f64);
    for at in order {
        least = least.max(chances[at] * f64::from(u32::try_from(times).unwrap_or(u32::MAX))).min(1.0);
        corrected[at] = least;
        times -= 1;
    }
    corrected
}
