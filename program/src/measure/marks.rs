//! When something was switched.

use std::path::Path;

use firstjack_kit::named;
use firstjack_measure::Recording;

use crate::error::Failure;
use crate::passes::{seconds, time};

/// More are no marks.
const MOST: usize = 10_000;
const MOST_BYTES: u64 = 1 << 20;

/// The marks of `--marks`, in seconds, in the order that they are given in: times that were typed, or a file with one a line.
pub fn read(text: &str, take: &Recording) -> Result<Vec<f64>, Failure> {
    let path = Path::new(text);
    let marks = if path.is_file() {
        of_file(path)?
    } else {
        typed(text).map_err(|failure| no_file(failure, text))?
    };
    if marks.is_empty() || marks.len() > MOST {
        let count = marks.len();
        return Err(Failure::Usage(format!(
            "--marks: {count} times: accepted are 1 to {MOST}, such as '2.0 3.1 4.0'"
        )));
    }
    let all = seconds(take.samples.len() as u64, take.rate_hz);
    match marks.iter().find(|mark| **mark >= all) {
        Some(mark) => Err(Failure::Usage(format!(
            "--marks: {mark} s lies behind the end of the take: accepted is less than {all:.3} s"
        ))),
        None => Ok(marks),
    }
}

fn typed(text: &str) -> Result<Vec<f64>, Failure> {
    let times = text.split(|c: char| c.is_whitespace() || c == ';').filter(|time| !time.is_empty());
    times.map(|text| time("--marks", text)).collect()
}

/// What was typed may have been meant as a file.
fn no_file(failure: Failure, text: &str) -> Failure {
    if Path::new(text).is_dir() {
        return Failure::input(Path::new(text), "it is a folder; accepted is a text with one time a line");
    }
    if text.split_whitespace().count() > 1 {
        return failure;
    }
    Failure::Usage(format!("{failure}; nor is '{text}' a file with one time a line"))
}

/// One time a line: what stands behind it is passed over, and so are empty lines and those that begin with `#`.
fn of_file(path: &Path) -> Result<Vec<f64>, Failure> {
    let refuse = |problem: String| Failure::input(path, problem);
    let cannot =
        |error| refuse(format!("cannot read the marks: {error}; accepted is a text with one time a line"));
    if path.metadata().map_err(cannot)?.len() > MOST_BYTES {
        return Err(refuse("it is too large for marks: accepted is a text with one time a line".to_owned()));
    }
    let text = named::read_to_string(path).map_err(cannot)?;
    let mut marks = Vec::new();
    for (number, line) in text.trim_start_matches('\u{feff}').lines().enumerate() {
        let Some(first) = line.split_whitespace().next().filter(|first| !first.starts_with('#')) else {
            continue;
        };
        let mark = time("a mark", first);
        marks.push(mark.map_err(|failure| refuse(format!("line {}: {failure}", number + 1)))?);
    }
    Ok(marks)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn take() -> Recording {
        Recording { rate_hz: 48_000.0, samples: vec![0.0; 96_000] }
    }

    proptest! {
        /// Whatever is typed is refused in one line, or is times within the take.
        #[test]
        fn any_text_is_times_or_refused(text in "[-0-9.,:;e \ts#a]{0,24}|.{0,24}") {
            match read(&text, &take()) {
                Ok(marks) => prop_assert!(marks.iter().all(|mark| (0.0..2.0).contains(mark)), "{marks:?}"),
                Err(failure) => prop_assert_eq!(failure.told().lines().count(), 1, "{}", failure.told()),
            }
        }

        /// Times are read as they were written, in minutes or in seconds.
        #[test]
        fn times_are_read_in_their_order(hundredths in prop::collection::vec(0_u32..200, 1..30)) {
            let seconds = |time: &u32| format!("{}.{:02}", time / 100, time % 100);
            let typed: Vec<String> = hundredths.iter().map(seconds).collect();
            let minutes: Vec<String> = typed.iter().map(|time| format!("0:{time}")).collect();
            for text in [typed.join(" "), minutes.join(";")] {
                let marks = read(&text, &take()).unwrap();
                prop_assert_eq!(marks.len(), hundredths.len());
                for (mark, time) in marks.iter().zip(&hundredths) {
                    prop_assert!((mark - f64::from(*time) / 100.0).abs() < 1e-9);
                }
            }
        }
    }
}
