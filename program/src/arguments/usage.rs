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
       firstjack curve --setups <FILE> -o <FILE.svg> [OPTIONS]
       firstjack curve --change --pickup <CAPACITANCE> --recorded-through <LOAD> --load <LOAD> -o <FILE.svg> [OPTIONS]";

pub const USAGE_PACK: &str = "\
firstjack pack <TAKE> --setups <FILE> -o <FILE.html> [OPTIONS]
       firstjack pack <TAKE> --pickup <CAPACITANCE> --recorded-through <LOAD> --load <LOAD> -o <FILE.html> [OPTIONS]";

pub const USAGE_NOTE: &str = "firstjack note --setups <FILE> -o <FILE.pdf> [OPTIONS]";

pub const USAGE_INTO_AMP: &str = "\
firstjack into-amp <TAKE> --recorded-through <LOAD> --pickup <CAPACITANCE> --into <LOAD> [OPTIONS]
       firstjack into-amp <TAKE> --setups <FILE> --setup <NAME> [OPTIONS]";

pub const USAGE_RESCUE: &str = "\
firstjack rescue --setups <FILE> [OPTIONS]
       firstjack rescue --pickup <CAPACITANCE> --load <LOAD> [OPTIONS]";

pub const USAGE_MEASURE_LEAD: &str = "firstjack measure lead -o <FILE.pdf> [OPTIONS]";

pub const USAGE_MEASURE_SWEEP: &str = "firstjack measure sweep -o <FILE.wav> [OPTIONS]";

pub const USAGE_MEASURE_PICKUP: &str = "\
firstjack measure pickup --reference <FILE> --empty <FILE> --plugged <FILE> --resistor <RESISTANCE> [OPTIONS]
       firstjack measure pickup --reference <FILE> --empty <FILE> --plugged <FILE> --capacitor <CAPACITANCE> [OPTIONS]";

pub const USAGE_MEASURE_BOX: &str = "\
firstjack measure box --reference <FILE> --box <FILE> --capacitor <CAPACITANCE> [OPTIONS]
       firstjack measure box --reference <FILE> --box <FILE> --resistor <RESISTANCE> [OPTIONS]";

pub const USAGE_MEASURE_COIL: &str = "firstjack measure coil --reference <FILE> --empty <FILE> --plugged <FILE> --resistor <RESISTANCE> [OPTIONS]";

pub const USAGE_MEASURE_TOGGLE: &str = "\
firstjack measure toggle <TAKE> --load-a <LOAD> --added <LOAD> --marks <TIMES> [OPTIONS]
       firstjack measure toggle <TAKE> --load-a <LOAD> --known-pickup <CAPACITANCE> --marks <TIMES> [OPTIONS]
       firstjack measure toggle <TAKE> --suggest-marks [OPTIONS]";

pub const USAGE_MEASURE_RUB: &str =
    "firstjack measure rub <TAKE> --load-a <LOAD> --added <LOAD> --marks <TIMES> [OPTIONS]";

pub const USAGE_MEASURE_METER: &str =
    "firstjack measure meter <CAPACITANCE> --at <HZ> [--cable <LENGTH>] [OPTIONS]";

pub const USAGE_MEASURE_GUIDED: &str = "firstjack measure guided <WHAT> [OPTIONS]";
