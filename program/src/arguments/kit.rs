//! Arguments of `firstjack kit`.

use std::path::PathBuf;

use clap::{Args, Subcommand, ValueEnum};

use super::WriteArguments;

#[derive(Debug, Args)]
pub struct KitArguments {
    /// The kit's file, instead of the one in your settings; the variable FIRSTJACK_KIT says another one, too
    #[arg(long, value_name = "FILE", global = true)]
    pub kit: Option<PathBuf>,
    /// Print JSON for scripts
    #[arg(long, global = true)]
    pub json: bool,
    #[command(subcommand)]
    pub command: Option<KitCommand>,
}

#[derive(Debug, Subcommand)]
pub enum KitCommand {
    /// List all entries, as without a command
    List,
    /// Show one entry, as the file has it
    Show {
        /// Its name
        name: String,
    },
    /// Add a pickup or a box; one that is there stays, unless told otherwise
    Add {
        /// What it is
        kind: KindArgument,
        /// A name of your own
        name: String,
        /// A value (680p, 1M buffered, 'transformer 140k') and fields (blocking=22n, method=printed)
        #[arg(value_name = "VALUES", required = true)]
        values: Vec<String>,
        /// Put it in place of the one that has this name
        #[arg(long)]
        overwrite: bool,
    },
    /// Give a field of an entry another value; none takes it away
    Set {
        /// Its name
        name: String,
        /// The field, such as input or transformer.primary
        field: String,
        /// The value
        #[arg(allow_hyphen_values = true)]
        value: String,
    },
    /// Give an entry another name
    Rename {
        /// Its name
        name: String,
        /// The other one
        new: String,
    },
    /// Remove an entry; it is printed as it was
    Remove {
        /// Its name
        name: String,
    },
    /// Check the file, and ask about what may be a slip
    Check,
    /// Print where the file lies, or would
    Path,
    /// Write a file of setups in which values stand in place of the kit's names, so that it opens elsewhere
    Embed {
        /// The file of setups
        file: PathBuf,
        /// What is written; - for standard output
        #[arg(short, long, value_name = "FILE")]
        output: PathBuf,
        #[command(flatten)]
        write: WriteArguments,
    },
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum KindArgument {
    /// A pickup
    Pickup,
    /// Anything with an instrument jack
    Box,
}
