//! The chains as diagrams, from the pickup to the right, edited in place: what the take was recorded through, and what it is heard
//! through now.

mod gesture;
mod kit;
mod menu;
mod paint;
mod surface;
mod value;

pub use surface::ChainViews;

use egui::{Id, PointerButton, Pos2, Rect, Response, Role, ScrollArea, Sense, Ui, Vec2, WidgetInfo, vec2};
use firstjack_kit::KitFile;

use crate::editor::document::links::Spot;
use crate::editor::kit::Shelf;
use crate::editor::views::schematic::{Cell, Drawing, Value, What};
use crate::editor::{ChainEdit, Document, Edit, Message, Stage, Where};

/// Room for a ring around what has the focus, in points.
const MARGIN: f32 = 3.0;

/// What is seen of a part that is reached, in points.
const BEGINNING: Vec2 = vec2(100.0, 60.0);

const ADD_HERE: &str = "add box or cable";
const ADD_TO_BRANCH: &str = "add box or cable to the branch";

/// One chain with its own state: what is typed, turned or carried right now.
#[derive(Debug, Default)]
struct ChainView {
    typing: Option<value::Typing>,
    gesture: Option<gesture::Gesture>,
    naming: Option<menu::Naming>,
    shelf: Shelf,
}

impl ChainView {
    /// A view whose menus offer what is in a kit.
    fn with_kit(file: Option<KitFile>) -> Self {
        Self { shelf: Shelf::new(file), ..Self::default() }
    }

    /// Draws a chain in all the room there is, scrolled where it needs more, and sends what is edited.
    fn show(&mut self, ui: &mut Ui, document: &Document, drawing: &Drawing, out: &mut Vec<Message>) {
        let shown = |value: &Value| value.field.clone();
        let fields: Vec<_> = drawing.cells.iter().flat_map(|cell| &cell.values).map(shown).collect();
        if self.gesture.as_ref().is_some_and(|gesture| !fields.contains(&gesture.field)) {
            self.end_gesture(out);
        }
        self.typing.take_if(|typing| !fields.contains(&typing.field));
        // With one way to scroll the wheel goes that way.
        ui.style_mut().always_scroll_the_only_direction = true;
        let is_high = drawing.size.y + 2.0 * MARGIN > ui.available_height();
        let area = if is_high { ScrollArea::both() } else { ScrollArea::horizontal() };
        area.id_salt("chain").auto_shrink(false).show(ui, |ui| self.diagram(ui, document, drawing, out));
        self.end_when_still(ui, out);
    }

    fn diagram(&mut self, ui: &mut Ui, document: &Document, drawing: &Drawing, out: &mut Vec<Message>) {
        let (id, rect) = ui.allocate_space(drawing.size + 2.0 * vec2(MARGIN, MARGIN));
        let rect = rect.shrink(MARGIN);
        let rect = rect.with_min_y(rect.top() + drawing.above);
        let origin = rect.min.to_vec2();
        // Frames first, so that symbols stand on them.
        let responses: Vec<Response> = drawing
            .cells
            .iter()
            .map(|cell| Self::cell(ui, id, cell, rect.min, document, out, self))
            .collect();
        paint::marks(ui, drawing, origin);
        for (cell, response) in drawing.cells.iter().zip(&responses) {
            paint::notes(ui, cell, origin, response);
        }
        self.carry(ui, drawing, &responses, out);
        for (spot, tile) in &drawing.ends {
            self.end(ui, spot, tile.translate(origin), out);
        }
    }

    /// A pickup's or link's frame with its menu, then its values, in the order in which Tab goes.
    fn cell(
        ui: &mut Ui,
        id: Id,
        cell: &Cell,
        origin: Pos2,
        document: &Document,
        out: &mut Vec<Message>,
        view: &mut Self,
    ) -> Response {
        let rect = cell.rect.translate(origin.to_vec2());
        let what = match &cell.what {
            What::Pickup(index) => id.with(("pickup", *index)),
            What::Link(spot) => id.with(spot),
        };
        let response = ui.interact(rect, what, Sense::click_and_drag());
        response.widget_info(|| WidgetInfo::labeled(Role::MenuItem, true, &cell.label));
        if response.gained_focus() {
            // Of one that is wider than the surface its beginning is seen.
            ui.scroll_to_rect(Rect::from_min_size(rect.min, rect.size().min(BEGINNING)), None);
        }
        paint::frame(ui, rect, &response);
        view.menu(&response, cell, document, out);
        for value in &cell.values {
            view.value(ui, id, value, value.rect.translate(origin.to_vec2()), document, out);
        }
        response
    }

    /// A link that is carried to another place among its neighbours.
    fn carry(&self, ui: &Ui, drawing: &Drawing, responses: &[Response], out: &mut Vec<Message>) {
        let carried = drawing.cells.iter().zip(responses).find_map(|(cell, response)| {
            let held = response.dragged_by(PointerButton::Primary) || response.drag_stopped();
            match &cell.what {
                What::Link(spot) if held => Some((spot, response)),
                _ => None,
            }
        });
        let Some((spot, response)) = carried else { return };
        let Some(pointer) = response.interact_pointer_pos() else { return };
        let neighbours =
            drawing.cells.iter().zip(responses).filter_map(|(cell, response)| match &cell.what {
                What::Link(other) if other.sibling(0) == spot.sibling(0) => Some(response.rect),
                _ => None,
            });
        let neighbours: Vec<Rect> = neighbours.collect();
        let before = neighbours.iter().filter(|rect| rect.center().x < pointer.x).count();
        // Its own place counts twice: before it and behind it.
        let to = if before > spot.index() { before - 1 } else { before };
        if response.drag_stopped() {
            if to != spot.index() {
                out.push(whole(Edit::Chain(spot.clone(), ChainEdit::Move(to))));
            }
        } else {
            paint::carried(ui, response.rect, &neighbours, before);
        }
    }

    /// Where a link can be added behind the last one.
    fn end(&mut self, ui: &mut Ui, spot: &Spot, tile: Rect, out: &mut Vec<Message>) {
        let response = ui.interact(tile, ui.scope_id().with(("add", spot)), Sense::click());
        let label = if spot.path.len() > 1 { ADD_TO_BRANCH } else { ADD_HERE };
        let label =
            if spot.place == Where::Recorded { format!("recorded: {label}") } else { label.to_owned() };
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &label));
        paint::tile(ui, tile, &response);
        if response.gained_focus() {
            ui.scroll_to_rect(tile, None);
        }
        if response.clicked() {
            self.shelf.read(out);
        }
        egui::Popup::menu(&response).show(|ui| menu::kinds(ui, &self.shelf, spot, out));
    }

    fn leave(&mut self, out: &mut Vec<Message>) {
        self.end_gesture(out);
        self.typing = None;
        self.naming = None;
    }
}

/// What to send: an edit that is a gesture of its own.
const fn whole(edit: Edit) -> Message {
    Message::Edit(edit, Stage::Whole)
}
