//! Where everything stands on the page.

use super::content::{Sheet, Way};
use crate::paper::{Draft, Page, PaperError, SMALL, TEXT, pdf};
use crate::typeset::{Typesetter, shortened};

/// Size of what to do, in points, at scale 1.
const DO: f32 = 14.0;

/// What is said of a way is cut to so many characters where it would not fit otherwise.
const SHORT: usize = 200;

impl Sheet {
    /// The page as a PDF.
    pub fn pdf(&self) -> Result<Vec<u8>, PaperError> {
        pdf(&self.page(&Typesetter::new()), &self.page_title, self.language)
    }

    /// All of it on its page.
    pub(super) fn page(&self, typesetter: &Typesetter) -> Page {
        Page::new(typesetter, |draft, whole| self.lay(draft, whole))
    }

    /// With what is said of each way cut short, unless all of it is to be there.
    fn lay(&self, draft: &mut Draft, whole: bool) {
        draft.head(self.title, &self.about);
        draft.framed(|draft| {
            draft.text(self.do_title, SMALL, false);
            draft.text(&self.doing, DO, true);
            draft.gap(2.0);
            self.besides.iter().for_each(|said| draft.text(said, TEXT, false));
        });
        let longest = if whole { usize::MAX } else { SHORT };
        self.ways.iter().for_each(|way| lay_way(draft, way, longest));
        draft.text(self.legend, SMALL, false);
        draft.heading(self.steps_title);
        self.steps.iter().for_each(|step| draft.text(step, TEXT, false));
        draft.heading(self.cautions_title);
        self.cautions.iter().for_each(|caution| draft.text(caution, SMALL, false));
    }
}

fn lay_way(draft: &mut Draft, way: &Way, longest: usize) {
    draft.heading(way.title);
    if let Some(drawing) = &way.drawing {
        draft.drawing(drawing);
    }
    way.items.iter().for_each(|item| draft.item(item.term, &shortened(&item.text, longest)));
}
