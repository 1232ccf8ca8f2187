//! What was found, as a person and a script are told it.

use firstjack_measure::{Estimate, Found, Measured, Refusal};
use firstjack_words::Words;
use serde::{Serialize, Serializer};

use super::notation::Quantity;

/// How it was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Method {
    Sweep,
    Toggle,
    Rub,
    Meter,
}

/// What was looked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Subject {
    Pickup,
    Box,
    Coil,
}

impl Subject {
    /// The option of other commands that names it.
    pub const fn option(self) -> &'static str {
        match self {
            Self::Pickup => "pickup",
            Self::Box => "load",
            Self::Coil => "coil",
        }
    }

    /// What somebody may call it.
    pub const fn example(self) -> &'static str {
        match self {
            Self::Pickup | Self::Coil => "our pickup",
            Self::Box => "our tuner",
        }
    }
}

/// A measurement, and what it rests on.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    pub method: Method,
    pub subject: Subject,
    /// What it rests on without having been measured.
    pub assumed: Vec<String>,
    pub measured: Measured,
}

/// Something that was found, by its name in the table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Part {
    pub name: &'static str,
    pub quantity: Quantity,
    pub estimate: Estimate,
}

impl Finding {
    pub fn new(method: Method, subject: Subject, assumed: Vec<String>, measured: Measured) -> Self {
        let remarks = measured.remarks.iter().map(|remark| sentence(remark)).collect();
        Self { method, subject, assumed, measured: Measured { remarks, ..measured } }
    }

    /// All that was found, in the order of the keys.
    pub fn parts(&self) -> Vec<Part> {
        use Quantity::{Farads, Henries, Ohms};
        let found = &self.measured.found;
        let resistance = if found.primary_h.is_some() { "load across it" } else { "input resistance" };
        let all = [
            ("pickup", Farads, found.capacitance_f),
            ("pickup and cable", Farads, found.total_capacitance_f),
            (resistance, Ohms, found.input_ohms),
            ("input capacitance", Farads, found.input_f),
            ("blocking capacitor", Farads, found.blocking_f),
            ("transformer's primary", Henries, found.primary_h),
            ("inductance", Henries, found.inductance_h),
            ("resistance", Ohms, found.resistance_ohms),
            ("losses", Ohms, found.loss_ohms),
            ("winding", Farads, found.winding_f),
        ];
        let part = |(name, quantity, estimate): (_, _, Option<Estimate>)| {
            estimate.map(|estimate| Part { name, quantity, estimate })
        };
        all.into_iter().filter_map(part).collect()
    }

    /// The one sentence that matters; `None` if nothing was found.
    pub fn verdict(&self) -> Option<String> {
        let Found { capacitance_f, total_capacitance_f, input_ohms, primary_h, inductance_h, .. } =
            self.measured.found;
        let said = |quantity: Quantity, estimate: Estimate| {
            format!("{}, {}", quantity.value(estimate), quantity.between(estimate))
        };
        match self.subject {
            Subject::Pickup => capacitance_f
                .map(|alone| format!("The pickup has {}.", said(Quantity::Farads, alone)))
                .or_else(|| {
                    let both = total_capacitance_f?;
                    Some(format!("The pickup and its cable together have {}.", said(Quantity::Farads, both)))
                }),
            Subject::Box => {
                let transformer = primary_h.map(|primary| said(Quantity::Henries, primary));
                let transformer = transformer
                    .map_or_else(String::new, |primary| format!(" Its transformer's primary has {primary}."));
                Some(format!("The input has {}.{transformer}", said(Quantity::Ohms, input_ohms?)))
            }
            Subject::Coil => {
                Some(format!("The pickup is a coil of {}.", said(Quantity::Henries, inductance_h?)))
            }
        }
    }

