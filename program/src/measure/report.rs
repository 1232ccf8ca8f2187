//! What becomes of a measurement: it is drawn, kept and told, or refused.

use std::path::Path;

use anstyle::Style;
use firstjack_measure::Measured;
use firstjack_words::Words;

use super::finding::{Finding, Part, Subject};
use super::picture;
use super::recordings::Named;
use super::save::Kept;
use crate::arguments::WriteArguments;
use crate::arguments::measure::ResultArguments;
use crate::error::Failure;
use crate::name::Name;
use crate::output::{self, Expected, Input, Outputs};
use crate::plot::PictureKind;
use crate::stdout;

/// Where a measurement goes, checked before the work begins.
pub struct Report<'a> {
    arguments: &'a ResultArguments,
    outputs: Outputs,
    picture: Option<(&'a Path, PictureKind)>,
    kept: Option<Kept<'a>>,
}

impl<'a> Report<'a> {
    /// Of a measurement of these recordings.
    pub fn new(arguments: &'a ResultArguments, files: &[Named]) -> Result<Self, Failure> {
        let write = WriteArguments { overwrite: arguments.overwrite, dry_run: false, verbose: false };
        let mut outputs = Outputs::new(&write, files.iter().map(|file| Input::from(*file)));
        let picture = arguments.picture.as_deref();
        let kind = |path| Ok::<_, Failure>((path, output::kind_of(path, None, &PictureKind::NAMED)?));
        let picture = picture.map(kind).transpose()?;
        if let Some((path, _)) = picture {
            outputs.add("--picture", path, Expected::default())?;
        }
        outputs.prepare(false)?;
        let kept = arguments
            .save
            .as_deref()
            .map(|name| Kept::new(name, arguments.kit.kit.as_deref()))
            .transpose()?;
        Ok(Self { arguments, outputs, picture, kept })
    }

    /// Draws, keeps and tells what was found. Nothing is drawn nor kept where nothing was.
    pub fn tell(self, finding: &Finding) -> Result<(), Failure> {
        let json = self.arguments.report.json;
        if let Some(refusal) = &finding.measured.refused {
            if json {
                stdout::print(&stdout::json(&finding.told(None)))?;
            }
            return Err(Failure::CannotTell(refusal.clone()));
        }
        let drawn = self.picture.map(|(path, kind)| picture::bytes(finding, kind, path)).transpose()?;
        self.kept.iter().try_for_each(|kept| kept.keep(finding))?;
        if let Some(((path, _), bytes)) = self.picture.zip(drawn) {
            output::write(&self.outputs, path, &bytes)?;
        }
        if self.arguments.report.quiet {
            return Ok(());
        }
        let saved = self.kept.as_ref();
        stdout::print(&if json {
            stdout::json(&finding.told(saved.map(|kept| kept.name)))
        } else {
            text(finding, saved)
        })
    }
}

/// For a person: the verdict, what it rests on, all figures, what to do next.
fn text(finding: &Finding, saved: Option<&Kept>) -> String {
    let bold = Style::new().bold();
    let Measured { remarks, .. } = &finding.measured;
    let verdict =
        finding.verdict().map_or_else(String::new, |verdict| format!("{bold}{verdict}{bold:#}\n\n"));
    let assumed = finding.assumed.join("; ");
    let assumed = (!assumed.is_empty()).then(|| format!("Assumed: {assumed}.\n"));
    let lines: String =
        assumed.into_iter().chain(remarks.iter().map(|remark| format!("{remark}\n"))).collect();
    let words = Words::ENGLISH;
    let local = words.get("caution.local");
    format!(
        "{verdict}{lines}\n{}\nWhat to do next\n{}\n{local}\n",
        table(&finding.parts()),
        next(finding, saved)
    )
}

fn table(parts: &[Part]) -> String {
    let name = |part: &Part| part.name.chars().count();
    let value = |part: &Part| part.quantity.value(part.estimate);
    let names = parts.iter().map(name).max().unwrap_or_default();
    let values = parts.iter().map(|part| value(part).chars().count()).max().unwrap_or_default();
    let row = |part: &Part| {
        let between = part.quantity.between(part.estimate);
        format!("  {:names$}  {:>values$}  {between}\n", part.name, value(part))
    };
    let rows: String = parts.iter().map(row).collect();
    format!("Found, each 19 times in 20 within what is said:\n{rows}")
}

fn next(finding: &Finding, saved: Option<&Kept>) -> String {
    let options = saved.map_or_else(|| finding.options(), |kept| Some(kept.options(finding)));
    let Some(options) = options else { return "  measure it another way\n".to_owned() };
    let command = match finding.subject {
        Subject::Box => format!("--pickup bridge {options}"),
        Subject::Pickup | Subject::Coil => format!("{options} --load 1M"),
    };
    let keeping = match saved {
        Some(kept) => format!("'{}' is in the kit now: {}", kept.name, Name::of(kept.path())),
        None => format!(
            "or --save \"{}\" keeps it, to be named wherever a value is typed",
            finding.subject.example()
        ),
    };
    format!("  firstjack tell {command}\n  {keeping}\n")
}
