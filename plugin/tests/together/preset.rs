//! Presets of the test's own, short enough to be typed: six boxes, each with a name that no other word of the window contains.

use std::fmt::Write as _;

pub const SETUPS: usize = 6;

/// What a file of setups says.
#[derive(Debug, Clone, PartialEq)]
pub struct Preset {
    pub name: &'static str,
    pickup: &'static str,
    /// A volume pot: no parameter holds it, so that sound tells a preset's values from its circuit.
    volume: &'static str,
    recorded: &'static str,
    /// Names of the setups.
    pub setups: [String; SETUPS],
    /// Each one's box, and its input.
    boxes: [(&'static str, &'static str); SETUPS],
}

impl Preset {
    pub fn all() -> [Self; 3] {
        let new = |name, (pickup, volume), recorded, setups: [&str; SETUPS], boxes| Self {
            name,
            pickup,
            volume,
            recorded,
            setups: setups.map(str::to_owned),
            boxes,
        };
        [
            new(
                "woods",
                ("1n", "250k"),
                "22M",
                ["ash", "birch", "cedar", "elm", "larch", "maple"],
                [("qa", "56k"), ("qb", "470k"), ("qc", "10M"), ("qd", "1M"), ("qe", "330k"), ("qf", "2M2")],
            ),
            new(
                "metals",
                ("1n5", "500k"),
                "10M",
                ["brass", "copper", "iron", "nickel", "tungsten", "zinc"],
                [("xa", "68k"), ("xb", "560k"), ("xc", "12M"), ("xd", "1M2"), ("xe", "390k"), ("xf", "2M7")],
            ),
            new(
                "stones",
                ("2n2", "1M"),
                "15M",
                ["basalt", "chalk", "flint", "granite", "marble", "slate"],
                [("za", "82k"), ("zb", "680k"), ("zc", "15M"), ("zd", "1M5"), ("ze", "270k"), ("zf", "3M3")],
            ),
        ]
    }

    /// The file. Only its first letters are of version 5; newlines are those that Enter types.
    pub fn text(&self) -> String {
        let Self { name, pickup, volume, recorded, setups, boxes } = self;
        let mut text = format!(
            "version = 5\nname = \"{name}\"\npickup = {{ capacitance = \"{pickup}\", volume = \"{volume} log\" }}\nrecorded = \"{recorded}\"\n"
        );
        for (setup, (name, input)) in setups.iter().zip(boxes) {
            writeln!(text, "[[setup]]\nname = \"{setup}\"\nchain = [\"{name} {input}\"]").unwrap();
        }
        text
    }

    /// The same with values that its parameters hold by now, as they are shown.
    pub fn held(&self, mut shown: impl FnMut(&str) -> String) -> String {
        let Self { pickup, recorded, boxes, .. } = self;
        let put = |text: String, from: &str, to: &str| text.replace(&format!("{from}\""), &format!("{to}\""));
        let text = put(self.text(), pickup, &shown("Pickup capacitance"));
        let text = put(text, recorded, &shown("Recorded through resistance"));
        (1..).zip(boxes).fold(text, |text, (number, (name, input))| {
            let now = shown(&format!("Setup {number} load resistance")).replace(' ', "");
            put(text, &format!("{name} {input}"), &format!("{name} {now}"))
        })
    }

    /// What the value at a setup's box is called.
    pub fn input_of(&self, setup: usize) -> String {
        format!("{}: input", self.boxes[setup].0)
    }

    /// What it makes of the host's parameters, as a person would write it: all others of the circuit stay.
    pub fn values(&self) -> Vec<(String, &'static str)> {
        let mut values = vec![
            ("Pickup capacitance".to_owned(), self.pickup),
            ("Recorded through resistance".to_owned(), self.recorded),
            ("Recorded through capacitance".to_owned(), "0 pF"),
        ];
        for (index, (_, input)) in self.boxes.iter().enumerate() {
            let of = |what: &str| format!("Setup {} {what}", index + 1);
            values.extend([
                (of("load resistance"), *input),
                (of("load capacitance"), "0 pF"),
                (of("cable length"), "0 m"),
            ]);
        }
        values
    }
}
