use std::path::{Path, PathBuf};
use std::sync::Arc;

use dsp_core::preset::{Instrument, Preset, Setup};
use dsp_core::units::Pitch;
use firstjack_kit::KitFile;

use super::document::edit::{Edit, SetupsEdit};
use super::document::history::{History, Step};
use super::{
    Blind, BlindMessage, CurveKind, Document, Figures, Message, NoiseAsked, Page, Session, Stage, Undoing,
    View, kit,
};

/// All that the editor knows between frames.
#[derive(Debug, Clone)]
pub struct Model {
    /// What is edited.
    pub document: Document,
    /// What is shown of it.
    pub figures: Figures,
    /// Which curves are drawn.
    pub curves: CurveKind,
    /// What is looked at.
    pub page: Page,
    /// Whose strings are looked at.
    pub instrument: Instrument,
    /// Whether the help is open.
    pub help: bool,
    /// Whether what says how to measure is open.
    pub measure: bool,
    /// What is said to the reader, the newest last, until it has been read; nothing twice.
    pub notices: Vec<String>,
    /// A comparison without names.
    pub blind: Option<Blind>,
    /// The session's version that the document is of.
    version: u64,
    /// What the session could not read, as far as that has been said.
    problem: Option<String>,
    /// How often the session's preset had been replaced by somebody else.
    loads: u64,
    /// What was heard before what is heard now.
    heard_before: Option<Option<usize>>,
    copied: Option<Setup>,
    history: History,
    opened: Opened,
    /// What is asked of noise, of which figures and of what is heard.
    asked: Arc<NoiseAsked>,
    asked_of: Option<(u64, Option<usize>)>,
}

/// What edits are told from.
#[derive(Debug, Clone)]
struct Opened {
    preset: Preset,
    /// The file that has it, if one has.
    path: Option<PathBuf>,
    /// So many edits could be taken back then.
    count: usize,
}

impl Opened {
    const fn new(preset: Preset) -> Self {
        Self { preset, path: None, count: 0 }
    }
}

const NOT_WHILE_BLIND: &str = "Not while the names are hidden: show them, or end the comparison, first.";
const UNRECORDED: &str =
    "The file does not say what was recorded through: taken as nothing, an unloaded take.";
const CHANGED_SINCE: &str = "changed by the host since, so there is nothing to take back";
const CHANGED_WHILE_BLIND: &str = "The setups have changed: the comparison has ended.";

impl Model {
    /// What a session has.
    pub fn new(session: &mut dyn Session) -> Self {
        let document = session.document();
        let view = session.view();
        let instrument = instrument_of(&document, &view);
        let figures = Figures::new(&document, &instrument.strings, Pitch::CONCERT_HZ);
        Self {
            opened: Opened::new(document.preset.clone()),
            document,
            figures,
            curves: CurveKind::of(&view),
            page: Page::of(&view),
            instrument,
            help: false,
            measure: false,
            notices: session.problem().into_iter().collect(),
            blind: None,
            version: session.version(),
            problem: session.problem(),
            loads: session.loads(),
            heard_before: None,
            copied: None,
            history: History::default(),
            asked: Arc::default(),
            asked_of: None,
        }
    }

    /// Takes note of what the session has meanwhile.
    pub fn refresh(&mut self, session: &mut dyn Session) {
        let version = session.version();
        if version != self.version {
            self.version = version;
            let document = session.document();
            let loads = session.loads();
            if std::mem::replace(&mut self.loads, loads) != loads {
                self.history.clear();
                self.opened = Opened::new(document.preset.clone());
            }
            self.look(&session.view(), &document);
            self.take(document);
            let problem = session.problem();
            if self.problem != problem {
                problem.iter().for_each(|problem| self.say(problem));
                self.problem = problem;
            }
        }
        self.ask(session);
    }

