//! Texts that are 30 % longer, as in another language: none is cut without a way to read it, none covers another.
//!
//! Every letter of the fonts is made so much wider, not higher: each text is as long as one of 30 % more letters would be, and no line
//! of the product knows of it.

use std::sync::Arc;

use egui::epaint::{ClippedShape, Shape};
use egui::{FontData, FontDefinitions, Pos2, Rect, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use firstjack_plugin::editor::{Allowance, BlindMessage, Message, Theme};

use crate::fake::COURTYARD;
use crate::snapshot::save;
use crate::views::allowance::{UNDO, by_hum};
use crate::whole::{LARGE, PAGES, PASSIVE, SMALL, Window, window};

/// In percent of what letters need.
const LONGER: u16 = 130;
/// What may be cut or covered, in points: the last letter's own spacing.
const SLACK: f32 = 1.5;
/// One scroll in points, less than any list is high.
const SCROLL: f32 = 40.0;
const MOST_SCROLLS: usize = 30;
/// What scrolls, in parts of the window: the tiles, the page and the two chains; and which way.
const AREAS: [([[f32; 2]; 2], egui::Vec2); 7] = [
    ([[0.03, 0.30], [0.28, 0.58]], vec2(0.0, -SCROLL)),
    ([[0.42, 0.36], [0.95, 0.58]], vec2(-SCROLL, 0.0)),
    ([[0.42, 0.36], [0.95, 0.58]], vec2(0.0, -SCROLL)),
    ([[0.04, 0.70], [0.22, 0.82]], vec2(0.0, -SCROLL)),
    ([[0.04, 0.70], [0.22, 0.82]], vec2(-SCROLL, 0.0)),
    ([[0.45, 0.70], [0.95, 0.82]], vec2(0.0, -SCROLL)),
    ([[0.45, 0.70], [0.95, 0.82]], vec2(-SCROLL, 0.0)),
];

/// The window's own fonts with wider letters: the advance widths in the table `hmtx`, as many as `hhea` tells (OpenType, ISO/IEC
/// 14496-22).
fn wider() -> FontDefinitions {
    let mut fonts = firstjack_plugin::editor::views::fonts();
    for data in fonts.font_data.values_mut() {
        let mut font = data.bytes().to_vec();
        widen(&mut font);
        *data = Arc::new(FontData::from_owned(font).tweak(data.tweak.clone()));
    }
    fonts
}

fn widen(font: &mut [u8]) {
    let number = |font: &[u8], at: usize| u16::from_be_bytes([font[at], font[at + 1]]);
    let tables = 0..usize::from(number(font, 4));
    let table = |font: &[u8], tag: &[u8; 4]| {
        let entry =
            tables.clone().map(|table| 12 + 16 * table).find(|at| font[*at..].starts_with(tag)).unwrap();
        usize::from(number(font, entry + 8)) << 16 | usize::from(number(font, entry + 10))
    };
    let (header, metrics) = (table(font, b"hhea"), table(font, b"hmtx"));
    for letter in 0..usize::from(number(font, header + 34)) {
        let at = metrics + 4 * letter;
        let advance = u32::from(number(font, at)) * u32::from(LONGER) / 100;
        font[at..at + 2].copy_from_slice(&u16::try_from(advance).unwrap().to_be_bytes());
    }
}

/// A text as it is drawn.
#[derive(Debug, Clone)]
struct Text {
    words: String,
    /// Where its ink is.
    ink: Rect,
    /// Where it may be.
    clip: Rect,
    elided: bool,
}

impl Text {
    fn is_cut(&self) -> bool {
        !self.clip.expand(SLACK).contains_rect(self.ink)
    }

    /// Whether it is the other one, scrolled so that it is whole.
    fn is_whole_of(&self, other: &Self) -> bool {
        let is_same = self.words == other.words && self.elided == other.elided && self.clip == other.clip;
        is_same && !self.is_cut()
    }

    fn is_seen(&self) -> bool {
        let seen = self.clip.intersect(self.ink);
        seen.width() > 0.0 && seen.height() > 0.0
    }
}

fn texts(harness: &Harness<'_, Window>) -> Vec<Text> {
    fn gather(shape: &Shape, clip: Rect, texts: &mut Vec<Text>) {
        match shape {
            Shape::Vec(shapes) => shapes.iter().for_each(|shape| gather(shape, clip, texts)),
            Shape::Text(text) if !text.galley.is_empty() => texts.push(Text {
                words: text.galley.text().to_owned(),
                ink: text.galley.mesh_bounds.translate(text.pos.to_vec2()),
                clip,
                elided: text.galley.elided,
            }),
            _ => {}
        }
    }
    let mut texts = Vec::new();
    for ClippedShape { clip_rect, shape, .. } in &harness.output().shapes {
        gather(shape, clip_rect.intersect(harness.ctx.content_rect()), &mut texts);
    }
    texts.retain(|text| text.ink.is_positive());
    texts
}

/// Texts whose ink meets another's.
fn covered(texts: &[Text]) -> Vec<String> {
    let mut covered = Vec::new();
    for (index, one) in texts.iter().enumerate() {
        for other in &texts[index + 1..] {
            let both = one.ink.intersect(one.clip).intersect(other.ink.intersect(other.clip));
            if both.width() > SLACK && both.height() > SLACK {
                covered.push(format!("'{}' and '{}' at {both:?}", one.words, other.words));
            }
        }
    }
    covered
}

/// Where a wheel scrolls: on nothing that it would turn.
fn quiet(harness: &Harness<'_, Window>, area: Rect) -> Option<Pos2> {
    let values: Vec<Rect> = [egui::Role::SpinButton, egui::Role::Slider]
        .into_iter()
        .flat_map(|role| {
            harness.query_all_by_role(role).map(|node| node.rect().expand(4.0)).collect::<Vec<_>>()
        })
        .collect();
    let steps = || (1..20u8).map(|part| f32::from(part) / 20.0);
    let all = steps().flat_map(|x| steps().map(move |y| area.lerp_inside(vec2(x, y))));
    all.into_iter().find(|at| values.iter().all(|value| !value.contains(*at)))
}

fn scroll(harness: &mut Harness<'_, Window>, area: Rect, delta: egui::Vec2) {
    let Some(at) = quiet(harness, area) else { return };
    harness.hover_at(at);
    harness.event(egui::Event::MouseWheel {
        unit: egui::MouseWheelUnit::Point,
        delta,
        phase: egui::TouchPhase::Move,
        source: egui::MouseWheelSource::Wheel,
        modifiers: egui::Modifiers::NONE,
    });
    harness.run_steps(12);
    harness.remove_cursor();
    harness.run_steps(2);
}

/// What is cut, and at no place of the scroll bars whole; and what covers what.
fn faults(harness: &mut Harness<'_, Window>) -> Vec<String> {
    let mut seen = texts(harness);
    let mut faults = covered(&seen);
    let window = harness.ctx.content_rect();
    for (area, delta) in AREAS {
        let [min, max] = area.map(|[x, y]| window.lerp_inside(vec2(x, y)));
        let area = Rect::from_min_max(min, max);
        for _ in 0..MOST_SCROLLS {
            if never_whole(&seen).next().is_none() {
                break;
            }
            scroll(harness, area, delta);
            seen.extend(texts(harness));
        }
    }
    faults.extend(never_whole(&seen).map(|text| format!("'{}' is cut", text.words)));
    faults.sort();
    faults.dedup();
    faults
}

/// Of all that was seen while it was scrolled.
fn never_whole(seen: &[Text]) -> impl Iterator<Item = &Text> {
    let cut = seen.iter().filter(|text| text.is_cut() && text.is_seen());
    cut.filter(|text| !seen.iter().any(|other| other.is_whole_of(text)))
}

/// Texts with an ellipsis that the pointer does not bring out in full.
fn without_hover(harness: &mut Harness<'_, Window>) -> Vec<String> {
    let mut without = Vec::new();
    for text in texts(harness).into_iter().filter(|text| text.elided && text.is_seen()) {
        let at = text.ink.intersect(text.clip).center();
        harness.hover_at(at);
        harness.run_steps(2);
        // After a click the pointer has to move before anything is said.
        harness.hover_at(at + vec2(1.0, 0.0));
        harness.run_steps(60);
        if !texts(harness).iter().any(|other| !other.elided && other.words.contains(&text.words)) {
            without.push(format!("'{}' is elided and has no hover text", text.words));
        }
        harness.remove_cursor();
        harness.run_steps(30);
    }
    without
}

fn long(preset: &str, heard: Option<usize>, size: (f32, f32)) -> Harness<'static, Window> {
    let mut harness = window(preset, heard, size, Theme::Light);
    harness.ctx.set_fonts(wider());
    harness.run_steps(4);
    harness
}

