//! The guard against faults that are put back on purpose. What must never wake it is in `tests/guard.rs`.

use super::fault::Fault;
use super::*;

const RATE_HZ: f64 = 48_000.0;

/// 680 pF from 22 MΩ into 56 kΩ.
fn loaded() -> Shape {
    Shape::first_order(1.0, 66.8, 26_260.0)
}

/// A plucked low A, near full scale.
fn note(frames: u32) -> Vec<f64> {
    (0..frames)
        .map(|n| {
            let (turns, seconds) = (55.0 * f64::from(n) / RATE_HZ, f64::from(n) / RATE_HZ);
            (std::f64::consts::TAU * turns).sin() * (-seconds).exp()
        })
        .collect()
}

fn run(processor: &mut Processor, sound: &[f64]) -> Vec<f64> {
    let mut block = [sound.to_vec()];
    processor.process(&mut block);
    let [output] = block;
    output
}

fn peak(signal: &[f64]) -> f64 {
    signal.iter().fold(0.0, |peak: f64, value| peak.max(value.abs()))
}

/// Through the load, its gain raised by 30 dB as in a change of setup (30 ms), and set again by the level match (200 ms) 10 ms into it.
/// Of the same loudness the circuit may be quiet and its gain high.
fn burst(guard: bool, broken: bool, quiet: f64) -> (Vec<f64>, GuardStatus) {
    let mut processor = Processor::new(RATE_HZ, 1).unwrap();
    processor.set_guard(guard);
    processor.change(&Shape { gain: quiet, ..loaded() }, quiet.recip()).unwrap();
    if broken {
        processor.ride.now().gain().fault = Some(Fault::at_rest(quiet.recip()));
    }
    let sound = note(48_000);
    let mut output = run(&mut processor, &sound[..10_000]);
    processor.set_gain(31.6 / quiet, Processor::CHANGE_MS).unwrap();
    output.extend(run(&mut processor, &sound[10_000..10_480]));
    processor.set_gain(30.0 / quiet, 200.0).unwrap();
    output.extend(run(&mut processor, &sound[10_480..]));
    (output, processor.guard_status())
}

#[test]
fn the_fault_that_burst_is_caught_before_it_is_heard() {
    for quiet in [1.0, 1e-4] {
        let (sound, status) = burst(true, false, quiet);
        assert_eq!((status.closures, status.cause), (0, None), "without the fault there is nothing to catch");
        let loudest = peak(&sound);
        let (fault, _) = burst(false, true, quiet);
        assert!(peak(&fault) > 10.0 * loudest, "it is the fault of old: {} over {loudest}", peak(&fault));
        let (caught, status) = burst(true, true, quiet);
        assert_eq!(status.cause, Some(GuardCause::Unexplained));
        assert!(peak(&caught) <= 1.122 * loudest, "{} over {loudest}", peak(&caught));
    }
}

/// Once a change has landed only what is heard then counts: a fault in a quiet setup that the loud one before it would explain.
#[test]
fn a_fault_after_a_change_is_judged_by_what_is_heard_then() {
    let mut processor = Processor::new(RATE_HZ, 1).unwrap();
    processor.change(&Shape::first_order(1.0, 66.8, 260.0), 30.0).unwrap();
    let sound: Vec<f64> = note(30_000).iter().map(|value| 0.01 * value).collect();
    run(&mut processor, &sound[..10_000]);
    processor.change(&Shape::first_order(1.0, 66.8, 300.0), 1.0).unwrap();
    run(&mut processor, &sound[10_000..20_000]);
    assert_eq!((processor.frames_left(), processor.guard_status().closures), (None, 0));
    processor.ride.now().scale *= 50.0;
    run(&mut processor, &sound[20_000..]);
    assert_eq!(processor.guard_status().cause, Some(GuardCause::Unexplained));
}

/// A filter that gives a hundred times what its circuit does, and one whose gain belongs to another setup.
#[test]
fn a_filter_louder_than_its_circuit_is_caught() {
    let mut processor = Processor::new(RATE_HZ, 1).unwrap();
    processor.change(&Shape::first_order(1.0, 260.0, 66.8), 0.01).unwrap();
    let sound = note(20_000);
    run(&mut processor, &sound[..5_000]);
    processor.ride.now().scale *= 100.0;
    let output = run(&mut processor, &sound[5_000..]);
    let status = processor.guard_status();
    assert_eq!((status.closures > 0, status.cause), (true, Some(GuardCause::Unexplained)));
    assert!(peak(&output) <= 0.01 * 8.0 * 4.0, "{}", peak(&output));
}
