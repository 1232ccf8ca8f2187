//! What the help of each command ends with.

pub const EXAMPLES_TELL: &str = "Examples:
  firstjack tell --pickup 680p --load \"470k || 1M\" --instrument guitarron
  firstjack tell --setups presets/courtyard.toml
  firstjack tell --pickup 1n --load 1M --instrument bass --max-loss 3 --json
  firstjack tell --coil \"4.7 H\" --coil-resistance 8k2 --winding 120p --load \"1M || 6 m\"
  firstjack tell --coil double --volume \"500k log at 7\" --tone \"500k 22n\" --load 1M
  firstjack tell --pickup \"680p ±30 %\" --load 1MM
  firstjack tell --pickup bridge --load 56k --load \"transformer 140k\" --load \"1M || 6 m\"
  firstjack tell --pickup \"470p to 4.7n\" --first \"10 m\" --first \"tuner 1M buffered\" --load 470k
  firstjack tell --pickup 1n --first \"volume pedal 220k unbuffered\" --load 1M --load 56k

What comes first (--first), in order: a box is its name, its input, and buffered (what follows does not
load the pickup), unbuffered (its thru is its input) or active (a pedal that is on; what it does to the
sound besides is beyond the model). To find out, play, listen to its other output and unplug what
follows: does the sound change? Then it is unbuffered.

Tolerances: ±30 %, +-30%, or a capital letter of IEC 60062 right behind a value in its code (4k7K,
1MM, 220pJ). The first letter is the multiplier, and what reads without a tolerance has none: 1M,
4K7, 220pF. Ranges then hold wherever the values lie, all of them independently.

The input to ask for. Only the box that is listened to changes; the rest of the chain stays.
  Capacitive pickup: the smallest resistance with which the lowest string is within --max-loss dB
  of the level in the passband; with controls on the instrument, and for a blend, of what an open
  input would leave of it.
  Magnetic pickup: the smallest resistance with which its resonance, with controls and cables as
  they are, is within --max-loss dB of what an amplifier's usual 1 MΩ leaves (common practice). An
  upper end too, where an open input would make it stand out by more than 6 dB beyond that.";

pub const EXAMPLES_RENDER: &str = "Examples:
  firstjack render take.wav --pickup 680p --recorded-through 22M --load 470k -o amp.wav
  firstjack render take.wav --setups presets/courtyard.toml -o folder/
  firstjack render take.wav solo.wav --pickup 680p --recorded-through 22M --load 470k -o takes/
  firstjack render take.wav --pickup 1n --recorded-through 56k --load none --undo-ceiling 9 -o x.wav
  firstjack render take.wav --pickup \"1n ±30 %\" --recorded-through 22M --load 1M --at high -o y.wav

Several takes are rendered one after the other, each into the folder; so are several setups or
loads, with the take as it is before them.

Two pickups that share a jack (a file of setups with [[blend]]) need a track each, recorded by
itself through what the file says: a take of two channels, the first pickup's on channel 1, or two
mono takes of one rate and length, as --blend first.wav second.wav.

Turn the system down before auditioning an undo: tens of dB of low-frequency boost can hurt
hearing and loudspeakers.

Exit codes: 0 done, 1 the system failed (disk full), 2 what was asked for cannot be done, 130
interrupted. A file that is there is complete.";

pub const EXAMPLES_CURVE: &str = "Examples:
  firstjack curve --pickup 680p --load 56k --load 470k -o curves.svg
  firstjack curve --setups presets/courtyard.toml -o curves.png
  firstjack curve --coil \"4.7 H\" --coil-resistance 8k2 --load \"1M || 6 m\" -o curves.csv
  firstjack curve --change --pickup 1n --recorded-through 1M --load none --undo-floor 0.5 -o k.svg

A picture has up to 40 curves, beyond eight with numbers on them, and the input to ask for with the level
that it keeps: the lowest string within 1 dB. A table has any number.";

