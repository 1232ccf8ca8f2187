//! `firstjack curve`: the table's rows against textbook formulas, and pictures whose legend is out of the way.

use std::collections::BTreeMap;

use crate::support::{Sandbox, rc_corner_hz, rc_loss_db};

/// Rows of a table by setup and pickup: hz, re, im, db.
type Rows = BTreeMap<(String, String), Vec<[f64; 4]>>;

/// Draws into `name` and gives the file's text.
fn curve(sandbox: &Sandbox, setups: &str, name: &str) -> String {
    sandbox.write("given.toml", setups);
    sandbox.done(&["curve", "--setups", "given.toml", "-o", name]);
    String::from_utf8(sandbox.read(name)).unwrap()
}

fn rows(text: &str) -> Rows {
    let mut lines = text.lines();
    assert_eq!(lines.next(), Some("setup,pickup,hz,re,im,db"));
    let mut rows = Rows::new();
    for line in lines {
        // From the end: only the setup's name may have commas.
        let fields: Vec<&str> = line.rsplitn(6, ',').collect();
        let number = |index: usize| -> f64 { fields[index].parse().unwrap() };
        let key = (fields[5].to_owned(), fields[4].to_owned());
        rows.entry(key).or_default().push([number(3), number(2), number(1), number(0)]);
    }
    rows
}

fn key(setup: &str, pickup: &str) -> (String, String) {
    (setup.to_owned(), pickup.to_owned())
}

#[test]
fn the_table_of_a_capacitive_pickup_is_the_textbooks() {
    let sandbox = Sandbox::new();
    sandbox.done(&["curve", "--pickup", "680p", "--load", "1M", "--load", "none", "-o", "x.csv"]);
    let text = String::from_utf8(sandbox.read("x.csv")).unwrap();
    let rows = rows(&text);
    let keys: Vec<_> = rows.keys().cloned().collect();
    assert_eq!(keys, [key("1 MΩ", "1"), key("none", "1")]);
    let corner_hz = rc_corner_hz(1e6, 680e-12);
    let loaded = &rows[&key("1 MΩ", "1")];
    assert_eq!((loaded.len(), loaded[0][0], loaded[500][0]), (501, 1.0, 1e5));
    for (step, [hz, re, im, db]) in (0_u32..).zip(loaded) {
        assert!((hz.log10() - f64::from(step) / 100.0).abs() < 1e-14);
        // H = jx / (1 + jx), x = f / fc.
        let x = hz / corner_hz;
        let expected = (x * x / (1.0 + x * x), x / (1.0 + x * x));
        assert!((re / expected.0 - 1.0).abs() < 1e-12 && (im / expected.1 - 1.0).abs() < 1e-12, "{hz} Hz");
        assert!((db + rc_loss_db(corner_hz, *hz)).abs() < 1e-9, "{hz} Hz: {db} dB");
    }
    assert!(rows[&key("none", "1")].iter().all(|[_, re, im, db]| (*re, *im, *db) == (1.0, 0.0, 0.0)));
    // 17 significant digits.
    assert!(text.lines().nth(1).unwrap().starts_with("1 MΩ,1,1.0000000000000000e0,"), "{text}");
}

/// Two pickups of 1 nF joined directly: each drives the other's capacitance beside the load (textbook: superposition).
const TWINS: &str = r#"
version = 2
name = "twins"
recorded = { load = "none" }
[[blend]]
capacitance = "1 nF"
[[blend]]
capacitance = "1 nF"
polarity = "POLARITY"
[[setup]]
name = "heard"
load = "1M"
"#;

#[test]
fn a_blend_has_rows_of_each_pickup_and_of_both() {
    for (polarity, sign) in [("same", 1.0), ("reversed", -1.0)] {
        let sandbox = Sandbox::new();
        let text = curve(&sandbox, &TWINS.replace("POLARITY", polarity), "x.csv");
        let rows = rows(&text);
        assert_eq!(rows.len(), 3);
        let [one, two, both] = ["1", "2", "both"].map(|pickup| &rows[&key("heard", pickup)]);
        let corner_hz = rc_corner_hz(1e6, 2e-9);
        for ((first, second), sum) in one.iter().zip(two).zip(both) {
            let expected_db = -rc_loss_db(corner_hz, first[0]) - 20.0 * 2f64.log10();
            assert!((first[3] - expected_db).abs() < 1e-9, "{first:?}");
            for part in [1, 2] {
                assert!((second[part] / first[part] - sign).abs() < 1e-12, "{first:?} and {second:?}");
                assert_eq!(sum[part], first[part] + second[part]);
            }
        }
        // Two that cancel are as low as the picture goes, and the picture is still drawn.
        let drawn = curve(&sandbox, &TWINS.replace("POLARITY", polarity), "x.svg");
        assert!(drawn.contains("Response of a 1 nF pickup and a 1 nF pickup together, double bass"));
        legend_is_clear(&drawn);
    }
}

