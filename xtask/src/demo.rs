//! The courtyard's guitarrón: synthesises the take as it was recorded, renders it through every setup, draws the
//! curves, prints the verdicts, plays the same take through the plugin in a host, measures the pickup, packs all of it into one page, and
//! writes what goes back into the combo.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, ensure};
use dsp_core::circuit::Chain;
use dsp_core::preset::Preset;
use dsp_core::processor::Processor;
use dsp_core::response::{Ceiling, Change, Transfer};

use crate::built::Built;
use crate::host::Instance;
use crate::{measuring, paths, shell, switching, take};

/// Sample rate of the demo's take.
pub const RATE_HZ: u32 = 48_000;

/// Level of the take's noise floor, rms, against full scale: -85 dB.
const NOISE_RMS: f64 = 5.6e-5;

/// The plugin and the program may differ by this much, in dB against the louder one's peak.
const AGREEMENT_DB: f64 = -120.0;

/// Runs the demo with a program and a plugin.
pub fn run(built: &Built) -> Result<()> {
    let folder = paths::target().join("demo");
    let (take_path, take) = recorded_in(&folder)?;
    println!(
        "\nsynthesised {} ({:.1} s)\n",
        take_path.display(),
        f64::from(u32::try_from(take.len())?) / f64::from(RATE_HZ)
    );

    let setups = paths::preset("courtyard.toml");
    let with_setups = |arguments: &[&str]| {
        let mut command = built.program();
        command.arg(arguments[0]).arg("--setups").arg(&setups).args(&arguments[1..]);
        command
    };
    shell::run(with_setups(&["render", "--overwrite", "-o"]).arg(&folder).arg(&take_path))?;
    for picture in ["curves.svg", "curves.png"] {
        shell::run(with_setups(&["curve", "--overwrite", "-o"]).arg(folder.join(picture)))?;
    }
    println!();
    compare_plugin(built, &folder, &take_path, &take)?;
    switching::run(built)?;
    measuring::run(built, &folder, &courtyard()?.pickups)?;
    println!(
        "\nListen in {}: numbers 1 to 6 are equally loud; 0 is the take as recorded.\n",
        folder.display()
    );
    let page = folder.join("courtyard.html");
    let note = folder.join("crew-note.pdf");
    shell::run(
        with_setups(&["pack", "--overwrite", "--note"]).arg(&note).arg("-o").arg(&page).arg(&take_path),
    )?;
    println!("\nThe page for the band, to hear, vote on and take to the venue: {}", page.display());
    println!("The crew note by itself: {}", note.display());
    println!("\nBack into the courtyard's combo:\n");
    let (loaded, sheet) = (folder.join("into-the-combo.wav"), folder.join("into-the-combo.pdf"));
    // An interface of our choosing.
    let levels = ["--in-dbu-at-full-scale", "10 dBu", "--out-dbu-at-full-scale", "18 dBu"];
    shell::run(
        with_setups(&["into-amp", "--overwrite", "--setup", "combo"])
            .args(levels)
            .arg("--sheet")
            .arg(&sheet)
            .arg("-o")
            .arg(&loaded)
            .arg(&take_path),
    )?;
    println!("The sheet for re-amping: {}", sheet.display());
    Ok(())
}

/// That the plugin sounds as the program does.
pub fn agree(built: &Built) -> Result<()> {
    let folder = paths::target().join("demo");
    let (take_path, take) = recorded_in(&folder)?;
    compare_plugin(built, &folder, &take_path, &take)
}

/// The take as a file in a folder, and its samples.
pub fn recorded_in(folder: &Path) -> Result<(PathBuf, Vec<f32>)> {
    fs::create_dir_all(folder)?;
    let path = folder.join("take.wav");
    let take = recorded(f64::from(RATE_HZ))?;
    write(&path, &take)?;
    Ok((path, take))
}

