//! Rankings.

use serde_json::{Value, json};

use super::ballot::{ranking, said, told};
use super::close;

fn names(sounds: &Value) -> Vec<&str> {
    sounds.as_array().unwrap().iter().map(|sound| sound["name"].as_str().unwrap()).collect()
}

/// Four times the same: chi-square n(k - 1) = 12, W = 1 by their definitions; of 24^3 orders of the other three 1 agrees in full;
/// `scipy.stats.chi2.sf(12, 3)`; each pair 4 of 4, 2/2^4 by the sign test, times six for Holm.
#[test]
fn all_alike() {
    let answers = [1, 2, 3, 4].map(|seed| ranking(&format!("listener {seed}"), seed, "rbca"));
    let told = told(&answers);
    let all = &told["ranking"]["all"];
    assert_eq!(names(&all["sounds"]), ["as recorded", "buffer box", "combo", "anchor"]);
    assert_eq!(all["sounds"][1]["mean_rank"], 2.0);
    let test = &all["friedman"];
    close(&test["chi_square"], 12.0);
    assert_eq!((&test["degrees"], &test["draws"]), (&3.into(), &Value::Null));
    close(&test["kendalls_w"], 1.0);
    close(&test["p_chi_square"], 0.007_383_160_505_359_769);
    close(&test["p"], 24f64.powi(-3));
    for pair in all["pairs"].as_array().unwrap() {
        assert_eq!((&pair["for_better"], &pair["for_other"]), (&4.into(), &0.into()));
        close(&pair["p"], 0.125);
        close(&pair["p_holm"], 0.75);
    }
    let text = said(&answers);
    let verdict = "4 listeners order the sounds more alike than by chance (p < 0.0001): on average as recorded best, of the \
                   setups buffer box, anchor last\n";
    assert!(text.starts_with(verdict), "{text}");
    // Even 8 of 8, 2/2^8, is too much for six pairs: 6 · 2/2^8 = 0.047 is not. So with 4 no pair can come out.
    assert!(text.contains("can come out by itself with fewer than 8 listeners"), "{text}");
    assert!(text.contains("pairs, sign test by Holm: none of 6 comes out"), "{text}");
    assert!(text.contains("these listeners"), "{text}");
}

#[test]
fn eight_alike_make_pairs_come_out() {
    let answers: Vec<Value> =
        (1..=8).map(|seed| ranking(&format!("listener {seed}"), seed, "rbca")).collect();
    let text = said(&answers);
    assert!(text.contains("pairs, sign test by Holm: of 6 come out"), "{text}");
    assert!(text.contains("    buffer box before combo: 8 of 8, p = 0.047\n"), "{text}");
}

#[test]
fn no_agreement() {
    let told = told(&[ranking("cello", 1, "rbca"), ranking("mandolin", 2, "acbr")]);
    let test = &told["ranking"]["all"]["friedman"];
    assert_eq!(
        (&test["chi_square"], &test["p"], &test["p_chi_square"]),
        (&0.0.into(), &1.0.into(), &1.0.into())
    );
    assert_eq!(told["verdicts"][0], "2 listeners agree on no order more than by chance (p = 1.00)");
}

#[test]
fn one_listener_is_no_test() {
    let told = told(&[ranking("cello", 1, "brca")]);
    assert_eq!(told["ranking"]["all"]["friedman"], Value::Null);
    assert_eq!(told["verdicts"][0], "1 listener ranked, which is an opinion and no test: buffer box best");
}

/// Twice, once each way round: no preference is left.
#[test]
fn rankings_of_one_listener_count_as_their_mean() {
    let sent = [ranking("cello", 1, "rbca"), ranking("cello", 2, "brca"), ranking("mandolin", 3, "rbca")];
    let told = told(&sent);
    let all = &told["ranking"]["all"];
    assert_eq!(all["listeners"], 2);
    assert_eq!(names(&all["sounds"]), ["as recorded", "buffer box", "combo", "anchor"]);
    assert_eq!(
        (&all["sounds"][0]["mean_rank"], &all["sounds"][1]["mean_rank"]),
        (&1.25.into(), &1.75.into())
    );
    assert_eq!(told["ranking"]["sent"].as_array().unwrap().len(), 3);
    let both = [
        ranking("cello", 1, "rbca"),
        ranking("cello", 2, "acbr"),
        ranking("mandolin", 3, "rbca"),
        ranking("mandolin", 4, "acbr"),
    ];
    let none = super::ballot::told(&both);
    assert_eq!(none["verdicts"][0], "2 listeners ranked, and prefer nothing");
}

#[test]
fn who_puts_the_anchor_first_is_told_not_dropped() {
    let answers =
        [ranking("cello", 1, "rbca"), ranking("mandolin", 2, "rcba"), ranking("tambourine", 3, "arbc")];
    let told = told(&answers);
    assert_eq!(told["ranking"]["doubtful"], json!(["tambourine"]));
    assert_eq!(told["ranking"]["all"]["listeners"], 3);
    assert_eq!(told["ranking"]["without_doubtful"]["listeners"], 2);
    let text = said(&answers);
    assert!(
        text.contains("put the anchor, made to be worse, before the take as recorded: tambourine\n"),
        "{text}"
    );
    assert!(text.contains("order of 3 listeners") && text.contains("order of 2 listeners"), "{text}");
    assert!(!text.contains("The verdict hangs on"), "{text}");
    let alone = said(&answers[2..]);
    assert!(alone.contains("nobody is left"), "{alone}");
    let fine = super::ballot::told(&answers[..2]);
    assert_eq!(
        (&fine["ranking"]["doubtful"], &fine["ranking"]["without_doubtful"]),
        (&json!([]), &Value::Null)
    );
}

/// Three alike are 1 of 24^2 orders of the other two; two who turn it round undo that.
#[test]
fn a_verdict_that_hangs_on_the_doubtful_is_said() {
    let orders = ["rbca", "rbca", "rbca", "acbr", "acbr"];
    let answers: Vec<Value> =
        (1u32..).zip(orders).map(|(seed, order)| ranking(&format!("listener {seed}"), seed, order)).collect();
    let told = told(&answers);
    close(&told["ranking"]["without_doubtful"]["friedman"]["p"], 24f64.powi(-2));
    assert!(told["ranking"]["all"]["friedman"]["p"].as_f64() > Some(0.05), "{told}");
    assert!(
        told["conclusions"].to_string().contains("The verdict hangs on those who put the anchor before"),
        "{told}"
    );
}

/// Labels from this seed, by `labels` of `tests/python/ballots.py`: the page holds the sounds in the opposite order, and calls the
/// fourth, second, first and third of them Sound 1 to 4.
#[test]
fn the_page_s_numbers_are_told() {
    let text = said(&[ranking("cello", 0x1a2b_3c4d, "rbca")]);
    assert!(text.contains("    cello: as recorded (1), buffer box (2), combo (4), anchor (3)\n"), "{text}");
}
