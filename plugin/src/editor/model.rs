use dsp_core::preset::{Instrument, Setup};
use dsp_core::units::Pitch;
use firstjack_kit::KitFile;

use super::views::kit;
use super::{Blind, BlindMessage, CurveKind, Document, Figures, Message, Session, Stage};

/// All that the editor knows between frames.
#[derive(Debug, Clone)]
pub struct Model {
    /// What is edited.
    pub document: Document,
    /// What is shown of it.
    pub figures: Figures,
    /// Which curves are drawn.
    pub curves: CurveKind,
    /// Whose strings are looked at.
    pub instrument: Instrument,
    /// Whether the help is open.
    pub help: bool,
    /// Whether what says how to measure is open.
    pub measure: bool,
    /// What is said to the reader.
    pub notice: Option<String>,
    /// A comparison without names.
    pub blind: Option<Blind>,
    /// The session's version that the document is of.
    version: u64,
    copied: Option<Setup>,
    undo: Vec<Document>,
    redo: Vec<Document>,
}

const NOT_WHILE_BLIND: &str = "Not while the names are hidden: show them, or end the comparison, first.";
const UNRECORDED: &str =
    "The file does not say what was recorded through: taken as nothing, an unloaded take.";
const CHANGED_WHILE_BLIND: &str = "The setups have changed: the comparison has ended.";

/// Edits that can be taken back.
const MOST_UNDO: usize = 200;

impl Model {
    /// What a session has.
    pub fn new(session: &mut dyn Session) -> Self {
        let document = session.document();
        let all = Instrument::all();
        let id = document.preset.instrument.as_deref().unwrap_or("bass");
        let instrument = all.iter().find(|one| one.id == id).or(all.first()).cloned().unwrap_or_else(|| {
            // The catalogue is part of the build, and tested.
            Instrument { id: String::new(), name: String::new(), strings: Vec::new() }
        });
        let figures = Figures::new(&document, &instrument.strings, Pitch::CONCERT_HZ);
        Self {
            document,
            figures,
            curves: CurveKind::Loss,
            instrument,
            help: false,
            measure: false,
            notice: None,
            blind: None,
            version: session.version(),
            copied: None,
            undo: Vec::new(),
            redo: Vec::new(),
        }
    }

    /// Takes note of what the session has meanwhile.
    pub fn refresh(&mut self, session: &mut dyn Session) {
        let version = session.version();
        if version != self.version {
            self.version = version;
            self.take(session.document());
        }
    }

    /// Whether names, curves and figures of setups are hidden. No view may then show which setup is heard, nor anything that
    /// tells one from another.
    pub fn is_blind(&self) -> bool {
        self.blind.as_ref().is_some_and(|blind| !blind.is_revealed())
    }

    /// Whether an edit can be taken back, and whether one can be done again.
    pub fn can_undo(&self) -> (bool, bool) {
        (!self.undo.is_empty(), !self.redo.is_empty())
    }

    /// Whether a setup has been copied.
    pub fn can_paste(&self) -> bool {
        self.copied.is_some()
    }

    /// Does what a view asks for.
    pub fn update(&mut self, message: Message, session: &mut dyn Session) {
        self.notice = None;
        if self.is_blind() && self.would_spoil(&message) {
            self.notice = Some(NOT_WHILE_BLIND.to_owned());
            return;
        }
        match message {
            Message::Hear(heard) => self.hear(heard, session),
            Message::Blind(message) => self.compare(message, session),
            Message::Edit(to, stage) => self.edit(&to, stage, session),
            Message::Undo => self.step_back(session),
            Message::Redo => self.step_forward(session),
            Message::Copy(index) => self.copied = self.document.preset.setups.get(index).cloned(),
            Message::Paste(index) => self.paste(index, session),
            Message::Load(text) => self.load(&text, session),
            Message::Curves(kind) => self.curves = kind,
            Message::Instrument(id) => {
                if let Some(instrument) = Instrument::all().into_iter().find(|one| one.id == id) {
                    self.look_at(instrument);
                }
            }
            Message::Tuning(text) => self.tune(&text),
            Message::Help(open) => self.help = open,
            Message::Measure(open) => self.measure = open,
            // The window's affair.
            Message::Theme(_) | Message::Zoom(_) => {}
            Message::Notice(text) => self.notice = Some(text),
        }
    }

