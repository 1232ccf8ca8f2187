//! The window of `firstjack open`.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use egui::{Key, Modifiers, Ui};
use egui_baseview::baseview::HandlerError;
use egui_baseview::baseview::dpi::LogicalSize;
use egui_baseview::{App, EguiWindow, EguiWindowSettings, Frame};
use firstjack_kit::KitFile;
use firstjack_plugin::editor::{self, Message, Model, Session, Views, apply_theme};
use firstjack_plugin::{Asked, Peaks, Place, Waveform};

use super::player::Transport;
use super::reamp;
use super::screenshot::{self, Screenshot};
use super::session::PlayerSession;
use crate::arguments::OpenArguments;
use crate::arguments::window::Theme;
use crate::error::Failure;
use crate::name::Name;

/// Size in points as it opens.
const SIZE: LogicalSize<f64> = LogicalSize { width: 1080.0, height: 760.0 };
/// The least, at which all text fits.
const LEAST: LogicalSize<f64> = LogicalSize { width: 720.0, height: 480.0 };

/// Between two frames while anything moves.
const FRAME: Duration = Duration::from_millis(33);
/// So long after a change its matching gain may still be on the way.
const SETTLED_SECONDS: f64 = 0.5;
/// So long after the last sound, or after a change, what noise allows may be, and is looked for so often.
const FOUND_SECONDS: f64 = 2.0;
const LOOK: Duration = Duration::from_millis(250);

/// What the window shows.
pub struct Window {
    pub title: String,
    /// What the reader should know of the take.
    pub remarks: Vec<String>,
    /// The device that is heard; or why there is none.
    pub sound: Result<String, String>,
    pub transport: Arc<Transport>,
    pub rate_hz: u32,
    pub peaks: Peaks,
    pub session: PlayerSession,
    /// Where the take lies, if it is a file.
    pub take: Option<PathBuf>,
}

impl Window {
    /// Opens it and waits until it is closed.
    pub fn run(mut self, arguments: &OpenArguments) -> Result<(), Failure> {
        let picture_goes = screenshot::part(arguments)?;
        let settings = EguiWindowSettings::new()
            .with_title(self.title.clone())
            .with_size(SIZE)
            .with_min_size(Some(LEAST))
            .with_zoom_factor(arguments.zoom);
        let (screenshot, picture) = Screenshot::new();
        let app = Shown {
            model: Model::new(&mut self.session),
            views: Views::with_kit(KitFile::find(None).ok()),
            waveform: Waveform::default(),
            window: self,
            theme: arguments.theme,
            changed_seconds: f64::NEG_INFINITY,
            moved_seconds: f64::NEG_INFINITY,
            screenshot: picture_goes.is_some().then_some(screenshot),
            written: None,
        };
        let cannot = |error: egui_baseview::baseview::Error| Failure::Window(error.to_string());
        EguiWindow::create(settings, app).and_then(|window| window.run_until_closed()).map_err(cannot)?;
        picture_goes.map_or(Ok(()), |part| screenshot::write(&picture, part))
    }
}

/// The window while it is open.
struct Shown {
    window: Window,
    model: Model,
    views: Views,
    waveform: Waveform,
    theme: Option<Theme>,
    /// When something was last asked for, on the window's clock.
    changed_seconds: f64,
    /// When what is heard last moved.
    moved_seconds: f64,
    screenshot: Option<Screenshot>,
    /// What became of the sheet that was asked for last.
    written: Option<String>,
}

impl App for Shown {
    fn build(&mut self, context: egui::Context, _frame: &mut Frame) -> Result<(), HandlerError> {
        let theme = match self.theme {
            None => editor::Theme::System,
            Some(Theme::Light) => editor::Theme::Light,
            Some(Theme::Dark) => editor::Theme::Dark,
        };
        apply_theme(&context, theme);
        Ok(())
    }

