//! How the lead is wired, and what is plugged where.

use firstjack_words::Words;

use crate::paper::pen::{BLOCK, PART, Pen, SMALL};
use crate::paper::{Drawing, WIDTH};

/// Of a step: two stand beside each other.
pub const STEP_WIDTH: f32 = 236.0;

/// Half of an outline's width lies outside of it.
const EDGE: f32 = 1.0;

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

impl Pen {
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
}