/// The take as it was recorded: the pickup's voltage through the rehearsal's input, with the recorder's noise.
pub fn recorded(rate_hz: f64) -> Result<Vec<f32>> {
    let preset = courtyard()?;
    let mut take = [take::guitarron_take(rate_hz)];
    let mut input = Processor::new(rate_hz, 1)?;
    let clean = Transfer::new(&preset.pickups, &Chain::default());
    let through = Transfer::new(&preset.pickups, &preset.recorded);
    input.change(&Change::new(&clean, &through).shape(Ceiling::Off), 1.0).unwrap();
    input.process(&mut take);
    let [take] = take;
    let noise = take::noise_floor(rate_hz, take.len(), NOISE_RMS, 1);
    Ok(take.iter().zip(noise).map(|(sound, noise)| narrow(sound + noise)).collect())
}

#[expect(clippy::cast_possible_truncation, reason = "the take is a file of 32-bit floats")]
fn narrow(value: f64) -> f32 {
    value as f32
}

/// The scenario's setups.
pub fn courtyard() -> Result<Preset> {
    Ok(Preset::from_toml(&fs::read_to_string(paths::preset("courtyard.toml"))?)?)
}

/// Writes a take as 32-bit floats.
pub fn write(path: &Path, take: &[f32]) -> Result<()> {
    let spec = hound::WavSpec {
        channels: 1,
        sample_rate: RATE_HZ,
        bits_per_sample: 32,
        sample_format: hound::SampleFormat::Float,
    };
    let mut writer = hound::WavWriter::create(path, spec)?;
    take.iter().try_for_each(|sample| writer.write_sample(*sample))?;
    Ok(writer.finalize()?)
}

/// Plays the take through the plugin as it starts, setup by setup, and compares with what the program renders of the same
/// preset, without a level match in either.
fn compare_plugin(built: &Built, folder: &Path, take_path: &Path, take: &[f32]) -> Result<()> {
    let renderings = folder.join("unmatched");
    let setups = paths::preset("courtyard.toml");
    shell::run(
        built
            .program()
            .args(["render", "--quiet", "--overwrite", "--no-match", "--setups"])
            .arg(&setups)
            .arg("-o")
            .arg(&renderings)
            .arg(take_path),
    )?;
    let mut plugin = Instance::load(&built.clap(), f64::from(RATE_HZ), 512)?;
    plugin.set("Level match", "off")?;
    for (number, setup) in (1..).zip(courtyard()?.setups) {
        plugin.set("Heard setup", &format!("Setup {number}"))?;
        // The parameters arrive with the first block; the take is then played from a fresh start.
        plugin.step(&[0.0; 64])?;
        let played = plugin.play(take)?;
        let rendering = numbered(&renderings, number)?;
        let rendered: Vec<f32> = hound::WavReader::open(&rendering)?.samples().collect::<Result<_, _>>()?;
        let difference_db = difference_db(&played, &rendered).context("silence")?;
        let shown =
            if played == rendered { "the same bits".to_owned() } else { format!("{difference_db:.1} dB") };
        println!("plugin against program, setup {number} ({}): {shown}", setup.name);
        ensure!(
            difference_db <= AGREEMENT_DB,
            "the plugin and the program differ by more than {AGREEMENT_DB} dB"
        );
    }
    fs::remove_dir_all(renderings)?;
    Ok(())
}

/// The rendering of a setup by its number.
fn numbered(folder: &Path, number: usize) -> Result<PathBuf> {
    let start = format!("take-{number}-");
    let mut files = fs::read_dir(folder)?.filter_map(|entry| Some(entry.ok()?.path()));
    let is_it =
        |file: &PathBuf| file.file_name().is_some_and(|name| name.to_string_lossy().starts_with(&start));
    files.find(is_it).with_context(|| format!("there is no rendering of setup {number}"))
}

/// Largest difference against the largest sample, in dB; `None` if both are silent or not equally long.
fn difference_db(a: &[f32], b: &[f32]) -> Option<f64> {
    let largest = |values: &mut dyn Iterator<Item = f32>| values.fold(0.0_f32, |max, v| max.max(v.abs()));
    let peak = largest(&mut a.iter().chain(b).copied());
    let difference = largest(&mut a.iter().zip(b).map(|(a, b)| a - b));
    (peak > 0.0 && a.len() == b.len()).then(|| 20.0 * f64::from(difference / peak).max(1e-12).log10())
}
