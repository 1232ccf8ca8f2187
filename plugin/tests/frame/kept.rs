use std::process::Command;
use std::thread::sleep;
use std::time::Duration;

use crate::display::{Display, until};
use crate::host::Host;
use crate::plan::Plan;
use crate::{VIEW, Window, remembered, settings};

/// Room for a window beside the first.
const BESIDE: i16 = 1070;

fn dark(window: &Window, x: i16) {
    let mut plan = Plan::new();
    for at in [plan.click(VIEW), plan.at("Dark")] {
        window.display.click((at.0 + x, at.1));
        // The menu has to be there before it is clicked.
        sleep(Duration::from_millis(500));
    }
}

#[track_caller]
fn until_remembered(window: &mut Window, all: &[&str]) {
    until("remembered", || {
        window.host.idle();
        all.iter().all(|text| remembered().contains(text))
    });
}

/// One is made wider, the other dark, at once.
pub fn two_instances_keep_theirs(display: &Display) {
    let mut first = Window::open(Host::new(), display);
    let mut second = Window::open_at(BESIDE, Host::new(), display);
    dark(&second, BESIDE);
    first.host.force_editor((1040, 660));
    until_remembered(&mut first, &["width = 1040.0", "height = 660.0", "theme = \"dark\""]);
    // Each changes what the other has not seen.
    first.host.force_editor((1020, 660));
    until_remembered(&mut first, &["width = 1020.0"]);
    second.idle(100);
    assert!(remembered().contains("theme = \"dark\""), "{}", remembered());
    second.close();
    // The next window is as the last was, whoever made it so.
    first = Window::open(first.close(), display);
    assert_eq!(first.told, (1020, 660));
    first.close();
}

/// The first makes its window dark after another process, which it has not heard of, has given its own another size.
pub fn two_processes_keep_theirs(display: &Display) {
    let mut window = Window::open(Host::new(), display);
    let mut other = Command::new(std::env::current_exe().unwrap());
    other.args(["--exact", "another_process", "--ignored"]);
    let output = other.output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    assert!(remembered().contains("width = 1000.0"), "{}", remembered());
    dark(&window, 0);
    until_remembered(&mut window, &["theme = \"dark\"", "width = 1000.0", "height = 650.0"]);
    window.close();
}

pub fn the_other_process(display: &Display) {
    let mut window = Window::open_at(BESIDE, Host::new(), display);
    window.host.force_editor((1000, 650));
    window.idle(200);
    window.close();
}

/// Before things have been still for long, and at once where the plugin goes, too.
pub fn closing_writes(display: &Display) {
    let mut window = Window::open(Host::new(), display);
    window.host.force_editor((1100, 700));
    window.idle(100);
    assert_eq!(remembered(), "");
    let host = window.close();
    until("remembered", || remembered().contains("width = 1100.0"));
    window = Window::open(host, display);
    window.host.force_editor((1200, 700));
    window.idle(100);
    drop(window.close());
    assert!(remembered().contains("width = 1200.0"), "{}", remembered());
}

/// A window that is dragged larger is remembered once.
pub fn it_is_written_when_things_are_still(display: &Display) {
    std::fs::remove_file(settings()).unwrap();
    let mut window = Window::open(Host::new(), display);
    for step in 1..=40 {
        window.host.force_editor((960 + step, 640 + step));
        window.idle(20);
        assert!(!settings().exists(), "while it is dragged, at step {step}");
    }
    until_remembered(&mut window, &["width = 1000.0", "height = 680.0"]);
    let time = || std::fs::metadata(settings()).unwrap().modified().unwrap();
    let before = time();
    window.idle(1_000);
    assert_eq!(time(), before);
    assert!(before.elapsed().unwrap() < Duration::from_secs(30));
    window.close();
}