    fn take(&mut self, document: Document) {
        if self.blind.is_some() && document.preset != self.document.preset {
            self.blind = None;
            self.notice = Some(CHANGED_WHILE_BLIND.to_owned());
        }
        if let Some(blind) = &mut self.blind {
            blind.note_heard(document.heard);
        }
        let before = std::mem::replace(&mut self.document, document);
        // Levels and what is heard change no figure: a gesture of theirs costs nothing.
        if (&before.preset, before.ceiling) != (&self.document.preset, self.document.ceiling) {
            self.compute();
        }
    }

    /// Whether a message would change what is compared, or tell it.
    fn would_spoil(&self, message: &Message) -> bool {
        match message {
            Message::Undo | Message::Redo | Message::Copy(_) | Message::Paste(_) | Message::Load(_) => true,
            Message::Edit(to, _) => {
                let now = &self.document;
                let kept = (&to.preset, to.heard, to.ceiling, to.level_match, to.hold);
                kept != (&now.preset, now.heard, now.ceiling, now.level_match, now.hold)
            }
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
                let to = Document { heard, bypass: false, ..self.document.clone() };
                self.send(&to, Stage::Whole, session);
            }
        }
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
            let to = Document { heard, bypass: false, ..self.document.clone() };
            self.send(&to, Stage::Whole, session);
        }
    }

    fn compute(&mut self) {
        let version = self.figures.version + 1;
        let figures = Figures::new(&self.document, &self.instrument.strings, Pitch::CONCERT_HZ);
        self.figures = Figures { version, ..figures };
    }

    /// Sends a document to the session, and takes note of what came of it. True if it was held.
    fn send(&mut self, to: &Document, stage: Stage, session: &mut dyn Session) -> bool {
        let held = session.change(to, stage);
        let is_held = held.is_ok();
        self.notice = held.err();
        self.version = session.version();
        self.take(session.document());
        is_held
    }

    fn edit(&mut self, to: &Document, stage: Stage, session: &mut dyn Session) {
        let before = self.document.clone();
        let is_held = self.send(to, stage, session);
        if is_held && matches!(stage, Stage::Whole | Stage::Begin) {
            self.redo.clear();
            if self.undo.len() == MOST_UNDO {
                self.undo.remove(0);
            }
            self.undo.push(before);
        }
    }

    fn step_back(&mut self, session: &mut dyn Session) {
        if let Some(to) = self.undo.pop() {
            let now = self.document.clone();
            self.redo.push(now);
            self.send(&to, Stage::Whole, session);
        }
    }

    fn step_forward(&mut self, session: &mut dyn Session) {
        if let Some(to) = self.redo.pop() {
            let now = self.document.clone();
            self.undo.push(now);
            self.send(&to, Stage::Whole, session);
        }
    }

    fn paste(&mut self, index: usize, session: &mut dyn Session) {
        let mut to = self.document.clone();
        let (Some(copied), Some(place)) = (self.copied.clone(), to.preset.setups.get_mut(index)) else {
            return;
        };
        // A name of its own stays: two setups of one name cannot be told apart.
        *place = Setup { name: place.name.clone(), ..copied };
        self.edit(&to, Stage::Whole, session);
    }

    fn load(&mut self, text: &str, session: &mut dyn Session) {
        match kit::preset(text, KitFile::find(None).ok()) {
            Ok(preset) => {
                let heard = self.document.heard.filter(|index| *index < preset.setups.len());
                let (instrument, says_recorded) = (preset.instrument.clone(), preset.says_recorded);
                let to = Document { preset, heard, ..self.document.clone() };
                self.edit(&to, Stage::Whole, session);
                if !says_recorded && self.notice.is_none() {
                    self.notice = Some(UNRECORDED.to_owned());
                }
                let known = instrument.and_then(|id| Instrument::all().into_iter().find(|one| one.id == id));
                if let Some(instrument) = known {
                    self.look_at(instrument);
                }
            }
            Err(error) => self.notice = Some(error.to_string()),
        }
    }

    fn look_at(&mut self, instrument: Instrument) {
        self.instrument = instrument;
        self.compute();
    }

    fn tune(&mut self, text: &str) {
        match text.split_whitespace().map(str::parse).collect::<Result<Vec<Pitch>, _>>() {
            Ok(strings) if !strings.is_empty() => {
                self.look_at(Instrument { id: String::new(), name: "own tuning".to_owned(), strings });
            }
            Ok(_) => self.notice = Some("no string given: accepted are A1 D2 G2 ...".to_owned()),
            Err(error) => self.notice = Some(error.to_string()),
        }
    }
}
