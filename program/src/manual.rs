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
    add(Firstjack::command(), "firstjack", &mut page)?;
    stdout::print(&String::from_utf8_lossy(&page))
}

/// A command's page, and behind it those of its commands.
fn add(command: clap::Command, name: &str, page: &mut Vec<u8>) -> Result<(), Failure> {
    let rendered = clap_mangen::Man::new(command.clone().display_name(name)).render(page);
    rendered.map_err(|error| Failure::write(Path::new("manual page"), error))?;
    let commands = command.get_subcommands().filter(|sub| !sub.is_hide_set());
    let named = commands.map(|sub| (sub.clone(), format!("{name}-{}", sub.get_name())));
    named.collect::<Vec<_>>().into_iter().try_for_each(|(sub, name)| add(sub, &name, page))
}
