//! How the lead is wired, and what is plugged where.

use firstjack_words::Words;

use crate::paper::{Drawing, Shape, WIDTH};
use crate::typeset::Typesetter;

/// Of a step: two stand beside each other.
pub const STEP_WIDTH: f32 = 236.0;

/// Sizes of letters, and what a text in another font may be wider.
const SIZE: f32 = 8.0;
const SMALL: f32 = 7.0;
const SLACK: f32 = 0.86;

/// Half of an outline's width lies outside of it.
const EDGE: f32 = 1.0;

/// Height of a block and of a part in a conductor.
const BLOCK: f32 = 26.0;
const PART: f32 = 15.0;

/// The known parts, as they are written everywhere.
const RESISTOR: &str = "100 kΩ 1 %";
const CAPACITOR: &str = "1 nF 5 %";
const SWITCHED: &str = "56 kΩ 1 %";
const INPUT: &str = "1 MΩ";

/// Of a step's drawing: where the row of blocks begins, its conductor, and what hangs below.
const ROW: f32 = 3.0;
const MIDDLE: f32 = ROW + BLOCK / 2.0;
const BELOW: f32 = 48.0;

/// Tip and sleeve of three jacks.
pub fn wiring(words: &Words) -> Drawing {
    let (top, bottom, tip, sleeve, node) = (4.0, 92.0, 20.0, 80.0, WIDTH / 2.0);
    let mut pen = Pen::new();
    let plug = |id| [words.get("lead.plug"), words.get(id)];
    pen.block((2.0, top, 104.0, bottom - top), &plug("lead.to_output"), false);
    pen.block((WIDTH - 106.0, top, 104.0, bottom - top), &plug("lead.to_input"), false);
    let socket = [words.get("lead.socket"), words.get("lead.for_instrument")];
    pen.block((node - 62.0, 36.0, 124.0, 30.0), &socket, false);
    pen.wire(&[(106.0, tip), (150.0, tip)], true);
    pen.part((150.0, tip - PART / 2.0, 66.0, PART), RESISTOR);
    pen.wire(&[(216.0, tip), (WIDTH - 106.0, tip)], true);
    pen.wire(&[(node, tip), (node, 36.0)], true);
    pen.node((node, tip));
    pen.text((node, tip - 6.0), words.get("lead.node"), SMALL);
    pen.wire(&[(106.0, sleeve), (WIDTH - 106.0, sleeve)], false);
    pen.wire(&[(node, 66.0), (node, sleeve)], false);
    pen.node((node, sleeve));
    for x in [128.0, WIDTH - 128.0] {
        pen.text((x, tip - 6.0), words.get("lead.tip"), SMALL);
        pen.text((x, sleeve - 4.0), words.get("lead.sleeve"), SMALL);
    }
    pen.drawing(WIDTH, bottom + 4.0, words.get("lead.wiring_text"))
}

/// The output straight into the input.
pub fn reference(words: &Words) -> Drawing {
    let mut pen = Pen::new();
    pen.ends(words.get("lead.output"), words.get("lead.input"));
    pen.wire(&[(LEFT_END, MIDDLE), (RIGHT_END, MIDDLE)], true);
    pen.drawing(STEP_WIDTH, ROW + BLOCK + 5.0, words.get("lead.reference"))
}

/// Through the lead, its instrument's cable on the node.
pub fn empty(words: &Words) -> Drawing {
    let mut pen = Pen::new();
    pen.lead(words);
    pen.wire(&[(NODE, MIDDLE), (NODE, BELOW + 6.0)], true);
    pen.text((NODE - 38.0, BELOW + 8.0), words.get("lead.free"), SMALL);
    pen.drawing(STEP_WIDTH, BELOW + BLOCK / 2.0 + 4.0, words.get("lead.empty"))
}

/// The same with the instrument.
pub fn plugged(words: &Words) -> Drawing {
    let mut pen = Pen::new();
    pen.lead(words);
    pen.wire(&[(NODE, MIDDLE), (NODE, BELOW)], true);
    pen.block((NODE - 38.0, BELOW, 76.0, BLOCK), &[words.get("lead.instrument")], true);
    pen.drawing(STEP_WIDTH, BELOW + BLOCK + 4.0, words.get("lead.plugged"))
}

/// A box through the known part.
pub fn boxed(words: &Words) -> Drawing {
    let mut pen = Pen::new();
    pen.ends(words.get("lead.output"), words.get("lead.input"));
    pen.wire(&[(LEFT_END, MIDDLE), (62.0, MIDDLE)], true);
    pen.part((62.0, MIDDLE - PART / 2.0, 46.0, PART), CAPACITOR);
    pen.wire(&[(108.0, MIDDLE), (122.0, MIDDLE)], true);
    pen.block((122.0, ROW, 44.0, BLOCK), &[words.get("lead.box_name")], false);
    pen.wire(&[(166.0, MIDDLE), (RIGHT_END, MIDDLE)], false);
    pen.wire(&[(LEFT_END + 3.0, MIDDLE), (LEFT_END + 3.0, BELOW), (115.0, BELOW), (115.0, MIDDLE)], false);
    pen.node((LEFT_END + 3.0, MIDDLE));
    pen.node((115.0, MIDDLE));
    pen.text((85.0, BELOW + 10.0), words.get("lead.straight"), SMALL);
    pen.drawing(STEP_WIDTH, BELOW + 16.0, words.get("lead.box"))
}

