//! The calls that an audio thread makes, with an allocator that refuses while they run.

mod common;

use common::{change, demo, demo_shape, higher_order, music_like_noise, pair};
use std::alloc::{GlobalAlloc, Layout, System};
use std::cell::Cell;

use common::circuits::{any_chain, pickups};
use dsp_core::circuit::{
    Blended, Chain, Element, InputBox, Knobs, Link, MagneticPickup, Pickup, Pickups, Polarity, Taper, Thru,
    ToneControl, VolumePot,
};
use dsp_core::loudness::LoudnessPredictor;
use dsp_core::processor::Processor;
use dsp_core::response::{Ceiling, Change, Root, Roots, Shape, Transfer};
use proptest::prelude::*;

thread_local! {
    static FORBIDDEN: Cell<bool> = const { Cell::new(false) };
    static TAKEN: Cell<u32> = const { Cell::new(0) };
}

/// The system's allocator, with a count of what the present thread asks of it while it must not.
struct Counting;

impl Counting {
    fn note() {
        if FORBIDDEN.get() {
            TAKEN.set(TAKEN.get() + 1);
        }
    }
}

// SAFETY: every call goes to the system's allocator unchanged; counting touches only constant-initialised
// thread-locals without destructors, which do not allocate.
unsafe impl GlobalAlloc for Counting {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        Self::note();
        // SAFETY: the caller's promise is passed on.
        unsafe { System.alloc(layout) }
    }

    unsafe fn dealloc(&self, pointer: *mut u8, layout: Layout) {
        Self::note();
        // SAFETY: the pointer came from `alloc` above with this layout.
        unsafe { System.dealloc(pointer, layout) }
    }
}

#[global_allocator]
static ALLOCATOR: Counting = Counting;

/// How often `f` allocates or frees.
fn allocations(f: impl FnOnce()) -> u32 {
    TAKEN.set(0);
    FORBIDDEN.set(true);
    f();
    FORBIDDEN.set(false);
    TAKEN.get()
}

#[test]
fn the_judge_sees_an_allocation() {
    assert_eq!(allocations(|| drop(std::hint::black_box(Box::new(1_u64)))), 2);
}

#[test]
fn processing_does_not_allocate() {
    let demo = demo();
    let shapes: Vec<Shape> = demo.setups.iter().map(|setup| demo_shape(&demo, setup)).collect();
    let undo = change("680p", "56k", "none").shape(Ceiling::Off);
    let mut processor = Processor::new(48_000.0, 3).unwrap();
    let take = vec![music_like_noise(1, 48_000.0, 4_000); 3];
    let mut block = take.clone();
    let mut broken = vec![vec![f32::NAN; 600]; 3];
    let mut short = vec![vec![0.1; 333]; 3];
    let most = Roots::from_iter((0_u32..32).map(|index| pair(50.0 * f64::from(1 + index), 2.0)));
    let largest = Shape {
        gain: 1.0,
        zeros: Roots::from_iter(most.iter().map(|root| Root::real(root.natural_rad_s()))),
        poles: most,
    };
    let higher: Vec<Shape> = higher_order().into_iter().map(|(_, shape)| shape).collect();
    let mut constant = vec![vec![1.0; 48_000]; 3];
    let taken = allocations(|| {
        for shape in shapes.iter().chain([&Shape::UNCHANGED, &undo]) {
            processor.change(shape, 2.0 * shape.gain).unwrap();
            processor.process(&mut block);
            processor.set_gain(1.0, 300.0).unwrap();
            processor.process(&mut block);
        }
        // Each fades in for a while, the next ones wait, and one fades while the guard closes.
        for shape in higher.iter().chain([&largest, &Shape::UNCHANGED]).cycle().take(40) {
            processor.change(shape, 2.0).unwrap();
            processor.process(&mut short);
            processor.set_gain(1.0, 300.0).unwrap();
            processor.process(&mut block);
            processor.change(shape, 1.0).unwrap();
            processor.process(&mut short);
        }
        processor.change(&higher[0], 1.0).unwrap();
        processor.process(&mut broken);
        processor.process(&mut constant);
        processor.set_guard(false);
        processor.reset();
        processor.process(&mut broken);
    });
    assert!(processor.guard_status().closures == 0 && block != take);
    assert_eq!(taken, 0);
}

