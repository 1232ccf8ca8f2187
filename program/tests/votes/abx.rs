//! Runs of "is X the one or the other?".

use super::ballot::{run, said, told};
use super::close;

/// `scipy.stats.binomtest(12, 16, 0.5, 'greater')` and its `proportion_ci('exact')` of a two-sided test.
#[test]
fn one_run() {
    let told = told(&[run("cello", 0x1a2b_3c4d, 12, 16)]);
    let pair = &told["abx"][0];
    assert_eq!(
        (&pair["sounds"][0]["name"], &pair["sounds"][1]["name"]),
        (&"combo".into(), &"buffer box".into())
    );
    let tally = &pair["together"];
    assert_eq!((&tally["right"], &tally["trials"]), (&12.into(), &16.into()));
    close(&tally["p"], 0.0384063720703125);
    close(&tally["p_holm"], 0.0384063720703125);
    close(&tally["low"], 0.476_229_180_103_872_4);
    close(&tally["high"], 0.927_337_961_747_117_8);
    assert_eq!(
        told["verdicts"][0],
        "combo and buffer box were told apart (12 of 16 right by 1 listener, p = 0.038)"
    );
}

#[test]
fn the_first_line_is_the_verdict() {
    let heard = said(&[run("cello", 7, 12, 16)]);
    assert!(
        heard.starts_with("combo and buffer box were told apart (12 of 16 right by 1 listener, p = 0.038)\n"),
        "{heard}"
    );
    let not = said(&[run("cello", 7, 11, 16)]);
    let verdict = "it is not shown that combo and buffer box can be told apart (11 of 16 right by 1 listener, p = 0.11)\n";
    assert!(not.starts_with(verdict), "{not}");
    assert!(not.contains("Not shown is not the same as equal"), "{not}");
    assert!(!heard.contains("Not shown is not the same as equal"), "{heard}");
    // scipy.stats.binom: P(X >= c | 3/4) for the least c with P(X >= c | 1/2) <= 0.05 is 0.804 at n = 23, 0.766 at 24 and 0.786 at 27,
    // and never below 0.8 from 28 on.
    assert!(not.contains("with a power of 80 % or more from 28 trials on; here are 16."), "{not}");
}

/// 2^-4 is more than one in twenty, 2^-5 less.
#[test]
fn too_few_trials_are_said() {
    let few = "Fewer than 5 trials show nothing, even with all right.";
    assert!(said(&[run("cello", 7, 4, 4)]).contains(few));
    assert!(!said(&[run("cello", 7, 5, 5)]).contains(few));
}

/// One golden ear among guessers: 16 of 16 has 2^-16, times three for Holm.
#[test]
fn one_listener_may_hear_it_alone() {
    let answers = [run("cello", 1, 16, 16), run("mandolin", 2, 6, 16), run("tambourine", 3, 5, 16)];
    let told = told(&answers);
    let tally = &told["abx"][0]["listeners"][0];
    close(&tally["p"], 0.5f64.powi(16));
    close(&tally["p_holm"], 3.0 * 0.5f64.powi(16));
    let verdict = told["verdicts"][0].as_str().unwrap();
    assert!(
        verdict.starts_with("combo and buffer box were told apart by cello, not by all together (27 of 48"),
        "{verdict}"
    );
}

/// A and B may be swapped: it is the same pair.
#[test]
fn the_same_pair_the_other_way_round() {
    let mut swapped = run("mandolin", 2, 9, 16);
    (swapped["a"], swapped["b"]) = ("t9ap".into(), "b2xk".into());
    let told = told(&[run("cello", 1, 12, 16), swapped]);
    assert_eq!(told["abx"].as_array().unwrap().len(), 1);
    assert_eq!(told["abx"][0]["together"]["right"], 21);
}

/// Holm over two pairs: the smaller counts twice.
#[test]
fn several_pairs_are_corrected() {
    let mut other = run("cello", 2, 8, 16);
    other["a"] = "q7mz".into();
    let told = told(&[run("cello", 1, 12, 16), other]);
    // In the page's order: as recorded comes first.
    close(&told["abx"][0]["together"]["p_holm"], 0.5981903076171875);
    close(&told["abx"][1]["together"]["p_holm"], 2.0 * 0.0384063720703125);
    assert!(told["verdicts"][1].as_str().unwrap().contains("not shown"), "{told}");
}
