//! How each command is typed. Written out, since a line made from all options would offer what does not go together.

pub const USAGE_TELL: &str = "\
firstjack tell --pickup <CAPACITANCE> --load <LOAD> [OPTIONS]
       firstjack tell --coil <INDUCTANCE> --coil-resistance <RESISTANCE> --load <LOAD> [OPTIONS]
       firstjack tell --setups <FILE> [OPTIONS]";

pub const USAGE_RENDER: &str = "\
firstjack render <TAKE> --pickup <CAPACITANCE> --recorded-through <LOAD> --load <LOAD> -o <PATH> [OPTIONS]
       firstjack render <TAKE> --coil <INDUCTANCE> --coil-resistance <RESISTANCE> --recorded-through <LOAD> --load <LOAD> -o <PATH> [OPTIONS]
       firstjack render <TAKE>... --setups <FILE> -o <FOLDER> [OPTIONS]";

pub const USAGE_CURVE: &str = "\
firstjack curve --pickup <CAPACITANCE> --load <LOAD> -o <FILE.svg> [OPTIONS]
       firstjack curve --coil <INDUCTANCE> --coil-resistance <RESISTANCE> --load <LOAD> -o <FILE.svg> [OPTIONS]
       firstjack curve --setups <FILE> -o <FILE.svg> [OPTIONS]";

pub const USAGE_PACK: &str = "\
firstjack pack <TAKE> --setups <FILE> -o <FILE.html> [OPTIONS]
       firstjack pack <TAKE> --pickup <CAPACITANCE> --recorded-through <LOAD> --load <LOAD> -o <FILE.html> [OPTIONS]";

pub const USAGE_NOTE: &str = "firstjack note --setups <FILE> -o <FILE.pdf> [OPTIONS]";

pub const USAGE_RESCUE: &str = "\
firstjack rescue --setups <FILE> [OPTIONS]
       firstjack rescue --pickup <CAPACITANCE> --load <LOAD> [OPTIONS]";
