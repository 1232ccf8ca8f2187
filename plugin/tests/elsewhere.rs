//! What is not tested of the plugin on some systems.

#[macro_use]
#[path = "../../tests/rust/elsewhere.rs"]
mod gates;

elsewhere! {
    edits_on_vst3, "edits/main.rs", target_os = "linux", "edits: the VST3 host has the run loop of Linux";
    windows_in_a_host, "editor_host/main.rs", target_os = "linux", "editor_host: the display is one of X11";
    windows_as_windows, "frame/main.rs", target_os = "linux", "frame: the display is one of X11";
    hands_and_host_together, "together/main.rs", target_os = "linux", "together: the display is one of X11";
    keys_on_windows, "windows_host/main.rs", windows, "windows_host: a window of Windows";
    windows_on_vst3, "vst3_window/main.rs", target_os = "linux", "vst3_window: the display is one of X11";
}
