//! Pictures of what is drawn: compared with those that are kept, or saved to be looked at.
//!
//! A pixel is lone if no pixel within one of its place in the other picture has its colour, give or take [`SAME`] in every
//! channel. Rasterisers differ by rounding, and by where the edge of a shape begins: nothing of that leaves a lone pixel. A label that has
//! moved, another digit or a line too few leaves at least [`LONE`], counted in both pictures.

use std::path::{Path, PathBuf};

use egui_kittest::Harness;
use png::Compression;

use crate::pixels::{Colour, Pixels};
use crate::raster::picture;

/// Channels are the same if they differ by no more, of 255.
const SAME: u8 = 20;
/// So many lone pixels are a difference.
const LONE: usize = 4;
/// Kept pictures have steps of so much in each channel, for smaller files; half of it is less than [`SAME`].
const COARSE: u8 = 16;

const ACCEPT: &str = "FIRSTJACK_ACCEPT_PICTURES";

/// Saves what is shown under the target folder, for eyes.
pub fn save<S>(harness: &Harness<'_, S>, name: &str) {
    picture(harness).write(&seen().join(format!("{name}.png")), Compression::Fast);
}

/// Compares what is shown with the kept picture of this name.
pub fn compare<S>(harness: &Harness<'_, S>, name: &str) {
    let now = picture(harness);
    let kept =
        Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/editor/snapshots").join(format!("{name}.png"));
    if std::env::var_os(ACCEPT).is_some_and(|value| value == "1") {
        return coarse(now).write(&kept, Compression::High);
    }
    let before = Pixels::read(&kept).unwrap_or_else(|| Pixels::new(0, Vec::new()));
    let Err(lone) = alike(&before, &now) else { return };
    now.write(&seen().join(format!("{name}-now.png")), Compression::Fast);
    marked(&now, &lone).write(&seen().join(format!("{name}-difference.png")), Compression::Fast);
    panic!(
        "'{name}' is missing or looks different: {} lone pixels of {:?}, kept are {:?}. Look at {name}-now.png and \
         {name}-difference.png in {}, and accept all pictures with `{ACCEPT}=1 cargo test -p firstjack-plugin --test editor pictures`",
        lone.len(),
        now.size(),
        before.size(),
        seen().display()
    );
}

fn seen() -> PathBuf {
    Path::new(env!("CARGO_TARGET_TMPDIR")).join("editor")
}

fn coarse(picture: Pixels) -> Pixels {
    picture.map(|channel| channel - channel % COARSE + COARSE / 2)
}

/// Whether a reader would see no difference; if one would, where.
fn alike(before: &Pixels, now: &Pixels) -> Result<(), Vec<(u32, u32)>> {
    let lone = lone(before, now);
    if before.size() == now.size() && lone.len() < LONE { Ok(()) } else { Err(lone) }
}

/// Where either picture has a lone pixel.
fn lone(one: &Pixels, other: &Pixels) -> Vec<(u32, u32)> {
    let of = |here: &Pixels, there: &Pixels| {
        let lone = here.each().filter(|(x, y, colour)| !is_near(there, *x, *y, *colour));
        lone.map(|(x, y, _)| (x, y)).collect::<Vec<_>>()
    };
    [of(one, other), of(other, one)].concat()
}

fn is_near(picture: &Pixels, x: u32, y: u32, colour: Colour) -> bool {
    let near = (x.saturating_sub(1)..=x + 1).flat_map(|x| (y.saturating_sub(1)..=y + 1).map(move |y| (x, y)));
    let mut colours = near.filter_map(|(x, y)| picture.get(x, y));
    colours.any(|other| other.iter().zip(colour).all(|(a, b)| a.abs_diff(b) <= SAME))
}

/// A pale picture with places marked.
fn marked(picture: &Pixels, places: &[(u32, u32)]) -> Pixels {
    let mut marked = picture.clone().map(|channel| 192 + channel / 4);
    for (x, y) in places.iter().filter(|(x, y)| picture.get(*x, *y).is_some()) {
        marked.set(*x, *y, [220, 0, 0]);
    }
    marked
}

