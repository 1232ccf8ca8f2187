//! What the sheet says.

use std::path::Path;

use firstjack_words::Words;

use super::sketch;
use crate::name::Name;
use crate::paper::Drawing;
use crate::reamp::sentences::{self, Item};
use crate::reamp::told::Told;
use crate::reamp::way::Kind;
use crate::typeset::shortened;

/// Names are cut to so many characters, titles of files to so many.
const LONGEST_NAME: usize = 40;
const LONGEST_TITLE: usize = 60;

/// Lists of strings, and chains, are cut to so many.
const LONGEST_TEXT: usize = 420;

/// The sheet's content, in the reader's language.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    pub(super) language: &'static str,
    pub(super) title: &'static str,
    /// Which setup, of which file.
    pub(super) about: String,
    pub(super) page_title: String,
    pub(super) do_title: &'static str,
    pub(super) doing: String,
    /// How right that is, and which file it is.
    pub(super) besides: Vec<String>,
    /// Both ways, the one that is to be gone first.
    pub(super) ways: Vec<Way>,
    pub(super) legend: &'static str,
    pub(super) steps_title: &'static str,
    pub(super) steps: Vec<String>,
    pub(super) cautions_title: &'static str,
    pub(super) cautions: [&'static str; 4],
}

/// One way.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Way {
    pub title: &'static str,
    /// `None` where the way cannot be gone.
    pub drawing: Option<Drawing>,
    pub items: Vec<Item>,
}

impl Sheet {
    /// With the way that is to be gone, if it can be, and the file that was written for it, if one was.
    pub fn new(told: &Told, wanted: Kind, file: Option<&Path>, words: &Words) -> Self {
        let strings = told.situation.strings();
        let name = shortened(&told.situation.setup.name, LONGEST_NAME);
        let title = told.situation.title.map(|title| shortened(title, LONGEST_TITLE));
        let about: Vec<String> = title.into_iter().chain([name.clone()]).collect();
        let main = told.way(wanted).unwrap_or(&told.file);
        let wanted = main.way.kind;
        let file_name = file
            .map(|path| shortened(&Name::of(Path::new(path.file_name().unwrap_or_default())), LONGEST_TITLE));
        let is_for = file_name.map(|file| words.say("reamp.file_for", &[("file", &file)]));
        let mut kinds = [Kind::File, Kind::Capacitor];
        kinds.sort_by_key(|kind| *kind != wanted);
        Self {
            language: words.language(),
            title: words.get("reamp.title"),
            about: about.join(" · "),
            page_title: words.say("reamp.page_title", &[("name", &name)]),
            do_title: words.get("reamp.do_title"),
            doing: sentences::doing(main, words),
            besides: [Some(sentences::right(told, main, words)), is_for].into_iter().flatten().collect(),
            ways: kinds.map(|kind| way(told, kind, kind == wanted, file.is_some(), words)).into(),
            legend: words.get("reamp.legend"),
            steps_title: words.get("reamp.about_steps"),
            steps: steps(words.note(&strings.lowest), words),
            cautions_title: words.get("note.cautions"),
            cautions: sentences::cautions(words),
        }
    }
}

/// How right the way is that is to be gone stands above.
fn way(told: &Told, kind: Kind, is_wanted: bool, is_written: bool, words: &Words) -> Way {
    let title = sentences::title(kind, words);
    let Some(way) = told.way(kind) else {
        let why = told.capacitor.as_ref().err().map(|why| sentences::obstacle(*why, words));
        let item = |why: &str| Item { term: words.get("reamp.no_capacitor_title"), text: why.to_owned() };
        return Way { title, drawing: None, items: why.map(item).into_iter().collect() };
    };
    let items = sentences::items(told, way, is_wanted && is_written, words);
    let cut = |item: Item| Item { text: shortened(&item.text, LONGEST_TEXT), ..item };
    Way {
        title,
        drawing: Some(sketch::wiring(way, words)),
        items: items.into_iter().skip(usize::from(is_wanted)).map(cut).collect(),
    }
}

fn steps(lowest: &str, words: &Words) -> Vec<String> {
    let ids = ["reamp.step_off", "reamp.step_plug", "reamp.step_power", "reamp.step_raise"];
    let said = ids.iter().map(|id| words.get(id).to_owned());
    let check = words.say("reamp.step_check", &[("string", lowest)]);
    let all = said.chain([check, words.get("reamp.step_done").to_owned()]);
    (1..).zip(all).map(|(number, step)| format!("{number}. {step}")).collect()
}
