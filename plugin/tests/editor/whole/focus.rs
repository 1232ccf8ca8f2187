//! By Tab alone: every control is reached once, in the order in which the window is read, is named, and shows that it is reached.

use egui::accessibility::is_input;
use egui::{Key, Modifiers, Rect, pos2};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use firstjack_plugin::editor::{BlindMessage, Message, Theme};

use crate::fake::COURTYARD;
use crate::pixels::Pixels;
use crate::raster::part;
use crate::whole::{LARGE, PAGES, PASSIVE, SMALL, Window, window};

/// More controls than there are on any page.
const MOST: usize = 150;
/// Channels that differ by more are seen to differ, of 255, and so many pixels.
const SEEN: u8 = 30;
const LEAST_PIXELS: usize = 20;
/// Room around a control for a ring, in points.
const RING: f32 = 4.0;
const FIRST_OF_FOOT: &str = "boost limit";
/// What counts as the same line or column, in points.
const SAME: f32 = 3.0;

/// A control that can be used.
#[derive(Debug, Clone, PartialEq)]
struct Control {
    id: u64,
    name: String,
    rect: Rect,
    /// Where the one before it stood at that moment: what is reached may have been scrolled into sight.
    before: Option<Rect>,
}

fn controls(harness: &Harness<'_, Window>) -> Vec<Control> {
    let all = harness.root().children_recursive();
    let usable = all.filter(|node| {
        let node = node.accesskit_node();
        is_input(node.role()) && !node.is_hidden() && !node.is_disabled()
    });
    usable
        .map(|node| {
            let rect = node.rect();
            let node = node.accesskit_node();
            Control { id: node.locate().0.0, name: node.label().unwrap_or_default(), rect, before: None }
        })
        .collect()
}

/// What has the focus; a name in brackets if it is no control, or nothing that a screen reader knows of.
fn focused(harness: &Harness<'_, Window>) -> Option<Control> {
    let id = harness.ctx.memory(egui::Memory::focused)?;
    let Some(node) = harness.root().children_recursive().find(|node| node.is_focused()) else {
        return Some(Control {
            id: id.value(),
            name: "[unknown]".to_owned(),
            rect: Rect::NOTHING,
            before: None,
        });
    };
    let rect = node.rect();
    let id = node.accesskit_node().locate().0.0;
    let known = controls(harness).into_iter().find(|control| control.id == id);
    let role = node.accesskit_node().role();
    Some(known.unwrap_or(Control { id, name: format!("[{role:?}]"), rect, before: None }))
}

fn press(harness: &mut Harness<'_, Window>, modifiers: Modifiers) {
    harness.key_press_modifiers(modifiers, Key::Tab);
    harness.run_steps(3);
}

/// Once around, with what had the focus; each seen where it was at the time.
fn walk(harness: &mut Harness<'_, Window>, modifiers: Modifiers) -> Vec<Control> {
    let mut walked: Vec<Control> = Vec::new();
    for _ in 0..MOST {
        press(harness, modifiers);
        let Some(now) = focused(harness) else { continue };
        if walked.first().is_some_and(|first| first.id == now.id) {
            break;
        }
        let id = walked.last().map(|last| last.id);
        let before = controls(harness).into_iter().find(|one| Some(one.id) == id).map(|one| one.rect);
        walked.push(Control { before, ..now });
    }
    walked
}

/// Pixels around a control that are seen to change with the focus.
fn changed(harness: &mut Harness<'_, Window>, control: &Control) -> usize {
    let around = control.rect.expand(RING);
    let with = part(harness, around);
    let focus = harness.ctx.memory(egui::Memory::focused).unwrap();
    harness.ctx.memory_mut(|memory| memory.surrender_focus(focus));
    harness.run_steps(2);
    let without = part(harness, around);
    harness.ctx.memory_mut(|memory| memory.request_focus(focus));
    harness.run_steps(2);
    differing(&with, &without, around)
}

fn differing(one: &Pixels, other: &Pixels, rect: Rect) -> usize {
    let pairs = one.each().zip(other.colours());
    let differ = pairs.filter(|((x, y, a), b)| {
        let centre = pos2(coordinate(*x) + 0.5, coordinate(*y) + 0.5);
        rect.contains(centre) && a.iter().zip(*b).any(|(a, b)| a.abs_diff(*b) > SEEN)
    });
    differ.count()
}

fn coordinate(pixel: u32) -> f32 {
    f32::from(u16::try_from(pixel).unwrap())
}

