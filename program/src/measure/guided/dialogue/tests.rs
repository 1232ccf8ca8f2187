//! Any order of answers and of what is heard is searched, against rules that are written here and not taken from the dialogue.

use proptest::prelude::*;

use super::super::steps::{BOX, COIL, PICKUP};
use super::*;

/// What happens to a dialogue.
#[derive(Debug, Clone)]
enum Event {
    Answer(Answer),
    Heard(Heard),
    Fault(Fault),
}

fn answer() -> impl Strategy<Value = Answer> {
    use Answer::{Again, Enter, Keep, No, Quit, Yes};
    prop_oneof![
        12 => Just(Enter), 4 => Just(Yes), 2 => Just(No), 2 => Just(Keep), 1 => Just(Again), 1 => Just(Quit)
    ]
}

/// Levels as they come and as they must never come.
fn decibels(usual: std::ops::Range<f64>) -> impl Strategy<Value = f64> {
    prop_oneof![
        12 => usual,
        1 => -400.0..100.0,
        1 => prop::sample::select(vec![f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 0.0, f64::MAX, f64::MIN])
    ]
}

fn heard() -> impl Strategy<Value = Heard> {
    let counts =
        (prop_oneof![9 => Just(3_usize), 1 => 0..5_usize], prop_oneof![9 => Just(0_usize), 1 => 1..9_usize]);
    let levels = (decibels(-60.0..0.0), decibels(-30.0..1.0), decibels(-110.0..-60.0));
    (counts, levels, prop::bool::weighted(0.1)).prop_map(
        |((sweeps, dropouts), (peak_db, gain_db, noise_db), clipped)| Heard {
            peak_db,
            clipped,
            sweeps,
            gain_db,
            noise_db,
            latency_seconds: 0.01,
            dropouts,
        },
    )
}

fn event() -> impl Strategy<Value = Event> {
    prop_oneof![
        4 => answer().prop_map(Event::Answer),
        4 => heard().prop_map(Event::Heard),
        1 => Just(Event::Fault(Fault::Sound("The interface does not answer.".to_owned()))),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2_000))]

    #[test]
    fn no_order_of_answers_and_levels_breaks_the_rules(
        events in prop::collection::vec(event(), 0..120),
        steps in prop::sample::select(vec![PICKUP, COIL, BOX]),
        through_resistor: bool,
    ) {
        let mut dialogue = Dialogue::new(steps, through_resistor);
        let (mut confirmed, mut started) = (false, false);
        // The loudest sweep that somebody said yes to.
        let mut allowed_db = -40.0_f64;
        // Recordings that could be kept, by the sweep's level and what was heard.
        let mut heard_at: Vec<(Step, f64, Heard)> = Vec::new();
        for event in events {
            let before = dialogue.next();
            prop_assert_eq!(before, dialogue.next(), "asking twice changes something");
            match (before, event) {
                (Next::Sound { step, level_db }, event) => {
                    prop_assert!(confirmed && started, "it sounds before anybody said so");
                    prop_assert!(level_db <= allowed_db && level_db <= -10.0, "{} dB was never allowed", level_db);
                    let heard = match event {
                        Event::Heard(heard) => {
                            heard_at.push((step, level_db, heard));
                            Ok((heard, heard_at.len() - 1))
                        }
                        _ => Err(Fault::Sound("The interface does not answer.".to_owned())),
                    };
                    let told = dialogue.hear(heard).map_err(|trouble| trouble.to_string());
                    prop_assert!(told.as_ref().err().is_none_or(|told| told.len() > 20), "it must be told: {:?}", told);
                    started = false;
                    prop_assert!(!matches!(dialogue.next(), Next::Sound { .. }), "it goes on by itself");
                }
                (Next::Ask(question), Event::Answer(answer)) => {
                    let taken = dialogue.answer(answer);
                    prop_assert!(taken || dialogue.next() == before, "what is no answer changes something");
                    confirmed |= question == Question::Cautions && matches!(answer, Answer::Enter | Answer::Yes);
                    started = matches!(question, Question::Plug { .. }) && answer == Answer::Enter;
                    match question {
                        Question::Raise { to_db, .. } if answer == Answer::Yes => allowed_db = allowed_db.max(to_db),
                        _ => {}
                    }
                    prop_assert_eq!(answer == Answer::Quit, dialogue.next() == Next::Left);
                }
                (Next::Ask(_), Event::Heard(heard)) => {
                    prop_assert!(dialogue.hear(Ok((heard, usize::MAX))).is_ok());
                    prop_assert_eq!(dialogue.next(), before, "what was not played was heard");
                }
                (Next::Ask(_), Event::Fault(fault)) => {
                    prop_assert!(dialogue.hear(Err(fault)).is_ok());
                    prop_assert_eq!(dialogue.next(), before);
                }
                (Next::Done | Next::Left, Event::Answer(answer)) => {
                    prop_assert!(!dialogue.answer(answer));
                    prop_assert_eq!(dialogue.next(), before);
                }
                (Next::Done | Next::Left, _) => prop_assert_eq!(dialogue.next(), before),
            }
        }
        if dialogue.next() == Next::Done {
            let kept: Vec<_> = dialogue.recordings().into_iter().map(|index| heard_at[index]).collect();
            let of: Vec<Step> = kept.iter().map(|(step, ..)| *step).collect();
            prop_assert_eq!(of, steps.to_vec());
            for (_, level_db, heard) in &kept {
                prop_assert_eq!(*level_db, kept[0].1, "recordings of two levels");
                prop_assert!(!heard.clipped && heard.dropouts == 0 && heard.sweeps >= 3, "{:?}", heard);
            }
            // Passive parts in series take level.
            if through_resistor {
                for (_, _, heard) in &kept[1..] {
                    prop_assert!(heard.gain_db <= kept[0].2.gain_db + 0.5, "louder than the reference: {:?}", kept);
                }
            }
        }
    }
}

