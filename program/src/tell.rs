use std::fmt;

use anstyle::Style;
use dsp_core::circuit::{Element, Pickups};
use dsp_core::response::{
    Contribution, Transfer, contributions, load_needed_ohms, note_losses, spoken_db, verdict,
};
use dsp_core::units::Resistance;
use serde::Serialize;

use crate::arguments::TellArguments;
use crate::error::Failure;
use crate::source::{NamedChain, Source, Strings};
use crate::stdout;

const CAUTIONS: &str =
    "A model with stated inputs: a pickup's capacitance varies from piece to piece, so measure yours.
Mute before plugging and unplugging. For mains and earthing, local codes and venue rules come first.
";

/// What is told of one chain; the JSON's fields.
#[derive(Debug, Serialize)]
pub struct Told {
    pub name: String,
    pub verdict: String,
    pickup_farads: f64,
    corner_hz: f64,
    /// All resistances in parallel; null if nothing conducts.
    load_ohms: Option<f64>,
    load_farads: f64,
    /// Lost at every frequency to shunt capacitance.
    level_loss_db: f64,
    strings: Vec<StringTold>,
    max_loss_db: f64,
    /// Smallest resistance that keeps the lowest string within `max_loss_db` of the level far above the corner.
    ask_for_ohms: Option<f64>,
    chain: Vec<LinkTold>,
    #[serde(skip)]
    instrument_name: String,
}

#[derive(Debug, Serialize)]
struct StringTold {
    name: String,
    hz: f64,
    loss_db: f64,
}

#[derive(Debug, Serialize)]
struct LinkTold {
    name: String,
    loads: bool,
    loss_alone_db: f64,
    saved_without_db: f64,
}

/// `firstjack tell`.
pub fn run(arguments: &TellArguments) -> Result<(), Failure> {
    let source = Source::new(&arguments.source, &arguments.load)?;
    let strings = Strings::new(&arguments.strings, source.instrument.as_deref())?;
    let told: Vec<Told> = source
        .setups
        .iter()
        .map(|setup| Told::new(&source.pickups, setup, &strings, arguments.max_loss))
        .collect();
    if arguments.json {
        return stdout::print(&json(&told, arguments.source.setups.is_some()));
    }
    let text: String = told.iter().map(ToString::to_string).collect();
    stdout::print(&(text + CAUTIONS))
}

fn json(told: &[Told], several: bool) -> String {
    let text = if several {
        serde_json::to_string_pretty(&serde_json::json!({ "setups": told }))
    } else {
        serde_json::to_string_pretty(&told[0])
    };
    text.expect("numbers, texts and lists of them") + "\n"
}

impl Told {
    pub fn new(pickups: &Pickups, setup: &NamedChain, strings: &Strings, max_loss_db: f64) -> Self {
        let shunt = setup.chain.shunt();
        let pickups = &pickups.with_positions(setup.positions);
        let transfer = Transfer::new(pickups, &setup.chain);
        let Element::Capacitive(pickup) = &pickups.pickup(0).element else { todo!() };
        let lowest_hz = strings.lowest_hz();
        let level_loss_db = transfer.level_loss_db();
        let link = |Contribution { name, loads, saved_without_db, loss_alone_db }| LinkTold {
            name,
            loads,
            loss_alone_db,
            saved_without_db,
        };
        Self {
            name: setup.name.clone(),
            verdict: verdict(&strings.lowest, transfer.loss_db(lowest_hz), &setup.place),
            pickup_farads: pickup.capacitance.farads(),
            corner_hz: transfer.corner_hz(),
            load_ohms: Some(shunt.ohms()).filter(|ohms| ohms.is_finite()),
            load_farads: unsigned_zero(shunt.farads),
            level_loss_db: unsigned_zero(level_loss_db),
            strings: note_losses(&transfer, &strings.pitches, strings.a4_hz)
                .into_iter()
                .map(|note| StringTold {
                    name: note.pitch.to_string(),
                    hz: note.hz,
                    loss_db: unsigned_zero(note.loss_db),
                })
                .collect(),
            max_loss_db,
            // What capacitance costs at every frequency, a gain control restores; so only the rest is asked for.
            ask_for_ohms: load_needed_ohms(pickup, shunt.farads, lowest_hz, max_loss_db + level_loss_db),
            chain: contributions(pickups, &setup.chain, lowest_hz).into_iter().map(link).collect(),
            instrument_name: strings.instrument_name.clone(),
        }
    }

    fn asked(&self) -> String {
        match self.ask_for_ohms {
            Some(ohms) => {
                let beyond = if self.level_loss_db > 0.05 { " beyond that level" } else { "" };
                format!(
                    "an input of at least {} (low string within {} dB{beyond})",
                    trade(round_up(ohms)),
                    self.max_loss_db
                )
            }
            None => "less capacitance: no input is high enough for it".to_owned(),
        }
    }
}

impl fmt::Display for Told {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let bold = Style::new().bold();
        writeln!(f, "{bold}{}{bold:#}", self.verdict)?;
        let load = self.load_ohms.map_or("none".to_owned(), trade);
        write!(f, "corner {}, load {load}", spoken_hz(self.corner_hz))?;
        if self.level_loss_db > 0.05 {
            write!(f, "; {} of it is level, which gain restores", spoken_db(self.level_loss_db))?;
        }
        writeln!(f, "\n\n  {} string       Hz     loss", self.instrument_name)?;
        let width = self.instrument_name.chars().count() + 5;
        for StringTold { name, hz, loss_db } in &self.strings {
            writeln!(f, "  {name:>width$} {hz:8.2} {loss_db:5.1} dB")?;
        }
        if self.chain.len() > 1 {
            writeln!(f, "\n  in the chain                    alone   saved without it")?;
            self.chain.iter().try_for_each(|link| link.fmt(f))?;
        }
        writeln!(f, "\nask for: {}\n", self.asked())
    }
}

impl fmt::Display for LinkTold {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { name, loads, loss_alone_db, saved_without_db } = self;
        if *loads {
            writeln!(f, "  {name:28} {loss_alone_db:5.1} dB  {saved_without_db:5.1} dB")
        } else {
            writeln!(f, "  {name:28} behind the buffer, does not load")
        }
    }
}

/// Without the sign that a sum of nothing and the logarithm of one leave on a zero.
fn unsigned_zero(value: f64) -> f64 {
    value + 0.0
}

/// As the trade writes it, to three figures.
fn trade(ohms: f64) -> String {
    Resistance::from_ohms(ohms).map_or_else(|_| format!("{ohms:.3e} Ω"), |value| format!("{value:.3}"))
}

/// To two figures, upwards: what is asked for must suffice.
fn round_up(ohms: f64) -> f64 {
    let step = 10f64.powf(ohms.log10().floor() - 1.0);
    (ohms / step - 1e-9).ceil() * step
}

fn spoken_hz(hz: f64) -> String {
    if hz >= 1000.0 { format!("{:.2} kHz", hz / 1000.0) } else { format!("{hz:.1} Hz") }
}