pub const EXAMPLES_PACK: &str = "Examples:
  firstjack pack take.wav --setups presets/courtyard.toml -o page.html
  firstjack pack take.wav --setups presets/courtyard.toml --from 0:10 --length 30 --blind -o vote.html
  firstjack pack take.wav --setups presets/courtyard.toml --abx combo tuner --anchor -o vote.html

The page opens from disk in any current browser, without a network: the take through every setup at
equal loudness, with figures, a blind vote and the crew note. It has the sound in it: without loss
(FLAC) where the page stays within 6 MiB, or else in Opus at a rate with which 30 seconds of eight
sounds do; longer ones and larger sets have more in proportion.

A take of more than two channels is heard by its first two; a blend as it leaves its jack.

Exit codes: 0 done, 1 the system failed (disk full), 2 what was asked for cannot be done, 130
interrupted. A file that is there is complete.";
pub const EXAMPLES_NOTE: &str = "Examples:
  firstjack note --setups presets/courtyard.toml -o note.pdf
  firstjack note --setups presets/venues.toml --venue chapel --language de -o note.html
  firstjack note --setups presets/tour.toml --venue harbour --phantom off --line 7 -o harbour.pdf

One A4 page: what to give, in large; the crew's fields, from the venue's table in the file or the
command, and lines to write on for the rest; which input is needed, which box goes first and why, how
long a cable may be, the chain as a block diagram, what there is in order of what it loses, cautions. It
is about the first of that order unless --setup names another. What does not fit is cut, and says so.";

pub const EXAMPLES_INTO_AMP: &str = "Examples:
  firstjack into-amp take.wav --pickup 680p --through 22M --into \"1M || 6 m\" --sheet sheet.pdf
  firstjack into-amp take.wav --setups presets/courtyard.toml --setup combo --way capacitor -o b.wav
  firstjack into-amp take.wav --pickup 680p --through 22M --into 1M --interface ours -o loud.wav

An output is strong and a pickup weak: into an amplifier the pickup's loading is gone. Two ways:
  file       the load is in the file; any output of low resistance may play it
  capacitor  the file is without any load; a real capacitor of the pickup's value stands in series
             behind the output, and the amplifier loads that as it loads the pickup. Capacitive
             pickups only

Without -o nothing is rendered: both ways are told. Levels: what 0 dBFS is at the input that
recorded, and at the output, behind the isolating box if there is one. With both of them the file
has the gain in it at which the amplifier sees the volts that the pickup gave.

A loudspeaker, or a load made for it, before power. Use isolation made for it, and never lift a
protective earth. Start quiet.

Exit codes: 0 done, 1 the system failed (disk full), 2 what was asked for cannot be done, 130
interrupted.";

pub const EXAMPLES_KIT: &str = "Examples:
  firstjack kit add pickup \"our bridge\" \"680p ±6 %\" method=sweep measured=2026-11-27
  firstjack kit add box \"our tuner\" \"1M ±3 %\" thru=after remarks=\"the blue one\"
  firstjack kit add pickup \"our neck pickup\" inductance=\"3.3 H\" resistance=6k8 winding=120p loss=470k
  firstjack kit set \"our tuner\" capacitance 47p
  firstjack kit

Its names stand for its values wherever a pickup or a load is typed, and in files of setups:
  firstjack tell --pickup \"our bridge\" --load \"our tuner || 470k\"
  firstjack tell --pickup \"our bridge\" --first \"our tuner buffered\" --load 470k

A file of setups that names it opens elsewhere once its values are written into it:
  firstjack kit embed tour.toml -o tour-for-all.toml

Fields are those of a pickup and of a box in a chain (firstjack help setups), and measured (a day),
method (sweep, toggle, rub, meter or printed) and remarks. The file is TOML; comments in it stay.";

pub const EXAMPLES_NEW: &str = "Examples:
  firstjack new venue.toml
  firstjack new --schema tour.toml

What can be written there: firstjack help setups";

