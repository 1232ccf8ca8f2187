//! What can be done to a pickup or a link as a whole.

use dsp_core::circuit::{Input, InputBox, Link, Pickups, Polarity, Taper, Thru};
use egui::{Align, Key, Popup, PopupCloseBehavior, Response, SetOpenCommand, Stroke, TextEdit, Ui};

use super::{ChainView, kit, whole};
use crate::editor::document::choices::taper;
use crate::editor::document::edits::{Control, Field, link_parts, pickup_parts, text};
use crate::editor::document::links::{Kind, Spot, link};
use crate::editor::document::names::of_kind;
use crate::editor::kit::Shelf;
use crate::editor::views::schematic::{Cell, What};
use crate::editor::views::theme;
use crate::editor::{ChainEdit, Document, Edit, Message, PickupEdit, usual};

const NAME: &str = "name";
const ADD_BEFORE: &str = "Add before";
const ADD_AFTER: &str = "Add after";
const MOVE_LEFT: &str = "Move towards the pickup";
const MOVE_RIGHT: &str = "Move away from the pickup";
const REMOVE: &str = "Remove";
const THRUS: [(Option<Thru>, &str); 4] = [
    (None, "No thru"),
    (Some(Thru::Before), "Unbuffered thru"),
    (Some(Thru::After), "Buffered thru"),
    (Some(Thru::Active), "Active pedal that is on"),
];
const ELEMENTS: [(bool, &str); 2] = [(false, "Capacitive pickup"), (true, "Magnetic pickup")];
const POLARITIES: [(Polarity, &str); 2] =
    [(Polarity::Same, "Polarity normal"), (Polarity::Reversed, "Polarity reversed")];
const TONE_TAPERS: [(Taper, &str); 2] =
    [(Taper::Linear, "Linear tone control"), (Taper::Logarithmic, "Logarithmic tone control")];
const VOLUME_TAPERS: [(Taper, &str); 2] =
    [(Taper::Linear, "Linear volume pot"), (Taper::Logarithmic, "Logarithmic volume pot")];
const INPUTS: [(bool, &str); 2] = [(false, "Plain input"), (true, "Input with a transformer")];
/// Wide enough for the longest entry, in points.
pub(super) const WIDTH: f32 = 230.0;
/// In a window lower than this a menu has tight rows, so that all of it is seen: height, distance and padding in points.
const LOW: f32 = 600.0;
const TIGHT: (f32, f32, f32) = (18.0, 2.0, 1.0);

/// A name that is being typed.
#[derive(Debug)]
pub(super) struct Naming {
    spot: Spot,
    typed: String,
    error: Option<String>,
}

