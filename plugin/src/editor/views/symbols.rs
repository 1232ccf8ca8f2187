//! Symbols of circuit diagrams in the style of IEC 60617, as vectors: each drawn between two points, at any scale.

use std::f32::consts::PI;

use egui::{Color32, Painter, Pos2, Shape, Stroke, StrokeKind, Vec2, vec2};

/// What is drawn between two points. A body keeps its size; leads reach to the points.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Symbol {
    /// A conductor.
    Wire,
    /// A resistor.
    Resistor,
    /// A resistor that can be turned.
    VariableResistor,
    /// A resistor with a wiper, which stands on the left of the way; [`WIPER`] says how far off.
    Potentiometer,
    /// A capacitor.
    Capacitor,
    /// An inductor.
    Inductor,
    /// A transformer: the primary between the two points, the secondary on the left of the way, [`SECONDARY`] off.
    Transformer,
    /// A voltage source.
    Source,
    /// A buffer, pointing along the way.
    Buffer,
    /// Ground, at the first point, along the way.
    Ground,
    /// A joint of conductors, at the first point.
    Junction,
    /// A jack, at the first point.
    Jack,
    /// A coaxial conductor's mark, at the first point, on a horizontal wire.
    Coaxial,
}

/// From a potentiometer's axis to the end of its wiper, in units.
pub const WIPER: f32 = 0.9;
/// From a transformer's primary to its secondary, in units.
pub const SECONDARY: f32 = 1.1;

/// What symbols are drawn with.
pub struct Pen<'a> {
    /// Where.
    pub painter: &'a Painter,
    /// Colour and width.
    pub stroke: Stroke,
    /// What is behind, for bodies that hide what is under them.
    pub paper: Color32,
    /// Length of a resistor's body in points; everything else is in proportion.
    pub unit: f32,
    /// Whether lines are dashed.
    pub dashed: bool,
}

/// From one point to another: places are told along the way and to its left, in units from the middle.
struct Way {
    middle: Pos2,
    along: Vec2,
    left: Vec2,
    half: f32,
}

impl Way {
    fn new(from: Pos2, to: Pos2, unit: f32) -> Self {
        let way = to - from;
        let direction = if way.length() > 0.0 { way.normalized() } else { vec2(1.0, 0.0) };
        // On a screen y grows downwards, so left of (1, 0) is (0, -1).
        let left = vec2(direction.y, -direction.x);
        Self {
            middle: from + way / 2.0,
            along: direction * unit,
            left: left * unit,
            half: way.length() / (2.0 * unit),
        }
    }

    fn at(&self, along: f32, left: f32) -> Pos2 {
        self.middle + self.along * along + self.left * left
    }
}

