//! The response and the sound against ngspice's tables of the same circuits (`tests/reference`, whose README gives the
//! format). The tables are ngspice's own: nothing of ours took part in making them.

use std::f64::consts::TAU;
use std::fs;
use std::io::{Write, stderr};
use std::path::{Path, PathBuf};
use std::process::Command;

use dsp_core::circuit::{Chain, Pickup, Shunt};
use dsp_core::filter::accurate_to_hz;
use dsp_core::processor::Processor;
use dsp_core::response::{Ceiling, Change, Transfer};
use dsp_core::units::{Capacitance, Load, Resistance};

/// Relative, of the complex value: the bar that the tables are held to themselves.
const TOLERANCE: f64 = 1e-6;

/// The bound on the filter that the issue sets.
const BOUND_DB: f64 = 0.004;

type Complex = (f64, f64);

/// One table and the circuit in its header.
struct Table {
    name: String,
    pickup: Pickup,
    /// From the figures in the header.
    shunt: Shunt,
    /// The same as it is typed.
    load: Load,
    /// Frequency in Hz and H.
    rows: Vec<(f64, Complex)>,
}

fn reference() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("reference")
}

/// Every `.ac` table; the `.tran` table, which has no frequencies, is for the Python suite.
fn tables() -> Vec<Table> {
    let mut paths: Vec<PathBuf> =
        fs::read_dir(reference()).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.retain(|path| path.extension().is_some_and(|extension| extension == "csv"));
    paths.sort();
    let texts = paths.iter().map(|path| (path, fs::read_to_string(path).unwrap()));
    let tables: Vec<Table> = texts
        .filter(|(_, text)| text.contains("\nfreq_hz,re,im\n"))
        .map(|(path, text)| read(path, &text))
        .collect();
    assert!(tables.len() >= 6, "{} circuits, and at least six are wanted", tables.len());
    tables
}

fn read(path: &Path, text: &str) -> Table {
    let name = path.file_stem().unwrap().to_string_lossy().into_owned();
    assert!(text.contains("# made by ngspice-"), "{name} does not say what made it");
    let comment = |marker: &str| {
        let line = text.lines().find(|line| line.starts_with(marker));
        line.unwrap_or_else(|| panic!("{name} has no line '{marker}'"))
    };
    let circuit = comment("# pickup_farads=");
    let value = |key: &str| -> f64 {
        circuit
            .split(' ')
            .find_map(|field| field.strip_prefix(key)?.strip_prefix('='))
            .unwrap()
            .parse()
            .unwrap()
    };
    let leak_ohms = value("leak_ohms");
    let pickup = Pickup {
        capacitance: Capacitance::from_farads(value("pickup_farads")).unwrap(),
        leakage: leak_ohms.is_finite().then(|| Resistance::from_ohms(leak_ohms).unwrap()),
    };
    let shunt = Shunt { siemens: value("load_ohms").recip(), farads: value("load_farads") };
    let data = text.lines().skip_while(|line| !line.starts_with("freq_hz")).skip(1);
    let load = comment("# load: ").trim_start_matches("# load: ").parse().unwrap();
    let row = |line: &str| {
        let fields: Vec<f64> = line.split(',').map(|field| field.parse().unwrap()).collect();
        (fields[0], (fields[1], fields[2]))
    };
    Table { name, pickup, shunt, load, rows: data.map(row).collect() }
}

/// `|a/b - 1|`.
fn apart(a: Complex, b: Complex) -> f64 {
    f64::hypot(a.0 - b.0, a.1 - b.1) / f64::hypot(b.0, b.1)
}

fn db(value: Complex) -> f64 {
    20.0 * f64::hypot(value.0, value.1).log10()
}

