//! The response and the sound against ngspice's tables of the same circuits (`tests/reference`, whose README gives the
//! format). The tables are ngspice's own: nothing of ours took part in making them.

mod needs;

use std::f64::consts::TAU;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use dsp_core::circuit::{CapacitivePickup, Chain, Element, Link, MagneticPickup, Pickup, Pickups};
use dsp_core::filter::Sections;
use dsp_core::preset::Preset;
use dsp_core::processor::Processor;
use dsp_core::response::{Ceiling, Change, Response, Shape, Transfer};
use dsp_core::units::{Capacitance, Load, Resistance};

/// Relative, of the complex value: the bar that the tables are held to themselves.
const TOLERANCE: f64 = 1e-6;

/// The bounds on the filter that the issue sets: without resonance, and with one of this Q at most.
const BOUND_DB: f64 = 0.004;
const RESONANT_BOUND_DB: f64 = 0.025;
const MOST_Q: f64 = 6.0;

type Complex = (f64, f64);

/// One table and its circuit.
struct Table {
    name: String,
    pickups: Pickups,
    chain: Chain,
    /// The same chain, said in another way, where the table does.
    also: Option<Chain>,
    /// Frequency in Hz, and H of each pickup.
    rows: Vec<(f64, Vec<Complex>)>,
}

fn reference() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("reference")
}

/// Every `.ac` table; the `.tran` tables, which have no frequencies, are for the Python suite.
fn tables() -> Vec<Table> {
    let mut paths: Vec<PathBuf> =
        fs::read_dir(reference()).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.retain(|path| path.extension().is_some_and(|extension| extension == "csv"));
    paths.sort();
    let texts = paths.iter().map(|path| (path, fs::read_to_string(path).unwrap()));
    let tables: Vec<Table> =
        texts.filter(|(_, text)| text.contains("\nfreq_hz,")).map(|(path, text)| read(path, &text)).collect();
    let described = tables.iter().filter(|table| table.also.is_none()).count();
    assert!(described >= 20, "{described} circuits are files of setups, and at least twenty are wanted");
    assert!(tables.len() - described >= 6, "at least six circuits in the tables' headers are wanted");
    tables
}

fn read(path: &Path, text: &str) -> Table {
    let name = path.file_stem().unwrap().to_string_lossy().into_owned();
    assert!(text.contains("# made by ngspice-"), "{name} does not say what made it");
    let (pickups, chain, also) = if text.contains("# circuit: ") {
        let (pickups, chain) = described(&path.with_extension("toml"));
        (pickups, chain, None)
    } else {
        in_header(text, &name)
    };
    let row = |line: &str| {
        let fields: Vec<f64> = line.split(',').map(|field| field.parse().unwrap()).collect();
        assert_eq!(fields.len(), 1 + 2 * pickups.count(), "{name}: {line}");
        (fields[0], fields[1..].chunks(2).map(|parts| (parts[0], parts[1])).collect())
    };
    let data = text.lines().skip_while(|line| !line.starts_with("freq_hz")).skip(1);
    let rows: Vec<_> = data.map(row).collect();
    assert!(rows.len() >= 50, "{name} has {} rows", rows.len());
    Table { name, pickups, chain, also, rows }
}

/// The circuit in a file of one setup.
fn described(path: &Path) -> (Pickups, Chain) {
    let preset = Preset::from_toml(&fs::read_to_string(path).unwrap()).unwrap();
    let [setup] = preset.setups.as_slice() else { panic!("{} has several setups", path.display()) };
    (preset.pickups.with_positions(setup.positions), setup.chain.clone())
}

/// The RC circuit in a table's header: the pickup, the load as it is typed, and the same by its figures.
fn in_header(text: &str, name: &str) -> (Pickups, Chain, Option<Chain>) {
    let comment = |marker: &str| {
        let line = text.lines().find_map(|line| line.strip_prefix(marker));
        line.unwrap_or_else(|| panic!("{name} has no line '{marker}'"))
    };
    let circuit = format!("pickup_farads={}", comment("# pickup_farads="));
    let value = |key: &str| -> f64 {
        let mut fields = circuit.split(' ');
        fields.find_map(|field| field.strip_prefix(key)?.strip_prefix('=')).unwrap().parse().unwrap()
    };
    let leakage = Some(value("leak_ohms")).filter(|ohms| ohms.is_finite());
    let element = Element::Capacitive(CapacitivePickup {
        capacitance: Capacitance::from_farads(value("pickup_farads")).unwrap(),
        leakage: leakage.map(|ohms| Resistance::from_ohms(ohms).unwrap()),
    });
    let load: Load = comment("# load: ").parse().unwrap();
    let mut links = vec![Link::Resistance(Resistance::from_ohms(value("load_ohms")).unwrap())];
    links.extend(Capacitance::from_farads(value("load_farads")).ok().map(Link::Capacitance));
    (Pickup::of(element).into(), Chain::from(&load), Some(Chain::new(links).unwrap()))
}

