//! The editor's window in a host: opened and closed many times, in two instances, clicked and typed in, with states loaded and
//! rates changed behind it. On X11 with software GL; without a display Xvfb is started, and without Xvfb this fails.
#![cfg(all(feature = "editor", target_os = "linux"))]

#[allow(dead_code, reason = "other tests use more of it")]
mod display;
#[path = "../editor/fake.rs"]
#[allow(dead_code, reason = "other tests use more of it")]
mod fake;
mod hasty;
#[path = "../host/mod.rs"]
mod host;
#[allow(dead_code, reason = "other tests use more of it")]
mod plan;

use std::thread::sleep;
use std::time::Duration;

use clack_extensions::gui::GuiSize;
use display::{Display, ENTER, no_window_is_left, nothing_is_left, until};
use host::{Host, Noise, Sound, Told, preset};
use plan::Plan;

const HEARD: &str = "Heard setup";
const COMBO: &str = "combo, A1";
const COMBO_INPUT: &str = "combo: input";
const COMBO_OHMS: &str = "Setup 2 load resistance";
const SPACE: u32 = 0x20;

/// One test, since the display is the environment's.
#[test]
fn the_window_lives_in_a_host() {
    let folder = tempfile::tempdir().unwrap();
    // SAFETY: this is the only test here, and no other thread is running yet that asks for the environment. Nobody's own settings
    // are touched.
    let display = unsafe {
        std::env::set_var("XDG_CONFIG_HOME", folder.path());
        Display::new()
    };
    let Some(display) = display else { return };
    opens_and_closes(&display);
    nothing_is_left();
    edits_are_gestures(&display);
    edits_before_the_first_playback(&display);
    a_host_that_does_not_ask(&display);
    hasty::a_hasty_host_lives(&display);
    keys_hear_setups_and_leave_the_space_bar(&display);
    sound_is_seen(&display);
    an_idle_window_draws_nothing(&display);
    a_window_that_comes_back_is_drawn(&display);
    two_instances(&display);
    a_state_is_loaded(&display);
    the_rate_changes(&display);
    nothing_is_allocated(&display);
    is_resized(&display);
    nothing_is_left();
    zoom_is_kept(&display, &folder.path().join("firstjack").join("editor.toml"));
    let kept = std::fs::read_to_string(folder.path().join("firstjack").join("editor.toml")).unwrap();
    assert!(kept.contains("zoom = 2.0"), "{kept}");
}

/// A host whose editor is open and drawn.
struct Open<'a> {
    host: Host,
    display: &'a Display,
    window: u32,
}

impl<'a> Open<'a> {
    fn new(host: Host, display: &'a Display) -> Self {
        Self::in_window(host, display, display.window())
    }

    fn in_window(mut host: Host, display: &'a Display, window: u32) -> Self {
        host.open_editor(window);
        let mut open = Self { host, display, window };
        open.await_drawing();
        open
    }

    fn await_drawing(&mut self) {
        until("drawn", || {
            self.host.idle();
            self.display.is_drawn(self.window)
        });
    }

    fn picture(&self) -> Vec<u8> {
        self.display.picture(self.window, [0, 0, 960, 640])
    }
}

impl Drop for Open<'_> {
    fn drop(&mut self) {
        self.host.close_editor();
        self.display.close(self.window);
    }
}

fn begin(name: &str) -> Told {
    Told::Begin(name.to_owned())
}

fn end(name: &str) -> Told {
    Told::End(name.to_owned())
}

/// What is told is one gesture of one parameter; the values between.
#[track_caller]
fn one_gesture(told: &[Told], name: &str) -> Vec<f64> {
    assert_eq!((told.first(), told.last()), (Some(&begin(name)), Some(&end(name))), "{told:?}");
    let values = told[1..told.len() - 1].iter().map(|one| match one {
        Told::Value(of, value) if of == name => *value,
        other => panic!("{other:?} in a gesture of {name}"),
    });
    values.collect()
}

fn opens_and_closes(display: &Display) {
    let mut host = Host::new();
    for _ in 0..100 {
        let window = display.window();
        let size = host.open_editor(window);
        assert_eq!((size.width, size.height), (960, 640));
        until("drawn", || {
            host.idle();
            display.is_drawn(window)
        });
        host.close_editor();
        no_window_is_left();
        display.close(window);
    }
}

