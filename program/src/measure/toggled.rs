//! What playing says while a known part is switched in and out: `firstjack measure toggle` and `rub`.

use dsp_core::circuit::Cable;
use dsp_core::units::{Capacitance, Load};
use firstjack_measure::toggle::{self, Toggle};
use firstjack_measure::{Measured, Recording, rub};
use serde::Serialize;

use super::finding::{Finding, Method, Subject};
use super::marks;
use super::recordings::{MOST_PLAYED, Named, read};
use super::report::Report;
use crate::arguments::measure::{CableArguments, RubArguments, SwitchedArguments, ToggleArguments};
use crate::error::Failure;
use crate::source::value;
use crate::stdout;

/// `firstjack measure toggle`.
pub fn toggle(arguments: &ToggleArguments) -> Result<(), Failure> {
    let switched = &arguments.switched;
    if arguments.suggest_marks {
        let [take] = read([file(switched)], switched.channel.channel, MOST_PLAYED)?;
        return suggest(&toggle::suggest_marks(&take), switched.result.report.json);
    }
    match &arguments.known_pickup {
        Some(pickup) => input_box(switched, value("--known-pickup", pickup)?),
        None => pickup(switched, Method::Toggle, toggle::pickup),
    }
}

/// `firstjack measure rub`.
pub fn rub(arguments: &RubArguments) -> Result<(), Failure> {
    pickup(&arguments.switched, Method::Rub, rub::pickup)
}

/// The proposal, in the form that `--marks` reads.
fn suggest(marks: &[f64], json: bool) -> Result<(), Failure> {
    #[derive(Serialize)]
    struct Suggested<'a> {
        marks_seconds: &'a [f64],
    }
    if json {
        return stdout::print(&stdout::json(&Suggested { marks_seconds: marks }));
    }
    let lines: String = marks.iter().map(|mark| format!("{mark:.2}\n")).collect();
    stdout::print(&lines)?;
    let count = marks.len();
    stdout::tell_aside(&format!(
        "{count} proposed: some switches are missed, and some notes taken for switches. Look through them and correct the list; \
         0.1 s is near enough.\n"
    ))
}

type Find = fn(&Recording, &Toggle, &[f64], Option<&Cable>) -> Measured;

fn pickup(arguments: &SwitchedArguments, method: Method, find: Find) -> Result<(), Failure> {
    let added = value("--added", needed("--added", "such as '56k ±1%'", arguments.added.as_ref())?)?;
    let Played { load_a, cable, report, take, marks } = Played::read(arguments)?;
    let loads = Toggle { load_a, added };
    let measured = find(&take, &loads, &marks, cable.as_ref());
    let Toggle { load_a, added } = &loads;
    let rests_on = format!("{load_a} always there, {added} switched in and out");
    let assumed = [rests_on].into_iter().chain(of_cable(cable.as_ref())).collect();
    report.tell(&Finding::new(method, Subject::Pickup, assumed, measured))
}

fn input_box(arguments: &SwitchedArguments, pickup: Capacitance) -> Result<(), Failure> {
    let Played { load_a, cable, report, take, marks } = Played::read(arguments)?;
    let measured = toggle::input_box(&take, &load_a, &pickup, cable.as_ref(), &marks);
    let rests_on = format!("a pickup of {pickup}, {load_a} always there");
    let assumed = [rests_on].into_iter().chain(of_cable(cable.as_ref())).collect();
    report.tell(&Finding::new(Method::Toggle, Subject::Box, assumed, measured))
}

/// A take that was played, and what is said of it.
struct Played<'a> {
    load_a: Load,
    cable: Option<Cable>,
    report: Report<'a>,
    take: Recording,
    marks: Vec<f64>,
}

impl<'a> Played<'a> {
    fn read(arguments: &'a SwitchedArguments) -> Result<Self, Failure> {
        let load_a = value("--load-a", needed("--load-a", "such as 1M", arguments.load_a.as_ref())?)?;
        let such = "such as '2.0 3.1 4.0', or a file with one time a line (measure toggle --suggest-marks proposes some)";
        let marks = needed("--marks", such, arguments.marks.as_ref())?;
        let cable = cable(&arguments.cable)?;
        let report = Report::new(&arguments.result, &[file(arguments)])?;
        let [take] = read([file(arguments)], arguments.channel.channel, MOST_PLAYED)?;
        let marks = marks::read(marks, &take)?;
        Ok(Self { load_a, cable, report, take, marks })
    }
}

fn file(arguments: &SwitchedArguments) -> Named<'_> {
    Named { path: &arguments.take, is: "the take" }
}

fn needed<'a>(option: &str, such: &str, typed: Option<&'a String>) -> Result<&'a String, Failure> {
    typed.ok_or_else(|| Failure::Usage(format!("{option} is missing: give it, {such}")))
}

/// The cable that was typed.
pub fn cable(arguments: &CableArguments) -> Result<Option<Cable>, Failure> {
    let Some(length) = &arguments.cable else { return Ok(None) };
    let mut cable = Cable::new(value("--cable", length)?);
    cable.per_metre = arguments.per_metre.as_ref().map(|text| value("--per-metre", text)).transpose()?;
    Ok(Some(cable))
}

/// What is assumed of it.
pub fn of_cable(cable: Option<&Cable>) -> Option<String> {
    let Cable { length, per_metre, .. } = cable?;
    let per_metre =
        per_metre.map_or_else(|| "100 pF ±30 %, as is usual,".to_owned(), |farads| farads.to_string());
    Some(format!("a cable of {length} with {per_metre} a metre"))
}
