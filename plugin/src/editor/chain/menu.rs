//! What can be done to a pickup or a link as a whole.

use dsp_core::circuit::{Element, Input, Link, Pickup, Pickups, Thru};
use egui::{Key, Popup, PopupCloseBehavior, Response, SetOpenCommand, TextEdit, Ui};

use super::{ChainView, edit};
use crate::editor::edits::{Field, LinkPart, PickupPart, beginning, set, text};
use crate::editor::links::{Kind, Spot, add, link, move_link, remove, rename, set_thru};
use crate::editor::schematic::{Cell, What, part_name};
use crate::editor::{Document, Message};

const NAME: &str = "name";
const ADD_BEFORE: &str = "Add before";
const ADD_AFTER: &str = "Add after";
const MOVE_LEFT: &str = "Move towards the pickup";
const MOVE_RIGHT: &str = "Move away from the pickup";
const REMOVE: &str = "Remove";
const THRUS: [(Option<Thru>, &str); 3] = [
    (None, "No thru"),
    (Some(Thru::Before), "Thru before the buffer"),
    (Some(Thru::After), "Thru after the buffer"),
];
/// Wide enough for the longest entry, in points.
const WIDTH: f32 = 230.0;

/// A name that is being typed.
#[derive(Debug)]
pub(super) struct Naming {
    spot: Spot,
    typed: String,
    error: Option<String>,
}

/// What a frame is called for those who do not see it.
pub(super) fn label(cell: &Cell) -> String {
    let loads = if cell.loads { "" } else { ", behind a buffer" };
    let heard = if cell.heard { ", listened to" } else { "" };
    format!("{}{heard}{loads}", cell.title)
}

const fn kind_name(kind: Kind) -> &'static str {
    match kind {
        Kind::Cable => "Cable",
        Kind::Box => "Box",
        Kind::Amplifier => "Amplifier with a blocking capacitor",
        Kind::PassiveBox => "Passive box with a transformer",
        Kind::Splitter => "Splitter",
    }
}

/// Entries that put a link at a spot.
pub(super) fn kinds(ui: &mut Ui, document: &Document, spot: &Spot, out: &mut Vec<Message>) {
    ui.set_min_width(WIDTH);
    for kind in Kind::ALL {
        if ui.button(kind_name(kind)).clicked() {
            out.push(edit(add(document, spot, kind)));
            ui.close();
        }
    }
}

impl ChainView {
    /// The menu of a cell, opened by a click on its frame or by Enter.
    pub(super) fn menu(
        &mut self,
        response: &Response,
        cell: &Cell,
        document: &Document,
        out: &mut Vec<Message>,
    ) {
        // The space bar is the host's.
        let space = response.ctx.input(|input| input.key_pressed(Key::Space));
        let opens = (response.clicked() && !space) || response.secondary_clicked();
        let popup = Popup::menu(response)
            .open_memory(opens.then_some(SetOpenCommand::Toggle))
            .close_behavior(PopupCloseBehavior::CloseOnClickOutside);
        popup.show(|ui| {
            ui.set_min_width(WIDTH);
            match &cell.what {
                What::Pickup(index) => parts(ui, document, &pickup_parts(document, *index), out),
                What::Link(spot) => self.link_menu(ui, document, spot, out),
            }
        });
    }

    fn link_menu(&mut self, ui: &mut Ui, document: &Document, spot: &Spot, out: &mut Vec<Message>) {
        let Some(link) = link(document, spot) else { return };
        if matches!(link, Link::Box(_) | Link::Splitter(_)) {
            self.name(ui, document, spot, &link.name(), out);
        }
        if let Link::Box(input) = link {
            for (thru, name) in THRUS {
                if ui.radio(input.thru == thru, name).clicked() && input.thru != thru {
                    out.push(edit(set_thru(document, spot, thru)));
                    ui.close();
                }
            }
            ui.separator();
        }
        parts(ui, document, &link_parts(link, spot), out);
        let after = spot.sibling(spot.index() + 1);
        ui.menu_button(ADD_BEFORE, |ui| kinds(ui, document, spot, out));
        ui.menu_button(ADD_AFTER, |ui| kinds(ui, document, &after, out));
        ui.separator();
        moves(ui, document, spot, out);
        if ui.button(REMOVE).clicked() {
            out.push(edit(remove(document, spot)));
            ui.close();
        }
    }