    /// What is heard decides what is asked of the noise.
    fn ask(&mut self, session: &mut dyn Session) {
        let (figures, heard) = (&self.figures, self.document.heard);
        if self.asked_of.replace((figures.version, heard)) != Some((figures.version, heard)) {
            let mut undoing = figures.setups.iter().filter_map(|setup| setup.undoing.as_ref());
            let asked = NoiseAsked {
                strings_hz: figures.strings_hz.clone(),
                tracks: self.document.preset.pickups.count(),
                listens: undoing.any(|undoing| *undoing != Undoing::Coil),
                heard: figures.of(heard).undoing.clone(),
            };
            if asked != *self.asked {
                self.asked = Arc::new(asked);
            }
        }
        session.heed(&self.asked);
    }

    /// Whether what is heard asks for what noise allows, which is found a moment later.
    pub fn asks_noise(&self) -> bool {
        self.asked.heard.is_some()
    }

    /// Whether names, curves and figures of setups are hidden. No view may then show which setup is heard, nor anything that
    /// tells one from another.
    pub fn is_blind(&self) -> bool {
        self.blind.as_ref().is_some_and(|blind| !blind.is_revealed())
    }

    /// What would be taken back, and what would be done again.
    pub fn undo_names(&self) -> (Option<&str>, Option<&str>) {
        self.history.names()
    }

    /// Whether the preset differs from what was opened or saved.
    pub fn is_edited(&self) -> bool {
        self.opened.preset != self.document.preset
    }

    /// The file that was opened, or saved to, last.
    pub fn path(&self) -> Option<&Path> {
        self.opened.path.as_deref()
    }

    /// How many edits can be taken back.
    pub fn undo_count(&self) -> usize {
        self.history.count()
    }

    /// What was heard before what is heard now: the inner `None` is the take as recorded.
    pub const fn heard_before(&self) -> Option<Option<usize>> {
        self.heard_before
    }

    /// Whether a setup has been copied.
    pub fn can_paste(&self) -> bool {
        self.copied.is_some()
    }

    /// Does what a view asks for.
    pub fn update(&mut self, message: Message, session: &mut dyn Session) {
        if self.is_blind() && self.would_spoil(&message) {
            self.say(NOT_WHILE_BLIND);
            return;
        }
        match message {
            Message::Hear(heard) => self.hear(heard, session),
            Message::Blind(message) => self.compare(message, session),
            Message::HearBefore => {
                if let Some(heard) = self.heard_before {
                    self.hear(heard, session);
                }
            }
            Message::Edit(edit, stage) => {
                self.edit(&edit, stage, session);
            }
            Message::Still => {
                let now = session.document();
                self.send(&now, &now, Stage::End, session);
                self.history.end();
            }
            Message::Undo => self.step_back(session),
            Message::Redo => self.step_forward(session),
            Message::Copy(index) => self.copied = self.document.preset.setups.get(index).cloned(),
            Message::Paste(index) => self.paste(index, session),
            Message::Load(text) => self.load(&text, None, session),
            Message::Open(path, text) => self.load(&text, Some(path), session),
            Message::Saved(path) => self.note_opened(Some(path)),
            Message::Curves(kind) => {
                self.curves = kind;
                self.keep_view(session);
            }
            Message::Page(page) => {
                self.page = page;
                self.keep_view(session);
            }
            Message::Tuning(text) => self.tune(&text, session),
            Message::Help(open) => self.help = open,
            Message::Measure(open) => self.measure = open,
            // The window's affair.
            Message::Theme(_) | Message::Zoom(_) => {}
            Message::Notice(text) => self.say(&text),
            Message::Read(index) => {
                if index < self.notices.len() {
                    self.notices.remove(index);
                }
            }
        }
    }

    /// Says something to the reader.
    fn say(&mut self, text: &str) {
        self.notices.retain(|notice| notice != text);
        self.notices.push(text.to_owned());
    }

