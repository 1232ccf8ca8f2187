//! Values within tolerances on a page: ranges in words and tables, bands in the chart. Extremes of RC circuits are those of their
//! corners (textbook).

use super::page::{Element, Page};
use super::{PACK, TWO, music};
use crate::support::{Sandbox, rc_corner_hz, rc_loss_db};

/// 680 pF within 30 %, the combo's 470 kΩ within 20 %.
fn page(options: &[&str]) -> Page {
    let file = TWO.replace("version = 1", "version = 4").replace("680 pF", "680 pF ±30 %");
    let sandbox = Sandbox::new();
    sandbox.write("take.wav", music().bytes());
    sandbox.write("two.toml", file.replace("470k", "470k ±20 %"));
    sandbox.done(&[&PACK, options].concat());
    Page::parse(&sandbox.read("page.html"))
}

/// The least and the most that is lost at a frequency.
fn passive_box_db(hz: f64) -> (f64, f64) {
    let loss = |part: f64| rc_loss_db(rc_corner_hz(56e3, part * 680e-12), hz);
    (loss(1.3), loss(0.7))
}

fn combo_db(hz: f64) -> (f64, f64) {
    let loss = |part: f64, ohms: f64| rc_loss_db(rc_corner_hz(ohms, part * 680e-12), hz);
    (loss(1.3, 1.2 * 470e3), loss(0.7, 0.8 * 470e3))
}

/// What stands in the row of a setup.
fn cells<'a>(page: &'a Page, setup: &str) -> Vec<&'a str> {
    let is_row = |element: &Element| element.get("scope") == Some("row");
    let named =
        page.elements.iter().skip_while(|element| !(is_row(element) && element.text == setup)).skip(1);
    let row = named.take_while(|element| !is_row(element)).filter(|element| element.name == "td");
    row.map(|element| element.text.as_str()).collect()
}

#[test]
fn verdicts_and_strings_are_ranges() {
    let (english, german) = (page(&[]), page(&["--language", "de"]));
    let shown = |page: &Page, said: &str| page.elements.iter().any(|element| element.text.contains(said));
    for (name, range) in [("passive box", passive_box_db as fn(f64) -> (f64, f64)), ("combo", combo_db)] {
        let (low, high) = range(55.0);
        let verdict = format!("low A loses {low:.0} to {high:.0} dB through the {name}");
        assert!(shown(&english, &verdict), "no '{verdict}'");
        let verdict = format!("Das tiefe A verliert {low:.0} bis {high:.0} dB über „{name}“");
        assert!(shown(&german, &verdict), "no '{verdict}'");
        let cells = [cells(&english, name), cells(&german, name)];
        // From low to high, A1 D2 G2 A2 C3 E3 are so many semitones below A4 (ISO 16).
        for (string, semitones) in [36.0, 31.0, 26.0, 24.0, 21.0, 17.0_f64].into_iter().enumerate() {
            let (low, high) = range(440.0 * (-semitones / 12.0).exp2());
            assert_eq!(cells[0][string], format!("{low:.1} to {high:.1}"));
            assert_eq!(cells[1][string], format!("{low:.1} bis {high:.1}").replace('.', ","));
        }
    }
}

/// The outline goes along what is lost at most and back along what is lost at least, read off by the chart's own scale.
#[test]
fn curves_have_bands() {
    let page = page(&[]);
    let number = |element: &Element, name: &str| element.get(name).and_then(|text| text.parse::<f64>().ok());
    let chart = page.elements.iter().skip_while(|element| element.get("id") != Some("curves-plot-title"));
    let chart: Vec<&Element> = chart.take_while(|element| element.name != "svg").collect();
    let scale = chart.iter().filter(|element| element.get("dy") == Some("0.35em"));
    let marks: Vec<(f64, f64)> = scale
        .filter_map(|mark| Some((number(mark, "y")?, mark.text.replace('−', "-").parse().ok()?)))
        .collect();
    let [(first_y, first_db), .., (last_y, last_db)] = marks[..] else { panic!("{marks:?}") };
    let db = |y: f64| first_db + (y - first_y) * (last_db - first_db) / (last_y - first_y);
    let bands =
        chart.iter().filter(|element| element.get("class").is_some_and(|class| class.starts_with("band-")));
    let bands: Vec<&str> = bands.filter_map(|band| band.get("d")).collect();
    assert_eq!(bands.len(), 3, "as recorded too");
    for (band, range) in bands[1..].iter().zip([passive_box_db as fn(f64) -> (f64, f64), combo_db]) {
        let points = band.trim_matches(['M', 'Z']).split('L').map(|point| point.split_once(' ').unwrap().1);
        let levels: Vec<f64> = points.map(|y| db(y.parse().unwrap())).collect();
        let half = levels.len() / 2;
        for at in 0..half {
            let steps = f64::from(u32::try_from(at).unwrap()) / f64::from(u32::try_from(half - 1).unwrap());
            let (least, most) = range(20.0 * 1e3_f64.powf(steps));
            // The drawing is rounded to tenths of its units.
            for (level, loss) in [(levels[at], most), (levels[2 * half - 1 - at], least)] {
                assert!((level + loss).abs() < 0.03, "{level} dB drawn, {loss} dB lost");
            }
        }
    }
}
