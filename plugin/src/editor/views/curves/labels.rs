//! Places for words in a plot, none of which covers another.

use egui::{Pos2, Rangef, Rect, Vec2, pos2, vec2};

/// Rectangles that are in use.
#[derive(Debug, Default)]
pub(super) struct Taken(Vec<Rect>);

impl Taken {
    /// Uses a rectangle unless a part of it is in use. Whether it was free.
    pub fn take(&mut self, rect: Rect) -> bool {
        let is_free = self.is_free(rect);
        if is_free {
            self.0.push(rect);
        }
        is_free
    }

    /// Uses a rectangle whatever is there.
    pub fn mark(&mut self, rect: Rect) {
        self.0.push(rect);
    }

    pub fn is_free(&self, rect: Rect) -> bool {
        self.0.iter().all(|taken| !overlap(*taken, rect))
    }

    fn over(&self, rect: Rect) -> impl Iterator<Item = &Rect> {
        self.0.iter().filter(move |taken| overlap(**taken, rect))
    }
}

fn overlap(one: Rect, other: Rect) -> bool {
    let both = one.intersect(other);
    both.width() > 0.0 && both.height() > 0.0
}

/// A curve on the screen: points from left to right, equally far apart.
#[derive(Debug, Clone)]
pub(super) struct Path(pub Vec<Pos2>);

impl Path {
    /// Its height at a place.
    pub fn y(&self, x: f32) -> f32 {
        self.span(x, x).center()
    }

    /// From its highest to its lowest place within a part of the plot.
    fn span(&self, left: f32, right: f32) -> Rangef {
        let points = &self.0;
        let from = points.partition_point(|point| point.x < left).saturating_sub(1);
        let to = (points.partition_point(|point| point.x <= right) + 1).min(points.len());
        let mut span = Rangef::NOTHING;
        for pair in points[from..to].windows(2) {
            for x in [left.max(pair[0].x), right.min(pair[1].x)] {
                let part = ((x - pair[0].x) / (pair[1].x - pair[0].x)).clamp(0.0, 1.0);
                let y = egui::lerp(pair[0].y..=pair[1].y, part);
                span = Rangef::new(span.min.min(y), span.max.max(y));
            }
        }
        span
    }

    fn crosses(&self, rect: Rect) -> bool {
        let span = self.span(rect.left(), rect.right());
        span.min < rect.bottom() && span.max > rect.top()
    }
}

/// Room around a name, in points.
const AROUND: f32 = 3.0;
/// Places along a curve that are tried for its name.
const TRIES: u8 = 40;

/// The best place for the name of a curve, so large: on it, clear of every other curve and of all that is written, and nearer to its own
/// curve than to any other. Nothing if there is none.
pub(super) fn on_line(size: Vec2, own: &Path, others: &[&Path], within: Rect, taken: &Taken) -> Option<Rect> {
    let mut best: Option<(f32, Rect)> = None;
    for step in 0..=TRIES {
        let part = f32::from(step) / f32::from(TRIES);
        let left = egui::lerp(within.left() + AROUND..=within.right() - size.x - AROUND, part);
        let span = own.span(left, left + size.x);
        for top in [span.min - size.y - 1.0, span.max + 1.0] {
            let rect = Rect::from_min_size(pos2(left, top), size);
            let is_clear = within.contains_rect(rect)
                && taken.is_free(rect.expand2(vec2(AROUND, 0.0)))
                && !others.iter().any(|other| other.crosses(rect));
            if !is_clear {
                continue;
            }
            let centre = rect.center();
            let away = |path: &Path| (path.y(centre.x) - centre.y).abs();
            let (gap, room) = (away(own), others.iter().map(|path| away(path)).fold(60.0, f32::min));
            let cost = gap - 0.25 * room;
            if gap < room && best.is_none_or(|(least, _)| cost < least) {
                best = Some((cost, rect));
            }
        }
    }
    best.map(|(_, rect)| rect)
}

/// A place for a figure of a mark on the heard curve: below it to the right, else behind figures that stand there, else further below.
pub(super) fn by_mark(size: Vec2, at: Pos2, heard: &Path, within: Rect, taken: &Taken) -> Option<Rect> {
    let first = Rect::from_min_size(at + vec2(9.0, 3.0), size);
    let mut places = vec![first];
    let behind = |rect: Rect| {
        let over = taken.over(rect).filter(|taken| taken.height() >= 0.8 * size.y);
        over.map(|taken| Rect::from_min_size(pos2(taken.right() + 2.0 * AROUND, taken.top()), size)).last()
    };
    let mut next = first;
    while let Some(place) = behind(next).filter(|place| place.right() <= within.right()) {
        places.push(place);
        next = place;
    }
    places.extend((1..6u8).map(|row| first.translate(vec2(0.0, f32::from(row) * size.y))));
    places.into_iter().find(|place| {
        within.contains_rect(*place) && taken.is_free(*place) && !heard.crosses(place.shrink2(vec2(0.0, 1.0)))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn path(y: impl Fn(f32) -> f32) -> Path {
        Path((0..=100u8).map(|x| pos2(f32::from(x), y(f32::from(x)))).collect())
    }

    const WITHIN: Rect = Rect { min: Pos2::ZERO, max: Pos2 { x: 100.0, y: 100.0 } };

    #[test]
    fn a_name_stands_on_its_own_line_and_nothing_else() {
        let (own, other) = (path(|_| 50.0), path(|_| 45.0));
        let size = vec2(20.0, 10.0);
        let rect = on_line(size, &own, &[&other], WITHIN, &Taken::default()).unwrap();
        assert_eq!(rect.top(), 51.0, "below: the other is above");
        let mut taken = Taken::default();
        taken.mark(WITHIN.with_max_x(60.0));
        let rect = on_line(size, &own, &[&other], WITHIN, &taken).unwrap();
        assert!(rect.left() >= 60.0, "{rect:?}");
        taken.mark(WITHIN);
        assert_eq!(on_line(size, &own, &[&other], WITHIN, &taken), None);
        // Between two there is no room.
        let below = path(|_| 58.0);
        assert_eq!(on_line(size, &own, &[&other, &below], WITHIN, &Taken::default()), None);
    }

    #[test]
    fn figures_of_a_flat_curve_stand_behind_one_another() {
        let (flat, size) = (path(|_| 5.0), vec2(30.0, 10.0));
        let mut taken = Taken::default();
        let tops: Vec<Option<f32>> = [2.0, 4.0, 6.0]
            .map(|x| {
                let place = by_mark(size, pos2(x, 5.0), &flat, WITHIN, &taken)?;
                assert!(taken.take(place));
                Some(place.top())
            })
            .to_vec();
        assert_eq!(tops, [Some(8.0), Some(8.0), Some(18.0)], "two in the first row, one below");
    }

    #[test]
    fn a_path_has_a_height_between_its_points() {
        let path = path(|x| 2.0 * x);
        assert_eq!([0.0, 10.5, 100.0].map(|x| path.y(x)), [0.0, 21.0, 200.0]);
        assert!(path.crosses(Rect::from_min_max(pos2(10.0, 30.0), pos2(20.0, 50.0))));
        assert!(!path.crosses(Rect::from_min_max(pos2(10.0, 41.0), pos2(20.0, 50.0))));
    }
}