    fn take(&mut self, document: Document) {
        if self.blind.is_some() && document.preset != self.document.preset {
            self.blind = None;
            self.say(CHANGED_WHILE_BLIND);
        }
        if let Some(blind) = &mut self.blind {
            blind.note_heard(document.heard);
        }
        let before = std::mem::replace(&mut self.document, document);
        let follow = |place| before.place_in(&self.document, place);
        if follow(before.heard) == Some(self.document.heard) {
            self.heard_before = self.heard_before.and_then(follow);
        } else {
            self.heard_before = follow(before.heard);
        }
        // Levels and what is heard change no figure: a gesture of theirs costs nothing.
        let shapes = |of: &Document| (of.ceiling, of.floor);
        if before.preset != self.document.preset || shapes(&before) != shapes(&self.document) {
            self.compute();
        }
    }

    /// Whether a message would change what is compared, or tell it.
    fn would_spoil(&self, message: &Message) -> bool {
        match message {
            Message::Undo
            | Message::Redo
            | Message::Copy(_)
            | Message::Paste(_)
            | Message::Load(_)
            | Message::Open(..)
            | Message::HearBefore => true,
            Message::Edit(edit, _) => !edit.keeps_what_is_compared(),
            _ => false,
        }
    }

    fn hear(&mut self, heard: Option<usize>, session: &mut dyn Session) {
        match &self.blind {
            Some(blind) if !blind.is_revealed() => {
                let sound = blind.meant(heard);
                self.compare(BlindMessage::Hear(sound), session);
            }
            _ => {
                self.hear_now(heard, session);
            }
        }
    }

    fn hear_now(&mut self, heard: Option<usize>, session: &mut dyn Session) {
        let now = session.document();
        let to = Document { heard, bypass: false, ..now.clone() };
        self.send(&now, &to, Stage::Whole, session);
    }

    fn compare(&mut self, message: BlindMessage, session: &mut dyn Session) {
        let count = self.document.preset.setups.len();
        match message {
            BlindMessage::Shuffle(seed) => self.blind = Some(Blind::shuffle(count, seed)),
            BlindMessage::Compare { setups: [a, b], .. } if a == b || a.max(b) >= count => return,
            BlindMessage::Compare { setups, answers, seed } => {
                self.blind = Some(Blind::compare(setups, answers, seed));
            }
            BlindMessage::End => self.blind = None,
            BlindMessage::Reveal => return self.blind.iter_mut().for_each(Blind::reveal),
            BlindMessage::Hear(sound) => self.blind.iter_mut().for_each(|blind| blind.hear(sound)),
            BlindMessage::Answer(label) => self.blind.iter_mut().for_each(|blind| blind.answer(label)),
        }
        let to_hear = self.blind.as_ref().and_then(Blind::to_hear);
        if let Some(heard) = to_hear {
            self.hear_now(heard, session);
        }
    }

    fn compute(&mut self) {
        let version = self.figures.version + 1;
        let figures = Figures::new(&self.document, &self.instrument.strings, Pitch::CONCERT_HZ);
        self.figures = Figures { version, ..figures };
    }

    /// Sends what differs to the session, and takes note of what came of it. True if it was held.
    fn send(&mut self, from: &Document, to: &Document, stage: Stage, session: &mut dyn Session) -> bool {
        let held = session.change(from, to, stage);
        self.look(&session.view(), to);
        let is_held = held.is_ok();
        if let Err(problem) = held {
            self.say(&problem);
        }
        self.version = session.version();
        self.take(session.document());
        is_held
    }

    /// Makes an edit of what is true now. True if it was held.
    fn edit(&mut self, edit: &Edit, stage: Stage, session: &mut dyn Session) -> bool {
        let from = session.document();
        let to = match edit.apply(&from) {
            Ok(to) => to,
            Err(problem) => {
                self.say(&problem);
                return false;
            }
        };
        let is_held = self.send(&from, &to, stage, session);
        if is_held {
            self.history.note(edit, stage, &from, &to, &self.document);
        }
        if is_held && matches!(edit, Edit::Instrument(_) | Edit::Load(_)) {
            // Its strings are meant from now on.
            let view = View { tuning: Vec::new(), ..session.view() };
            session.keep_view(view);
            self.look(&session.view(), &to);
        }
        is_held
    }

