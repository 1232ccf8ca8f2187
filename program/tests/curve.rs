//! `firstjack curve`: the table's rows against textbook formulas, and pictures in which no label lies on another, read by an XML parser
//! and measured by an SVG library.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use firstjack_looks::letters;
use proptest::prelude::*;
use resvg::tiny_skia::{Pixmap, Rect};
use resvg::usvg::{self, fontdb};
use roxmltree::{Document, Node};

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
        labels_are_clear(&drawn);
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

/// Pictures of each kind of pickup, by title, scale, and whether there is a line across above which to stay.
#[test]
fn pictures_say_what_they_show() {
    let cases = [
        (COIL, "Response of a 4.7 H pickup, guitar", "against the open-circuit voltage", false),
        (TRANSFORMER, "Loss of a 1 nF pickup, double bass", "against the unloaded pickup", true),
    ];
    for (setups, title, scale, has_line) in cases {
        let drawn = curve(&Sandbox::new(), setups, "x.svg");
        let texts = labels_are_clear(&drawn);
        for text in [title, &format!("level in dB {scale}"), "frequency in Hz"] {
            assert!(texts.iter().any(|known| known == text), "{text} in {texts:?}");
        }
        assert_eq!(texts.iter().any(|text| text.starts_with("1 dB down")), has_line, "{texts:?}");
        assert!(texts.iter().any(|text| text.starts_with("Ask for an input of ")), "{texts:?}");
    }
}

/// Undoing 1 MΩ on 680 pF within 24 dB (textbook RC), down again below half of 55 Hz by Butterworth's high-pass of second order.
#[test]
fn a_change_is_the_inverse_within_its_limits() {
    let sandbox = Sandbox::new();
    let line = "curve --change --pickup 680p --recorded-through 1M --load none --load 470k --instrument guitarron --undo-floor 0.5 -o";
    let words: Vec<&str> = line.split(' ').collect();
    sandbox.done(&[&words[..], &["x.csv"]].concat());
    let text = String::from_utf8(sandbox.read("x.csv")).unwrap();
    let mut lines = text.lines();
    assert_eq!(lines.next(), Some("setup,pickup,hz,db"));
    let from_hz = rc_corner_hz(1e6, 680e-12);
    let (to_hz, lower_hz) = (rc_corner_hz(470e3, 680e-12), from_hz * 10f64.powf(-24.0 / 20.0));
    let mut count = 0;
    for line in lines {
        let [setup, pickup, hz, db] = line.split(',').collect::<Vec<_>>()[..] else { panic!("{line}") };
        let (hz, db): (f64, f64) = (hz.parse().unwrap(), db.parse().unwrap());
        let high_pass_db = 10.0 * (1.0 + (27.5 / hz).powi(4)).log10();
        let expected = match setup {
            // Above the corner that the ceiling sets, `(f² + fA²)/(f² + fc²)`.
            "none" => rc_loss_db(from_hz, hz) - rc_loss_db(lower_hz, hz) - high_pass_db,
            "470 kΩ" => rc_loss_db(from_hz, hz) - rc_loss_db(to_hz, hz),
            other => panic!("{other}"),
        };
        assert_eq!(pickup, "1");
        assert!((db - expected).abs() < 1e-6, "{setup}, {hz} Hz: {db}, formula {expected}");
        count += 1;
    }
    assert_eq!(count, 2 * 501);
    sandbox.done(&[&words[..], &["x.svg"]].concat());
    // A long line has two.
    let texts = labels_are_clear(&String::from_utf8(sandbox.read("x.svg")).unwrap()).join(" ");
    for said in [
        "What is done to the take of a 680 pF pickup, guitarrón",
        "At most 24 dB of boost; below 27.5 Hz it comes down again (second order), which costs the lowest string 0.3 dB.",
        "level in dB against the take",
    ] {
        assert!(texts.contains(said), "{said} in {texts}");
    }
}

/// Each pickup's track has a change of its own.
#[test]
fn a_blends_changes_are_one_for_each_pickup() {
    let sandbox = Sandbox::new();
    sandbox
        .write("given.toml", TWINS.replace("POLARITY", "same").replace("load = \"none\"", "load = \"1M\""));
    sandbox.done(&["curve", "--change", "--setups", "given.toml", "-o", "x.svg"]);
    let texts = labels_are_clear(&String::from_utf8(sandbox.read("x.svg")).unwrap());
    for said in ["heard, 1", "heard, 2", "At most 24 dB of boost."] {
        assert!(texts.iter().any(|text| text == said), "{said} in {texts:?}");
    }
}