mod tests {
    use super::*;

    /// What a small picture shows.
    #[derive(Clone, Copy)]
    struct Scene {
        number: &'static str,
        moved: egui::Vec2,
        dots: bool,
        mark: bool,
        colour: egui::Color32,
    }

    const SCENE: Scene = Scene {
        number: "-12.8 dB",
        moved: egui::Vec2::ZERO,
        dots: true,
        mark: true,
        colour: egui::Color32::from_rgb(0, 84, 147),
    };

    fn drawn(scene: Scene) -> Pixels {
        let draw = move |ui: &mut egui::Ui| {
            let (painter, text) = (ui.painter(), ui.visuals().text_color());
            painter.rect_filled(ui.ctx().content_rect(), 0.0, ui.visuals().panel_fill);
            let font = egui::FontId::proportional(11.5);
            let align = egui::Align2::LEFT_TOP;
            painter.text(egui::pos2(8.0, 8.0) + scene.moved, align, "tuner", font.clone(), text);
            painter.text(egui::pos2(60.0, 8.0), align, scene.number, font, text);
            let slope = [egui::pos2(10.3, 80.0), egui::pos2(190.0, 31.7)];
            painter.extend(egui::Shape::dashed_line(&slope, (1.2, scene.colour), 9.0, 6.0));
            if scene.dots {
                let flat = [egui::pos2(10.0, 60.2), egui::pos2(190.0, 58.0)];
                painter.extend(egui::Shape::dotted_line(&flat, egui::Color32::GRAY, 13.0, 1.2));
            }
            if scene.mark {
                painter.vline(120.0, 30.0..=85.0, (1.0, text.gamma_multiply(0.35)));
            }
        };
        picture(&Harness::builder().with_size(egui::vec2(200.0, 90.0)).build_ui(draw))
    }

    fn lone_after(now: &Pixels) -> usize {
        lone(&drawn(SCENE), now).len()
    }

    #[test]
    fn what_a_reader_would_miss_is_a_difference() {
        let moved = |x, y| Scene { moved: egui::vec2(x, y), ..SCENE };
        for (scene, what) in [
            (moved(2.0, 0.0), "a label moved to the right"),
            (moved(0.0, -2.0), "a label moved up"),
            (Scene { number: "-12.3 dB", ..SCENE }, "an 8 that became a 3"),
            (Scene { number: "-17.8 dB", ..SCENE }, "a 2 that became a 7"),
            (Scene { number: "12.8 dB", ..SCENE }, "a sign that is missing"),
            (Scene { dots: false, ..SCENE }, "a dotted curve that is missing"),
            (Scene { mark: false, ..SCENE }, "a string's mark that is missing"),
            (Scene { colour: egui::Color32::from_rgb(0, 108, 70), ..SCENE }, "a curve of another colour"),
        ] {
            let lone = lone_after(&drawn(scene));
            assert!(lone >= LONE, "{what}: {lone} lone pixels");
        }
    }

    /// Rounding, and edges that begin a part of a pixel earlier.
    #[test]
    fn what_rasterisers_do_differently_is_none() {
        let mut random = fastrand::Rng::with_seed(4);
        let noise = |channel: u8| channel.saturating_add(random.u8(..=8)).saturating_sub(random.u8(..=8));
        let noisy = drawn(SCENE).map(noise);
        assert_eq!(lone_after(&noisy), 0);
        assert_eq!(lone_after(&coarse(drawn(SCENE))), 0);
        let next_door = drawn(Scene { moved: egui::vec2(1.0, 0.0), ..SCENE });
        assert_eq!(lone_after(&next_door), 0);
    }

    #[test]
    fn another_size_is_a_difference_and_so_is_a_picture_that_is_missing() {
        let black = |width, count| Pixels::new(width, vec![[0; 3]; count]);
        let small = black(2, 4);
        assert!(alike(&small, &small).is_ok());
        assert!(alike(&small, &black(2, 6)).is_err());
        assert!(alike(&black(0, 0), &small).is_err());
    }
}