fn clear(gain_db: f64, level_db: f64) -> Heard {
    let peak_db = level_db + gain_db;
    Heard {
        peak_db,
        clipped: false,
        sweeps: 3,
        gain_db,
        noise_db: -95.0,
        latency_seconds: 0.012,
        dropouts: 0,
    }
}

/// At the first step's sweep.
fn begun(steps: &'static [Step]) -> Dialogue<u32> {
    let mut dialogue = Dialogue::new(steps, true);
    assert!(dialogue.answer(Answer::Enter) && dialogue.answer(Answer::Enter));
    dialogue
}

#[test]
fn a_usual_measurement_asks_once_for_more_level() {
    let mut dialogue = begun(PICKUP);
    assert_eq!(dialogue.next(), Next::Sound { step: Step::Reference, level_db: -40.0 });
    let quiet = dialogue.hear(Ok((clear(0.0, -40.0), 1)));
    assert_eq!(quiet.unwrap_err().to_string(), "The sweep arrives too quiet by 20 dB.");
    assert_eq!(
        dialogue.next(),
        Next::Ask(Question::Raise { by_db: 20.0, to_db: -20.0, begins_again: false })
    );
    assert!(dialogue.answer(Answer::Yes));
    for (gain_db, recording) in [(0.0, 2), (-0.9, 3), (-1.0, 4)] {
        assert!(
            matches!(dialogue.next(), Next::Ask(Question::Plug { kept: false, .. })),
            "{:?}",
            dialogue.next()
        );
        assert!(dialogue.answer(Answer::Enter));
        let Next::Sound { level_db, .. } = dialogue.next() else { panic!("{:?}", dialogue.next()) };
        assert_eq!(level_db, -20.0);
        assert_eq!(dialogue.hear(Ok((clear(gain_db, level_db), recording))), Ok(()));
    }
    assert_eq!(dialogue.next(), Next::Done);
    assert_eq!(dialogue.recordings(), [2, 3, 4]);
}