#[test]
fn responses_are_those_of_ngspice() {
    for table in tables() {
        assert!(table.rows.len() >= 50, "{} has {} rows", table.name, table.rows.len());
        for shunt in [table.shunt, Chain::from(&table.load).shunt()] {
            let transfer = Transfer::new(&table.pickup, shunt);
            for &(hz, expected) in &table.rows {
                let h = transfer.at(hz);
                let apart = apart((h.re, h.im), expected);
                assert!(apart <= TOLERANCE, "{} at {hz} Hz: {apart:e}", table.name);
                let loss_db = transfer.loss_db(hz);
                assert!((loss_db + db(expected)).abs() <= 1e-5, "{} at {hz} Hz: {loss_db} dB", table.name);
            }
        }
    }
}

/// From each load to each other on the same pickup: the quotient of two tables.
#[test]
fn changes_are_quotients_of_two_tables() {
    let tables = tables();
    let mut pairs = 0;
    for (from, to) in tables.iter().flat_map(|from| tables.iter().map(move |to| (from, to))) {
        if from.pickup != to.pickup || from.name == to.name {
            continue;
        }
        pairs += 1;
        let change = Change::new(&from.pickup, from.shunt, to.shunt);
        for (&(hz, a), &(_, b)) in from.rows.iter().zip(&to.rows) {
            let k = change.at(hz);
            // K a = b.
            let product = (k.re * a.0 - k.im * a.1, k.re * a.1 + k.im * a.0);
            let apart = apart(product, b);
            assert!(apart <= 2.0 * TOLERANCE, "{} to {} at {hz} Hz: {apart:e}", from.name, to.name);
        }
    }
    assert!(pairs >= 6, "{pairs} pairs");
}

/// The spectrum of what comes out for a single pulse, up to where the bound holds.
#[test]
fn sound_is_that_of_ngspice() {
    for rate_hz in [44_100_u32, 96_000] {
        let top_hz = accurate_to_hz(f64::from(rate_hz));
        for table in tables() {
            let change = Change::new(&table.pickup, Shunt::default(), table.shunt);
            let mut processor = Processor::new(f64::from(rate_hz), 1).unwrap();
            processor.change(&change.shape(Ceiling::default()), 1.0);
            // Two seconds: by then the slowest corner here has decayed by far more than the bar.
            let mut pulse = vec![vec![0.0_f64; usize::try_from(2 * rate_hz).unwrap()]];
            pulse[0][0] = 1.0;
            processor.process(&mut pulse);
            for &(hz, expected) in table.rows.iter().filter(|(hz, _)| (10.0..=top_hz).contains(hz)).step_by(2)
            {
                let off_db = db(spectrum(&pulse[0], hz / f64::from(rate_hz))) - db(expected);
                assert!(off_db.abs() <= BOUND_DB, "{} at {hz} Hz, rate {rate_hz}: {off_db} dB", table.name);
            }
        }
    }
}

/// The Fourier sum at a frequency in cycles a sample, by turning a phasor on.
fn spectrum(signal: &[f64], cycles: f64) -> Complex {
    let (sin, cos) = (-TAU * cycles).sin_cos();
    let (mut re, mut im, mut turn) = (0.0, 0.0, (1.0, 0.0));
    for value in signal {
        re += value * turn.0;
        im += value * turn.1;
        turn = (turn.0 * cos - turn.1 * sin, turn.0 * sin + turn.1 * cos);
    }
    (re, im)
}

/// Makes the tables anew where ngspice is installed. Where it is not, this says so: the kept tables are compared above.
#[test]
fn the_tables_are_what_ngspice_makes_today() {
    if Command::new("ngspice").arg("--version").output().is_err() {
        // Past the test harness, which shows what passing tests print to nobody.
        let said = writeln!(stderr(), "SKIPPED: ngspice is not installed, so the tables were not made anew");
        said.unwrap();
        return;
    }
    let script = reference().join("make_tables.py");
    let output = Command::new("python3").arg(script).arg("--check").output().unwrap();
    println!("{}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
    assert!(output.status.success(), "the tables differ from what ngspice makes today");
}
