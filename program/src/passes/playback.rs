use dsp_core::processor::GuardStatus;
use dsp_core::response::Shape;
use firstjack_sound::Format;

use super::excerpt::Edges;
use super::fan::Block;
use super::voices::Voices;
use crate::error::Failure;

/// What is done to a version besides: works on blocks in place, one vector a channel.
pub type Treatment = Box<dyn FnMut(&mut [Vec<f64>]) + Send>;

/// What turns blocks of the take into blocks of one version of it, from beginning to end.
pub struct Playback {
    /// None for the take as it is.
    voices: Option<Voices>,
    sum: bool,
    treatment: Option<Treatment>,
    edges: Option<Edges>,
    channels: usize,
    block: Block,
    /// Whether its true peak decides anything.
    peak_counts: bool,
}

impl Playback {
    /// The take as it is; with `sum` all its channels as one.
    pub fn take(sum: bool, channels: u16) -> Self {
        let channels = usize::from(channels);
        Self {
            voices: None,
            sum,
            treatment: None,
            edges: None,
            channels,
            block: Vec::new(),
            peak_counts: false,
        }
    }

    /// A take of this format changed by shapes, one a pickup; with `sum` the pickups of a blend become one channel. Of what comes
    /// of it the first `channels` channels are kept.
    ///
    /// # Errors
    /// If a shape cannot be played.
    pub fn new(
        take: Format,
        shapes: &[Shape],
        guard: bool,
        sum: bool,
        channels: u16,
    ) -> Result<Self, Failure> {
        let voices = Some(Voices::new(take, shapes, guard)?);
        Ok(Self { voices, peak_counts: true, ..Self::take(sum, channels) })
    }

    /// Treated besides, and cut.
    pub fn with(mut self, treatment: Option<Treatment>, edges: Option<Edges>) -> Self {
        (self.treatment, self.edges) = (treatment, edges);
        self
    }

    /// One whose true peak decides nothing.
    pub fn without_peak(self) -> Self {
        Self { peak_counts: false, ..self }
    }

    pub const fn peak_counts(&self) -> bool {
        self.peak_counts
    }

    /// Of the next block of the take.
    pub fn play(&mut self, take: &Block) -> &mut [Vec<f64>] {
        self.block.clone_from(take);
        if let Some(voices) = &mut self.voices {
            voices.process(&mut self.block);
        }
        if self.sum {
            sum(&mut self.block);
        }
        let block = &mut self.block[..self.channels];
        if let Some(treatment) = &mut self.treatment {
            treatment(block);
        }
        if let Some(edges) = &mut self.edges {
            edges.apply(block);
        }
        block
    }

    /// Of the last block.
    pub fn played(&self) -> &[Vec<f64>] {
        &self.block[..self.channels]
    }

    /// What the guard did so far.
    pub fn guard_status(&self) -> GuardStatus {
        self.voices.as_ref().map(Voices::guard_status).unwrap_or_default()
    }
}

/// The sum of the channels, in the first one's place.
fn sum(block: &mut Block) {
    if let [first, rest @ ..] = block.as_mut_slice() {
        for channel in rest {
            first.iter_mut().zip(channel).for_each(|(sum, value)| *sum += *value);
        }
    }
}
