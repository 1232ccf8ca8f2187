//! Distances, in points of a screen: whole steps of one grid.

/// The step.
pub const GRID: f32 = 4.0;

/// So many steps.
pub const fn steps(count: f32) -> f32 {
    GRID * count
}

/// Between things that belong together: a figure and its unit.
pub const TIGHT: f32 = steps(1.0);
/// Between neighbours: a name and its figure, one tile and the next.
pub const NEAR: f32 = steps(2.0);
/// Inside of surfaces, and from one surface to the next.
pub const INSIDE: f32 = steps(3.0);
/// Around everything.
pub const MARGIN: f32 = steps(4.0);

/// How round corners are: of controls, keys and chips.
pub const CONTROL_RADIUS: f32 = 6.0;
/// Of tiles, fields and menus.
pub const TILE_RADIUS: f32 = 8.0;
/// Of surfaces.
pub const SURFACE_RADIUS: f32 = 10.0;