#[test]
fn changes_that_cannot_be_drawn_are_refused() {
    let sandbox = Sandbox::new();
    let pickup = ["curve", "--pickup", "680p", "-o", "x.svg"];
    for (more, said) in [
        (&["--load", "none", "--undo-floor", "0.5"][..], "--change"),
        (&["--load", "none", "--recorded-through", "1M"], "--change"),
        (&["--change", "--load", "none"], "give --recorded-through 22M"),
        (
            &["--change", "--load", "1M", "--recorded-through", "22M", "--undo-floor", "0.5"],
            "--undo-floor: nothing that is asked for lifts the lows",
        ),
        (
            &["--change", "--load", "none", "--recorded-through", "1M", "--undo-floor", "0.6"],
            "accepted are 0.1 to 0.5",
        ),
    ] {
        let outcome = sandbox.run(&[&pickup[..], more].concat());
        assert_eq!(outcome.code, Some(2), "{more:?}: {outcome:?}");
        assert!(outcome.stderr.contains(said), "{more:?}: {outcome:?}");
        assert!(!sandbox.path("x.svg").exists());
    }
}

/// Elements of a class.
fn of_class<'a, 'b>(svg: &'a Document<'b>, class: &str) -> Vec<Node<'a, 'b>> {
    let has = |node: &Node| node.attribute("class").is_some_and(|all| all.split(' ').any(|one| one == class));
    svg.descendants().filter(has).collect()
}

fn number(node: &Node, name: &str) -> f64 {
    node.attribute(name).unwrap().parse().unwrap()
}

/// Where a name of an axis stands.
fn place(svg: &Document, attribute: &str, name: &str) -> f64 {
    let mut names = of_class(svg, "scale").into_iter().flat_map(|group| group.children());
    number(&names.find(|text| text.text() == Some(name)).unwrap(), attribute)
}

fn points(path: &str) -> Vec<(f64, f64)> {
    let point = |text: &str| {
        let (x, y) = text.split_once(' ').unwrap();
        (x.parse().unwrap(), y.parse().unwrap())
    };
    path.trim_start_matches('M').split('L').map(point).collect()
}

/// A first-order high-pass at half, once and twice its corner (textbook RC), and the line of 1 dB, read off by the axes' names.
#[test]
fn pictures_are_drawn_where_their_axes_say() {
    let sandbox = Sandbox::new();
    sandbox.done(&["curve", "--pickup", "680p", "--load", "470k", "-o", "x.svg"]);
    let drawn = String::from_utf8(sandbox.read("x.svg")).unwrap();
    let svg = Document::parse(&drawn).unwrap();
    let (x100, x1k, y0, y10) =
        (place(&svg, "x", "100"), place(&svg, "x", "1k"), place(&svg, "y", "0"), place(&svg, "y", "−10"));
    let [line] = of_class(&svg, "curve-0")[..1] else { panic!("no curve") };
    let points = points(line.attribute("d").unwrap());
    let corner_hz = rc_corner_hz(470e3, 680e-12);
    for hz in [0.5 * corner_hz, corner_hz, 2.0 * corner_hz] {
        let x = x100 + (x1k - x100) * (hz / 100.0).log10();
        let y = y0 + (y10 - y0) * rc_loss_db(corner_hz, hz) / 10.0;
        let next = points.iter().position(|point| point.0 > x).unwrap();
        let (before, after) = (points[next - 1], points[next]);
        let drawn = before.1 + (after.1 - before.1) * (x - before.0) / (after.0 - before.0);
        assert!((drawn - y).abs() < 0.2, "{hz} Hz: {drawn} instead of {y}");
    }
    let ask = of_class(&svg, "ask")[0].attribute("d").unwrap();
    let y: f64 = ask.split([' ', 'H']).nth(1).unwrap().parse().unwrap();
    assert!((y - (y0 + (y10 - y0) / 10.0)).abs() < 0.1, "{ask}");
}

/// In the letters that are built in, as pictures in pixels have them.
fn tree(svg: &str) -> usvg::Tree {
    let mut fonts = fontdb::Database::new();
    fonts.load_font_data(letters::REGULAR.to_vec());
    fonts.load_font_data(letters::SEMIBOLD.to_vec());
    fonts.set_sans_serif_family(letters::FAMILY);
    usvg::Tree::from_str(svg, &usvg::Options { fontdb: Arc::new(fonts), ..usvg::Options::default() }).unwrap()
}

fn texts(group: &usvg::Group, all: &mut Vec<(String, Rect)>) {
    for node in group.children() {
        match node {
            usvg::Node::Group(group) => texts(group, all),
            usvg::Node::Text(text) => {
                let said = text.chunks().iter().map(usvg::TextChunk::text).collect();
                all.push((said, text.abs_bounding_box()));
            }
            _ => {}
        }
    }
}

