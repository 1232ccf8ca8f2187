//! The parameters of one moment, as values: first as stored, which is quick to compare, then as what they do to sound.

use crate::sound::circuit::Circuit;
use crate::sound::shown;
use crate::sound::values::Values;
use arrayvec::ArrayVec;
use dsp_core::response::{Change, Shape};

/// Tracks of the largest circuit.
pub(crate) const MAX_TRACKS: usize = 2;

/// What a setup does to the take, or to each of its tracks.
pub(crate) type Shapes = ArrayVec<Shape, MAX_TRACKS>;

/// What all parameters store.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Snapshot {
    /// The setup, counted from zero; `None` for the take as recorded.
    pub heard: Option<usize>,
    pub bypass: bool,
    pub level_match: bool,
    pub hold: bool,
    pub guard: bool,
    pub trim_db: f32,
    pub output_db: f32,
    pub ceiling_db: f32,
    pub of_every_change: bool,
    pub floor_hz: f32,
    pub values: Values,
}

impl Snapshot {
    /// What a new instance has, with other values.
    #[cfg(test)]
    pub const fn with_values(values: Values) -> Self {
        Self {
            heard: None,
            bypass: false,
            level_match: true,
            hold: false,
            guard: true,
            trim_db: 0.0,
            output_db: 0.0,
            ceiling_db: 24.0,
            of_every_change: true,
            floor_hz: 0.0,
            values,
        }
    }

    /// Whether a setup, counted from zero, does the same in both, in the same circuit.
    pub fn same_shapes(&self, other: &Self, setup: usize) -> bool {
        self.values.source == other.values.source
            && self.values.through == other.values.through
            && self.values.setups[setup] == other.values.setups[setup]
            && self.ceiling_db == other.ceiling_db
            && self.of_every_change == other.of_every_change
            && self.floor_hz == other.floor_hz
    }

    /// What a setup, counted from zero, does to each track. Real-time safe.
    ///
    /// Presets that resonate without loss are refused, but values can be turned until one does. It would ring for ever, so it changes
    /// nothing: the take is heard as recorded in its place, whatever was heard before, and the window says why.
    pub fn shapes(&self, circuit: &Circuit, setup: usize) -> Shapes {
        let ceiling = shown::ceiling(self.ceiling_db, self.of_every_change);
        let mut shapes: Shapes = (0..circuit.tracks())
            .map(|index| {
                let from = circuit.recorded(index, &self.values);
                let to = circuit.setup(setup, index, &self.values);
                Change::new(&from, &to).shape(ceiling)
            })
            .collect();
        if shapes.iter().any(Shape::is_lossless) {
            shapes.fill(Shape::UNCHANGED);
        }
        if let Some(floor) = shown::floor(self.floor_hz).filter(|floor| floor.ends(&shapes)) {
            shapes.iter_mut().for_each(|shape| *shape = floor.under(shape));
        }
        shapes
    }

    /// Gain of the setups, in dB.
    pub fn trim_db(&self) -> f64 {
        shown::level_db(self.trim_db)
    }

    /// Gain of all that is heard, in dB.
    pub fn output_db(&self) -> f64 {
        shown::level_db(self.output_db)
    }
}

#[cfg(test)]
mod tests {
    use dsp_core::preset::Preset;
    use dsp_core::response::{Ceiling, Response, Transfer};

    use super::*;
    use crate::host::preset;
    use crate::sound::SETUPS;

    const PRESETS: [&str; 6] = [
        preset::COURTYARD,
        include_str!("../../../presets/passive.toml"),
        include_str!("../../../presets/blocking.toml"),
        include_str!("../../../presets/blend.toml"),
        include_str!("../../../presets/magnetic-single.toml"),
        include_str!("../../../presets/magnetic-double.toml"),
    ];

    /// The blend with the first pickup's volume turned down in the third setup.
    fn turned_blend() -> String {
        include_str!("../../../presets/blend.toml")
            .replace("name = \"passive box\"\n", "name = \"passive box\"\nvolume = \"30 %\"\n")
    }