/// Each edit is one gesture. That a value is told marks the project: "if a parameter value changes, it is implicit that the state
/// is dirty" (`clack_extensions::state`, after CLAP's `state.h`).
fn edits_are_gestures(display: &Display) {
    for running in [true, false] {
        let host = if running { Host::running(48_000.0, &[]) } else { Host::new() };
        let mut open = Open::new(host, display);
        let mut plan = Plan::new();
        assert_eq!(open.host.told_until_quiet(), []);
        display.click(plan.click(COMBO));
        assert_eq!(one_gesture(&open.host.told_until_quiet(), HEARD).len(), 1);
        assert_eq!(open.host.text(HEARD), "Setup 2");
        // Typed.
        display.click(plan.at(COMBO_INPUT));
        assert_eq!(open.host.told_until_quiet(), []);
        display.write("2M2");
        assert_eq!(open.host.told_until_quiet(), [], "not before Enter");
        display.key(ENTER);
        assert_eq!(one_gesture(&open.host.told_until_quiet(), COMBO_OHMS).len(), 1);
        assert_eq!(open.host.text(COMBO_OHMS), "2.2 MΩ");
        // Taken back.
        display.control_key(u32::from('z'));
        assert_eq!(one_gesture(&open.host.told_until_quiet(), COMBO_OHMS).len(), 1);
        assert_eq!(open.host.text(COMBO_OHMS), "470 kΩ");
        // Dragged up.
        let (x, y) = plan.at(COMBO_INPUT);
        display.drag(&[(x, y), (x, y - 12), (x, y - 24), (x, y - 36), (x, y - 48)]);
        let values = one_gesture(&open.host.told_until_quiet(), COMBO_OHMS);
        assert!(
            values.len() >= 3 && values.is_sorted() && values[0] < values[values.len() - 1],
            "{values:?}"
        );
        assert_eq!(open.host.value(COMBO_OHMS), values[values.len() - 1]);
        display.point((5, 635));
    }
}

/// The plugin asks for a flush (`clap_host_params.request_flush`), whether it is activated already or not.
fn edits_before_the_first_playback(display: &Display) {
    for activated in [false, true] {
        let mut host = Host::new();
        if activated {
            host.activate(48_000.0);
        }
        let mut open = Open::new(host, display);
        display.click(Plan::new().click(COMBO));
        let values = one_gesture(&open.host.told_until_quiet(), HEARD);
        assert!(values.len() == 1 && (values[0] - 1.0).abs() < 1e-6, "activated: {activated}: {values:?}");
        assert_eq!(open.host.text(HEARD), "Setup 2");
        if !activated {
            open.host.activate(48_000.0);
        }
        open.host.start_processing();
        assert_eq!(open.host.told_until_quiet(), [], "once is enough");
        assert_eq!(open.host.text(HEARD), "Setup 2");
    }
}

/// Nobody flushes, no block comes: what the window shows is in the plugin and its state nonetheless, and the host is told when it
/// does ask.
fn a_host_that_does_not_ask(display: &Display) {
    for processing in [false, true] {
        let mut host = Host::new();
        host.activate(48_000.0);
        if processing {
            host.start_processing();
        }
        let mut open = Open::new(host, display);
        let mut plan = Plan::new();
        display.click(plan.click(COMBO));
        until("held", || open.host.text(HEARD) == "Setup 2");
        // Closed at once, before the window has waited for anybody.
        assert!(open.host.was_asked_to_flush());
        display.click(plan.at("tuner, A1"));
        until("asked", || open.host.was_asked_to_flush());
        open.host.close_editor();
        assert_eq!(open.host.text(HEARD), "Setup 3");
        let saved = open.host.save();
        let mut other = Host::new();
        assert!(other.load(&saved));
        assert_eq!(other.text(HEARD), "Setup 3");
        open.host.open_editor(open.window);
        open.await_drawing();
        if !processing {
            open.host.start_processing();
        }
        let told = open.host.told_until_quiet();
        let [first, second] = [&told[..3], &told[3..]].map(|told| one_gesture(told, HEARD)[0].round());
        assert_eq!([first, second], [1.0, 2.0], "{told:?}");
        assert_eq!(open.host.text(HEARD), "Setup 3");
    }
}

