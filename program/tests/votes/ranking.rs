//! Rankings.

use serde_json::{Value, json};

use super::ballot::{ranking, said, told};
use super::close;

fn names(sounds: &Value) -> Vec<&str> {
    sounds.as_array().unwrap().iter().map(|sound| sound["name"].as_str().unwrap()).collect()
}

/// Four times the same, of two setups: chi-square n(k - 1) = 4, W = 1 by their definitions; of 2^3 orders of the other three 1 agrees
/// in full; `scipy.stats.chi2.sf(4, 1)`; 4 of 4 has 2/2^4 by the sign test. Where the anchor and the take as recorded stand adds nothing.
#[test]
fn all_alike() {
    let answers = [1, 2, 3, 4].map(|seed| ranking(&format!("listener {seed}"), seed, "rbca"));
    let told = told(&answers);
    let all = &told["ranking"]["all"];
    assert_eq!(names(&all["sounds"]), ["as recorded", "buffer box", "combo", "anchor"]);
    assert_eq!(all["sounds"][1]["mean_rank"], 2.0);
    assert_eq!(names(&all["candidates"]), ["buffer box", "combo"]);
    assert_eq!(all["candidates"][1]["mean_rank"], 2.0);
    let test = &all["friedman"];
    close(&test["chi_square"], 4.0);
    assert_eq!((&test["degrees"], &test["draws"]), (&1.into(), &Value::Null));
    close(&test["kendalls_w"], 1.0);
    close(&test["p_chi_square"], 0.045_500_263_896_358_42);
    close(&test["p"], 0.125);
    let [pair] = all["pairs"].as_array().unwrap().as_slice() else { panic!("{all}") };
    assert_eq!((&pair["for_better"], &pair["for_other"]), (&4.into(), &0.into()));
    close(&pair["p"], 0.125);
    close(&pair["p_holm"], 0.125);
    let text = said(&answers);
    assert!(
        text.starts_with("4 listeners agree on no order of the setups more than by chance (p = 0.12)\n"),
        "{text}"
    );
    // 2/2^5 is more than one in twenty, 2/2^6 less.
    assert!(text.contains("can come out by itself with fewer than 6 listeners"), "{text}");
    assert!(text.contains("pairs, sign test by Holm: none of 1 comes out"), "{text}");
    let screens = "only there to screen listeners, mean place among all 4: as recorded 1.00, anchor 4.00\n";
    assert!(text.contains(screens), "{text}");
    assert!(text.contains("these listeners"), "{text}");
}

#[test]
fn eight_alike_make_the_pair_come_out() {
    let answers: Vec<Value> =
        (1..=8).map(|seed| ranking(&format!("listener {seed}"), seed, "rbca")).collect();
    let text = said(&answers);
    // 2/2^8.
    let verdict = "8 listeners order the setups more alike than by chance (p = 0.0078): on average buffer box best, combo last\n";
    assert!(text.starts_with(verdict), "{text}");
    assert!(text.contains("pairs, sign test by Holm: of 1 come out"), "{text}");
    assert!(text.contains("    buffer box before combo: 8 of 8, p = 0.0078\n"), "{text}");
}

/// Wherever the others stand, and however many there are: only the setups are tested.
#[test]
fn only_setups_are_tested() {
    let orders = ["rbca", "brca", "rcab", "arbc", "cbra"];
    let answers = |move_others: bool| -> Vec<Value> {
        let moved = |order: &str| {
            let setups: String = order.chars().filter(|c| "bc".contains(*c)).collect();
            format!("r{setups}a")
        };
        let order = |order: &str| if move_others { moved(order) } else { order.to_owned() };
        (1u32..)
            .zip(orders)
            .map(|(seed, each)| ranking(&format!("listener {seed}"), seed, &order(each)))
            .collect()
    };
    let [one, other] = [answers(false), answers(true)].map(|answers| told(&answers));
    for field in ["friedman", "pairs", "candidates"] {
        assert_eq!(one["ranking"]["all"][field], other["ranking"]["all"][field], "{field}");
    }
}

#[test]
fn no_agreement() {
    let told = told(&[ranking("cello", 1, "rbca"), ranking("mandolin", 2, "rcba")]);
    let test = &told["ranking"]["all"]["friedman"];
    assert_eq!(
        (&test["chi_square"], &test["p"], &test["p_chi_square"]),
        (&0.0.into(), &1.0.into(), &1.0.into())
    );
    assert_eq!(
        told["verdicts"][0],
        "2 listeners agree on no order of the setups more than by chance (p = 1.00)"
    );
}

#[test]
fn one_listener_is_no_test() {
    let told = told(&[ranking("cello", 1, "brca")]);
    assert_eq!(told["ranking"]["all"]["friedman"], Value::Null);
    assert_eq!(
        told["verdicts"][0],
        "1 listener ranked, which is an opinion and no test: of the setups buffer box best"
    );
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
    assert_eq!(none["verdicts"][0], "2 listeners ranked, and prefer no setup");
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

/// Six of six have 2/2^6; two who turn it round undo that.
#[test]
fn a_verdict_that_hangs_on_the_doubtful_is_said() {
    let orders = ["rbca", "rbca", "rbca", "rbca", "rbca", "rbca", "acbr", "acbr"];
    let answers: Vec<Value> =
        (1u32..).zip(orders).map(|(seed, order)| ranking(&format!("listener {seed}"), seed, order)).collect();
    let told = told(&answers);
    close(&told["ranking"]["without_doubtful"]["friedman"]["p"], 2.0 / 64.0);
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
