//! The chain as a block diagram.

use dsp_core::circuit::{Chain, Input, InputBox, Link, Pickups, Shunt, Splitter, Thru};
use dsp_core::units::Capacitance;
use firstjack_words::Words;

use crate::paper::{Drawing, Shape, WIDTH};
use crate::typeset::{Typesetter, shortened};

/// Room at both ends for wires that come from the row above.
const INSET: f32 = 10.0;
const BLOCK_HEIGHT: f32 = 46.0;
const ROW_GAP: f32 = 26.0;
/// Room for a cable's length above the first row.
const TOP: f32 = 4.0;
/// Room for the bars of a buffer.
const BARS: f32 = 8.0;
/// A text that another font draws wider must still fit.
const SLACK: f32 = 0.88;

/// A block and what leads to it.
struct Block {
    cables: Vec<String>,
    /// Whether the conductor to it loads the pickup.
    wire_loads: bool,
    lines: Vec<String>,
    loads: bool,
    buffered: bool,
}

/// How many blocks in a row, and how large.
#[derive(Clone, Copy)]
struct Grid {
    columns: u16,
    rows: u16,
    gap: f32,
    size: f32,
}

/// From the largest on; the last one cuts what does not fit.
const GRIDS: [Grid; 2] =
    [Grid { columns: 4, rows: 2, gap: 42.0, size: 9.0 }, Grid { columns: 5, rows: 3, gap: 32.0, size: 7.5 }];

/// The drawing of a chain.
pub fn of_chain(pickups: &Pickups, chain: &Chain, words: &Words) -> Drawing {
    let (mut blocks, open) = blocks(pickups, chain, words);
    let fits = |grid: &&Grid| blocks.len() <= grid.places();
    let grid = *GRIDS.iter().find(fits).unwrap_or(&GRIDS[GRIDS.len() - 1]);
    let (open, rest) = if blocks.len() > grid.places() {
        let kept = grid.places() - 1;
        let count = (blocks.len() - kept).to_string();
        blocks.truncate(kept);
        (None, Some(words.say("note.beside", &[("count", &count)])))
    } else {
        (open, None)
    };
    let mut draft = Draft { grid, typesetter: Typesetter::new(), shapes: Vec::new() };
    let mut place = 0;
    let mut behind_buffer = false;
    for block in &blocks {
        draft.block(block, behind_buffer, place);
        behind_buffer = block.buffered;
        place += 1;
    }
    if let Some((label, loads)) = &open {
        draft.open_end(label, *loads, place - 1);
    }
    if let Some(rest) = &rest {
        let (x, y) = draft.place(place);
        draft.texts(std::slice::from_ref(rest), x, y);
        place += 1;
    }
    let rows = f32::from((place - 1) / grid.columns + 1);
    let (right, _) = draft.place(place.min(grid.columns) - 1);
    let width = (right + grid.width() + grid.gap).min(WIDTH);
    let height = TOP + rows * BLOCK_HEIGHT + (rows - 1.0) * ROW_GAP + TOP;
    let text = words.say("note.chain_text", &[("parts", &in_words(&blocks, open, rest, words))]);
    Drawing { width, height, shapes: draft.shapes, text }
}

/// The blocks, and a cable that leads nowhere.
fn blocks(pickups: &Pickups, chain: &Chain, words: &Words) -> (Vec<Block>, Option<(String, bool)>) {
    let mut blocks = vec![pickup(pickups, words)];
    let mut cables: Vec<String> = Vec::new();
    let mut wire_loads = true;
    for (link, loads) in chain.links() {
        if cables.is_empty() {
            wire_loads = loads;
        }
        if let Link::Cable(cable) = link {
            cables.push(cable_label(cable.length.to_string(), cable.shunt(), loads, words));
            continue;
        }
        blocks.push(block(link, loads, std::mem::take(&mut cables), wire_loads, words));
    }
    let open = (!cables.is_empty()).then(|| (cables.join(" + "), wire_loads));
    (blocks, open)
}