/// Allocations of what the audio thread does with circuits while it plays: `from` heard as `to`, whose values are turned, the other way
/// round and undone, each changed to and matched in the middle of the sound. With the highest order there was.
fn allocations_of_a_ride(pickups: &Pickups, from: &Chain, to: &Chain, gain: f64) -> (u32, usize) {
    let (knobs, rest) = Knobs::take(to);
    let mut processor = Processor::new(48_000.0, 2).unwrap();
    let mut block = vec![music_like_noise(1, 48_000.0, 400); 2];
    processor.process(&mut block);
    let (open, mut order) = (Chain::default(), 0);
    let taken = allocations(|| {
        for index in 0..pickups.count() {
            let from = Transfer::of(pickups, index, from);
            let turned = Transfer::with_knobs(pickups, index, &rest, &knobs);
            let open = Transfer::of(pickups, index, &open);
            for (from, to) in [(&from, &turned), (&turned, &from), (&turned, &open)] {
                let shape = Change::new(from, to).shape(Ceiling::default());
                order = order.max(shape.poles.degree());
                // What would ring for ever is refused.
                assert!(processor.change(&shape, gain).is_ok() || shape.is_lossless());
                processor.process(&mut block);
                processor.set_gain(gain.recip(), 3.0).unwrap();
                processor.process(&mut block);
                processor.set_gain(gain, 300.0).unwrap();
                processor.process(&mut block);
            }
        }
    });
    (taken, order)
}

#[test]
fn no_setup_of_the_demo_allocates() {
    let demo = demo();
    for setup in &demo.setups {
        assert_eq!(
            allocations_of_a_ride(&demo.pickups, &demo.recorded, &setup.chain, 5.0).0,
            0,
            "{}",
            setup.name
        );
    }
}

/// Two coils with all controls, and eight parts that store energy.
#[test]
fn the_largest_circuit_does_not_allocate() {
    let pickup = |inductance: &str| Pickup {
        element: Element::Magnetic(MagneticPickup {
            inductance: inductance.parse().unwrap(),
            resistance: "8k2".parse().unwrap(),
            winding: "120p".parse().ok(),
            loss: "470k".parse().ok(),
        }),
        tone: Some(ToneControl {
            resistance: "220k".parse().unwrap(),
            capacitance: "22n".parse().unwrap(),
            taper: Taper::Linear,
            position: "50 %".parse().unwrap(),
        }),
        volume: Some(VolumePot {
            resistance: "470k".parse().unwrap(),
            taper: Taper::Linear,
            position: "50 %".parse().unwrap(),
        }),
    };
    let one = |inductance, mixing: &str| Blended {
        pickup: pickup(inductance),
        mixing: mixing.parse().ok(),
        polarity: Polarity::Same,
    };
    let pickups = Pickups::Blend([one("4.7 H", "100k"), one("3.3 H", "47k")]);
    let chain = |scale: u32| {
        let input = |index: u32| {
            Link::Box(InputBox {
                blocking: Some(format!("{}n", scale * index).parse().unwrap()),
                thru: Some(Thru::Before),
                ..InputBox::new("box", "1M".parse().unwrap())
            })
        };
        Chain::new((1..=8).map(input).collect()).unwrap()
    };
    let (taken, order) = allocations_of_a_ride(&pickups, &chain(1), &chain(3), 2.0);
    assert!(order >= 16, "{order} is not large");
    assert_eq!(taken, 0);
}

proptest! {
    #![proptest_config(common::cases(200))]

    #[test]
    fn no_circuit_allocates(
        pickups in pickups(),
        from in any_chain(),
        to in any_chain(),
        gain in prop_oneof![0.01..1.0, 1.0..100.0_f64],
    ) {
        prop_assert_eq!(allocations_of_a_ride(&pickups, &from, &to, gain).0, 0);
    }
}

#[test]
fn predicting_does_not_allocate() {
    let mut predictor = LoudnessPredictor::new(48_000.0, 2);
    let mut block = vec![music_like_noise(1, 48_000.0, 20_000); 2];
    let shape = change("680p", "22M", "470k").shape(Ceiling::default());
    let mut change_lu = 0.0;
    let taken = allocations(|| {
        for start in (0..20_000).step_by(500) {
            predictor.push(&mut block, start, start + 500);
            change_lu = predictor.change_lu(&shape);
        }
        predictor.reset();
    });
    assert!(change_lu < 0.0 && predictor.version() > 4);
    assert_eq!(taken, 0);
}