/// With the keyboard in the window, the digits are the window's and the space bar is the host's.
fn keys_hear_setups_and_leave_the_space_bar(display: &Display) {
    let mut open = Open::new(Host::running(48_000.0, &[]), display);
    let mut plan = Plan::new();
    display.watch_keys(open.window);
    display.click(plan.click(COMBO));
    assert_eq!(one_gesture(&open.host.told_until_quiet(), HEARD).len(), 1);
    for (key, text) in [
        ('1', "Setup 1"),
        ('2', "Setup 2"),
        ('3', "Setup 3"),
        ('4', "Setup 4"),
        ('5', "Setup 5"),
        ('6', "Setup 6"),
        ('0', "As recorded"),
    ] {
        display.write(&key.to_string());
        assert_eq!(one_gesture(&open.host.told_until_quiet(), HEARD).len(), 1, "{key}");
        assert_eq!(open.host.text(HEARD), text);
    }
    let _ = display.keys_of(open.window);
    // The combo's row has the focus, which a space bar of its own would press.
    display.key(SPACE);
    assert_eq!(open.host.told_until_quiet(), []);
    assert_eq!(open.host.text(HEARD), "As recorded");
    assert_eq!(display.keys_of(open.window), [SPACE], "the host gets it");
    // Where text is typed it is a letter.
    display.click(plan.at(COMBO));
    open.host.told_until_quiet();
    display.click(plan.at(COMBO_INPUT));
    assert_eq!(open.host.told_until_quiet(), []);
    display.write("1 M");
    display.key(ENTER);
    assert_eq!(one_gesture(&open.host.told_until_quiet(), COMBO_OHMS).len(), 1);
    assert_eq!(open.host.text(COMBO_OHMS), "1 MΩ");
    assert!(!display.keys_of(open.window).contains(&SPACE), "that one is the field's");
}

/// What the audio thread tells is drawn: bars rise with sound, and fall after it.
fn sound_is_seen(display: &Display) {
    let mut open = Open::new(Host::running(48_000.0, &[]), display);
    let plan = Plan::new();
    open.host.told_until_quiet();
    display.point((5, 635));
    let bar = plan.place("In, true peak");
    let silent = display.picture(open.window, bar);
    let sound = Noise::new(1).sound(2, 4_800);
    let window = open.window;
    open.host.run_beside(&sound, 256, |_| {
        until("a bar rises", || display.picture(window, bar) != silent);
    });
    until("it falls", || {
        open.host.run(&vec![vec![0.0; 4_800]; 2], 256);
        display.picture(window, bar) == silent
    });
}

/// Nothing moves, so nothing is drawn, with silence running through.
fn an_idle_window_draws_nothing(display: &Display) {
    let mut open = Open::new(Host::running(48_000.0, &[]), display);
    display.point((5, 635));
    let silence = vec![vec![0.0; 480]; 2];
    let mut run = |seconds: usize| {
        for _ in 0..seconds * 100 {
            open.host.run(&silence, 480);
            open.host.idle();
            sleep(Duration::from_millis(10));
        }
    };
    // Matching gains are told, a tooltip goes.
    run(3);
    let inner = display.inner(open.window).expect("the editor's window");
    assert_eq!(display.drawings(inner, || run(3)), 0);
    // What is counted is seen.
    let moved = display.drawings(inner, || {
        display.point((500, 300));
        run(1);
    });
    assert!(moved > 0);
}

/// Hidden, by itself or with the host's window, and shown again.
fn a_window_that_comes_back_is_drawn(display: &Display) {
    let mut open = Open::new(Host::running(48_000.0, &[]), display);
    let sound = Noise::new(1).sound(2, 4_800);
    open.host.run(&sound, 256);
    for by_itself in [true, false] {
        let window = open.window;
        if by_itself {
            open.host.show_editor(false);
        } else {
            display.map(window, false);
        }
        open.host.run_beside(&sound, 256, |_| sleep(Duration::from_millis(300)));
        open.host.set(HEARD, if by_itself { "Setup 3" } else { "Setup 5" });
        if by_itself {
            open.host.show_editor(true);
        } else {
            display.map(window, true);
        }
        open.await_drawing();
    }
}

fn two_instances(display: &Display) {
    let first = Open::new(Host::running(48_000.0, &[]), display);
    let mut second = Open::in_window(Host::running(48_000.0, &[]), display, display.window_at(980));
    let mut plan = Plan::new();
    let mut first = first;
    display.click(plan.click(COMBO));
    assert_eq!(one_gesture(&first.host.told_until_quiet(), HEARD).len(), 1);
    assert_eq!(second.host.told_until_quiet(), []);
    assert_eq!(second.host.text(HEARD), "As recorded");
    drop(first);
    second.host.idle();
    let (x, y) = plan.at("tuner, A1");
    display.click((x + 980, y));
    assert_eq!(one_gesture(&second.host.told_until_quiet(), HEARD).len(), 1);
    assert_eq!(second.host.text(HEARD), "Setup 3");
}