/// Enter is no.
#[test]
fn without_a_yes_it_stays_as_quiet_as_it_was() {
    for answer in [Answer::Enter, Answer::No] {
        let mut dialogue = begun(BOX);
        assert!(dialogue.hear(Ok((clear(0.0, -40.0), 1))).is_err());
        assert!(dialogue.answer(answer));
        assert_eq!(dialogue.next(), Next::Ask(Question::Plug { step: Step::BoxDirect, kept: true }));
        assert!(dialogue.answer(Answer::Keep));
        assert_eq!(dialogue.next(), Next::Ask(Question::Plug { step: Step::Boxed, kept: false }));
        assert!(dialogue.answer(Answer::Enter));
        assert_eq!(dialogue.next(), Next::Sound { step: Step::Boxed, level_db: -40.0 });
    }
}

/// At the last step of a pickup's measurement, after a reference of 0 dB and an empty lead of -1 dB.
fn plugged() -> Dialogue<u32> {
    let mut dialogue = begun(PICKUP);
    assert_eq!(dialogue.hear(Ok((clear(15.0, -40.0), 1))), Ok(()));
    assert!(dialogue.answer(Answer::Enter));
    assert_eq!(dialogue.hear(Ok((clear(14.0, -40.0), 2))), Ok(()));
    assert!(dialogue.answer(Answer::Enter));
    dialogue
}

#[test]
fn a_gain_that_was_turned_is_told_and_the_step_repeated() {
    let louder = clear(16.0, -40.0);
    let quieter = Heard { noise_db: -101.0, ..clear(8.0, -40.0) };
    let much_quieter = clear(8.0, -40.0);
    for (heard, said, may_be_kept) in [
        (louder, "2.0 dB louder than the empty lead, which cannot be", false),
        (quieter, "Sweep and noise are both 6.0 dB quieter than in the empty lead", true),
        (much_quieter, "The lows are 6.0 dB quieter than in the empty lead", true),
    ] {
        let mut dialogue = plugged();
        let told = dialogue.hear(Ok((heard, 3))).unwrap_err().to_string();
        assert!(told.contains(said), "no '{said}' in {told}");
        assert_eq!(dialogue.next(), Next::Ask(Question::Plug { step: Step::Pickup, kept: may_be_kept }));
        assert_eq!(dialogue.answer(Answer::Keep), may_be_kept);
    }
}

#[test]
fn what_is_wrong_with_one_recording_is_told() {
    let good = clear(15.0, -40.0);
    for (heard, said) in [
        (Heard { dropouts: 2, ..good }, "interrupted 2 times"),
        (Heard { clipped: true, ..good }, "The input clipped"),
        (Heard { sweeps: 0, peak_db: -90.0, ..good }, "Nothing arrives"),
        (Heard { sweeps: 0, peak_db: f64::NEG_INFINITY, ..good }, "Nothing arrives"),
        (Heard { sweeps: 0, ..good }, "but not the sweep"),
        (Heard { sweeps: 2, ..good }, "Only 2 of 3 sweeps"),
        (Heard { gain_db: f64::NAN, ..good }, "Nothing arrives"),
    ] {
        let mut dialogue = begun(COIL);
        let told = dialogue.hear(Ok((heard, 1))).unwrap_err().to_string();
        assert!(told.contains(said), "no '{said}' in {told}");
        assert_eq!(dialogue.next(), Next::Ask(Question::Plug { step: Step::Reference, kept: false }));
    }
}

/// It goes down by itself, and up again only after another yes.
#[test]
fn a_sweep_that_clips_is_lowered() {
    let mut dialogue = begun(BOX);
    assert!(dialogue.hear(Ok((clear(0.0, -40.0), 1))).is_err());
    assert!(dialogue.answer(Answer::Yes) && dialogue.answer(Answer::Enter));
    let told = dialogue.hear(Ok((Heard { clipped: true, ..clear(15.0, -20.0) }, 1))).unwrap_err();
    assert!(told.to_string().contains("quieter now"), "{told}");
    assert!(dialogue.answer(Answer::Enter));
    assert_eq!(dialogue.next(), Next::Sound { step: Step::BoxDirect, level_db: -30.0 });
}
