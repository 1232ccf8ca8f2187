use egui::{Key, RichText, Ui, Window};
use firstjack_words::Words;

use crate::editor::figures::ERROR_RATE_HZ;
use crate::editor::{Message, Model};

const JOB: &str = "A pickup on an acoustic instrument is a small capacitor. What it is plugged into first, and every box in parallel \
before the first buffer, decides its tone. Say what the take was recorded through, then hear it through each setup, equally loud; a \
setup without any load gives back what was lost, as far as the noise allows.";

const KEYS: [(&str, &str); 12] = [
    ("1 to 6", "hear a setup"),
    ("0", "hear the take as recorded"),
    ("9", "back to what was heard before"),
    ("Tab, Shift Tab", "to the next control, to the one before"),
    ("Enter", "on a value: type it, such as 2M2"),
    ("Up, Down", "on a value: change it; with Shift finely"),
    ("Left, Right", "on the curves: move the cursor"),
    ("Double-click", "on a value: select its text"),
    ("Ctrl or Command with a click", "on a value: the usual one"),
    ("Ctrl Z, Ctrl Shift Z", "take back an edit, do it again"),
    ("?", "this help"),
    ("Escape", "leave a field, close the help or the newest notice"),
];

const PRESETS: &str = "Presets of your own are files in the folder \"presets\" beside your kit (firstjack kit path says where); they are in the \
preset's menu, with those that ship and those that were used last.";

/// The help over everything else: the job, the cautions, every key.
pub(crate) fn show(ui: &Ui, model: &Model, out: &mut Vec<Message>) {
    if !model.help {
        return;
    }
    let mut open = true;
    let area = ui.ctx().content_rect();
    Window::new("Help")
        .open(&mut open)
        .collapsible(false)
        .resizable(false)
        .default_width((area.width() - 80.0).min(640.0))
        .max_height(area.height() - 80.0)
        .vscroll(true)
        .anchor(egui::Align2::CENTER_CENTER, egui::Vec2::ZERO)
        .show(ui.ctx(), |ui| {
            ui.label(JOB);
            ui.add_space(8.0);
            ui.label(RichText::new("Cautions").strong());
            let words = Words::ENGLISH;
            let undo = [words.get("caution.undo"), words.get("caution.ceiling_on")].join(" ");
            let [mute, earth, measure] =
                ["caution.mute", "caution.earth", "caution.model_capacitance"].map(|id| words.get(id));
            for caution in [&*undo, mute, earth, measure] {
                ui.label(format!("•  {caution}"));
            }
            let error_db = model.figures.of(model.document.heard).filter_error_db;
            if !model.is_blind() && error_db.is_finite() {
                ui.add_space(8.0);
                ui.label(words.sentence(&words.filter_error(error_db, ERROR_RATE_HZ)));
            }
            ui.add_space(8.0);
            ui.label(PRESETS);
            ui.add_space(8.0);
            ui.label(RichText::new("Keys, where the host lets them through").strong());
            egui::Grid::new("keys").num_columns(2).show(ui, |ui| {
                for (key, what) in KEYS {
                    ui.label(RichText::new(key).strong());
                    ui.label(what);
                    ui.end_row();
                }
            });
        });
    if !open || ui.input(|input| input.key_pressed(Key::Escape)) {
        out.push(Message::Help(false));
    }
}
