//! How long each step takes.

use std::time::{Duration, Instant};

use anyhow::Result;

use super::{Options, Step};

/// What has been timed so far, since it was started.
pub struct Clock {
    start: Instant,
    rows: Vec<Row>,
}

struct Row {
    name: String,
    took: Duration,
    /// Of this process and all that it has waited for, in seconds, where the system says it.
    cpu_seconds: Option<f64>,
    holds: bool,
}

impl Clock {
    pub fn start() -> Self {
        Self { start: Instant::now(), rows: Vec::new() }
    }

    /// Runs a step.
    pub fn time(&mut self, step: &Step, options: &Options) -> Result<()> {
        println!("\n== {}: {}", step.name, step.what);
        let (start, before) = (Instant::now(), cpu_seconds());
        let done = (step.run)(options);
        let cpu_seconds = cpu_seconds().zip(before).map(|(now, before)| now - before);
        self.add(step.name.to_owned(), start.elapsed(), cpu_seconds, done.is_ok());
        done
    }

    /// Says how long something took.
    pub fn add(&mut self, name: String, took: Duration, cpu_seconds: Option<f64>, holds: bool) {
        let row = Row { name, took, cpu_seconds, holds };
        println!("-- {}", row.told());
        self.rows.push(row);
    }

    /// All of it as a table.
    pub fn tell(&self) {
        println!();
        let took = self.start.elapsed();
        let total = Row { name: "all".to_owned(), took, cpu_seconds: cpu_seconds(), holds: true };
        self.rows.iter().chain([&total]).for_each(|row| println!("{}", row.told()));
    }
}

impl Row {
    fn told(&self) -> String {
        let cpu = self.cpu_seconds.map_or(String::new(), |seconds| format!(", {seconds:6.1} s of a core"));
        let fails = if self.holds { "" } else { "  FAILS" };
        format!("{:24} {:6.1} s{cpu}{fails}", self.name, self.took.as_secs_f64())
    }
}

/// What Linux keeps in hundredths of a second: of this process and its children that have ended (`man 5 proc`, fields 14 to 17).
fn cpu_seconds() -> Option<f64> {
    let stat = std::fs::read_to_string("/proc/self/stat").ok()?;
    // The second field is a name in brackets, which may have blanks.
    let (_, fields) = stat.rsplit_once(')')?;
    let ticks: Option<Vec<f64>> =
        fields.split_whitespace().skip(11).take(4).map(|field| field.parse().ok()).collect();
    Some(ticks?.iter().sum::<f64>() / 100.0)
}