/// It is drawn; with the framework's allocation guard on `process`, which aborts.
fn a_state_is_loaded(display: &Display) {
    let mut open = Open::new(Host::running(48_000.0, &[(HEARD, "Setup 2")]), display);
    display.point((5, 635));
    // Silent, so that nothing else moves.
    let silence = vec![vec![0.0; 4_800]; 2];
    let window = open.window;
    let mut pictures = vec![open.picture()];
    open.host.run_beside(&silence, 256, |host| {
        for name in ["passive", "blend", "magnetic-single", "courtyard"] {
            host.load_preset(&preset(name));
            host.idle();
            let before = pictures.last().unwrap().clone();
            until("the state is seen", || display.picture(window, [0, 0, 960, 640]) != before);
            sleep(Duration::from_millis(300));
            pictures.push(display.picture(window, [0, 0, 960, 640]));
        }
    });
    let before = pictures.last().unwrap();
    open.host.set(HEARD, "Setup 4");
    open.host.run(&silence, 256);
    until("the setup is seen", || open.picture() != *before);
}

fn the_rate_changes(display: &Display) {
    let mut open = Open::new(Host::running(44_100.0, &[]), display);
    let plan = Plan::new();
    display.point((5, 635));
    open.host.told_until_quiet();
    let (bar, window) = (plan.place("In, true peak"), open.window);
    for rate_hz in [48_000.0, 96_000.0, 192_000.0, 8_000.0] {
        open.host.stop();
        open.host.start(rate_hz);
        open.host.idle();
        until("silent", || {
            open.host.run(&vec![vec![0.0; 48_000]; 2], 512);
            let first = display.picture(window, bar);
            sleep(Duration::from_millis(200));
            display.picture(window, bar) == first
        });
        let silent = display.picture(window, bar);
        let sound = Noise::new(1).sound(2, 4_800);
        open.host.run_beside(&sound, 512, |_| {
            until("a bar rises", || display.picture(window, bar) != silent);
        });
    }
}

/// Setups are switched by keys while sound runs: `process` ends this process if it allocates.
fn nothing_is_allocated(display: &Display) {
    let mut open = Open::new(Host::running(48_000.0, &[]), display);
    let mut plan = Plan::new();
    display.click(plan.click(COMBO));
    let sound: Sound = Noise::new(1).sound(2, 48_000);
    open.host.run_beside(&sound, 64, |host| {
        for key in "1234560123456".chars() {
            display.write(&key.to_string());
            // Two keys in one frame would be one gesture, and a machine that is busy has few frames.
            let setup = if key == '0' { "As recorded".to_owned() } else { format!("Setup {key}") };
            until("the key counts", || {
                host.idle();
                host.text(HEARD) == setup
            });
        }
    });
    let told = open.host.told_until_quiet();
    assert!(told.iter().filter(|one| **one == begin(HEARD)).count() >= 13, "{told:?}");
    assert_eq!(open.host.text(HEARD), "Setup 6");
}

/// Not below the smallest size.
fn is_resized(display: &Display) {
    let mut open = Open::new(Host::new(), display);
    let size = open.host.resize_editor(GuiSize { width: 300, height: 300 });
    assert_eq!((size.width, size.height), (720, 480));
    let inner = display.inner(open.window).expect("the editor's window");
    until("resized", || display.size(inner) == (720, 480));
    sleep(Duration::from_millis(500));
}

/// The host is told the size that the window has, again and again.
fn zoom_is_kept(display: &Display, settings: &std::path::Path) {
    let kept = std::fs::read_to_string(settings).unwrap();
    assert!(kept.contains("width = 720") && kept.contains("height = 480"), "{kept}");
    std::fs::write(settings, "width = 900.0\nheight = 500.0\nzoom = 2.0").unwrap();
    let mut host = Host::new();
    for _ in 0..3 {
        let window = display.window();
        let size = host.open_editor(window);
        assert_eq!((size.width, size.height), (1800, 1000));
        until("drawn", || {
            host.idle();
            display.is_drawn(window)
        });
        host.close_editor();
        display.close(window);
    }
}