impl Table {
    fn transfer(&self, index: usize) -> Transfer {
        Transfer::of(&self.pickups, index, &self.chain)
    }

    /// Whether both tables are of the same sources: controls may stand otherwise.
    fn has_sources_of(&self, other: &Self) -> bool {
        self.pickups.count() == other.pickups.count()
            && (0..self.pickups.count()).all(|index| {
                let both = [self, other].map(|table| table.pickups.pickup(index).element);
                both[0] == both[1] && self.pickups.sign(index) == other.pickups.sign(index)
            })
    }
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
        for index in 0..table.pickups.count() {
            let also = table.also.iter().map(|chain| Transfer::of(&table.pickups, index, chain));
            for transfer in also.chain([table.transfer(index)]) {
                for (hz, expected) in table.rows.iter().map(|(hz, values)| (*hz, values[index])) {
                    let h = transfer.at(hz);
                    let apart = apart((h.re, h.im), expected);
                    assert!(apart <= TOLERANCE, "{} at {hz} Hz, pickup {index}: {apart:e}", table.name);
                    let loss_db = transfer.loss_db(hz);
                    assert!(
                        (loss_db + db(expected)).abs() <= 1e-5,
                        "{} at {hz} Hz: {loss_db} dB",
                        table.name
                    );
                }
            }
        }
    }
}

/// Figures to be read: a pickup of 1 nF into 50 H beside 50 kΩ, as ngspice 39 prints them.
#[test]
fn an_inductance_beside_a_resistance() {
    let pickup: Capacitance = "1 nF".parse().unwrap();
    let load: Load = "50 H || 50k".parse().unwrap();
    let transfer = Transfer::new(&Pickup::new(pickup).into(), &Chain::from(&load));
    for (hz, level_db) in [(10.0, -74.11), (100.0, -35.42), (1000.0, -10.16)] {
        let loss_db = transfer.loss_db(hz);
        assert!((loss_db + level_db).abs() <= 0.005, "{loss_db} dB at {hz} Hz, and not {}", -level_db);
    }
}

/// How high a coil of 4.7 H, 8.2 kΩ and 120 pF rings, with and without the losses of core and cover: ngspice 39, `.meas ac max` over
/// 20,000 points a decade of the netlists `coil_loss_*`, of which the ones without lack `Rloss`.
#[test]
fn the_losses_of_a_coil_decide_how_high_it_rings() {
    let heights = [
        ("none", None, 27.7),
        ("none", Some("250k"), 4.1),
        ("1M || 6 m", None, 14.8),
        ("1M || 6 m", Some("250k"), 6.6),
    ];
    for (load, loss, height_db) in heights {
        let coil = MagneticPickup {
            inductance: "4.7 H".parse().unwrap(),
            resistance: "8k2".parse().unwrap(),
            winding: "120p".parse().ok(),
            loss: loss.map(|ohms| ohms.parse().unwrap()),
        };
        let load: Load = load.parse().unwrap();
        let response = Response::new(&Pickup::of(Element::Magnetic(coil)).into(), &Chain::from(&load));
        let peak = response.peak().unwrap();
        // Against the level at DC, which the coil's resistance costs with a load.
        let level_db = -response.loss_db(1e-3);
        assert!(
            (peak.db + level_db - height_db).abs() <= 0.05,
            "{load} {loss:?}: {peak:?}, and not {height_db} dB"
        );
    }
}

/// From each circuit to each other with the same sources: the quotient of two tables.
#[test]
fn changes_are_quotients_of_two_tables() {
    let tables = tables();
    let mut pairs = 0;
    for (from, to) in tables.iter().flat_map(|from| tables.iter().map(move |to| (from, to))) {
        if from.name == to.name || !from.has_sources_of(to) {
            continue;
        }
        for index in 0..from.pickups.count() {
            pairs += 1;
            let change = Change::new(&from.transfer(index), &to.transfer(index));
            for ((hz, from_h), (_, to_h)) in from.rows.iter().zip(&to.rows) {
                let (k, a) = (change.at(*hz), from_h[index]);
                // K a = b.
                let product = (k.re * a.0 - k.im * a.1, k.re * a.1 + k.im * a.0);
                let apart = apart(product, to_h[index]);
                assert!(apart <= 2.0 * TOLERANCE, "{} to {} at {hz} Hz: {apart:e}", from.name, to.name);
            }
        }
    }
    assert!(pairs >= 200, "{pairs} pairs");
}

