//! Where everything stands on the note's page.

use super::content::Note;
use super::crew::Field;
use crate::paper::{Draft, Page, PaperError, SMALL, TEXT, WIDTH, pdf};
use crate::typeset::Typesetter;

/// Size of what to give, in points, at scale 1.
const GIVE: f32 = 19.0;
/// Room to write on by hand.
const HAND: f32 = 18.0;
/// The crew's fields stand in so many columns, so far apart.
const QUARTERS: u8 = 4;
const GUTTER: f32 = 10.0;

impl Note {
    /// The page as a PDF.
    pub fn pdf(&self) -> Result<Vec<u8>, PaperError> {
        pdf(&self.page(&Typesetter::new()), &self.page_title, self.language)
    }

    /// The note on its page.
    pub(super) fn page(&self, typesetter: &Typesetter) -> Page {
        Page::new(typesetter, |draft, whole| self.lay(draft, whole))
    }

    /// With what is offered in a line each, unless all of it is to be there.
    fn lay(&self, draft: &mut Draft, whole: bool) {
        draft.head(self.title, &self.about);
        draft.framed(|draft| {
            draft.text(self.give_title, SMALL, false);
            draft.text(&self.give, GIVE, true);
            draft.gap(2.0);
            self.besides.iter().for_each(|said| draft.text(said, TEXT, false));
        });
        self.lay_crew(draft);
        self.sentences.iter().for_each(|sentence| draft.text(sentence, TEXT, false));
        draft.gap(6.0);
        self.items.iter().for_each(|item| draft.item(item.term, &item.text));
        draft.heading(self.chain_title);
        draft.drawing(&self.drawing);
        draft.text(&self.legend.join("; "), SMALL, false);
        self.lay_offers(draft, whole);
        draft.heading(self.cautions_title);
        self.cautions.iter().for_each(|caution| draft.text(caution, SMALL, false));
    }

    /// What the crew fills in, in rows of four quarters; a rule to write on where nothing is said.
    fn lay_crew(&self, draft: &mut Draft) {
        let width = |quarters: u8| f32::from(quarters) * (WIDTH + GUTTER) / f32::from(QUARTERS) - GUTTER;
        let mut rows: Vec<Vec<(f32, f32, &Field)>> = Vec::new();
        let mut taken = QUARTERS;
        for field in &self.fields {
            if taken + field.quarters > QUARTERS {
                rows.push(Vec::new());
                taken = 0;
            }
            let x = if taken > 0 { width(taken) + GUTTER } else { 0.0 };
            rows.last_mut().expect("a row was begun").push((x, width(field.quarters), field));
            taken += field.quarters;
        }
        for (index, row) in rows.iter().enumerate() {
            if index > 0 {
                draft.gap(4.0);
            }
            draft.beside(row, |draft, field| lay_field(draft, field));
        }
        draft.gap(8.0);
    }

    fn lay_offers(&self, draft: &mut Draft, whole: bool) {
        draft.heading(&self.offers_title);
        for (rank, offer) in self.offers.iter().enumerate() {
            let mark = offer.mark.map_or(String::new(), |mark| format!(": {mark}"));
            let said = draft.typesetter.known(&format!("{}. {}{mark}", rank + 1, offer.text));
            let said = if whole { said } else { draft.typesetter.cut(&said, TEXT * draft.scale, WIDTH) };
            draft.text(&said, TEXT, offer.mark.is_some());
        }
        self.more_offers.iter().chain(&self.of_order).for_each(|said| draft.text(said, TEXT, false));
    }
}

fn lay_field(draft: &mut Draft, field: &Field) {
    draft.text(field.term, SMALL, false);
    match &field.text {
        Some(text) => draft.text(text, TEXT, true),
        None => {
            draft.gap(HAND);
            draft.rule();
        }
    }
}