/// Entries that put a link at a spot.
pub(super) fn kinds(ui: &mut Ui, shelf: &Shelf, spot: &Spot, out: &mut Vec<Message>) {
    ui.set_min_width(WIDTH);
    let here = |edit| Edit::Chain(spot.clone(), edit);
    kit::boxes(ui, shelf, out, |input| here(ChainEdit::AddBox(Box::new(input.clone()))));
    for kind in Kind::ALL {
        if ui.button(capitalised(of_kind(kind))).clicked() {
            out.push(whole(here(ChainEdit::Add(kind))));
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
        if opens {
            self.shelf.read(out);
        }
        let popup = Popup::menu(response)
            .open_memory(opens.then_some(SetOpenCommand::Toggle))
            .close_behavior(PopupCloseBehavior::CloseOnClickOutside);
        popup.show(|ui| {
            ui.set_min_width(WIDTH);
            if ui.ctx().content_rect().height() < LOW {
                let spacing = ui.spacing_mut();
                (spacing.interact_size.y, spacing.item_spacing.y, spacing.button_padding.y) = TIGHT;
            }
            match &cell.what {
                What::Pickup(index) => pickup_menu(ui, document, &self.shelf, *index, out),
                What::Link(spot) => self.link_menu(ui, document, spot, out),
            }
        });
    }

    fn link_menu(&mut self, ui: &mut Ui, document: &Document, spot: &Spot, out: &mut Vec<Message>) {
        let Some(link) = link(document, spot) else { return };
        if let Some(name) = link.name() {
            self.name(ui, document, spot, name, out);
        }
        if let Link::Box(input) = link {
            let taken = |from: &InputBox| Edit::Chain(spot.clone(), ChainEdit::Box(Box::new(from.clone())));
            kit::boxes(ui, &self.shelf, out, taken);
            box_choices(ui, spot, input, out);
        }
        let fields = link_parts(document, spot);
        parts(ui, document, &fields, out);
        if !fields.is_empty() {
            ui.separator();
        }
        let after = spot.sibling(spot.index() + 1);
        ui.menu_button(ADD_BEFORE, |ui| kinds(ui, &self.shelf, spot, out));
        ui.menu_button(ADD_AFTER, |ui| kinds(ui, &self.shelf, &after, out));
        ui.separator();
        moves(ui, document, spot, out);
        if ui.button(REMOVE).clicked() {
            out.push(whole(Edit::Chain(spot.clone(), ChainEdit::Remove)));
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
        let field = TextEdit::singleline(&mut naming.typed)
            .hint_text(NAME)
            .desired_width(WIDTH)
            .vertical_align(Align::Center);
        let response = outlined(ui, |ui| ui.add(field)).accessible_name(NAME);
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
        let renamed = Edit::Chain(spot.clone(), ChainEdit::Rename(naming.typed.clone()));
        match renamed.apply(document) {
            Ok(_) => {
                out.push(whole(renamed));
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

/// A menu takes the outlines of all that is in it: what is ticked or typed in keeps its own.
fn outlined<R>(ui: &mut Ui, draw: impl FnOnce(&mut Ui) -> R) -> R {
    let outline = Stroke::new(1.0, theme::outline(ui.visuals().dark_mode));
    let draw = |ui: &mut Ui| {
        ui.visuals_mut().widgets.inactive.bg_stroke = outline;
        draw(ui)
    };
    ui.scope(draw).inner
}

/// Names of which one holds, to be chosen.
fn one_of<T: Copy + PartialEq>(
    ui: &mut Ui,
    names: &[(T, &str)],
    now: T,
    out: &mut Vec<Message>,
    change: impl Fn(T) -> Edit,
) {
    outlined(ui, |ui| {
        for (one, name) in names {
            if ui.radio(now == *one, *name).clicked() && now != *one {
                out.push(whole(change(*one)));
                ui.close();
            }
        }
    });
    ui.separator();
}

fn box_choices(ui: &mut Ui, spot: &Spot, input: &InputBox, out: &mut Vec<Message>) {
    let here = |edit| Edit::Chain(spot.clone(), edit);
    one_of(ui, &THRUS, input.thru, out, |thru| here(ChainEdit::Thru(thru)));
    let transformer = matches!(input.input, Input::Transformer(_));
    one_of(ui, &INPUTS, transformer, out, |transformer| here(ChainEdit::Transformer(transformer)));
}

fn pickup_menu(ui: &mut Ui, document: &Document, shelf: &Shelf, index: usize, out: &mut Vec<Message>) {
    let this = |edit| Edit::Pickup(index, edit);
    kit::pickups(ui, shelf, out, |pickup| this(PickupEdit::Take(Box::new(*pickup))));
    let pickups = &document.preset.pickups;
    let magnetic = pickups.pickup(index).is_magnetic();
    one_of(ui, &ELEMENTS, magnetic, out, |magnetic| this(PickupEdit::Magnetic(magnetic)));
    if let Pickups::Blend(blend) = pickups {
        one_of(ui, &POLARITIES, blend[index].polarity, out, |to| this(PickupEdit::Polarity(to)));
    }
    for (control, tapers) in [(Control::Tone, TONE_TAPERS), (Control::Volume, VOLUME_TAPERS)] {
        if let Some(now) = taper(document, index, control) {
            one_of(ui, &tapers, now, out, |to| this(PickupEdit::Taper(control, to)));
        }
    }
    parts(ui, document, &pickup_parts(document, index), out);
}

fn moves(ui: &mut Ui, document: &Document, spot: &Spot, out: &mut Vec<Message>) {
    let index = spot.index();
    let is_last = link(document, &spot.sibling(index + 1)).is_none();
    for (name, to, can) in
        [(MOVE_LEFT, index.saturating_sub(1), index > 0), (MOVE_RIGHT, index + 1, !is_last)]
    {
        if ui.add_enabled(can, egui::Button::new(name)).clicked() {
            out.push(whole(Edit::Chain(spot.clone(), ChainEdit::Move(to))));
            ui.close();
        }
    }
}

/// Optional parts, to be added and taken away.
fn parts(ui: &mut Ui, document: &Document, fields: &[Field], out: &mut Vec<Message>) {
    for field in fields {
        let is_there = text(document, field).is_some();
        let mut wanted = is_there;
        outlined(ui, |ui| ui.checkbox(&mut wanted, capitalised(field.quantity().name)));
        if wanted != is_there {
            let typed = if wanted { usual(document, field) } else { "" };
            out.push(whole(Edit::Set(field.clone(), typed.to_owned())));
            ui.close();
        }
    }
}

fn capitalised(name: &str) -> String {
    let mut letters = name.chars();
    letters
        .next()
        .map(|first| first.to_uppercase().collect::<String>() + letters.as_str())
        .unwrap_or_default()
}