pub const EXAMPLES_RESCUE: &str = "Examples:
  firstjack rescue --setups presets/courtyard.toml
  firstjack rescue --pickup 680p --recorded-through 22M --load 470k --instrument guitarron
  firstjack rescue --setups presets/courtyard.toml --desk-gain 12 --desk-q 0.7-2 --json
  firstjack rescue --pickup 1n --load 470k --desk-shelf 80 --desk-hz-step third

The settings are those of the usual digital filters (Audio EQ Cookbook, W3C) at --rate, fitted by
least squares in dB, each octave alike, from a third below the lowest string to 16 kHz. Frequencies
and Q are preferred numbers (ISO 3); two bells stand about an octave apart, since closer ones are one
band at its stop.

Where more boost is needed than --desk-boost the verdict is not to do it, and the settings go no further:
string and noise rise together. 20 dB, ten times the voltage, is common practice, no source.

What they leave is told at equal level against the aim: the take as recorded, if --recorded-through or
a file of setups says what that was, or else the pickup without any load, a magnetic one into a usual
amplifier and cable. --aim chooses another.

Turn the system down before trying a rescue: tens of dB of low-frequency boost can hurt hearing
and loudspeakers.";

pub const EXAMPLES_OPEN: &str = "Examples:
  firstjack open take.wav --setups presets/courtyard.toml
  firstjack open rehearsal.mp3 --zoom 1.5

In the window: space plays and stops; a click on the waveform goes there; a drag loops a part, a
double click no part.

This needs a build with the feature window, or sound to hear it too; without a device for sound the
window opens and says that nothing can be heard.

Turn the system down before auditioning an undo: tens of dB of low-frequency boost can hurt
hearing and loudspeakers.

Exit codes: 0 closed, 1 no window could be opened, 2 what was asked for cannot be done.";

pub const EXAMPLES_LIVE: &str = "Examples:
  firstjack live
  firstjack live --backend alsa --rate 48000 --buffer 256 --input \"USB interface\"
  firstjack live --backend jack --connect system:capture_1

This needs a build with the feature sound. With JACK the rate and the buffer are the server's. No
input is connected unasked, so that nothing howls.

Mute before plugging and unplugging. Turn the system down before auditioning an undo: tens of dB of
low-frequency boost can hurt hearing and loudspeakers.

Exit codes: 0 closed, 1 no window or no sound is to be had, 2 what was asked for cannot be done.";

pub const EXAMPLES_VOTES: &str = "Examples:
  firstjack votes page.html answers.txt
  firstjack votes page.html cello.json mandolin.json --json

Answers are files as the page saves them, or its codes (fj1....), one a line, among other text such
as mail or a chat. The same ballot twice counts once. What comes under one name is one listener's:
runs of one pair are added up, rankings count as one, by their mean; --apart says that a name is
several people's. Without a name each ballot is another listener's.

Exit codes: 0 all answers count, 1 the system failed, 2 some do not; those that do are told all the
same.";

pub const EXAMPLES_MEASURE: &str = "Which way:
  sweep       firstjack measure lead, sweep, then pickup, box or coil: no playing; within about 5 %
  toggle      held notes with a known resistor switched in and out: within about 10 %
  meter       a capacitance meter's reading, without a preamp in between
  rub         rubbing the top instead of playing: within about 25 %

Examples:
  firstjack measure lead -o lead.pdf
  firstjack measure sweep -o sweep.wav
  firstjack measure meter 690p --at \"1 kHz\" --cable \"3 m\"

Every result is an interval, or a refusal that says what to do better. It rests on the known part as
it is stated: a resistor that is 10 % off moves the pickup by 10 %, unseen.

Mute before plugging and unplugging, monitors down, headphones off the ears, phantom power off, and
nothing of this to the mains; local electrical codes come first.

Exit codes: 0 found, 1 the system failed, 2 what was asked for cannot be done, 3 these recordings
cannot tell (nothing is written, nothing is saved).";

