//! `firstjack open`: a take in a window, heard through setups.

mod decode;
mod player;
mod reamp;
mod screenshot;
mod session;
#[cfg(feature = "sound")]
mod sound;
mod window;

use std::path::Path;
use std::sync::Arc;

use dsp_core::preset::Preset;
use dsp_core::response::Ceiling;
use firstjack_plugin::Peaks;
use firstjack_plugin::editor::{Document, Session as _, View};

use crate::arguments::OpenArguments;
use crate::error::Failure;
use crate::name::Name;
use crate::output::is_standard;
use crate::passes::range;
use crate::render::RECORD_IT;
use crate::source::{OwnKit, Source};
use crate::{display, source};
use decode::{HEARD, Sound, decode};
use player::{Player, Transport};
use session::PlayerSession;
use window::Window;

/// What is heard through until a file says otherwise.
const COURTYARD: &str = include_str!("../../../presets/courtyard.toml");

/// Runs the command: reads the take, starts the sound if there is any, and shows the window until it is closed.
pub fn run(arguments: &OpenArguments) -> Result<(), Failure> {
    let preset = preset(arguments)?;
    let mut take = decode(&arguments.take, arguments.allow_damaged)?;
    cut(&mut take, arguments)?;
    let take = Arc::new(take);
    let (mut session, engine) = PlayerSession::new(document_of(preset), take.clone())
        .map_err(|problem| refused(arguments, problem))?;
    session.keep_view(View { page: arguments.page.clone(), ..View::default() });
    display::check()?;
    let transport = Arc::new(Transport::new(take.frames()));
    let player = Player::new(take.clone(), transport.clone(), engine);
    let output = Output::start(player, take.rate_hz);
    if output.description.is_err() {
        session.go_unheard().map_err(|problem| refused(arguments, problem))?;
    }
    let window = Window {
        title: title(&arguments.take),
        remarks: remarks(&take),
        sound: output.description.clone(),
        transport,
        rate_hz: take.rate_hz,
        peaks: Peaks::new(&take.channels),
        session,
        take: Some(arguments.take.clone()).filter(|take| !is_standard(take)),
    };
    let shown = window.run(arguments);
    drop(output);
    shown
}

/// Leaves the part that was asked for.
fn cut(take: &mut Sound, arguments: &OpenArguments) -> Result<(), Failure> {
    if arguments.part.is_all() {
        return Ok(());
    }
    let all = take.frames();
    let (from, wanted) = range(&arguments.part, &arguments.take, all as u64, take.rate_hz.into())?;
    let frames = |count: u64| usize::try_from(count).unwrap_or(all).min(all);
    for channel in &mut take.channels {
        channel.truncate(frames(from + wanted));
        channel.drain(..frames(from));
    }
    Ok(())
}

/// The setups that were asked for.
fn preset(arguments: &OpenArguments) -> Result<Preset, Failure> {
    let mut preset = read(arguments)?;
    if !preset.says_recorded {
        return Err(refused(
            arguments,
            format!("it does not say what the take was recorded through: {RECORD_IT}"),
        ));
    }
    let mut kept = Source::from_preset(preset.clone());
    if let Some(venue) = &arguments.venue {
        kept.keep_venue(venue)?;
    }
    kept.keep_setups(&arguments.setup)?;
    preset.setups.retain(|setup| kept.setups.iter().any(|kept| kept.name.given() == setup.name));
    Ok(preset)
}

fn read(arguments: &OpenArguments) -> Result<Preset, Failure> {
    let Some(path) = &arguments.setups else {
        let path = Path::new("presets/courtyard.toml");
        return Preset::from_toml(COURTYARD)
            .map_err(|error| Failure::Preset { path: path.to_owned(), error: Box::new(error) });
    };
    source::read_preset(path, &OwnKit::new(&arguments.kit)?)
}

/// What does not fit may be of the file of setups, or of the take with it.
fn refused(arguments: &OpenArguments, problem: String) -> Failure {
    Failure::input(arguments.setups.as_deref().unwrap_or(&arguments.take), problem)
}

/// As it is opened: level-matched and guarded, the first setup heard.
fn document_of(preset: Preset) -> Document {
    Document {
        preset,
        heard: Some(0),
        bypass: false,
        ceiling: Ceiling::default(),
        floor: None,
        level_match: true,
        hold: false,
        guard: true,
        trim_db: 0.0,
        output_db: 0.0,
    }
}

fn title(take: &Path) -> String {
    let name = Name::of(Path::new(take.file_name().unwrap_or_default()));
    format!("{name} - Firstjack")
}

/// What the reader should know of the take.
fn remarks(take: &Sound) -> Vec<String> {
    let more = (take.channels_in_file > HEARD)
        .then(|| format!("The file has {} channels; the first two are heard.", take.channels_in_file));
    let less = take.is_truncated.then(|| "The file is truncated; what is there is heard.".to_owned());
    more.into_iter().chain(less).collect()
}

/// The device that is heard, if there is one.
struct Output {
    /// Which it is; or why there is none.
    description: Result<String, String>,
    #[cfg(feature = "sound")]
    _stream: Option<sound::Stream>,
}

impl Output {
    #[cfg(feature = "sound")]
    fn start(player: Player, rate_hz: u32) -> Self {
        match sound::start(player, rate_hz) {
            Ok((stream, description)) => Self { description: Ok(description), _stream: Some(stream) },
            Err(problem) => {
                Self { description: Err(problem.trim_end_matches('.').to_owned()), _stream: None }
            }
        }
    }

    #[cfg(not(feature = "sound"))]
    fn start(_player: Player, _rate_hz: u32) -> Self {
        Self { description: Err("this build has no sound (feature sound)".to_owned()) }
    }
}
