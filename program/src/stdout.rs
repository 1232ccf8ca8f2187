use std::io::{self, Write};
use std::path::Path;

use firstjack_words::visible_json;
use serde::Serialize;

use crate::error::Failure;

/// Writes a command's text to standard output, styled only where that is a terminal. A reader that has heard enough
/// (`firstjack tell ... | head -1`) is no failure.
pub fn print(text: &str) -> Result<(), Failure> {
    let mut stdout = anstream::stdout().lock();
    match stdout.write_all(text.as_bytes()).and_then(|()| stdout.flush()) {
        Err(error) if !has_heard_enough(&error) => Err(Failure::write(Path::new("standard output"), error)),
        _ => Ok(()),
    }
}

/// Whether the reader of a pipe is gone. Windows has a second name for that, which Rust does not know.
pub fn has_heard_enough(error: &io::Error) -> bool {
    const ERROR_PIPE_NOT_CONNECTED: i32 = 233;
    let not_connected = cfg!(windows) && error.raw_os_error() == Some(ERROR_PIPE_NOT_CONNECTED);
    error.kind() == io::ErrorKind::BrokenPipe || not_connected
}

/// A command's figures as JSON for [`print()`]: names are as they were given, and still steer no terminal.
///
/// # Panics
/// Never: what commands tell are numbers, texts and lists of them.
pub fn json(told: &impl Serialize) -> String {
    let json = serde_json::to_string_pretty(told).expect("numbers, texts and lists of them");
    visible_json(&json).into_owned() + "\n"
}

/// Writes a report to standard output, or to standard error where standard output has the result itself.
pub fn report(text: &str, output: &Path) -> Result<(), Failure> {
    if output.as_os_str() == "-" { tell_aside(text) } else { print(text) }
}

/// Writes what is told besides to standard error. With nobody there to read it nothing is lost.
pub fn tell_aside(text: &str) -> Result<(), Failure> {
    let _ = anstream::stderr().lock().write_all(text.as_bytes());
    Ok(())
}
