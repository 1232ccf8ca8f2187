//! `firstjack curve`: level against frequency, drawn or as a table.

mod change;
mod responses;
mod table;

use std::path::Path;

use dsp_core::circuit::{Chain, Pickup, Pickups};
use dsp_core::response::{InputNeeded, Keeps};
use firstjack_words::Words;

use crate::arguments::{CurveArguments, PictureArgument};
use crate::error::Failure;
use crate::output::{self, Expected, Outputs};
use crate::plot::{Curve, LEAST_DB, Picture, PictureKind, Plot, Units};
use crate::source::{NamedChain, Source, Strings};
use crate::stdout;
use change::Changes;
use responses::Responses;

/// What is drawn, in Hz and in how many steps.
const BAND_HZ: (f64, f64) = (20.0, 20e3);
const STEPS: u32 = 400;

/// Below this a curve lies on the lower edge: where two pickups cancel, levels have no end.
const FLOOR_DB: f64 = -100.0;

/// More cannot be told from each other.
const MOST_CURVES: usize = 40;

/// The loss to accept, in dB, that `firstjack tell` takes too where none is given.
const MAX_LOSS_DB: f64 = 1.0;

/// Runs the command.
pub fn run(arguments: &CurveArguments) -> Result<(), Failure> {
    let source = Source::new(&arguments.source)?;
    let strings = Strings::new(&arguments.strings, source.instrument.as_deref())?;
    let output = &arguments.output;
    let kinds = [("svg", PictureArgument::Svg), ("png", PictureArgument::Png), ("csv", PictureArgument::Csv)];
    let kind = output::kind_of(output, arguments.format, &kinds)?;
    let mut outputs = Outputs::new(&arguments.write, arguments.source.inputs());
    outputs.add("-o", output, Expected::default())?;
    if !outputs.prepare(false)? {
        return Ok(());
    }
    let changes = arguments.change.then(|| Changes::new(arguments, &source, &strings, &Words::ENGLISH));
    let changes = changes.transpose()?;
    let picture = || match &changes {
        Some(changes) => changes.picture(&strings, &Words::ENGLISH).map_err(|count| too_many(count, output)),
        None => picture(&source, &strings, output),
    };
    let bytes = match (kind, &changes) {
        (PictureArgument::Csv, Some(changes)) => changes.csv().into_bytes(),
        (PictureArgument::Csv, None) => table::csv(&source.pickups, &source.setups).into_bytes(),
        (PictureArgument::Svg, _) => PictureKind::Svg.bytes(&picture()?, output)?,
        (PictureArgument::Png, _) => PictureKind::Png.bytes(&picture()?, output)?,
    };
    output::write(&outputs, output, &bytes)?;
    stdout::tell_aside(&source.remark_lines(&strings, &Words::ENGLISH))
}

fn picture<'a>(source: &'a Source, strings: &Strings, output: &Path) -> Result<Picture<'a>, Failure> {
    let (Source { pickups, setups, .. }, words) = (source, &Words::ENGLISH);
    let count = setups.len();
    if count > MOST_CURVES {
        return Err(too_many(count, output));
    }
    let (lowest, lowest_hz) = (&strings.lowest, strings.lowest_hz());
    let needed = InputNeeded::new(pickups, &Chain::default(), lowest_hz, MAX_LOSS_DB);
    let asked = words.asked(&needed, MAX_LOSS_DB);
    // Only of the level of a string there is a line to keep above.
    let is_level = needed.from_ohms.is_some() && matches!(needed.keeps, Keeps::Level(db) if db < 0.05);
    let ask = is_level.then(|| {
        let loss = words.figure(MAX_LOSS_DB);
        words.say("curve.ask_line", &[("loss", &loss), ("string", words.note(lowest))])
    });
    let curve = |(number, setup): (usize, &'a NamedChain)| curve(number, setup, pickups);
    Ok(Picture {
        title: title(pickups, words.instrument(&strings.instrument_id), words),
        said: match needed.from_ohms {
            Some(_) => words.say("curve.ask", &[("ask", &asked)]),
            None => words.sentence(&asked),
        },
        plot: Plot {
            curves: setups.iter().enumerate().map(curve).collect(),
            strings: strings.marks().into_iter().map(|(pitch, hz)| (words.pitch(pitch), hz)).collect(),
            ask_db: ask.is_some().then_some(-MAX_LOSS_DB),
            least_db: LEAST_DB,
            units: Units {
                level: words.get(if is_loss(pickups) {
                    "curve.against_pickup"
                } else {
                    "curve.against_voltage"
                }),
                frequency: words.get("curve.frequency"),
                beside: false,
            },
        },
        below: None,
        ask,
    })
}

fn too_many(count: usize, output: &Path) -> Failure {
    Failure::Usage(format!(
        "{}: {count} curves cannot be told from each other in a picture: accepted are up to {MOST_CURVES}, and any number in a .csv",
        output.display()
    ))
}

fn curve<'a>(number: usize, setup: &'a NamedChain, pickups: &Pickups) -> Curve<'a> {
    let responses = Responses::new(pickups, setup);
    let ratio = BAND_HZ.1 / BAND_HZ.0;
    let grid = || (0..=STEPS).map(|i| BAND_HZ.0 * ratio.powf(f64::from(i) / f64::from(STEPS)));
    let edges = grid().filter_map(|hz| Some((hz, responses.band(None, hz)?)));
    let (lower, upper): (Vec<_>, Vec<_>) =
        edges.map(|(hz, band)| ((hz, band.low.max(FLOOR_DB)), (hz, band.high.max(FLOOR_DB)))).unzip();
    Curve {
        key: "",
        name: &setup.name,
        number,
        points: grid().map(|hz| (hz, responses.db(hz).max(FLOOR_DB))).collect(),
        band: lower.into_iter().chain(upper.into_iter().rev()).collect(),
        measured: Vec::new(),
    }
}

/// Only the unloaded element of a capacitive pickup without controls has the open-circuit voltage at its jack: what is missing of it
/// is lost.
fn is_loss(pickups: &Pickups) -> bool {
    matches!(pickups, Pickups::One(pickup @ Pickup { tone: None, volume: None, .. }) if !pickup.is_magnetic())
}

/// What the picture shows.
fn title(pickups: &Pickups, instrument: &str, words: &Words) -> String {
    let instrument = ("instrument", instrument);
    match pickups {
        Pickups::One(pickup) => {
            let id = if is_loss(pickups) { "curve.loss" } else { "curve.response" };
            words.say(id, &[("pickup", &words.pickup_short(pickup)), instrument])
        }
        Pickups::Blend([first, second]) => {
            let [one, other] = [first, second].map(|blended| words.pickup_short(&blended.pickup));
            words.say("curve.response_both", &[("one", &one), ("other", &other), instrument])
        }
    }
}