    /// What is heard of a preset is what it says: the program renders the same. Compared as responses, since the same parts in
    /// another order may round otherwise.
    #[test]
    fn setups_are_the_presets() {
        for text in PRESETS.map(str::to_owned).into_iter().chain([turned_blend()]) {
            let text = text.as_str();
            let preset = Preset::from_toml(text).unwrap();
            let (circuit, values) = preset::read(text).unwrap();
            let now = Snapshot::with_values(values);
            for (index, setup) in preset.setups.iter().enumerate() {
                let shapes = now.shapes(&circuit, index);
                for pickup in 0..preset.pickups.count() {
                    let shape = &shapes[pickup.min(shapes.len() - 1)];
                    let recorded = preset.pickups.with_positions(preset.recorded_at);
                    let heard = preset.pickups.with_positions(setup.positions);
                    let from = Response::recorded(&recorded, &preset.recorded).parts()[pickup].clone();
                    let to = Transfer::of(&heard, pickup, &setup.chain);
                    let expected = Change::new(&from, &to).shape(Ceiling::default());
                    for hz in [5.0, 55.0, 440.0, 4_000.0, 18_000.0] {
                        let difference = shape.db(hz) - expected.db(hz);
                        assert!(
                            difference.abs() < 1e-4,
                            "{}, {}, {hz} Hz: {difference}",
                            preset.name,
                            setup.name
                        );
                    }
                }
            }
        }
    }

    /// Turned until it would ring for ever a setup changes nothing; with the least loss it is what it was.
    #[test]
    fn what_would_ring_for_ever_is_heard_as_recorded() {
        let text = "version = 2\nname = 'x'\npickup = { capacitance = '1n' }\nrecorded = { load = '22M' }\n\
                    [[setup]]\nname = 'bare'\nload = '50 H || 47k'\n\
                    [[setup]]\nname = 'box'\nchain = [{ box = 'b', transformer = { primary = '47 H', ratio = '12', secondary = '1k5' } }]\n";
        let (circuit, mut values) = preset::read(text).unwrap();
        for setup in 0..2 {
            let ohms = values.setups[setup].ohms;
            assert!(!Snapshot::with_values(values).shapes(&circuit, setup)[0].is_flat());
            values.setups[setup].ohms = shown::RESISTANCE_OHMS.1;
            assert_eq!(Snapshot::with_values(values).shapes(&circuit, setup)[0], Shape::UNCHANGED);
            values.setups[setup].ohms = 999e6;
            let turned = Snapshot::with_values(values).shapes(&circuit, setup);
            assert!(!turned[0].is_flat() && !turned[0].is_lossless());
            values.setups[setup].ohms = ohms;
        }
    }

    /// Of a blend as recorded through 1 MΩ and heard through nothing both tracks come down, by `10 log10(1 + (corner/f)⁴)` dB, and none where a load is
    /// put on.
    #[test]
    fn all_tracks_of_what_lifts_the_lows_come_down() {
        for (text, undoes) in [
            (PRESETS[3].replace("recorded = { load = \"10M\" }", "recorded = { load = \"1M\" }"), true),
            (PRESETS[3].to_owned(), false),
        ] {
            let (circuit, mut values) = preset::read(&text).unwrap();
            if undoes {
                values.setups = [crate::sound::values::Load::NONE; SETUPS];
            }
            let now = Snapshot::with_values(values);
            // The passive box, where nothing is undone.
            let setup = if undoes { 0 } else { 2 };
            let without = now.shapes(&circuit, setup);
            let with = Snapshot { floor_hz: 27.5, ..now }.shapes(&circuit, setup);
            assert_eq!(with.len(), 2);
            for (with, without) in with.iter().zip(&without) {
                for hz in [10.0_f64, 27.5, 55.0, 1_000.0] {
                    let cost_db = if undoes { 10.0 * (1.0 + (27.5 / hz).powi(4)).log10() } else { 0.0 };
                    assert!((without.db(hz) - with.db(hz) - cost_db).abs() < 1e-9, "{undoes}, {hz} Hz");
                }
            }
        }
    }

    /// One for each pickup.
    #[test]
    fn tracks_are_as_many_as_pickups() {
        let tracks = |text: &str| preset::read(text).unwrap().0.tracks();
        assert_eq!(PRESETS.map(tracks), [1, 1, 1, 2, 1, 1]);
    }

    /// The plugin starts with what the preset says, to the bit.
    #[test]
    fn the_courtyard_is_the_presets_to_the_bit() {
        let preset = Preset::from_toml(preset::COURTYARD).unwrap();
        let (circuit, values) = preset::read(preset::COURTYARD).unwrap();
        for (index, setup) in preset.setups.iter().enumerate() {
            let from = Transfer::new(&preset.pickups, &preset.recorded);
            let to = Transfer::new(&preset.pickups, &setup.chain);
            let expected = Change::new(&from, &to).shape(Ceiling::default());
            assert_eq!(Snapshot::with_values(values).shapes(&circuit, index)[0], expected, "{}", setup.name);
        }
    }