/// What a take is in that nothing loads: of a capacitive pickup without leakage or controls the open-circuit voltage, of others a
/// table of its own.
enum Unloaded<'a> {
    OpenCircuit,
    Table(&'a Table),
}

impl Unloaded<'_> {
    /// Every way from an unloaded take to `to` for which there are tables.
    fn of<'a>(to: &Table, tables: &'a [Table]) -> Vec<Unloaded<'a>> {
        let bare = |from: &&Table| from.chain.is_empty() && from.name != to.name && from.has_sources_of(to);
        let mut all: Vec<_> = tables.iter().filter(bare).map(Unloaded::Table).collect();
        if let Pickups::One(Pickup { element: Element::Capacitive(element), tone: None, volume: None }) =
            &to.pickups
            && element.leakage.is_none()
        {
            all.push(Unloaded::OpenCircuit);
        }
        all
    }

    fn change_to(&self, to: &Table, index: usize) -> Shape {
        let from = match self {
            Self::OpenCircuit => Transfer::of(&to.pickups, index, &Chain::default()),
            Self::Table(table) => table.transfer(index),
        };
        // Exact, whatever it boosts.
        Change::new(&from, &to.transfer(index)).shape(Ceiling::OfUndo(24.0))
    }

    fn name(&self) -> &str {
        match self {
            Self::OpenCircuit => "open circuit",
            Self::Table(table) => &table.name,
        }
    }

    fn level_db(&self, row: usize, index: usize) -> f64 {
        match self {
            Self::OpenCircuit => 0.0,
            Self::Table(table) => db(table.rows[row].1[index]),
        }
    }
}

/// The highest Q of a shape's zeros and poles; a half and less does not resonate.
fn highest_q(shape: &Shape) -> f64 {
    let roots = shape.zeros.iter().chain(shape.poles.iter());
    roots.filter(|root| !root.is_real()).map(|root| root.q()).fold(0.5, f64::max)
}

/// The spectrum of what comes out for a single pulse, up to where the bound holds.
#[test]
fn sound_is_that_of_ngspice() {
    let tables = tables();
    let (mut plain, mut resonant) = (0, 0);
    for to in tables.iter().filter(|table| !table.chain.is_empty()) {
        for (from, index) in Unloaded::of(to, &tables)
            .iter()
            .flat_map(|from| (0..to.pickups.count()).map(move |index| (from, index)))
        {
            let shape = from.change_to(to, index);
            let q = highest_q(&shape);
            if q > MOST_Q {
                continue;
            }
            let bound_db = if q > 0.5 { RESONANT_BOUND_DB } else { BOUND_DB };
            *if q > 0.5 { &mut resonant } else { &mut plain } += 1;
            for rate_hz in [44_100_u32, 96_000] {
                let pulse = pulse_through(&shape, rate_hz);
                let top_hz = Sections::accurate_to_hz(f64::from(rate_hz));
                let heard = |(_, (hz, _)): &(usize, &(f64, Vec<Complex>))| (10.0..=top_hz).contains(hz);
                for (row, (hz, expected)) in to.rows.iter().enumerate().filter(heard).step_by(2) {
                    let expected_db = db(expected[index]) - from.level_db(row, index);
                    let off_db = db(spectrum(&pulse, hz / f64::from(rate_hz))) - expected_db;
                    let way = format!("{} to {}, pickup {index}", from.name(), to.name);
                    assert!(off_db.abs() <= bound_db, "{way}, {hz} Hz, rate {rate_hz}: {off_db} dB");
                }
            }
        }
    }
    assert!(plain >= 15 && resonant >= 15, "{plain} without and {resonant} with a resonance");
}

/// Two seconds of what comes out for a single pulse: by then the slowest pole has decayed by far more than the bar.
fn pulse_through(shape: &Shape, rate_hz: u32) -> Vec<f64> {
    let slowest = shape.poles.iter().map(|pole| pole.decay_rad_s).fold(f64::INFINITY, f64::min);
    assert!(2.0 * slowest > 20.0, "{slowest} rad/s is too slow for two seconds");
    let mut processor = Processor::new(f64::from(rate_hz), 1).unwrap();
    processor.change(shape, 1.0).unwrap();
    let mut pulse = vec![vec![0.0_f64; usize::try_from(2 * rate_hz).unwrap()]];
    pulse[0][0] = 1.0;
    processor.process(&mut pulse);
    pulse.remove(0)
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

/// Makes the tables anew. The kept ones are compared above.
#[test]
fn the_tables_are_what_ngspice_makes_today() {
    if !needs::has("ngspice") {
        return;
    }
    let script = reference().join("make_tables.py");
    let output = Command::new("python3").arg(script).arg("--check").output().unwrap();
    println!("{}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
    assert!(output.status.success(), "the tables differ from what ngspice makes today");
}