    fn ui(&mut self, ui: &mut Ui, _frame: &mut Frame) {
        self.model.refresh(&mut self.window.session);
        let is_typing = ui.ctx().text_edit_focused();
        if self.window.sound.is_ok()
            && !is_typing
            && ui.input_mut(|i| i.consume_key(Modifiers::NONE, Key::Space))
        {
            self.play(!self.window.transport.is_playing());
        }
        egui::Panel::bottom("player").show(ui, |ui| self.player(ui));
        let now_seconds = ui.input(|input| input.time);
        let before = self.window.session.readings().version;
        let readings = self.window.session.listen(now_seconds);
        let moves = readings.version != before;
        let mut out = Vec::new();
        self.views.show(ui, &self.model, readings, &mut out);
        if !out.is_empty() {
            self.changed_seconds = now_seconds;
        }
        for message in out {
            match message {
                Message::Theme(theme) => apply_theme(ui.ctx(), theme),
                Message::Zoom(zoom) => ui.ctx().set_zoom_factor(zoom),
                message => self.model.update(message, &mut self.window.session),
            }
        }
        if moves {
            self.moved_seconds = now_seconds;
        }
        let since_seconds = now_seconds - self.changed_seconds.max(self.moved_seconds);
        if self.model.asks_noise() && since_seconds < FOUND_SECONDS {
            ui.ctx().request_repaint_after(LOOK);
        }
        let settles = now_seconds - self.changed_seconds < SETTLED_SECONDS;
        if self.window.transport.is_playing() || moves || settles {
            ui.ctx().request_repaint_after(FRAME);
        }
        if let Some(screenshot) = &mut self.screenshot {
            screenshot.frame(ui.ctx());
        }
    }
}

impl Shown {
    fn play(&self, playing: bool) {
        self.window.transport.play(playing);
    }

    fn player(&mut self, ui: &mut Ui) {
        ui.add_space(4.0);
        let transport = self.window.transport.clone();
        ui.horizontal_wrapped(|ui| {
            let playing = transport.is_playing();
            let label = if playing { "Stop" } else { "Play" };
            if ui.add_enabled(self.window.sound.is_ok(), egui::Button::new(label)).clicked() {
                self.play(!playing);
            }
            let mut repeats = transport.repeats();
            if ui.checkbox(&mut repeats, "Loop").changed() {
                transport.repeat(repeats);
            }
            let part = transport.part();
            if ui.add_enabled(part.is_some(), egui::Button::new("Loop all of it")).clicked() {
                transport.set_part(None);
            }
            self.sheet(ui);
            ui.label(self.times());
            match &self.window.sound {
                Ok(device) => ui.label(format!("Heard from {device}.")),
                Err(problem) => ui.strong(format!("Nothing can be heard: {problem}.")),
            };
            for remark in &self.window.remarks {
                ui.label(remark);
            }
        });
        let place = Place { frame: transport.position(), looped: transport.part() };
        match self.waveform.show(ui, &self.window.peaks, &place) {
            Some(Asked::Seek(frame)) => transport.seek(frame),
            Some(Asked::Loop(part)) => transport.set_part(part),
            None => {}
        }
        ui.add_space(4.0);
    }

    /// The sheet for re-amping, beside the take; not while names are hidden, since it has them.
    fn sheet(&mut self, ui: &mut Ui) {
        let Some(take) = self.window.take.clone() else { return };
        let button = ui.add_enabled(!self.model.is_blind(), egui::Button::new("Re-amp sheet"));
        let about = "Writes a page beside the take: how to play it into the real amplifier of the setup that is heard";
        if button.on_hover_text(about).clicked() {
            let written = reamp::write(&take, &self.window.session.document());
            self.written = Some(match written {
                Ok(path) => {
                    format!("Written: {}.", Name::of(Path::new(path.file_name().unwrap_or_default())))
                }
                Err(failure) => format!("{}.", failure.told()),
            });
        }
        if let Some(written) = &self.written {
            ui.label(written);
        }
    }

    fn times(&self) -> String {
        let time = |frame| time(frame, self.window.rate_hz);
        let transport = &self.window.transport;
        let now = format!("{} of {}", time(transport.position()), time(self.window.peaks.frames()));
        match transport.part() {
            Some(part) => format!("{now}, loop {} to {}", time(part.start), time(part.end)),
            None => now,
        }
    }
}

/// In minutes and seconds, to the hundredth.
fn time(frame: usize, rate_hz: u32) -> String {
    let hundredths = frame as u64 * 100 / u64::from(rate_hz.max(1));
    format!("{}:{:02}.{:02}", hundredths / 6_000, hundredths / 100 % 60, hundredths % 100)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_minutes_and_seconds() {
        assert_eq!(time(0, 48_000), "0:00.00");
        assert_eq!(time(48_000 * 61 + 24_000, 48_000), "1:01.50");
        assert_eq!(time(44_100 * 3_600 - 1, 44_100), "59:59.99");
    }
}