/// No text leaves the picture, none lies on another. Gives them.
#[track_caller]
fn labels_are_clear(svg: &str) -> Vec<String> {
    let tree = tree(svg);
    let mut all = Vec::new();
    texts(tree.root(), &mut all);
    assert!(all.len() > 10, "the judge itself: {all:?}");
    let picture = Rect::from_xywh(0.0, 0.0, tree.size().width(), tree.size().height()).unwrap();
    for (index, (text, place)) in all.iter().enumerate() {
        let is_inside = place.left() >= picture.left()
            && place.right() <= picture.right()
            && place.top() >= picture.top()
            && place.bottom() <= picture.bottom();
        assert!(is_inside, "'{text}' at {place:?} leaves {picture:?}");
        for (other, where_other) in &all[..index] {
            assert!(place.intersect(where_other).is_none(), "'{text}' lies on '{other}' at {place:?}");
        }
    }
    all.into_iter().map(|(text, _)| text).collect()
}

/// So many setups, with loads from 10 kΩ to 22 MΩ.
fn setups(names: &[String]) -> String {
    let mut file =
        "version = 1\nname = \"many\"\npickup = { capacitance = \"680 pF\" }\nrecorded = { load = \"none\" }\n"
            .to_owned();
    for (index, name) in names.iter().enumerate() {
        let part = f64::from(u32::try_from(index).unwrap()) / f64::from(u32::try_from(names.len()).unwrap());
        let quoted: String = name.chars().map(|c| format!("\\U{:08x}", u32::from(c))).collect();
        file += &format!("[[setup]]\nname = \"{quoted}\"\nload = \"{:.1}k\"\n", 10.0 * 2200_f64.powf(part));
    }
    file
}

fn counted(count: usize) -> Vec<String> {
    (1..=count).map(|number| format!("box {number}")).collect()
}

#[test]
fn lines_differ_and_are_all_named() {
    for count in [1, 6, 7, 8, 9, 12, 24, 40] {
        let drawn = curve(&Sandbox::new(), &setups(&counted(count)), "x.svg");
        let texts = labels_are_clear(&drawn);
        for name in counted(count) {
            assert!(texts.contains(&name), "{name} in {texts:?}");
        }
        let svg = Document::parse(&drawn).unwrap();
        let [curves] = of_class(&svg, "curves")[..] else { panic!("no curves") };
        let look = |path: Node| {
            (
                path.attribute("class").unwrap().to_owned(),
                path.attribute("stroke-dasharray").unwrap().to_owned(),
            )
        };
        let paths: Vec<Node> = curves.children().filter(Node::is_element).collect();
        let looks: BTreeSet<_> = paths.iter().map(|path| look(*path)).collect();
        assert_eq!((paths.len(), looks.len()), (count, count));
        let told: Vec<_> =
            paths.iter().map(|path| path.children().find_map(|title| title.text()).unwrap()).collect();
        assert_eq!(told, counted(count));
        // Once there are more lines than colours each bears a number, on the line itself.
        let tags = of_class(&svg, "tag");
        assert_eq!(tags.len(), if count > 8 { count } else { 0 }, "{count} curves");
        for (tag, path) in tags.iter().zip(&paths) {
            let middle = number(tag, "x") + 0.5 * number(tag, "width");
            let at = (number(tag, "y"), number(tag, "y") + number(tag, "height"));
            let points = points(path.attribute("d").unwrap());
            let nearest = points.iter().min_by(|a, b| (a.0 - middle).abs().total_cmp(&(b.0 - middle).abs()));
            let (_, y) = nearest.unwrap();
            assert!((at.0 - 0.1..=at.1 + 0.1).contains(y), "{tag:?} is not on its line");
        }
    }
}

#[test]
fn more_lines_than_eyes_can_tell_are_refused_and_tables_take_any() {
    let sandbox = Sandbox::new();
    sandbox.write("many.toml", setups(&counted(41)));
    for name in ["x.svg", "x.png"] {
        let outcome = sandbox.run(&["curve", "--setups", "many.toml", "-o", name]);
        assert_eq!(outcome.code, Some(2));
        assert!(outcome.stderr.contains("41 curves") && outcome.stderr.contains("up to 40"), "{outcome:?}");
        assert!(!sandbox.path(name).exists());
    }
    sandbox.done(&["curve", "--setups", "many.toml", "-o", "x.csv"]);
    assert_eq!(rows(&String::from_utf8(sandbox.read("x.csv")).unwrap()).len(), 41);
}

