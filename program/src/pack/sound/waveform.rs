/// Columns of a picture of the sound.
const COLUMNS: u64 = 800;

/// Steps up and down.
const STEPS: f64 = 127.0;

/// The lowest and highest sample of each column.
pub struct Waveform {
    frames: u64,
    frame: u64,
    columns: Vec<(f64, f64)>,
}

impl Waveform {
    /// Of so many frames.
    pub fn new(frames: u64) -> Self {
        let columns = usize::try_from(frames.min(COLUMNS)).unwrap_or(0);
        Self { frames, frame: 0, columns: vec![(0.0, 0.0); columns] }
    }

    /// Adds the next block; all channels are drawn as one.
    pub fn add(&mut self, block: &[Vec<f64>]) {
        let count = self.columns.len() as u64;
        let frames = block.first().map_or(0, Vec::len);
        for index in 0..frames {
            let column = usize::try_from(self.frame * count / self.frames.max(1)).unwrap_or(usize::MAX);
            if let Some((low, high)) = self.columns.get_mut(column) {
                for channel in block {
                    *low = low.min(channel[index]);
                    *high = high.max(channel[index]);
                }
            }
            self.frame += 1;
        }
    }

    /// Lowest and highest of each column in turn, the largest of all at 127.
    #[expect(clippy::cast_possible_truncation, reason = "within ±127")]
    pub fn steps(&self) -> Vec<i8> {
        let all = || self.columns.iter().flat_map(|(low, high)| [*low, *high]);
        let largest = all().fold(0.0_f64, |largest, value| largest.max(value.abs()));
        let scale = if largest > 0.0 { STEPS / largest } else { 0.0 };
        all().map(|value| (value * scale).round() as i8).collect()
    }
}