/// A known resistor that is switched in and out.
pub fn toggle(words: &Words) -> Drawing {
    let mut pen = Pen::new();
    pen.block((EDGE, ROW, 62.0 - EDGE, BLOCK), &[words.get("lead.instrument")], true);
    pen.block(
        (RIGHT_END, ROW, STEP_WIDTH - EDGE - RIGHT_END, BLOCK),
        &[words.get("lead.input"), INPUT],
        false,
    );
    pen.wire(&[(62.0, MIDDLE), (RIGHT_END, MIDDLE)], true);
    pen.node((100.0, MIDDLE));
    // The switch, open.
    pen.wire(&[(100.0, MIDDLE), (100.0, BELOW), (112.0, BELOW), (126.0, BELOW - 8.0)], true);
    pen.wire(&[(128.0, BELOW), (140.0, BELOW)], true);
    pen.part((140.0, BELOW - PART / 2.0, 54.0, PART), SWITCHED);
    pen.wire(&[(194.0, BELOW), (206.0, BELOW)], true);
    pen.text((221.0, BELOW + 3.0), words.get("lead.sleeve"), SMALL);
    pen.text((119.0, BELOW + 12.0), words.get("lead.switch"), SMALL);
    pen.drawing(STEP_WIDTH, BELOW + 16.0, words.get("lead.toggle"))
}

/// Where the blocks at both ends end and begin, and where the node is.
const LEFT_END: f32 = EDGE + 49.0;
const RIGHT_END: f32 = STEP_WIDTH - EDGE - 49.0;
const NODE: f32 = 154.0;

struct Pen {
    typesetter: Typesetter,
    shapes: Vec<Shape>,
}

impl Pen {
    fn new() -> Self {
        Self { typesetter: Typesetter::new(), shapes: Vec::new() }
    }

    fn drawing(self, width: f32, height: f32, text: &str) -> Drawing {
        Drawing { width, height, shapes: self.shapes, text: text.to_owned() }
    }

    /// The blocks at both ends of a step.
    fn ends(&mut self, left: &str, right: &str) {
        self.block((EDGE, ROW, LEFT_END - EDGE, BLOCK), &[left], false);
        self.block((RIGHT_END, ROW, STEP_WIDTH - EDGE - RIGHT_END, BLOCK), &[right], false);
    }

    /// From the output through the resistor to the node and the input.
    fn lead(&mut self, words: &Words) {
        self.ends(words.get("lead.output"), words.get("lead.input"));
        self.wire(&[(LEFT_END, MIDDLE), (68.0, MIDDLE)], true);
        self.part((68.0, MIDDLE - PART / 2.0, 62.0, PART), RESISTOR);
        self.wire(&[(130.0, MIDDLE), (RIGHT_END, MIDDLE)], true);
        self.node((NODE, MIDDLE));
    }

    fn block(&mut self, (x, y, width, height): (f32, f32, f32, f32), lines: &[&str], rounded: bool) {
        self.shapes.push(Shape::Outline { x, y, width, height, loads: true, rounded });
        let pitch = SIZE + 3.0;
        let mut base = y + height / 2.0 + SIZE * 0.35;
        for _ in 1..lines.len() {
            base -= pitch / 2.0;
        }
        for line in lines {
            self.fitted((x + width / 2.0, base), line, width - 4.0);
            base += pitch;
        }
    }

    /// A part in a conductor, with its value in it.
    fn part(&mut self, (x, y, width, height): (f32, f32, f32, f32), value: &str) {
        self.shapes.push(Shape::Outline { x, y, width, height, loads: true, rounded: false });
        self.fitted((x + width / 2.0, y + height / 2.0 + SIZE * 0.35), value, width - 4.0);
    }

    /// As large as has room, also in a wider font.
    fn fitted(&mut self, (x, y): (f32, f32), text: &str, room: f32) {
        let mut size = SIZE;
        while size > 5.5 && self.typesetter.width(text, size) > room * SLACK {
            size -= 0.5;
        }
        let text = self.typesetter.cut(text, size, room);
        self.shapes.push(Shape::Text { x, y, size, text });
    }

    fn text(&mut self, (x, y): (f32, f32), text: &str, size: f32) {
        self.shapes.push(Shape::Text { x, y, size, text: text.to_owned() });
    }

    fn wire(&mut self, points: &[(f32, f32)], loads: bool) {
        self.shapes.push(Shape::Wire { points: points.to_vec(), loads });
    }

    fn node(&mut self, (x, y): (f32, f32)) {
        self.shapes.push(Shape::Node { x, y });
    }
}
