//! Parameters that move while sound runs: at the right frame, the same however sound is cut, and always sane.

mod host;

use host::{Change, Host, Noise, assert_same};

const RATE_HZ: f64 = 48_000.0;
/// A change takes 30 ms.
const GLIDE: usize = 1_440;

/// Block sizes of a given kind, for as long as they are asked for.
fn blocks(kind: usize) -> Box<dyn Iterator<Item = usize>> {
    match kind {
        0 => {
            let mut noise = Noise::new(99);
            Box::new(std::iter::repeat_with(move || 1 + usize::try_from(noise.below(2_000)).unwrap()))
        }
        size => Box::new(std::iter::repeat(size)),
    }
}

const SIZES: [usize; 6] = [1, 7, 64, 480, 512, 0];

#[test]
fn results_do_not_depend_on_the_block_size() {
    let sound = Noise::new(1).sound(2, 40_000);
    for level_match in ["on", "off"] {
        for heard in ["Setup 1", "Setup 5", "As recorded"] {
            let run = |blocks| {
                let settings = [("Level match", level_match), ("Heard setup", heard)];
                Host::running(RATE_HZ, &settings).run_with(&sound, blocks, &[])
            };
            let whole = run(blocks(40_000));
            for size in SIZES {
                let what = format!("match {level_match}, {heard}, blocks of {size}");
                assert_same(&run(blocks(size)), &whole, &what);
            }
        }
    }
}

/// With the setup, the pickup and the gains moving, and events in the middle of blocks.
#[test]
fn automation_does_not_depend_on_the_block_size() {
    let sound = Noise::new(2).sound(2, 40_000);
    let mut changes = Vec::new();
    let mut noise = Noise::new(3);
    for frame in (97..39_000).step_by(613) {
        changes.push(Change::new(frame, "Heard setup", f64::from(noise.below(7))));
        changes.push(Change::new(frame + 5, "Pickup capacitance", noise.unit()));
        changes.push(Change::new(frame + 5, "Setup 2 load resistance", noise.unit()));
        changes.push(Change::new(frame + 300, "Output", noise.unit()));
        changes.push(Change::new(frame + 301, "Level match", f64::from(noise.below(2))));
    }
    let run = |blocks| Host::running(RATE_HZ, &[]).run_with(&sound, blocks, &changes);
    let whole = run(blocks(40_000));
    for size in SIZES {
        assert_same(&run(blocks(size)), &whole, &format!("blocks of {size}"));
    }
}

#[test]
fn a_change_begins_at_its_frame_and_ends() {
    let sound = vec![vec![0.5f32; 8_192]; 2];
    let mut host = Host::running(RATE_HZ, &[]);
    let half = host.read("Output", "-6 dB").unwrap();
    for frame in [0, 1, 1_000, 4_095] {
        host.reset();
        host.set("Output", "0 dB");
        let lead_in = host.run(&vec![vec![0.5f32; 64]; 2], 64);
        assert!(lead_in[0].iter().all(|sample| *sample == 0.5));
        let change = Change::new(frame, "Output", half);
        let output = host.run_with(&sound, blocks(4_096), &[change]);
        assert!(output[0][..frame].iter().all(|sample| *sample == 0.5), "early, frame {frame}");
        // The smoothstep starts flat; some frames in, single precision can tell.
        assert!(output[0][frame + 12] < 0.5, "late, frame {frame}");
        let landed = 0.5 * 10f64.powf(-6.0 / 20.0);
        for sample in &output[0][frame + GLIDE + 1..] {
            approx::assert_relative_eq!(f64::from(*sample), landed, max_relative = 1e-7);
        }
        assert!(f64::from(output[0][frame + GLIDE / 2]) > landed * 1.1);
    }
}

#[test]
fn a_change_within_a_block_equals_one_between_blocks() {
    let sound = Noise::new(4).sound(2, 10_000);
    let mut host = Host::running(RATE_HZ, &[("Heard setup", "Setup 1")]);
    let to = host.read("Heard setup", "Setup 6").unwrap();
    let change = [Change::new(3_333, "Heard setup", to)];
    let within = host.run_with(&sound, blocks(10_000), &change);
    let mut split = Host::running(RATE_HZ, &[("Heard setup", "Setup 1")]);
    let between = split.run_with(&sound, [3_333, 6_667], &change);
    assert_same(&within, &between, "an event between the blocks");
    // Set between the blocks instead of by an event.
    let mut set = Host::running(RATE_HZ, &[("Heard setup", "Setup 1")]);
    let part = |range: std::ops::Range<usize>| sound.iter().map(|c| c[range.clone()].to_vec()).collect();
    let mut output = set.run(&part(0..3_333), 3_333);
    set.set("Heard setup", "Setup 6");
    let rest = set.run(&part(3_333..10_000), 6_667);
    output.iter_mut().zip(rest).for_each(|(all, part)| all.extend(part));
    assert_same(&within, &output, "set between the blocks");
}

/// Every parameter set and modulated at random times, on and between its ends, with noise, full-scale squares and
/// silence. Allocations would abort the test.
#[test]
fn nothing_that_can_be_set_gives_bad_output() {
    let mut noise = Noise::new(5);
    for run in 0..12 {
        let rate_hz = [44_100.0, 8_000.0, 192_000.0, 384_000.0][run % 4];
        let mut host = Host::running(rate_hz, &[]);
        let parameters = host.parameters();
        let frames = 24_000;
        let mut sound = noise.sound(2, frames);
        sound[0][8_000..16_000]
            .iter_mut()
            .enumerate()
            .for_each(|(i, x)| *x = if i % 50 < 25 { 1.0 } else { -1.0 });
        sound[1][8_000..16_000].fill(0.0);
        let mut changes = Vec::new();
        for frame in 0..frames {
            while noise.below(40) == 0 {
                let at = usize::try_from(noise.below(u32::try_from(parameters.len()).unwrap())).unwrap();
                let p = &parameters[at];
                let value = match noise.below(3) {
                    0 => p.min,
                    1 => p.max,
                    _ => p.min + (p.max - p.min) * noise.unit(),
                };
                let modulation = noise.below(4) == 0;
                changes.push(Change { frame, name: &p.name, value, modulation });
            }
        }
        let output = host.run_with(&sound, blocks(0), &changes);
        for sample in output.iter().flatten() {
            assert!(sample.is_finite() && !sample.is_subnormal(), "{sample:e} in run {run}");
        }
    }
}

/// Hosts may send a value for every frame.
#[test]
fn a_value_for_every_frame_is_followed() {
    let sound = vec![vec![0.25f32; 6_000]; 2];
    let mut host = Host::running(RATE_HZ, &[]);
    let changes: Vec<_> = (0..2_400u32)
        .map(|frame| {
            Change::new(frame.try_into().unwrap(), "Output", 0.5 - 0.25 * f64::from(frame) / 2_400.0)
        })
        .collect();
    let output = host.run_with(&sound, blocks(480), &changes);
    let step = output[0].windows(2).map(|w| (w[1] - w[0]).abs()).fold(0.0, f32::max);
    assert!(step < 1e-3, "{step}");
    // A quarter of the travel of 48 dB down.
    approx::assert_relative_eq!(
        f64::from(output[0][5_999]) / 0.25,
        10f64.powf(-12.0 / 20.0),
        max_relative = 1e-6
    );
}