fn send(harness: &mut Harness<'_, Window>, message: Message) {
    let window = harness.state_mut();
    window.model.update(message, &mut window.session);
    harness.run_steps(3);
}

/// Controls that stick out of the window, but for those of the chains, which scroll.
fn outside(harness: &Harness<'_, Window>) -> Vec<String> {
    let window = harness.ctx.content_rect();
    let is_chain = |rect: Rect| rect.top() > 0.6 * window.bottom() && rect.bottom() < 0.87 * window.bottom();
    let buttons = harness.get_all_by_role(egui::Role::Button);
    let outside = buttons.filter(|button| !is_chain(button.rect()) && button.rect().right() > window.right());
    outside.map(|button| format!("{:?} sticks out", button.accesskit_node().label())).collect()
}

fn all_faults(harness: &mut Harness<'_, Window>, name: &str) -> Vec<String> {
    save(harness, &format!("longer-{name}"));
    let all = [outside(harness), without_hover(harness), faults(harness)].concat();
    all.into_iter().map(|fault| format!("{name}: {fault}")).collect()
}

#[test]
fn letters_are_wider_by_so_much() {
    let width = |fonts: Option<FontDefinitions>| {
        let mut harness = window(COURTYARD, None, SMALL, Theme::Light);
        fonts.into_iter().for_each(|fonts| harness.ctx.set_fonts(fonts));
        harness.run_steps(3);
        let font = egui::FontId::proportional(20.0);
        let lay = |fonts: &mut egui::epaint::text::FontsView<'_>| {
            fonts.layout_no_wrap("Neighbours of a cello".to_owned(), font, egui::Color32::BLACK).size()
        };
        harness.ctx.fonts_mut(lay)
    };
    let (before, after) = (width(None), width(Some(wider())));
    assert!((after.x / before.x - 1.3).abs() < 0.02, "{before:?}, {after:?}");
    assert_eq!(before.y, after.y);
}