    fn step_back(&mut self, session: &mut dyn Session) {
        let now = session.document();
        if let Some(step) = self.history.back(&now)
            && self.step(&now, &step, session)
        {
            self.history.went_back();
            if self.history.count() < self.opened.count {
                // What that file has is not there any more, and is not to be written over.
                self.opened.path = None;
            }
        }
    }

    fn step_forward(&mut self, session: &mut dyn Session) {
        let now = session.document();
        if let Some(step) = self.history.forward(&now)
            && self.step(&now, &step, session)
        {
            self.history.went_forward();
        }
    }

    /// True unless it was refused. What somebody else has changed since stays.
    fn step(&mut self, now: &Document, step: &Step, session: &mut dyn Session) -> bool {
        let is_held = self.send(now, &step.to, Stage::Whole, session);
        if is_held && step.to == *now {
            self.say(&format!("{}: {CHANGED_SINCE}", step.name));
        }
        is_held
    }

    fn paste(&mut self, index: usize, session: &mut dyn Session) {
        if let Some(copied) = self.copied.clone() {
            let edit = Edit::Setups(SetupsEdit::Replace(index, Box::new(copied)));
            self.edit(&edit, Stage::Whole, session);
        }
    }

    fn load(&mut self, text: &str, path: Option<PathBuf>, session: &mut dyn Session) {
        match kit::preset(text, KitFile::find(None).ok()) {
            Ok(preset) => {
                let says_recorded = preset.says_recorded;
                let is_held = self.edit(&Edit::Load(Box::new(preset)), Stage::Whole, session);
                if is_held {
                    self.note_opened(path);
                }
                if is_held && !says_recorded {
                    self.say(UNRECORDED);
                }
            }
            Err(error) => self.say(&error.to_string()),
        }
    }

    fn note_opened(&mut self, path: Option<PathBuf>) {
        let count = self.history.count();
        self.opened = Opened { preset: self.document.preset.clone(), path, count };
    }

    /// Takes note of how the project is looked at.
    fn look(&mut self, view: &View, document: &Document) {
        (self.curves, self.page) = (CurveKind::of(view), Page::of(view));
        let instrument = instrument_of(document, view);
        if instrument != self.instrument {
            self.instrument = instrument;
            self.compute();
        }
    }

    fn keep_view(&mut self, session: &mut dyn Session) {
        let is_own = self.instrument.id.is_empty();
        let tuning = self.instrument.strings.iter().filter(|_| is_own).map(ToString::to_string);
        session.keep_view(View {
            tuning: tuning.collect(),
            page: self.page.id().to_owned(),
            curves: self.curves.id().to_owned(),
        });
    }

    fn tune(&mut self, text: &str, session: &mut dyn Session) {
        match text.split_whitespace().map(str::parse).collect::<Result<Vec<Pitch>, _>>() {
            Ok(strings) if !strings.is_empty() => {
                self.instrument = own_tuning(strings);
                self.compute();
                self.keep_view(session);
            }
            Ok(_) => self.say("no string given: accepted are A1 D2 G2 ..."),
            Err(error) => self.say(&error.to_string()),
        }
    }
}

fn own_tuning(strings: Vec<Pitch>) -> Instrument {
    Instrument { id: String::new(), name: "own tuning".to_owned(), strings }
}

/// Whose strings are spoken of: the person's own tuning, or the preset's instrument, or a bass's.
fn instrument_of(document: &Document, view: &View) -> Instrument {
    let own: Vec<Pitch> = view.tuning.iter().filter_map(|string| string.parse().ok()).collect();
    if !own.is_empty() {
        return own_tuning(own);
    }
    let all = Instrument::all();
    let id = document.preset.instrument.as_deref().unwrap_or("bass");
    all.iter().find(|one| one.id == id).or(all.first()).cloned().unwrap_or_else(|| {
        // The catalogue is part of the build, and tested.
        Instrument { id: String::new(), name: String::new(), strings: Vec::new() }
    })
}