impl Pen<'_> {
    /// Draws a symbol.
    pub fn draw(&self, symbol: Symbol, from: Pos2, to: Pos2) {
        let way = Way::new(from, to, self.unit);
        match symbol {
            Symbol::Wire => self.line(&[from, to]),
            Symbol::Resistor => self.resistor(&way),
            Symbol::VariableResistor => {
                self.resistor(&way);
                self.arrow(way.at(-0.42, -0.5), way.at(0.42, 0.5));
            }
            Symbol::Potentiometer => {
                self.resistor(&way);
                self.arrow(way.at(0.0, WIPER), way.at(0.0, BODY));
            }
            Symbol::Capacitor => self.capacitor(&way),
            Symbol::Inductor => {
                self.leads(&way, COIL);
                self.coil(&way, 0.0, 1.0);
            }
            Symbol::Transformer => self.transformer(&way),
            Symbol::Source => self.source(&way),
            Symbol::Buffer => self.buffer(&way),
            Symbol::Ground => self.ground(from, to),
            Symbol::Junction => {
                self.painter.circle_filled(from, 0.08 * self.unit, self.stroke.color);
            }
            Symbol::Jack => {
                self.painter.circle(from, 0.13 * self.unit, self.paper, self.stroke);
            }
            Symbol::Coaxial => {
                let radius = 0.26 * self.unit;
                self.painter.circle_stroke(from, radius, self.stroke);
                let end = |side: f32| from + vec2(side * 1.6 * radius, radius);
                self.plate([end(-1.0), end(1.0)]);
            }
        }
    }

    fn line(&self, points: &[Pos2]) {
        if self.dashed {
            let (dash, gap) = (0.17 * self.unit, 0.13 * self.unit);
            self.painter.extend(Shape::dashed_line(points, self.stroke, dash, gap));
        } else {
            self.painter.add(Shape::line(points.to_vec(), self.stroke));
        }
    }

    /// From both ends to a body of this half length.
    fn leads(&self, way: &Way, half: f32) {
        if way.half > half {
            self.line(&[way.at(-way.half, 0.0), way.at(-half, 0.0)]);
            self.line(&[way.at(half, 0.0), way.at(way.half, 0.0)]);
        }
    }

    /// A rectangle of three to one, the standard's proportion.
    fn resistor(&self, way: &Way) {
        self.leads(way, 0.5);
        let corners = [(-0.5, BODY), (0.5, BODY), (0.5, -BODY), (-0.5, -BODY), (-0.5, BODY)];
        self.line(&corners.map(|(along, left)| way.at(along, left)));
    }

    fn capacitor(&self, way: &Way) {
        const GAP: f32 = 0.1;
        self.leads(way, GAP);
        for along in [-GAP, GAP] {
            self.plate([way.at(along, 0.36), way.at(along, -0.36)]);
        }
    }

    /// Plates are drawn through even when the rest is dashed: two dashes would not be a capacitor.
    fn plate(&self, points: [Pos2; 2]) {
        self.painter.line_segment(points, self.stroke);
    }

    /// Four half circles beside an axis, on its left (1) or right (-1).
    fn coil(&self, way: &Way, axis: f32, side: f32) {
        const TURNS: u8 = 4;
        const STEPS: u8 = 10;
        let radius = COIL / f32::from(TURNS);
        let mut points = Vec::new();
        for turn in 0..TURNS {
            let centre = -COIL + radius * (2.0 * f32::from(turn) + 1.0);
            for step in 0..=STEPS {
                let angle = PI * f32::from(step) / f32::from(STEPS);
                points.push(way.at(centre - radius * angle.cos(), axis + side * radius * angle.sin()));
            }
        }
        self.painter.add(Shape::line(points, self.stroke));
    }

    fn transformer(&self, way: &Way) {
        self.leads(way, COIL);
        self.coil(way, 0.0, 1.0);
        self.coil(way, SECONDARY, -1.0);
        for side in [-1.0, 1.0] {
            self.line(&[way.at(side * COIL, SECONDARY), way.at(side * way.half, SECONDARY)]);
        }
        for left in [0.42, 0.58] {
            self.line(&[way.at(-COIL, SECONDARY * left), way.at(COIL, SECONDARY * left)]);
        }
    }

    /// A circle with one wave of a sine across it: a source of alternating voltage.
    fn source(&self, way: &Way) {
        const RADIUS: f32 = 0.42;
        self.leads(way, RADIUS);
        self.painter.circle_stroke(way.at(0.0, 0.0), RADIUS * self.unit, self.stroke);
        let middle = way.at(0.0, 0.0);
        let wave = (0..=16u8).map(|step| {
            let turn = f32::from(step) / 8.0 - 1.0;
            middle + self.unit * vec2(0.24 * turn, -0.15 * (PI * turn).sin())
        });
        self.painter.add(Shape::line(wave.collect(), self.stroke));
    }

    fn buffer(&self, way: &Way) {
        self.leads(way, 0.45);
        let corners = [(-0.45, 0.5), (0.45, 0.0), (-0.45, -0.5), (-0.45, 0.5)];
        self.line(&corners.map(|(along, left)| way.at(along, left)));
    }

    /// The common conductor: one bar.
    fn ground(&self, from: Pos2, to: Pos2) {
        let way = Way::new(from, to, self.unit);
        self.plate([way.at(-way.half, 0.28), way.at(-way.half, -0.28)]);
    }

    fn arrow(&self, from: Pos2, to: Pos2) {
        let way = Way::new(from, to, self.unit);
        self.line(&[from, to]);
        let tip = |left| way.at(way.half - 0.2, left);
        self.painter.add(Shape::convex_polygon(
            vec![to, tip(0.11), tip(-0.11)],
            self.stroke.color,
            Stroke::NONE,
        ));
    }
}

/// Half of a resistor's width, in units.
const BODY: f32 = 1.0 / 6.0;
/// Half of a coil's length, in units.
const COIL: f32 = 0.56;

/// All symbols with their names, for a picture of them.
pub const ALL: [(Symbol, &str); 13] = [
    (Symbol::Wire, "conductor"),
    (Symbol::Resistor, "resistor"),
    (Symbol::VariableResistor, "variable resistor"),
    (Symbol::Potentiometer, "potentiometer"),
    (Symbol::Capacitor, "capacitor"),
    (Symbol::Inductor, "inductor"),
    (Symbol::Transformer, "transformer"),
    (Symbol::Source, "voltage source"),
    (Symbol::Buffer, "buffer"),
    (Symbol::Ground, "ground"),
    (Symbol::Junction, "junction"),
    (Symbol::Jack, "jack"),
    (Symbol::Coaxial, "coaxial conductor"),
];

/// Draws a box's outline.
pub fn outline(painter: &Painter, rect: egui::Rect, stroke: Stroke, dashed: bool) {
    if dashed {
        let corners =
            [rect.left_top(), rect.right_top(), rect.right_bottom(), rect.left_bottom(), rect.left_top()];
        painter.extend(Shape::dashed_line(&corners, stroke, 5.0, 4.0));
    } else {
        painter.rect_stroke(rect, 4.0, stroke, StrokeKind::Inside);
    }
}
