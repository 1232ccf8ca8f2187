use egui::{Id, Key, LayerId, Order, PointerButton, Rect, Response, StrokeKind, Ui, vec2};
use firstjack_looks::{space, strokes};

use super::{Tile, edit};
use crate::editor::views::theme::{self, colour32};
use crate::editor::{Document, Message, SetupsEdit};

/// A setup on its way to another place.
#[derive(Debug)]
pub(in crate::editor::views) struct Dragged {
    pub index: usize,
    /// As it was when it was taken: what a host puts in its place meanwhile is not moved.
    name: String,
    /// The pointer's height in points, from the top of the tile.
    grab: f32,
    is_dropped: bool,
}

impl Dragged {
    /// Begins or ends with what the pointer does to a tile. Escape gives up.
    pub fn follow(dragged: &mut Option<Self>, response: &Response, tile: &Tile<'_>, document: &Document) {
        let Some((index, setup)) =
            tile.place.and_then(|index| document.preset.setups.get(index).map(|setup| (index, setup)))
        else {
            return;
        };
        if response.drag_started_by(PointerButton::Primary)
            && let Some(at) = response.ctx.input(|input| input.pointer.press_origin())
        {
            let (name, grab) = (setup.name.clone(), at.y - response.rect.top());
            *dragged = Some(Self { index, name, grab, is_dropped: false });
        }
        if let Some(now) = dragged.as_mut().filter(|now| now.index == index) {
            now.is_dropped = response.drag_stopped();
            let is_given_up = response.ctx.input(|input| input.key_pressed(Key::Escape));
            if is_given_up || now.name != setup.name || !(response.dragged() || now.is_dropped) {
                *dragged = None;
            }
        }
    }

    /// Shows the tile under the pointer and where it would go, and moves it there when it is let go. False when that is done.
    pub fn show(&self, ui: &Ui, tiles: &[Rect], tile: &Tile<'_>, out: &mut Vec<Message>) -> bool {
        let pointer = ui.ctx().input(|input| input.pointer.interact_pos());
        let (Some(own), Some(pointer)) = (tiles.get(self.index), pointer) else { return false };
        let centres: Vec<f32> = tiles.iter().map(|tile| tile.center().y).collect();
        let to = target(&centres, self.index, pointer.y);
        if self.is_dropped {
            out.extend((to != self.index).then(|| edit(SetupsEdit::Move(self.index, to))));
            return false;
        }
        let theme = theme::of(ui.visuals());
        let painter = ui.ctx().layer_painter(LayerId::new(Order::Tooltip, Id::unique("dragged setup")));
        let rect = own.translate(vec2(0.0, pointer.y - self.grab - own.top()));
        let edge = (strokes::LINE, colour32(theme.outline));
        painter.rect(rect, space::TILE_RADIUS, colour32(theme.surface), edge, StrokeKind::Inside);
        tile.paint(ui, &painter, rect);
        if to != self.index {
            let gap = 0.5 * ui.spacing().item_spacing.y;
            let y = if to > self.index { tiles[to].bottom() + gap } else { tiles[to].top() - gap };
            painter.hline(own.x_range(), y, (strokes::HEARD, colour32(theme.accent)));
        }
        true
    }
}

/// Which place a tile has if it is let go at a height: below those others whose middles are above.
fn target(centres: &[f32], from: usize, y: f32) -> usize {
    let above = centres.iter().enumerate().filter(|(index, centre)| *index != from && **centre < y);
    above.count()
}

/// One place up or down, by Alt and an arrow, for a tile that has the focus; the place it has then.
pub(in crate::editor::views) fn moved(ui: &Ui, index: usize, count: usize) -> Option<usize> {
    let pressed = |key| ui.input_mut(|input| input.consume_key(egui::Modifiers::ALT, key));
    let to = match (pressed(Key::ArrowUp), pressed(Key::ArrowDown)) {
        (true, false) => index.checked_sub(1)?,
        (false, true) => index + 1,
        _ => return None,
    };
    (to < count).then_some(to)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tile_goes_where_it_is_let_go() {
        let centres = [10.0, 20.0, 30.0, 40.0];
        assert_eq!([0.0, 12.0, 25.0, 35.0, 99.0].map(|y| target(&centres, 1, y)), [0, 1, 1, 2, 3]);
        assert_eq!([0.0, 15.0, 25.0, 35.0, 99.0].map(|y| target(&centres, 0, y)), [0, 0, 1, 2, 3]);
    }
}
