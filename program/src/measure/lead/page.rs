//! Where everything stands on the page.

use super::content::{Lead, Step};
use super::sketch::STEP_WIDTH;
use crate::paper::{Draft, Page, PaperError, SMALL, TEXT, WIDTH, pdf};
use crate::typeset::Typesetter;

/// Size of what is built, in points, at scale 1.
const BUILD: f32 = 14.0;

impl Lead {
    /// The page as a PDF.
    pub fn pdf(&self) -> Result<Vec<u8>, PaperError> {
        pdf(&self.page(&Typesetter::new()), self.title, self.language)
    }

    /// All of it on its page.
    pub(super) fn page(&self, typesetter: &Typesetter) -> Page {
        Page::new(typesetter, |draft, _| self.lay(draft))
    }

    fn lay(&self, draft: &mut Draft) {
        draft.head(self.title, self.about);
        draft.framed(|draft| {
            draft.text(self.build_title, SMALL, false);
            draft.text(self.build, BUILD, true);
        });
        draft.drawing(&self.wiring);
        draft.text(self.legend, SMALL, false);
        draft.gap(4.0);
        self.items.iter().for_each(|(term, text)| draft.item(term, text));
        draft.heading(self.steps_title);
        for pair in self.steps.chunks(2) {
            match pair {
                [one, other] => {
                    let parts = [(0.0, STEP_WIDTH, one), (WIDTH - STEP_WIDTH, STEP_WIDTH, other)];
                    draft.beside(&parts, |draft, step| lay_step(draft, step));
                }
                rest => rest.iter().for_each(|step| lay_alone(draft, step)),
            }
            draft.gap(8.0);
        }
        draft.heading(self.commands_title);
        for command in &self.commands {
            draft.text(&format!("{}: {}", command.purpose, command.typed), SMALL, false);
        }
        draft.heading(self.cautions_title);
        self.cautions.iter().for_each(|caution| draft.text(caution, SMALL, false));
    }
}

fn lay_step(draft: &mut Draft, step: &Step) {
    draft.text(step.title, TEXT, true);
    draft.gap(1.0);
    draft.drawing(&step.drawing);
    draft.text(step.text, SMALL, false);
}

/// Its text beside its drawing.
fn lay_alone(draft: &mut Draft, step: &Step) {
    draft.text(step.title, TEXT, true);
    draft.gap(1.0);
    let parts = [(0.0, STEP_WIDTH, true), (WIDTH - STEP_WIDTH, STEP_WIDTH, false)];
    draft.beside(&parts, |draft, is_drawing| match is_drawing {
        true => draft.drawing(&step.drawing),
        false => draft.text(step.text, SMALL, false),
    });
}