pub const EXAMPLES_MEASURE_LEAD: &str = "Examples:
  firstjack measure lead -o lead.pdf
  firstjack measure lead --language de -o messkabel.html";

pub const EXAMPLES_MEASURE_SWEEP: &str = "Examples:
  firstjack measure sweep -o sweep.wav
  firstjack measure sweep --rate 96k --level -30 -o quiet.wav

Three sweeps of 2 s with silence between. Play it by hand, into the measuring lead and nothing else:
monitors down, headphones off the ears, phantom power off, mute before plugging. Set the input so that
the reference peaks at about -12 dBFS, and touch no gain between the steps. No limiter, no automatic
gain, no low cut.";

pub const EXAMPLES_MEASURE_PICKUP: &str = "Examples:
  firstjack measure pickup --reference a.wav --empty b.wav --plugged c.wav --resistor \"100k ±1%\"
  firstjack measure pickup --reference a.wav --empty b.wav --plugged c.wav --resistor 100k --save ours

Record the test sound (firstjack measure sweep) three times: straight from the output to the input;
through the measuring lead; the same with the instrument plugged in. Gains stay as they are.";

pub const EXAMPLES_MEASURE_BOX: &str = "Examples:
  firstjack measure box --reference a.wav --box b.wav --capacitor \"1n ±5%\"
  firstjack measure box --reference a.wav --box b.wav --resistor \"100k ±1%\" --save \"our tuner\"

Record the test sound (firstjack measure sweep) twice from the box's output: played straight into the
box, then through the known part. A capacitor shows the resistance of most inputs best.";

pub const EXAMPLES_MEASURE_COIL: &str = "Examples:
  firstjack measure coil --reference a.wav --empty b.wav --plugged c.wav --resistor \"100k ±1%\"

Volume and tone turned up: what is measured is what is at the jack, controls and all.";

pub const EXAMPLES_MEASURE_TOGGLE: &str = "Examples:
  firstjack measure toggle take.wav --load-a 1M --added \"56k ±1%\" --marks marks.txt
  firstjack measure toggle take.wav --load-a 1M --added 56k --marks \"2.0 3.1 4.0 5.2 6.1 7.0\" --cable \"3 m\"
  firstjack measure toggle take.wav --load-a 1M --known-pickup \"680p ±5%\" --marks marks.txt
  firstjack measure toggle take.wav --suggest-marks

A second of silence, strings damped; then hold a note, switch in, out and in about a second apart, and
so on for eight notes; a second of silence. Marks within 0.1 s suffice. It begins without the added part.";

pub const EXAMPLES_MEASURE_RUB: &str = "Examples:
  firstjack measure rub take.wav --load-a 1M --added \"56k ±1%\" --marks \"3 5 7 9 11 13 15 17 19 21\"

Rub the top evenly, switch every two seconds, twelve times. It begins without the added part.";

pub const EXAMPLES_MEASURE_GUIDED: &str = "Examples:
  firstjack measure guided pickup
  firstjack measure guided box --resistor \"100k ±1%\" --save \"our tuner\"
  firstjack measure guided coil --input \"USB interface\" --output \"USB interface\" --keep recordings/

You are told what to plug where; Enter starts each step, b begins again, q ends. The sweep begins at
-40 dBFS and is never louder unless you say yes to that. What clips, is too quiet or lacks a part is told,
and the step repeated. Nothing is played before you have confirmed that monitors are down, headphones
off the ears and phantom power off.

This needs a build with the feature sound.

Exit codes: 0 found, 1 no sound is to be had, 2 what was asked for cannot be done, 3 these recordings
cannot tell, 130 left or interrupted.";

pub const EXAMPLES_MEASURE_METER: &str = "Examples:
  firstjack measure meter 690p --at \"1 kHz\" --cable \"3 m\" --error \"2 %\"

Without a preamp between meter and pickup. Mechanics move a pickup's capacitance near its resonances:
a reading at some 100 Hz to 1 kHz is nearest to what a string sees.";