fn pickup(pickups: &Pickups, words: &Words) -> Block {
    let mut lines = vec![words.get("note.pickup").to_owned()];
    lines.extend((0..pickups.count()).map(|index| words.about(pickups.pickup(index))));
    Block { cables: Vec::new(), wire_loads: true, lines, loads: true, buffered: false }
}

/// A cable's length, and where it loads the pickup what it puts across it.
fn cable_label(length: String, shunt: Shunt, loads: bool, words: &Words) -> String {
    match Capacitance::from_farads(shunt.farads).ok().filter(|_| loads) {
        Some(capacitance) => {
            format!("{} · {}", words.figure(length), words.figure(format!("{capacitance:.2}")))
        }
        None => words.figure(length),
    }
}

fn block(link: &Link, loads: bool, cables: Vec<String>, wire_loads: bool, words: &Words) -> Block {
    let mut lines = vec![words.link_name(link)];
    let mut buffered = false;
    match link {
        Link::Box(InputBox { input, thru, .. }) => {
            lines.push(words.input(input));
            if matches!(input, Input::Transformer(transformer) if transformer.is_usual()) {
                lines.push(words.get("note.usual").to_owned());
            }
            lines.extend(thru.map(|thru| match thru {
                Thru::Before => words.get("note.thru_before").to_owned(),
                Thru::After => words.get("note.thru_after").to_owned(),
                Thru::Active => words.get("note.thru_active").to_owned(),
            }));
            buffered = thru.is_some_and(|thru| !thru.passes_load());
        }
        Link::Splitter(Splitter { resistor, branch, .. }) => {
            let ohms = resistor.map(|resistor| words.figure(resistor));
            lines.extend(ohms.map(|ohms| words.say("link.resistor", &[("ohms", &ohms)])));
            let links = branch.links().map(|(link, _)| link).filter(|link| !matches!(link, Link::Cable(_)));
            let parts: Vec<String> = links.map(|link| words.link_name(link)).collect();
            lines.push(words.say("note.splitter", &[("branch", &parts.join(", "))]));
        }
        Link::Cable(_) | Link::Resistance(_) | Link::Capacitance(_) | Link::Inductance(_) => {}
    }
    Block { cables, wire_loads, lines, loads, buffered }
}

/// What the drawing shows, in a sentence.
fn in_words(blocks: &[Block], open: Option<(String, bool)>, rest: Option<String>, words: &Words) -> String {
    let load = |loads: bool| if loads { words.get("note.loads") } else { words.get("note.free") };
    let of_block = |(index, block): (usize, &Block)| {
        let lines: Vec<String> =
            block.lines.iter().map(|line| shortened(line, super::LONGEST_NAME)).collect();
        let said = lines.join(", ");
        // The pickup does not load itself.
        let said = if index > 0 { format!("{said} ({})", load(block.loads)) } else { said };
        let cables = block.cables.iter().map(|cable| words.say("link.cable", &[("length", cable)]));
        cables.chain([said]).collect::<Vec<_>>().join(" – ")
    };
    let open = open.map(|(label, _)| words.say("link.cable", &[("length", &label)]));
    let parts = blocks.iter().enumerate().map(of_block).chain(open).chain(rest);
    parts.collect::<Vec<_>>().join(" – ")
}

impl Grid {
    fn places(self) -> usize {
        usize::from(self.columns * self.rows)
    }

    fn width(self) -> f32 {
        let columns = f32::from(self.columns);
        (WIDTH - 2.0 * INSET - (columns - 1.0) * self.gap) / columns
    }
}

struct Draft {
    grid: Grid,
    typesetter: Typesetter,
    shapes: Vec<Shape>,
}

impl Draft {
    /// Where a place of the grid begins.
    fn place(&self, place: u16) -> (f32, f32) {
        let (column, row) = (place % self.grid.columns, place / self.grid.columns);
        let x = INSET + f32::from(column) * (self.grid.width() + self.grid.gap);
        (x, TOP + f32::from(row) * (BLOCK_HEIGHT + ROW_GAP))
    }

    fn block(&mut self, block: &Block, behind_buffer: bool, place: u16) {
        let (x, y) = self.place(place);
        if place > 0 {
            self.wire(block, behind_buffer, place);
        }
        let width = self.grid.width();
        let (loads, rounded) = (block.loads, place == 0);
        self.shapes.push(Shape::Outline { x, y, width, height: BLOCK_HEIGHT, loads, rounded });
        self.texts(&block.lines, x, y);
    }

