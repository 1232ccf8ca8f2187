//! Switching as a person does it who cannot decide: the built plugin in a CLAP host, on the demo's take, with the level match on. No moment is louder
//! than the setups themselves are, each heard by an instance of its own beside it.

use anyhow::{Result, ensure};

use crate::built::Built;
use crate::demo;
use crate::host::Instance;

const SWITCHES: usize = 500;
const BLOCK: u16 = 64;
/// So long everyone hears the music first.
const LISTENING_SECONDS: u32 = 20;
/// Blocks from one switch to the next: 50 ms to 1.2 s.
const PAUSE_BLOCKS: (usize, usize) = (38, 900);
/// Peaks are compared with those of this many blocks around, 10 ms, and a setup counts for so many after it has been left.
const AROUND: usize = 8;
const LEFT_BLOCKS: usize = 150;
/// The most that a switch may be above the louder of what it leads between, in dB.
const BAR_DB: f64 = 1.0;

/// Switches, and fails above the bar.
pub fn run(built: &Built) -> Result<()> {
    let take = demo::recorded(f64::from(demo::RATE_HZ))?;
    let schedule = schedule();
    let alone =
        (0..7).map(|choice| played(built, &take, &schedule, Some(choice))).collect::<Result<Vec<_>>>()?;
    let ride = played(built, &take, &schedule, None)?;
    let mut worst = f64::NEG_INFINITY;
    for (block, peak) in ride.iter().enumerate() {
        let heard = schedule.iter().enumerate().filter(|(index, (from, _))| {
            let until = schedule.get(index + 1).map_or(usize::MAX, |(next, _)| next + LEFT_BLOCKS);
            (*from..until).contains(&block)
        });
        let around = block.saturating_sub(AROUND)..(block + AROUND + 1).min(ride.len());
        let allowed = heard
            .flat_map(|(_, (_, choice))| &alone[*choice][around.clone()])
            .fold(1e-4, |a: f64, b| a.max(*b));
        worst = worst.max(20.0 * (peak / allowed).log10());
    }
    println!("{SWITCHES} switches in a CLAP host: at most {worst:+.2} dB above the louder of both setups");
    ensure!(worst <= BAR_DB, "a switch is more than {BAR_DB} dB louder than both setups");
    Ok(())
}

/// From which block on which choice is heard: the six setups, and as recorded.
fn schedule() -> Vec<(usize, usize)> {
    let mut state = 1_u32;
    let mut random = |count: usize| {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        usize::try_from(state >> 12).unwrap_or(0) % count
    };
    let mut block = usize::try_from(LISTENING_SECONDS * demo::RATE_HZ).unwrap_or(0) / usize::from(BLOCK);
    let mut schedule = vec![(0, 6)];
    for _ in 0..SWITCHES {
        schedule.push((block, random(7)));
        block += PAUSE_BLOCKS.0 + random(PAUSE_BLOCKS.1 - PAUSE_BLOCKS.0);
    }
    schedule
}

/// The peak of every block, along the schedule or with one choice throughout.
fn played(
    built: &Built,
    take: &[f32],
    schedule: &[(usize, usize)],
    throughout: Option<usize>,
) -> Result<Vec<f64>> {
    let mut instance = Instance::load(&built.clap(), f64::from(demo::RATE_HZ), BLOCK)?;
    let name =
        |choice: usize| if choice == 6 { "As recorded".to_owned() } else { format!("Setup {}", choice + 1) };
    instance.set("Heard setup", &name(throughout.unwrap_or(schedule[0].1)))?;
    let mut next = schedule.iter().skip(1).peekable();
    let blocks = schedule.last().map_or(0, |(block, _)| block + 1_000);
    let mut sound = take.iter().copied().cycle();
    (0..blocks)
        .map(|block| {
            if let Some((_, choice)) = next.next_if(|(at, _)| *at == block)
                && throughout.is_none()
            {
                instance.set("Heard setup", &name(*choice))?;
            }
            let input: Vec<f32> = sound.by_ref().take(usize::from(BLOCK)).collect();
            instance.step(&input)?;
            Ok(instance.peak(input.len()))
        })
        .collect()
}
