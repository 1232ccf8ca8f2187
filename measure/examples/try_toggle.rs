//! Drives toggles before the program does.
#![allow(clippy::all, missing_docs, clippy::cast_precision_loss)]
use firstjack_measure::{Estimate, Recording, rub, toggle};
fn j(e: Option<Estimate>) -> String {
    e.map_or("null".into(), |e| {
        format!("{{\"value\":{:e},\"low\":{:e},\"high\":{:e}}}", e.value, e.low, e.high)
    })
}
fn main() {
    // lines on stdin: method wav load_a added marks cable|- ; one JSON a line
    for line in std::io::stdin().lines() {
        let line = line.unwrap();
        let f: Vec<&str> = line.split('\t').collect();
        let mut r = hound::WavReader::open(f[1]).unwrap();
        let rate_hz = f64::from(r.spec().sample_rate);
        let samples: Vec<f64> = match r.spec().sample_format {
            hound::SampleFormat::Float => r.samples::<f32>().map(|s| f64::from(s.unwrap())).collect(),
            hound::SampleFormat::Int => {
                let full = 2f64.powi(i32::from(r.spec().bits_per_sample) - 1);
                r.samples::<i32>().map(|s| f64::from(s.unwrap()) / full).collect()
            }
        };
        let take = Recording { rate_hz, samples };
        let marks: Vec<f64> = f[4].split(' ').filter(|m| !m.is_empty()).map(|m| m.parse().unwrap()).collect();
        let cable = (f[5] != "-").then(|| dsp_core::circuit::Cable::new(f[5].parse().unwrap()));
        let m = match f[0] {
            "toggle" => toggle::pickup(
                &take,
                &toggle::Toggle { load_a: f[2].parse().unwrap(), added: f[3].parse().unwrap() },
                &marks,
                cable.as_ref(),
            ),
            "rub" => rub::pickup(
                &take,
                &toggle::Toggle { load_a: f[2].parse().unwrap(), added: f[3].parse().unwrap() },
                &marks,
                cable.as_ref(),
            ),
            "box" => toggle::input_box(
                &take,
                &f[2].parse().unwrap(),
                &f[3].parse().unwrap(),
                cable.as_ref(),
                &marks,
            ),
            "suggest" => {
                println!("{:?}", toggle::suggest_marks(&take));
                continue;
            }
            _ => panic!(),
        };
        println!(
            "{{\"total\":{},\"c\":{},\"r\":{},\"refused\":{},\"remarks\":{:?}}}",
            j(m.found.total_capacitance_f),
            j(m.found.capacitance_f),
            j(m.found.input_ohms),
            m.refused.as_ref().map_or("null".into(), |r| format!("{:?}", format!("{:?}: {r}", r))),
            m.remarks
        );
    }
}