    /// The name, to be typed.
    fn name(&mut self, ui: &mut Ui, document: &Document, spot: &Spot, name: &str, out: &mut Vec<Message>) {
        let naming = match self.naming.take() {
            Some(naming) if naming.spot == *spot => naming,
            _ => Naming { spot: spot.clone(), typed: name.to_owned(), error: None },
        };
        let naming = self.naming.insert(naming);
        let field = TextEdit::singleline(&mut naming.typed).hint_text(NAME).desired_width(WIDTH);
        let response = ui.add(field).accessible_name(NAME);
        if let Some(error) = &naming.error {
            ui.add(egui::Label::new(error.as_str()).wrap());
        }
        ui.separator();
        if !response.lost_focus() {
            return;
        }
        let enter = ui.input(|input| input.key_pressed(Key::Enter));
        if naming.typed == name || !enter {
            self.naming = None;
            return;
        }
        match rename(document, spot, &naming.typed) {
            Ok(to) => {
                out.push(edit(Ok(to)));
                self.naming = None;
                ui.close();
            }
            Err(error) => {
                naming.error = Some(error);
                response.request_focus();
            }
        }
    }
}

fn moves(ui: &mut Ui, document: &Document, spot: &Spot, out: &mut Vec<Message>) {
    let index = spot.index();
    let is_last = link(document, &spot.sibling(index + 1)).is_none();
    for (name, to, can) in
        [(MOVE_LEFT, index.saturating_sub(1), index > 0), (MOVE_RIGHT, index + 1, !is_last)]
    {
        if ui.add_enabled(can, egui::Button::new(name)).clicked() {
            out.push(edit(move_link(document, spot, to)));
            ui.close();
        }
    }
}

/// Optional parts, to be added and taken away.
fn parts(ui: &mut Ui, document: &Document, fields: &[Field], out: &mut Vec<Message>) {
    for field in fields {
        let is_there = text(document, field).is_some();
        let mut wanted = is_there;
        ui.checkbox(&mut wanted, capitalised(part_name(field)));
        if wanted != is_there {
            let typed = if wanted { beginning(field).unwrap_or_default() } else { "" };
            out.push(edit(set(document, field, typed)));
            ui.close();
        }
    }
    if !fields.is_empty() {
        ui.separator();
    }
}

fn capitalised(name: &str) -> String {
    let mut letters = name.chars();
    letters
        .next()
        .map(|first| first.to_uppercase().collect::<String>() + letters.as_str())
        .unwrap_or_default()
}

fn link_parts(link: &Link, spot: &Spot) -> Vec<Field> {
    let parts: &[LinkPart] = match link {
        Link::Cable(_) => &[LinkPart::Leakage],
        Link::Splitter(_) => &[LinkPart::Resistor],
        Link::Box(input) => match input.input {
            Input::Resistance(_) => &[LinkPart::Capacitance, LinkPart::Blocking],
            Input::Transformer(_) => {
                &[LinkPart::Capacitance, LinkPart::Blocking, LinkPart::OwnCapacitance, LinkPart::Winding]
            }
        },
        Link::Resistance(_) | Link::Capacitance(_) | Link::Inductance(_) => &[],
    };
    parts.iter().map(|part| Field::Link(spot.clone(), *part)).collect()
}

fn pickup_parts(document: &Document, index: usize) -> Vec<Field> {
    let pickups = &document.preset.pickups;
    let Pickup { element, .. } = pickups.pickup(index);
    let own = match element {
        Element::Capacitive(_) => PickupPart::Leakage,
        Element::Magnetic(_) => PickupPart::Winding,
    };
    let mut parts = vec![own, PickupPart::ToneResistance, PickupPart::VolumeResistance];
    if matches!(pickups, Pickups::Blend(_)) {
        parts.push(PickupPart::Mixing);
    }
    parts.into_iter().map(|part| Field::Pickup(index, part)).collect()
}
