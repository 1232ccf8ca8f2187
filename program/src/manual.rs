use std::io;

use clap::CommandFactory;

use crate::arguments::Firstjack;
use crate::error::Failure;

/// `firstjack completions`.
pub fn completions(shell: clap_complete::Shell) -> Result<(), Failure> {
    clap_complete::generate(shell, &mut Firstjack::command(), "firstjack", &mut io::stdout());
    Ok(())
}

/// `firstjack man`.
pub fn man() -> Result<(), Failure> {
    let mut page = Vec::new();
    let stdout = std::path::Path::new("standard output");
    let command = Firstjack::command();
    clap_mangen::Man::new(command.clone())
        .render(&mut page)
        .map_err(|error| Failure::write(stdout, error))?;
    for sub in command.get_subcommands() {
        let sub = sub.clone().display_name(format!("firstjack-{}", sub.get_name()));
        clap_mangen::Man::new(sub).render(&mut page).map_err(|error| Failure::write(stdout, error))?;
    }
    io::Write::write_all(&mut io::stdout(), &page).map_err(|error| Failure::write(stdout, error))
}