    /// The take heard through what it was recorded through is left as it is, whatever that is.
    #[test]
    fn the_same_chain_changes_nothing() {
        for chain in [
            r#"load = "470k || 47p || 6.25 m || 33 H""#,
            r#"chain = [{ cable = "3 m", per_metre = "150 pF" }, { box = "amplifier", input = "1M", blocking = "10n" }]"#,
            r#"chain = [
                { cable = "12.3456 m" },
                { splitter = "splitter", resistor = "10k", branch = [{ box = "tuner", input = "1M" }] },
                { cable = "2 m", leakage = "100M" },
                { box = "passive", transformer = { primary = "47 H", winding = "1k5", ratio = "12", secondary = "1k5" } },
            ]"#,
        ] {
            let text = format!(
                "version = 2\nname = 'same'\npickup = {{ capacitance = '1n', leakage = '1G' }}\n\
                 [recorded]\n{chain}\n[[setup]]\nname = 'setup'\n{chain}"
            );
            let (circuit, values) = preset::read(&text).unwrap();
            assert_eq!(Snapshot::with_values(values).shapes(&circuit, 0)[0], Shape::UNCHANGED, "{chain}");
        }
    }

    #[test]
    fn a_setup_without_any_value_is_the_unloaded_pickup() {
        let (circuit, mut values) = preset::read(preset::COURTYARD).unwrap();
        values.setups[1] = crate::sound::values::Load::NONE;
        assert!(circuit.setup(1, 0, &values).is_unloaded());
        // The tuner stays.
        values.setups[3] = crate::sound::values::Load::NONE;
        assert!(!circuit.setup(3, 0, &values).is_unloaded());
        assert!(Circuit::plain().setup(1, 0, &values).is_unloaded());
    }

    /// Each parameter acts on the circuits that have its part, and on no other.
    #[test]
    fn parameters_drive_their_part() {
        let changed = |text: &str, setup: usize, change: fn(&mut Values)| {
            let (circuit, mut values) = preset::read(text).unwrap();
            let before = Snapshot::with_values(values).shapes(&circuit, setup);
            change(&mut values);
            Snapshot::with_values(values).shapes(&circuit, setup) != before
        };
        let [courtyard, passive, _, blend, magnetic, _] = PRESETS;
        let coil: fn(&mut Values) = |values| values.source.henries = 3.3;
        let capacitance: fn(&mut Values) = |values| values.source.picofarads = 3_300.0;
        let primary: fn(&mut Values) = |values| values.setups[0].henries = 10.0;
        let through: fn(&mut Values) = |values| values.through.henries = 10.0;
        assert!(!changed(courtyard, 0, coil) && changed(courtyard, 0, capacitance));
        assert!(changed(magnetic, 0, coil) && !changed(magnetic, 0, capacitance));
        assert!(!changed(blend, 0, coil) && changed(blend, 0, capacitance));
        assert!(!changed(courtyard, 0, primary) && changed(passive, 0, primary));
        assert!(!changed(passive, 1, primary) && !changed(passive, 0, through));
        let recorded = passive
            .replace(r#"recorded = { load = "22M" }"#, "")
            .replace("[[setup]]\nname = \"passive box\"", "[recorded]")
            + "\n";
        let recorded = recorded.replace("\"passive box on a splitter\"", "\"splitter\"");
        assert!(changed(&recorded, 0, through));
    }

    #[test]
    fn only_what_a_setup_has_makes_it_differ() {
        let now = Snapshot::with_values(Values::FORMAT_1);
        let louder = Snapshot { output_db: 3.0, trim_db: -1.0, heard: Some(0), ..now };
        assert!((0..SETUPS).all(|setup| now.same_shapes(&louder, setup)) && now != louder);
        let mut other = now;
        other.values.setups[2].ohms = 1e5;
        assert!((0..SETUPS).all(|setup| now.same_shapes(&other, setup) == (setup != 2)));
        for other in [
            Snapshot { ceiling_db: 12.0, ..now },
            Snapshot { of_every_change: false, ..now },
            Snapshot { floor_hz: 27.5, ..now },
        ] {
            assert!((0..SETUPS).all(|setup| !now.same_shapes(&other, setup)));
        }
    }
}