#[test]
fn every_page_has_room_for_longer_texts() {
    let mut faults = Vec::new();
    for (size, name) in [(SMALL, "small"), (LARGE, "large")] {
        for (preset, heard, of) in [(COURTYARD, Some(3), "courtyard"), (PASSIVE, Some(0), "passive")] {
            for page in PAGES {
                let mut harness = long(preset, heard, size);
                harness.get_by_label(page).click();
                harness.run_steps(3);
                harness.remove_cursor();
                harness.run_steps(3);
                faults.extend(all_faults(&mut harness, &format!("{name}-{of}-{page}")));
            }
        }
    }
    assert!(faults.is_empty(), "{faults:#?}");
}

#[test]
fn what_noise_allows_has_room_for_longer_texts() {
    for (size, name) in [(SMALL, "small"), (LARGE, "large")] {
        for allowance in [by_hum(17.9), Allowance::Drowned] {
            let mut harness = long(UNDO, Some(0), size);
            harness.state_mut().session.readings.allowance = allowance;
            harness.run_steps(3);
            let faults = all_faults(&mut harness, &format!("{name}-noise"));
            assert!(faults.is_empty(), "{faults:#?}");
        }
    }
}

#[test]
fn a_blind_run_and_a_notice_have_room_for_longer_texts() {
    let mut harness = long(COURTYARD, Some(2), SMALL);
    harness.get_by_label("Blind test").click();
    harness.run_steps(3);
    harness.remove_cursor();
    let run = BlindMessage::Compare { setups: [1, 2], answers: 16, seed: 1 };
    send(&mut harness, Message::Blind(run));
    // Refused, and said why.
    send(&mut harness, Message::Undo);
    // It lies over the rest until it is read, and is whole itself.
    let notice: Vec<Text> =
        texts(&harness).into_iter().filter(|text| text.words.starts_with("Not while the names")).collect();
    assert!(notice.len() == 1 && !notice[0].is_cut() && !notice[0].elided, "{notice:?}");
    save(&harness, "longer-notice");
    harness.get_by_label_contains("close: Not while").click();
    harness.run_steps(3);
    assert!(harness.state().model.notices.is_empty());
    harness.remove_cursor();
    harness.run_steps(2);
    let mut faults = all_faults(&mut harness, "blind");
    send(&mut harness, Message::Blind(BlindMessage::Reveal));
    faults.extend(all_faults(&mut harness, "blind-revealed"));
    assert!(faults.is_empty(), "{faults:#?}");
}

/// Whatever opens stays within the window, and covers nothing of its own.
#[test]
fn menus_have_room_for_longer_texts() {
    let mut harness = long(PASSIVE, Some(0), SMALL);
    for name in [
        "pickup",
        "passive box, heard here",
        "cable 1",
        "preset Passive box",
        "instrument double bass",
        "View",
    ] {
        harness.get_by_label(name).focus();
        // What has the focus is scrolled into sight.
        harness.run_steps(30);
        let before: Vec<Rect> = texts(&harness).iter().map(|text| text.ink).collect();
        harness.key_press(egui::Key::Enter);
        harness.run_steps(5);
        save(&harness, &format!("longer-menu-{name}"));
        let mut menu = texts(&harness);
        menu.retain(|text| !before.contains(&text.ink));
        assert!(menu.len() > 2, "{name}: {menu:?}");
        let cut: Vec<_> = menu.iter().filter(|text| text.is_cut()).collect();
        assert!(cut.is_empty(), "{name}: {cut:#?}");
        assert_eq!(covered(&menu), [""; 0], "{name}");
        harness.key_press(egui::Key::Escape);
        harness.run_steps(5);
    }
}

#[test]
fn the_help_has_room_for_longer_texts() {
    let mut harness = long(COURTYARD, Some(2), SMALL);
    send(&mut harness, Message::Help(true));
    save(&harness, "longer-help");
    let help: Vec<Text> = texts(&harness);
    let last =
        help.iter().rposition(|text| text.words.contains("A pickup on an acoustic instrument")).unwrap();
    // What is drawn after the help's first words is the help.
    let cut: Vec<_> =
        help[last..].iter().filter(|text| text.ink.right() > text.clip.right() + SLACK).collect();
    assert!(cut.is_empty(), "{cut:#?}");
    assert_eq!(covered(&help[last..]), [""; 0]);
}