/// RFC 4180: quoted, with quotes doubled.
#[test]
fn names_of_setups_are_quoted() {
    let setups = r#"
version = 2
name = "names"
pickup = { capacitance = "1 nF" }
recorded = { load = "none" }
[[setup]]
name = 'a "passive" box, 56k'
load = "56k"
[[setup]]
name = "two\nlines"
load = "1M"
"#;
    let text = curve(&Sandbox::new(), setups, "x.csv");
    assert_eq!(text.matches("\n\"a \"\"passive\"\" box, 56k\",1,").count(), 501);
    assert_eq!(text.matches("\n\"two\nlines\",1,").count(), 501);
}

const COIL: &str = r#"
version = 2
name = "coil"
instrument = "guitar"
pickup = { inductance = "4.7 H", resistance = "8k2", winding = "120 pF" }
recorded = { load = "none" }
[[setup]]
name = "amplifier on a cable"
load = "1M || 6 m"
[[setup]]
name = "old pedal"
load = "47k || 6 m"
"#;

const TRANSFORMER: &str = r#"
version = 2
name = "transformer"
pickup = { capacitance = "1 nF" }
recorded = { load = "none" }
[[setup]]
name = "passive box"
chain = [{ box = "box", transformer = { primary = "47 H", ratio = "12", secondary = "1k5" } }]
"#;

/// Lines go to both lower corners, and the scale has to go further down.
const BOTH_ENDS: &str = r#"
version = 2
name = "both ends"
pickup = { inductance = "4.7 H", resistance = "8k2" }
recorded = { load = "none" }
[[setup]]
name = "loses lows"
chain = [{ box = "box", transformer = { primary = "10 mH", ratio = "10", secondary = "100k" } }]
[[setup]]
name = "loses highs"
load = "1M || 450 m"
"#;

/// Pictures of each kind of pickup, by title, scale, and the side of the picture on which their legend is.
#[test]
fn pictures_say_what_they_show() {
    let cases = [
        (COIL, "Response of a 4.7 H pickup, guitar", "against the open-circuit voltage", Some(true)),
        (TRANSFORMER, "Loss of a 1 nF pickup, double bass", "against the unloaded pickup", Some(false)),
        (BOTH_ENDS, "Response of a 4.7 H pickup, double bass", "against the open-circuit voltage", None),
    ];
    for (setups, title, scale, left) in cases {
        let drawn = curve(&Sandbox::new(), setups, "x.svg");
        assert!(drawn.contains(&format!("\n{title}\n")), "{title}");
        assert!(drawn.contains(&format!("level in dB {scale}\n")), "{title}");
        let [from_x, ..] = legend_is_clear(&drawn);
        assert!(left.is_none_or(|left| left == (from_x < 400.0)), "{title}: legend at {from_x}");
    }
}

#[test]
fn the_courtyard_is_drawn_as_it_always_was() {
    let sandbox = Sandbox::new();
    let courtyard = sandbox.courtyard();
    sandbox.done(&["curve", "--setups", courtyard, "-o", "x.svg"]);
    let drawn = String::from_utf8(sandbox.read("x.svg")).unwrap();
    assert!(drawn.contains("\nLoss of a 680 pF pickup, guitarrón\n"));
    let [from_x, from_y, ..] = legend_is_clear(&drawn);
    assert_eq!((from_x, from_y), (891.0, 490.0));
}

/// No curve goes through the legend, whose samples of lines are drawn after it. Gives its left, top, right and lower edge.
fn legend_is_clear(drawn: &str) -> [f64; 4] {
    let legend = drawn.rfind("stroke=\"#969696\"").unwrap();
    let (before, line) = (&drawn[..legend], drawn[..legend].rfind("<rect").unwrap());
    let value = |name: &str| -> f64 {
        let text = &drawn[line..legend];
        let from = text.find(&format!(" {name}=\"")).unwrap() + name.len() + 3;
        text[from..].split('"').next().unwrap().parse().unwrap()
    };
    let edges = [value("x"), value("y"), value("x") + value("width"), value("y") + value("height")];
    let mut points = 0;
    for line in before.lines().filter(|line| line.contains("stroke-width=\"3\"")) {
        let list = line.split("points=\"").nth(1).unwrap().split('"').next().unwrap();
        for point in list.split_whitespace() {
            let (x, y) = point.split_once(',').unwrap();
            let (x, y): (f64, f64) = (x.parse().unwrap(), y.parse().unwrap());
            let inside = (edges[0]..=edges[2]).contains(&x) && (edges[1]..=edges[3]).contains(&y);
            assert!(!inside, "a curve goes through the legend at {x}, {y}");
            points += 1;
        }
    }
    assert!(points > 400, "{points} points of curves");
    edges
}
