use firstjack_words::{Language, Words};

use super::content::Lead;
use crate::paper::Shape;
use crate::paper::bounds::{assert_clear, assert_within};
use crate::typeset::Typesetter;

#[test]
fn it_fits_one_page_in_every_language() {
    let typesetter = Typesetter::new();
    for language in Language::ALL {
        let lead = Lead::new(&Words::new(language));
        let page = lead.page(&typesetter);
        assert!(page.fits, "{language:?}");
        assert_within(&page, &typesetter);
    }
}

/// No text covers another one, and none is wider than its drawing or cut.
#[test]
fn its_drawings_are_clear() {
    let typesetter = Typesetter::new();
    for language in Language::ALL {
        let lead = Lead::new(&Words::new(language));
        let steps = lead.steps.iter().map(|step| &step.drawing);
        for drawing in [&lead.wiring].into_iter().chain(steps) {
            assert_clear(drawing, &typesetter);
            for shape in &drawing.shapes {
                let Shape::Text { x, y, size, text } = shape else { continue };
                let half = typesetter.width(text, *size) / 2.0;
                assert!(!text.contains('…'), "{language:?}: {text}");
                assert!(x - half >= 0.0 && x + half <= drawing.width, "{language:?}: {text}");
                assert!(*y <= drawing.height && y - size * 0.7 >= -4.0, "{language:?}: {text}");
            }
        }
    }
}
