//! Numbers on lines, each where its line is furthest from all others, and none on another.

use super::axes::Axes;

/// Room around a tag, in units of the drawing, and how far a line has to be from others to be far enough.
const AWAY: f64 = 2.0;
const FAR: f64 = 30.0;

/// A tag around its middle.
#[derive(Debug, Clone, PartialEq)]
pub struct Tag {
    pub text: String,
    pub x: f64,
    pub y: f64,
    pub width: f64,
    pub height: f64,
}

impl Tag {
    fn is_clear_of(&self, other: &Self) -> bool {
        let apart = |distance: f64, sizes: f64| distance.abs() >= 0.5 * sizes + AWAY;
        apart(self.x - other.x, self.width + other.width)
            || apart(self.y - other.y, self.height + other.height)
    }

    /// Within the plot, moved down or up by at most its own height; nothing beside it.
    fn within(self, axes: &Axes) -> Option<Self> {
        let (half_width, half_height) = (0.5 * self.width, 0.5 * self.height);
        let is_beside = self.x - half_width < axes.left || self.x + half_width > axes.right;
        let y = self.y.clamp(axes.top + half_height, axes.bottom - half_height);
        (!is_beside).then_some(Self { y, ..self })
    }
}

/// Puts a tag on each of the lines, whose points lie below each other: `sized` makes one of a line's index, around a point.
/// A line for which there is no room stays without.
pub fn placed(
    lines: &[Vec<(f64, f64)>],
    axes: &Axes,
    sized: impl Fn(usize, (f64, f64)) -> Option<Tag>,
) -> Vec<Tag> {
    let mut tags: Vec<Tag> = Vec::new();
    for (index, line) in lines.iter().enumerate() {
        let distance = |at: usize| {
            let others = lines.iter().enumerate().filter(|(other, _)| *other != index);
            let gaps = others.filter_map(|(_, other)| Some((other.get(at)?.1 - line[at].1).abs()));
            gaps.fold(FAR, f64::min)
        };
        let free = line.iter().enumerate().filter_map(|(at, point)| {
            let tag = sized(index, *point)?.within(axes)?;
            let is_free = tags.iter().all(|other| tag.is_clear_of(other));
            is_free.then(|| (distance(at), tag))
        });
        let best = free.max_by(|(one, _), (other, _)| one.total_cmp(other));
        tags.extend(best.map(|(_, tag)| tag));
    }
    tags
}
