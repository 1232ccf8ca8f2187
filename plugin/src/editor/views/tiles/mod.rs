//! The tiles of the list of setups: what each says and how it looks, where it is dragged, what it is called, and what its menu offers.

mod drag;
mod key_cap;
mod menu;
mod rename;
mod row;
mod tile;

pub(super) use drag::{Dragged, moved};
pub(super) use key_cap::{key_cap, key_of};
pub(super) use menu::menu;
pub(super) use rename::Renaming;
pub(super) use row::row;
pub(super) use tile::{Parts, Tile, bars};

use crate::editor::{Edit, Message, SetupsEdit, Stage};

/// A change of the list, whole.
pub(super) fn edit(edit: SetupsEdit) -> Message {
    Message::Edit(Edit::Setups(edit), Stage::Whole)
}