    /// What the options of other commands are for this pickup, or this input; `None` where no option says it.
    pub fn options(&self) -> Option<String> {
        let Found {
            capacitance_f,
            total_capacitance_f,
            input_ohms,
            input_f,
            primary_h,
            inductance_h,
            resistance_ohms,
            loss_ohms,
            winding_f,
            ..
        } = self.measured.found;
        let option = |name: &str, quantity: Quantity, estimate: Option<Estimate>| {
            estimate.and_then(|estimate| Some(format!("--{name} \"{}\"", quantity.typed(estimate)?)))
        };
        match self.subject {
            Subject::Pickup => option("pickup", Quantity::Farads, capacitance_f.or(total_capacitance_f)),
            Subject::Box => {
                let part = |quantity: Quantity, estimate: Option<Estimate>| quantity.typed(estimate?);
                let parts = [
                    part(Quantity::Ohms, input_ohms),
                    part(Quantity::Farads, input_f),
                    part(Quantity::Henries, primary_h),
                ];
                let parts: Vec<String> = parts.into_iter().flatten().collect();
                (!parts.is_empty()).then(|| format!("--load \"{}\"", parts.join(" || ")))
            }
            Subject::Coil => {
                let options = [
                    Some(option("coil", Quantity::Henries, inductance_h)?),
                    Some(option("coil-resistance", Quantity::Ohms, resistance_ohms)?),
                    option("winding", Quantity::Farads, winding_f),
                    option("coil-loss", Quantity::Ohms, loss_ohms),
                ];
                Some(options.into_iter().flatten().collect::<Vec<_>>().join(" "))
            }
        }
    }

    /// For scripts, with its name in the kit; the fields are promises.
    pub fn told<'a>(&'a self, saved: Option<&'a str>) -> Told<'a> {
        let Measured { found, refused, remarks, .. } = &self.measured;
        Told {
            subject: self.subject,
            method: self.method,
            verdict: self.verdict(),
            capacitance_f: found.capacitance_f.map(Interval),
            total_capacitance_f: found.total_capacitance_f.map(Interval),
            input_ohms: found.input_ohms.map(Interval),
            input_f: found.input_f.map(Interval),
            blocking_f: found.blocking_f.map(Interval),
            primary_h: found.primary_h.map(Interval),
            inductance_h: found.inductance_h.map(Interval),
            resistance_ohms: found.resistance_ohms.map(Interval),
            loss_ohms: found.loss_ohms.map(Interval),
            winding_f: found.winding_f.map(Interval),
            refused: refused.as_ref().map(Refusal::to_string),
            assumed: &self.assumed,
            remarks,
            options: self.options(),
            saved,
        }
    }
}

/// With a capital letter and an end.
fn sentence(remark: &str) -> String {
    let said = Words::ENGLISH.sentence(remark.trim_end_matches('.'));
    if remark.ends_with(['?', '!']) { said.trim_end_matches('.').to_owned() } else { said }
}

/// The JSON's fields.
#[derive(Debug, Serialize)]
pub struct Told<'a> {
    subject: Subject,
    method: Method,
    /// Null if it is refused.
    verdict: Option<String>,
    capacitance_f: Option<Interval>,
    total_capacitance_f: Option<Interval>,
    input_ohms: Option<Interval>,
    input_f: Option<Interval>,
    blocking_f: Option<Interval>,
    primary_h: Option<Interval>,
    inductance_h: Option<Interval>,
    resistance_ohms: Option<Interval>,
    loss_ohms: Option<Interval>,
    winding_f: Option<Interval>,
    refused: Option<String>,
    assumed: &'a [String],
    remarks: &'a [String],
    /// What other commands take it as.
    options: Option<String>,
    /// The name in the kit.
    saved: Option<&'a str>,
}

/// Null where it has no end.
#[derive(Debug)]
struct Interval(Estimate);

impl Serialize for Interval {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        use serde::ser::SerializeStruct;
        let Estimate { value, low, high } = self.0;
        let mut interval = serializer.serialize_struct("Interval", 3)?;
        interval.serialize_field("value", &value)?;
        interval.serialize_field("low", &low)?;
        interval.serialize_field("high", &high)?;
        interval.end()
    }
}
