use std::io::{self, Write};
use std::path::Path;

use crate::error::Failure;

/// Writes a command's text to standard output, styled only where that is a terminal. A reader that has heard enough
/// (`firstjack tell ... | head -1`) is no failure.
pub fn print(text: &str) -> Result<(), Failure> {
    let mut stdout = anstream::stdout().lock();
    match stdout.write_all(text.as_bytes()).and_then(|()| stdout.flush()) {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => {
            Err(Failure::write(Path::new("standard output"), error))
        }
        _ => Ok(()),
    }
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
