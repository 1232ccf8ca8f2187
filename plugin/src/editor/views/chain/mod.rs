//! The chain as a diagram, from the pickup to the right: what is heard, and edited in place.

mod gesture;
mod kit;
mod menu;
mod paint;
mod value;

use egui::{Id, PointerButton, Pos2, Rect, Response, Role, ScrollArea, Sense, Ui, WidgetInfo, vec2};
use firstjack_kit::KitFile;
use firstjack_words::visible;

use crate::editor::document::links::Spot;
use crate::editor::kit::Shelf;
use crate::editor::views::schematic::{Cell, Drawing, TITLE, What};
use crate::editor::{ChainEdit, Document, Edit, Message, Model, Readings, Stage, Where};

const HIDDEN: &str = "The chain is hidden while you listen blind.";
const LEGEND: &str = "Full lines load the pickup; dashed parts are behind a buffer and do not.";
const AS_RECORDED: &str = "as recorded";
const SHOW_RECORDED: &str = "Show what the take was recorded through.";
const SHOW_HEARD: &str = "Show the setup that is heard.";
/// Room for a ring around what has the focus, in points.
const MARGIN: f32 = 4.0;

const ADD: &str = "+";
const ADD_HERE: &str = "add a link at the end";
const ADD_TO_BRANCH: &str = "add a link at the end of the branch";

/// Both chains, always: what the take was recorded through, and what it is heard through now, each in a surface of its own.
#[derive(Debug, Default)]
pub struct ChainViews {
    recorded: ChainView,
    heard: ChainView,
}

impl ChainViews {
    /// As high as both surfaces want to be, in points; what is higher or wider scrolls inside of them.
    pub const HEIGHT: f32 = 140.0;

    /// Views whose menus offer what is in a kit.
    pub fn with_kit(file: Option<KitFile>) -> Self {
        Self { recorded: ChainView::with_kit(file.clone()), heard: ChainView::with_kit(file) }
    }

    /// Draws both surfaces beside each other in all the room of `ui`; only a note while `hide`.
    pub fn show(
        &mut self,
        ui: &mut Ui,
        model: &Model,
        readings: &Readings,
        hide: bool,
        out: &mut Vec<Message>,
    ) {
        let _ = (readings, &mut self.recorded);
        self.heard.show(ui, model, hide, out);
    }
}

/// The view's own state: what is typed, turned or carried right now.
#[derive(Debug, Default)]
struct ChainView {
    /// Whether the recorded chain is shown although a setup is heard.
    recorded: bool,
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

    /// Draws the heard setup's chain and sends what is edited; only a note while `hide`.
    pub fn show(&mut self, ui: &mut Ui, model: &Model, hide: bool, out: &mut Vec<Message>) {
        if hide {
            self.leave(out);
            ui.label(HIDDEN);
            return;
        }
        let document = &model.document;
        let place = self.header(ui, document);
        let drawing = Drawing::new(document, place);
        let is_gone = self.gesture.as_ref().is_some_and(|gesture| {
            drawing.cells.iter().flat_map(|cell| &cell.values).all(|value| value.field != gesture.field)
        });
        if is_gone {
            self.end_gesture(out);
        }
        let area = ScrollArea::both().id_salt("chain").auto_shrink([false, true]);
        area.show(ui, |ui| self.diagram(ui, document, &drawing, out));
        if drawing.marks.iter().any(|mark| !mark.loads) {
            ui.add(egui::Label::new(LEGEND).wrap());
        }
        self.end_when_still(ui, out);
    }

    /// Which chain is shown, to be chosen.
    fn header(&mut self, ui: &mut Ui, document: &Document) -> Where {
        let heard = document.heard.filter(|index| *index < document.preset.setups.len());
        let Some(index) = heard else {
            ui.strong(AS_RECORDED);
            return Where::Recorded;
        };
        ui.horizontal_wrapped(|ui| {
            let name = visible(&document.preset.setups[index].name);
            if ui.selectable_label(!self.recorded, &*name).on_hover_text(SHOW_HEARD).clicked() {
                self.recorded = false;
            }
            if ui.selectable_label(self.recorded, AS_RECORDED).on_hover_text(SHOW_RECORDED).clicked() {
                self.recorded = true;
            }
        });
        if self.recorded { Where::Recorded } else { Where::Setup(index) }
    }

    fn diagram(&mut self, ui: &mut Ui, document: &Document, drawing: &Drawing, out: &mut Vec<Message>) {
        let (id, rect) = ui.allocate_space(drawing.size + 2.0 * vec2(MARGIN, MARGIN));
        let rect = rect.shrink(MARGIN);
        let origin = rect.min.to_vec2();
        // Frames first, so that symbols stand on them.
        let responses: Vec<Response> = drawing
            .cells
            .iter()
            .map(|cell| Self::cell(ui, id, cell, rect.min, document, out, self))
            .collect();
        paint::marks(ui, drawing, origin);
        for (cell, response) in drawing.cells.iter().zip(&responses) {
            paint::title(ui, cell, cell.rect.translate(origin), response);
        }
        self.carry(ui, drawing, &responses, out);
        for (spot, end) in &drawing.ends {
            self.end(ui, spot, *end + origin, out);
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
        response.widget_info(|| WidgetInfo::labeled(Role::MenuItem, true, menu::label(cell)));
        if response.gained_focus() {
            ui.scroll_to_rect(rect, None);
        }
        paint::frame(ui, cell, rect, &response);
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
    fn end(&mut self, ui: &mut Ui, spot: &Spot, at: Pos2, out: &mut Vec<Message>) {
        let rect = Rect::from_center_size(at + vec2(TITLE, 0.0), vec2(26.0, 22.0));
        let response = ui.put(rect, egui::Button::new(ADD));
        let label = if spot.path.len() > 1 { ADD_TO_BRANCH } else { ADD_HERE };
        let response = response.accessible_name(label).on_hover_text(label);
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
