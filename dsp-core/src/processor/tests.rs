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
fn burst(guard: bool, broken: bool) -> (Vec<f64>, GuardStatus) {
    let mut processor = Processor::new(RATE_HZ, 1).unwrap();
    processor.set_guard(guard);
    processor.change(&loaded(), 1.0).unwrap();
    if broken {
        processor.ride.now().gain().fault = Some(Fault::at_rest(1.0));
    }
    let sound = note(48_000);
    let mut output = run(&mut processor, &sound[..10_000]);
    processor.set_gain(31.6, Processor::CHANGE_MS).unwrap();
    output.extend(run(&mut processor, &sound[10_000..10_480]));
    processor.set_gain(30.0, 200.0).unwrap();
    output.extend(run(&mut processor, &sound[10_480..]));
    (output, processor.guard_status())
}

#[test]
fn the_fault_that_burst_is_caught_before_it_is_heard() {
    let (sound, status) = burst(true, false);
    assert_eq!((status.closures, status.cause), (0, None), "without the fault there is nothing to catch");
    let loudest = peak(&sound);
    let (fault, _) = burst(false, true);
    assert!(peak(&fault) > 10.0 * loudest, "it is the fault of old: {} over {loudest}", peak(&fault));
    let (caught, status) = burst(true, true);
    assert_eq!(status.cause, Some(GuardCause::Unexplained));
    assert!(peak(&caught) <= 1.122 * loudest, "{} over {loudest}", peak(&caught));
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