/// 680 pF into 10 kΩ is 61 dB down at 20 Hz (textbook RC).
#[test]
fn axes_have_few_whole_steps_and_hold_all_levels() {
    for (setups, lowest_db) in [
        (setups(&counted(40)), -61.4),
        (setups(&counted(1)), -61.4),
        (TWINS.replace("POLARITY", "reversed"), -100.0),
        (COIL.to_owned(), -20.0),
    ] {
        let drawn = curve(&Sandbox::new(), &setups, "x.svg");
        let svg = Document::parse(&drawn).unwrap();
        let [_, levels, ..] = of_class(&svg, "scale")[..] else { panic!("no scales") };
        let named = levels.descendants().filter_map(|text| text.text()?.replace('−', "-").parse().ok());
        let levels: Vec<i32> = named.collect::<BTreeSet<i32>>().into_iter().collect();
        assert!((4..=8).contains(&levels.len()), "{levels:?}");
        assert!(levels.contains(&0), "{levels:?}");
        let steps: BTreeSet<i32> = levels.windows(2).map(|two| two[1] - two[0]).collect();
        assert_eq!(steps.len(), 1, "{levels:?}");
        let lowest = f64::from(levels[0]);
        assert!(lowest <= lowest_db && lowest > lowest_db - 21.0, "{levels:?}");
    }
}

#[test]
fn names_of_any_length_have_room() {
    for names in [
        vec!["W".repeat(300)],
        (1..=40).map(|number| format!("{number} {}", "wide name ".repeat(20))).collect(),
        (1..=12).map(|number| "m".repeat(8 * number)).collect(),
    ] {
        let drawn = curve(&Sandbox::new(), &setups(&names), "x.svg");
        let texts = labels_are_clear(&drawn);
        let cut = texts.iter().filter(|text| text.ends_with('…')).count();
        let svg = Document::parse(&drawn).unwrap();
        let [legend] = of_class(&svg, "legend")[..] else { panic!("no legend") };
        let titles: Vec<&str> = legend
            .descendants()
            .filter(|node| node.has_tag_name("title"))
            .filter_map(|title| title.text())
            .collect();
        assert_eq!(titles.len(), cut, "whatever is cut is told in full");
        assert!(
            cut > 0 && titles.iter().all(|title| names.iter().any(|name| name.trim() == title.trim())),
            "{titles:?}"
        );
    }
}

/// Tunings of one's own may have any number of strings, close together.
#[test]
fn strings_that_are_close_are_marked_without_being_on_each_other() {
    let sandbox = Sandbox::new();
    let all: Vec<String> = (0..6)
        .flat_map(|octave| {
            ["C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"]
                .map(|note| format!("{note}{octave}"))
        })
        .collect();
    sandbox.done(&["curve", "--pickup", "680p", "--load", "1M", "--strings", &all.join(" "), "-o", "x.svg"]);
    let drawn = String::from_utf8(sandbox.read("x.svg")).unwrap();
    labels_are_clear(&drawn);
    let svg = Document::parse(&drawn).unwrap();
    let [strings] = of_class(&svg, "strings")[..] else { panic!("no strings") };
    // C0 to Eb0 lie below 20 Hz (ISO 16).
    assert_eq!(strings.children().filter(|node| node.has_tag_name("path")).count(), 68);
}

/// The picture in pixels is the drawing, twice as sharp, the same on every run, and every line's colour is in it.
#[test]
fn pixels_are_the_drawing() {
    let sandbox = Sandbox::new();
    let courtyard = sandbox.courtyard();
    for name in ["x.svg", "x.png", "y.png"] {
        sandbox.done(&["curve", "--setups", courtyard, "-o", name]);
    }
    assert_eq!(sandbox.read("x.png"), sandbox.read("y.png"));
    let drawn = String::from_utf8(sandbox.read("x.svg")).unwrap();
    labels_are_clear(&drawn);
    let pixels = Pixmap::decode_png(&sandbox.read("x.png")).unwrap();
    let size = tree(&drawn).size();
    #[expect(clippy::cast_precision_loss, reason = "some thousand pixels")]
    let shown = (pixels.width() as f32, pixels.height() as f32);
    assert_eq!(shown, (2.0 * size.width(), 2.0 * size.height()));
    let colours: BTreeSet<[u8; 3]> = pixels.pixels().iter().map(|p| [p.red(), p.green(), p.blue()]).collect();
    let svg = Document::parse(&drawn).unwrap();
    let style = svg.descendants().find(|node| node.has_tag_name("style")).unwrap().text().unwrap();
    for number in 0..6 {
        let colour = style.split(&format!(".curve-{number}{{stroke:#")).nth(1).unwrap();
        let part = |at: usize| u8::from_str_radix(&colour[at..at + 2], 16).unwrap();
        assert!(colours.contains(&[part(0), part(2), part(4)]), "curve {number}");
    }
    assert!(pixels.pixels().iter().all(|pixel| pixel.is_opaque()));
    assert_eq!(pixels.pixel(0, 0).map(|pixel| pixel.red()), Some(255), "light ground");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    /// Whatever setups are called and however many there are.
    #[test]
    fn any_names_make_a_picture(names in prop::collection::vec(".{1,80}", 1..=40)) {
        let drawn = curve(&Sandbox::new(), &setups(&names), "x.svg");
        Document::parse(&drawn).unwrap();
        labels_are_clear(&drawn);
    }
}