    /// The conductor from the block before: straight, or from the end of the row above.
    fn wire(&mut self, block: &Block, behind_buffer: bool, place: u16) {
        let ((x, y), (from_x, from_y)) = (self.place(place), self.place(place - 1));
        let (from_x, middle) = (from_x + self.grid.width(), BLOCK_HEIGHT / 2.0);
        // A cable's label stands beside the bars.
        let bars = if behind_buffer { BARS } else { 0.0 };
        if behind_buffer {
            self.shapes.push(Shape::Buffer { x: from_x + BARS - 5.0, y: from_y + middle });
        }
        let label = block.cables.join(" + ");
        let points = if from_y < y {
            let (right, left, between) = (WIDTH - 3.0, 3.0, y - ROW_GAP / 2.0);
            self.label(&label, WIDTH / 2.0, between - 3.0, WIDTH / 2.0);
            vec![
                (from_x, from_y + middle),
                (right, from_y + middle),
                (right, between),
                (left, between),
                (left, y + middle),
                (x, y + middle),
            ]
        } else {
            self.cable_label(&block.cables, (from_x + bars, x), y + middle);
            vec![(from_x, from_y + middle), (x, y + middle)]
        };
        self.shapes.push(Shape::Wire { points, loads: block.wire_loads });
    }

    /// Between two blocks there is room for a length above the conductor and a capacitance below it.
    fn cable_label(&mut self, cables: &[String], (from_x, to_x): (f32, f32), y: f32) {
        let (above, below): (Vec<&str>, Vec<&str>) =
            cables.iter().map(|cable| cable.split_once(" · ").unwrap_or((cable, ""))).unzip();
        let (x, room) = (f32::midpoint(from_x, to_x), to_x - from_x - 4.0);
        self.label(&above.join("+"), x, y - 4.0, room);
        self.label(below.join("+").trim_matches('+'), x, y + self.grid.size + 2.0, room);
    }

    fn open_end(&mut self, label: &str, loads: bool, last: u16) {
        let (x, y) = self.place(last);
        let (from, middle) = (x + self.grid.width(), y + BLOCK_HEIGHT / 2.0);
        let to = (from + self.grid.gap - 6.0).min(WIDTH - 2.0);
        self.shapes.push(Shape::Wire { points: vec![(from, middle), (to, middle)], loads });
        let (above, below) = label.split_once(" · ").unwrap_or((label, ""));
        self.label(above, f32::midpoint(from, to), middle - 4.0, to - from);
        self.label(below, f32::midpoint(from, to), middle + self.grid.size + 2.0, to - from);
    }

    fn label(&mut self, text: &str, x: f32, y: f32, room: f32) {
        if text.is_empty() {
            return;
        }
        let mut size = self.grid.size - 1.0;
        while size > 5.0 && self.typesetter.width(text, size) > room {
            size -= 0.5;
        }
        let text = self.typesetter.cut(text, size, room);
        self.shapes.push(Shape::Text { x, y, size, text });
    }

    /// Up to three lines in a block, the first one larger.
    fn texts(&mut self, lines: &[String], x: f32, y: f32) {
        let width = self.grid.width();
        let room = (width - 4.0) * SLACK;
        let pitch = self.grid.size + 4.0;
        let shown = &lines[..lines.len().min(3)];
        let mut baseline = y + BLOCK_HEIGHT / 2.0 + self.grid.size * 0.35;
        for _ in 1..shown.len() {
            baseline -= pitch / 2.0;
        }
        for (index, line) in shown.iter().enumerate() {
            let mut size = if index == 0 { self.grid.size + 1.0 } else { self.grid.size };
            while size > self.grid.size - 1.5 && self.typesetter.width(line, size) > room {
                size -= 0.5;
            }
            let text = self.typesetter.cut(line, size, room);
            self.shapes.push(Shape::Text { x: x + width / 2.0, y: baseline, size, text });
            baseline += pitch;
        }
    }
}
