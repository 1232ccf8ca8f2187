use std::path::Path;

use clap::CommandFactory;

use crate::arguments::Firstjack;
use crate::error::Failure;
use crate::stdout;

/// `firstjack completions`.
pub fn completions(shell: clap_complete::Shell) -> Result<(), Failure> {
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut Firstjack::command(), "firstjack", &mut script);
    stdout::print(&String::from_utf8_lossy(&script))
}

/// `firstjack man`.
pub fn man() -> Result<(), Failure> {
    let mut page = Vec::new();
    let mut add = |command: clap::Command| {
        let rendered = clap_mangen::Man::new(command).render(&mut page);
        rendered.map_err(|error| Failure::write(Path::new("manual page"), error))
    };
    let command = Firstjack::command();
    add(command.clone())?;
    for sub in command.get_subcommands().filter(|sub| !sub.is_hide_set()) {
        add(sub.clone().display_name(format!("firstjack-{}", sub.get_name())))?;
    }
    stdout::print(&String::from_utf8_lossy(&page))
}
