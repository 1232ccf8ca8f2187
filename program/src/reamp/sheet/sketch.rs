//! How a way is wired, from the output to the amplifier's jack.

use dsp_core::circuit::{Chain, Link};
use firstjack_words::Words;

use crate::paper::pen::{PART, Pen, SMALL};
use crate::paper::{Drawing, WIDTH};
use crate::reamp::sentences;
use crate::reamp::told::ToldWay;
use crate::reamp::way::Kind;
use crate::typeset::shortened;

/// Where tips and sleeves run, and how high blocks are.
const TIP: f32 = 16.0;
const SLEEVE: f32 = 58.0;
const BLOCK: (f32, f32) = (3.0, 66.0);

/// Where blocks and parts begin, and how wide they are.
const OUTPUT: (f32, f32) = (2.0, 76.0);
const ISOLATION: (f32, f32) = (110.0, 72.0);
const SERIES: (f32, f32) = (200.0, 56.0);
const SHUNT: f32 = 268.0;
const CAPACITOR: (f32, f32) = (284.0, 78.0);
const JACK: (f32, f32) = (WIDTH - 96.0, 94.0);

/// Longest name in the last block, in characters.
const LONGEST: usize = 26;

/// Tips above, sleeves below.
pub fn wiring(told: &ToldWay, words: &Words) -> Drawing {
    let mut pen = Pen::new();
    let feed = told.way.feed;
    let block = |pen: &mut Pen, (x, width): (f32, f32), lines: &[&str]| {
        pen.block((x, BLOCK.0, width, BLOCK.1), lines, false);
    };
    block(&mut pen, OUTPUT, &[words.get("reamp.output"), &words.figure(feed.output)]);
    block(&mut pen, ISOLATION, &[words.get("reamp.isolation"), words.get("reamp.isolation_made")]);
    block(&mut pen, JACK, &[words.get("reamp.jack"), &plugged_into(told.way.chain(), words)]);
    let mut from = OUTPUT.0 + OUTPUT.1;
    let mut part = |pen: &mut Pen, (x, width): (f32, f32), value: Option<&str>| {
        pen.wire(&[(from, TIP), (x, TIP)], true);
        if let Some(value) = value {
            pen.part((x, TIP - PART / 2.0, width, PART), value);
        }
        from = x + width;
    };
    part(&mut pen, ISOLATION, None);
    if let Some(pad) = feed.pad {
        part(&mut pen, SERIES, Some(&words.figure(pad.series)));
    }
    if told.way.kind == Kind::Capacitor {
        // Side by side they add.
        let values: Vec<String> = told.way.capacitors.iter().map(|value| words.figure(value)).collect();
        part(&mut pen, CAPACITOR, Some(&values.join(" + ")));
    }
    part(&mut pen, JACK, None);
    if let Some(pad) = feed.pad {
        across(&mut pen, &words.figure(pad.shunt));
    }
    pen.wire(&[(OUTPUT.0 + OUTPUT.1, SLEEVE), (ISOLATION.0, SLEEVE)], false);
    pen.wire(&[(ISOLATION.0 + ISOLATION.1, SLEEVE), (JACK.0, SLEEVE)], false);
    let cable = f32::midpoint(CAPACITOR.0 + CAPACITOR.1, JACK.0);
    pen.text((cable, TIP - 5.0), words.get("reamp.cable"), SMALL);
    let said = match told.way.kind {
        Kind::File => words.get("reamp.sketch_file").to_owned(),
        Kind::Capacitor => words.say("reamp.sketch_capacitor", &[("parts", &sentences::parts(told, words))]),
    };
    pen.drawing(WIDTH, BLOCK.0 + BLOCK.1 + 3.0, &said)
}

/// The pad's resistor across, from tip to sleeve, with its value.
fn across(pen: &mut Pen, value: &str) {
    let (middle, half) = (f32::midpoint(TIP, SLEEVE), PART / 2.0);
    pen.wire(&[(SHUNT, TIP), (SHUNT, middle - half)], true);
    pen.part((SHUNT - 26.0, middle - half, 52.0, PART), value);
    pen.wire(&[(SHUNT, middle + half), (SHUNT, SLEEVE)], false);
    pen.node((SHUNT, TIP));
    pen.node((SHUNT, SLEEVE));
}

/// What the pickup would be plugged into: the first box, or what is across it.
fn plugged_into(chain: &Chain, words: &Words) -> String {
    let first = chain.loading().find(|link| matches!(link, Link::Box(_) | Link::Splitter(_)));
    let first = first.or_else(|| chain.loading().find(|link| !matches!(link, Link::Cable(_))));
    first.map_or_else(String::new, |link| shortened(&words.link_name(link), LONGEST))
}
