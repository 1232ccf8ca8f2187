//! The entry points that hosts look for in the library.

use nice_plug::prelude::*;

use crate::plugin::Firstjack;

nice_export_clap!(Firstjack);
nice_export_vst3!(Firstjack);
