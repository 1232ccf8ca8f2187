//! A page and answers to it, made by code of the tests' own: the sequence and the seal are written anew here, and agree with
//! those of the Python suite (`tests/python/ballots.py`).

use base64::Engine;
use base64::engine::general_purpose::{STANDARD, URL_SAFE_NO_PAD};
use serde_json::{Value, json};

use crate::support::Sandbox;

pub const PACK: &str = "0123456789abcdef";

/// Sounds of the page: key, name, kind, in their order.
pub const SOUNDS: [[&str; 3]; 4] = [
    ["q7mz", "as recorded", "recorded"],
    ["b2xk", "combo", "setup"],
    ["t9ap", "buffer box", "setup"],
    ["e4vd", "anchor", "anchor"],
];

/// xorshift32 with the shifts 13, 17 and 5 (Marsaglia 2003), eight values passed over.
fn chance(seed: u32) -> impl Iterator<Item = u32> {
    let next = |x: &u32| {
        let x = x ^ (x << 13);
        let x = x ^ (x >> 17);
        Some(x ^ (x << 5))
    };
    std::iter::successors(Some(seed.max(1)), next).skip(9)
}

/// What X is, one letter a trial.
pub fn trials(seed: u32, count: usize) -> String {
    chance(seed).take(count).map(|x| if x < 1 << 31 { 'a' } else { 'b' }).collect()
}

/// The data of a page with these sounds, which it holds in the opposite order.
pub fn data() -> Value {
    let order: Vec<&str> = SOUNDS.iter().map(|[key, ..]| *key).collect();
    let named = |[key, name, kind]: [&str; 3]| (key.to_owned(), json!({ "name": name, "kind": kind }));
    let sounds: serde_json::Map<String, Value> = SOUNDS.map(named).into_iter().collect();
    let held: Vec<Value> = order.iter().rev().map(|key| json!({ "key": key, "block": "sound-0" })).collect();
    json!({ "version": 1, "pack": PACK, "sounds": held,
            "sealed": sealed(&json!({ "order": order, "sounds": sounds, "sections": null })) })
}

/// Text behind the page's veil.
pub fn sealed(value: &Value) -> String {
    let stream = chance(0x0123_4567);
    let bytes: Vec<u8> =
        value.to_string().bytes().zip(stream).map(|(byte, x)| byte ^ x.to_be_bytes()[0]).collect();
    STANDARD.encode(bytes)
}

/// A page with such data, and a sound behind them.
pub fn page(data: &Value) -> String {
    let data = data.to_string().replace('<', "\\u003c");
    format!(
        "<!doctype html><title>x</title><script type=\"application/json\" id=\"data\">{data}</script>\n\
         <script type=\"text/plain\" id=\"sound-0\">AAAA</script>"
    )
}

/// A folder with the page in it.
pub fn with_page() -> Sandbox {
    let sandbox = Sandbox::new();
    sandbox.write("page.html", page(&data()));
    sandbox
}

/// A run on combo and buffer box with the first so many answers right, and the others wrong.
pub fn run(listener: &str, seed: u32, right: usize, count: usize) -> Value {
    let wrong = |x| if x == 'a' { 'b' } else { 'a' };
    let said: String = trials(seed, count)
        .chars()
        .enumerate()
        .map(|(at, x)| if at < right { x } else { wrong(x) })
        .collect();
    json!({ "firstjack": "answers", "version": 1, "pack": PACK, "seed": format!("{seed:08x}"), "listener": listener,
            "kind": "abx", "a": "b2xk", "b": "t9ap", "said": said })
}

/// A ranking by initials of the names, the best first: r, c, b, a.
pub fn ranking(listener: &str, seed: u32, order: &str) -> Value {
    let key = |initial| match initial {
        'r' => "q7mz",
        'c' => "b2xk",
        'b' => "t9ap",
        _ => "e4vd",
    };
    let order: Vec<&str> = order.chars().map(key).collect();
    json!({ "firstjack": "answers", "version": 1, "pack": PACK, "seed": format!("{seed:08x}"), "listener": listener,
            "kind": "ranking", "order": order })
}

/// The same for pasting.
pub fn code(answer: &Value) -> String {
    let text = answer.to_string();
    format!("fj1.{}.{:08x}", URL_SAFE_NO_PAD.encode(&text), crc32fast::hash(text.as_bytes()))
}

/// As the page gives it now: with an identity.
pub fn ballot(identity: u64, answer: Value) -> Value {
    with(answer, "ballot", format!("{identity:016x}").into())
}

/// The same with another field.
pub fn with(mut answer: Value, field: &str, value: Value) -> Value {
    answer[field] = value;
    answer
}

/// What the program tells scripts of these answers, one a line.
#[track_caller]
pub fn told(answers: &[Value]) -> Value {
    let sandbox = with_page();
    sandbox.write("answers.txt", lines(answers));
    sandbox.json(&["votes", "page.html", "answers.txt"])
}

/// The same for a person's eyes.
#[track_caller]
pub fn said(answers: &[Value]) -> String {
    let sandbox = with_page();
    sandbox.write("answers.txt", lines(answers));
    sandbox.done(&["votes", "page.html", "answers.txt"])
}

fn lines(answers: &[Value]) -> String {
    answers.iter().map(|answer| code(answer) + "\n").collect()
}
