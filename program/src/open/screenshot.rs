//! A picture of the window, read back from what was drawn.

use std::io::Write as _;
use std::sync::{Arc, Mutex, PoisonError};

use egui::{Context, Id, LayerId, Order, PaintCallback, ViewportCommand};
use egui_glow::CallbackFn;
use resvg::tiny_skia::{IntSize, Pixmap};

use crate::arguments::{OpenArguments, WriteArguments};
use crate::error::Failure;
use crate::output::{Expected, Input, Outputs, Part};

/// Frames that are drawn before the picture: layouts settle in the first two, hover and fades in a few more.
const SETTLED: u64 = 12;

/// What was drawn, once it has been.
type Picture = Arc<Mutex<Option<egui::ColorImage>>>;

/// Takes one picture and closes the window.
pub struct Screenshot {
    frames: u64,
    picture: Picture,
}

impl Screenshot {
    /// The picture appears where the second of the two is.
    pub fn new() -> (Self, Picture) {
        let picture = Picture::default();
        (Self { frames: 0, picture: picture.clone() }, picture)
    }

    /// To be called at the end of every frame.
    pub fn frame(&mut self, context: &Context) {
        self.frames += 1;
        context.request_repaint();
        if self.picture.lock().unwrap_or_else(PoisonError::into_inner).is_some() {
            context.send_viewport_cmd(ViewportCommand::Close);
        } else if self.frames > SETTLED {
            let picture = self.picture.clone();
            let read = move |info: egui::PaintCallbackInfo, painter: &egui_glow::Painter| {
                let image = painter.read_screen_rgba(info.screen_size_px);
                *picture.lock().unwrap_or_else(PoisonError::into_inner) = Some(image);
            };
            // Above everything, so that all has been drawn before it.
            let layer = LayerId::new(Order::Debug, Id::unique("screenshot"));
            let callback =
                PaintCallback { rect: context.content_rect(), callback: Arc::new(CallbackFn::new(read)) };
            context.layer_painter(layer).add(callback);
        }
    }
}

/// Where the picture goes, in the place of one that is there, if one was asked for.
pub fn part(arguments: &OpenArguments) -> Result<Option<Part>, Failure> {
    let Some(path) = &arguments.screenshot else { return Ok(None) };
    let write = WriteArguments { overwrite: true, dry_run: false, verbose: false };
    let setups = arguments.setups.iter().map(|path| Input { path, is: "the file of setups" });
    let take = Input { path: &arguments.take, is: "the take" };
    let mut outputs = Outputs::new(&write, setups.chain([take]));
    outputs.add("--screenshot", path, Expected::default())?;
    outputs.prepare(false)?;
    outputs.create(path).map(Some)
}

/// Writes the picture.
pub fn write(picture: &Picture, mut part: Part) -> Result<(), Failure> {
    let picture = picture.lock().unwrap_or_else(PoisonError::into_inner);
    let image =
        picture.as_ref().ok_or_else(|| Failure::Window("it was closed before it was drawn".to_owned()))?;
    let size = |side: usize| u32::try_from(side).unwrap_or(0);
    let opaque = image.pixels.iter().flat_map(|pixel| [pixel.r(), pixel.g(), pixel.b(), u8::MAX]).collect();
    let pixels = IntSize::from_wh(size(image.width()), size(image.height()))
        .and_then(|size| Pixmap::from_vec(opaque, size))
        .ok_or_else(|| Failure::Window("it has no size".to_owned()))?;
    let png = pixels.encode_png().map_err(std::io::Error::other);
    png.and_then(|png| part.write_all(&png)).map_err(|error| Failure::write(part.target(), error))?;
    part.publish()
}
