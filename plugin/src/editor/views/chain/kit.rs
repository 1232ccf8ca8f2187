//! What menus offer of a person's kit, and the way to what says how to measure.

use dsp_core::circuit::{InputBox, Pickup};
use dsp_core::kit::{KitBox, KitPickup};
use egui::{Label, ScrollArea, Ui};
use firstjack_words::visible;

use super::whole;
use crate::editor::kit::{Shelf, box_values, pickup_values};
use crate::editor::{Edit, Message};

const OWN: &str = "From your kit, or measure";
const NONE: &str = "There is none yet: measure one, and --save puts it here.";
const MEASURE: &str = "Measure…";
/// More are scrolled, in points.
const HEIGHT: f32 = 220.0;

/// The kit's pickups.
pub(super) fn pickups(ui: &mut Ui, shelf: &Shelf, out: &mut Vec<Message>, chosen: impl Fn(&Pickup) -> Edit) {
    let all: Vec<_> = shelf.kit().pickups().collect();
    let named = |KitPickup { name, pickup, .. }: &KitPickup| (name.clone(), pickup_values(pickup));
    own(ui, shelf, &all, out, |one| named(one), |one| chosen(&one.pickup));
}

/// The kit's boxes.
pub(super) fn boxes(ui: &mut Ui, shelf: &Shelf, out: &mut Vec<Message>, chosen: impl Fn(&InputBox) -> Edit) {
    let all: Vec<_> = shelf.kit().boxes().collect();
    let named = |KitBox { input, .. }: &KitBox| (input.name.clone(), box_values(input));
    own(ui, shelf, &all, out, |one| named(one), |one| chosen(&one.input));
}

fn own<T>(
    ui: &mut Ui,
    shelf: &Shelf,
    all: &[&T],
    out: &mut Vec<Message>,
    named: impl Fn(&T) -> (String, String),
    chosen: impl Fn(&T) -> Edit,
) {
    ui.menu_button(OWN, |ui| {
        ui.set_min_width(super::menu::WIDTH);
        if all.is_empty() {
            // A long text would lie over the menu.
            ui.set_max_width(super::menu::WIDTH);
            ui.add(Label::new(shelf.problem().unwrap_or(NONE)).wrap());
        }
        ScrollArea::vertical().max_height(HEIGHT).show(ui, |ui| {
            for one in all {
                let (name, values) = named(one);
                if ui.button(format!("{}: {values}", visible(&name))).clicked() {
                    out.push(whole(chosen(one)));
                    ui.close();
                }
            }
        });
        ui.separator();
        if ui.button(MEASURE).clicked() {
            out.push(Message::Measure(true));
            ui.close();
        }
    });
    ui.separator();
}