/// Where the order goes back up and to the left, but into a box.
fn disorder(walked: &[Control]) -> Vec<String> {
    let goes_back = |pair: &&[Control]| {
        let (from, to) = (pair[1].before.unwrap_or(pair[0].rect), pair[1].rect);
        if from.contains_rect(to) {
            return false;
        }
        to.left() < from.left() - SAME && to.top() < from.top() - SAME
    };
    let back = walked.windows(2).filter(goes_back);
    back.map(|pair| {
        format!("from '{}' {:?} to '{}' {:?}", pair[0].name, pair[0].rect, pair[1].name, pair[1].rect)
    })
    .collect()
}

fn assert_walk(harness: &mut Harness<'_, Window>, what: &str) {
    let walked = walk(harness, Modifiers::NONE);
    let names: Vec<&str> = walked.iter().map(|control| control.name.as_str()).collect();
    assert!(walked.len() > 5, "{what}: {names:?}");
    let unnamed: Vec<_> =
        walked.iter().filter(|one| one.name.is_empty() || one.name.starts_with('[')).collect();
    assert!(unnamed.is_empty(), "{what}: no control, or without a name: {unnamed:?} in {names:?}");
    let missed: Vec<_> =
        controls(harness).into_iter().filter(|one| walked.iter().all(|other| other.id != one.id)).collect();
    assert!(missed.is_empty(), "{what}: not reached: {missed:?}");
    for (index, one) in walked.iter().enumerate() {
        assert!(walked[..index].iter().all(|other| other.id != one.id), "{what}: '{}' twice", one.name);
    }
    assert_eq!(disorder(&walked), [""; 0], "{what}: {names:?}");
    // From the first one, where the walk has ended, back around.
    let mut back: Vec<u64> = walk(harness, Modifiers::SHIFT).iter().map(|control| control.id).collect();
    back.reverse();
    let ids: Vec<u64> = walked.iter().map(|control| control.id).collect();
    assert_eq!(back, ids, "{what}");
}

/// At every step of a walk something around the control changes, up to the one of this name.
fn assert_seen(harness: &mut Harness<'_, Window>, what: &str, end: &str) {
    let count = walk(harness, Modifiers::NONE).len();
    for _ in 0..count {
        let control = focused(harness).unwrap();
        let pixels = changed(harness, &control);
        assert!(pixels >= LEAST_PIXELS, "{what}: '{}' changes {pixels} pixels: {control:?}", control.name);
        if control.name == end {
            return;
        }
        press(harness, Modifiers::NONE);
    }
}

fn open(preset: &str, size: (f32, f32), theme: Theme, page: &str) -> Harness<'static, Window> {
    let mut harness = window(preset, Some(0), size, theme);
    harness.get_by_label(page).click();
    harness.run_steps(3);
    harness.remove_cursor();
    harness.run_steps(2);
    harness
}

#[test]
fn tab_walks_every_page_there_and_back() {
    for (size, preset) in [(SMALL, COURTYARD), (SMALL, PASSIVE), (LARGE, COURTYARD)] {
        for page in PAGES {
            let mut harness = open(preset, size, Theme::Light, page);
            assert_walk(&mut harness, page);
        }
    }
}

#[test]
fn every_control_shows_that_it_is_reached() {
    for (theme, shade) in [(Theme::Light, "light"), (Theme::Dark, "dark")] {
        for page in PAGES {
            let mut harness = open(COURTYARD, SMALL, theme, page);
            // The foot, the same on every page, once.
            let end = if page == "Curves" { "" } else { FIRST_OF_FOOT };
            assert_seen(&mut harness, &format!("{page}, {shade}"), end);
        }
    }
}

#[test]
fn tab_walks_a_blind_run() {
    let mut harness = open(COURTYARD, SMALL, Theme::Light, "Blind test");
    let window = harness.state_mut();
    let run = BlindMessage::Compare { setups: [0, 1], answers: 16, seed: 1 };
    window.model.update(Message::Blind(run), &mut window.session);
    harness.run_steps(3);
    let walked = walk(&mut harness, Modifiers::NONE);
    let names: Vec<String> = walked.into_iter().map(|control| control.name).collect();
    for wanted in ["Hear 1", "Hear 2", "Hear X", "X is 1", "X is 2", "Show names and score", "End"] {
        assert_eq!(names.iter().filter(|name| *name == wanted).count(), 1, "{wanted} in {names:?}");
    }
}
