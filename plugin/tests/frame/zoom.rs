use std::thread::sleep;
use std::time::Duration;

use clack_extensions::gui::GuiSize;

use crate::Window;
use crate::display::{Display, until};
use crate::host::Host;
use crate::plan::Plan;
use crate::{VIEW, remember, remembered};

/// What hosts do with the size that they are told.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Kind {
    /// They make room for it.
    Obeys,
    /// They do nothing.
    Ignores,
    /// They give the window a size of theirs.
    Own,
}

const OWN: (u32, u32) = (1000, 700);

/// The host is told the size that the window has, which is what was chosen, however often it opens.
pub fn reopening_changes_nothing(display: &Display) {
    for (zoom, size) in
        [(1.0, (900, 600)), (1.25, (1125, 750)), (1.5, (1350, 900)), (2.0, (1800, 1200)), (3.0, (2700, 1800))]
    {
        for kind in [Kind::Obeys, Kind::Ignores, Kind::Own] {
            remember(&format!("width = 900.0\nheight = 600.0\nzoom = {zoom:?}\n"));
            let mut host = Host::new();
            let mut before = None;
            for opening in 1..=5 {
                let mut window = Window::open(host, display);
                match kind {
                    Kind::Obeys => {
                        display.resize(window.parent, window.told);
                        let (width, height) = window.told;
                        let told = window.host.resize_editor(GuiSize { width, height });
                        assert_eq!((told.width, told.height), window.told);
                    }
                    Kind::Ignores => {}
                    Kind::Own => {
                        display.resize(window.parent, OWN);
                        window.host.force_editor(OWN);
                    }
                }
                window.idle(if opening == 1 { 500 } else { 200 });
                let what = format!("{kind:?} at {zoom}, opening {opening}");
                if kind == Kind::Own {
                    assert_eq!(window.size(), OWN, "{what}");
                    // It may be what the person wants from then on.
                    let told = window.told;
                    if opening > 1 {
                        assert_eq!(*before.get_or_insert(told), told, "{what}");
                    }
                } else {
                    assert_eq!((window.told, window.size()), (size, size), "{what}");
                }
                assert_eq!(window.host.editor_size(), window.size(), "{what}");
                host = window.close();
            }
        }
    }
}

/// By the menu of a window that is drawn at a zoom.
fn choose(window: &Window, at: i16, item: &str) {
    let mut plan = Plan::new();
    // What sticks out of the host's window is not clicked.
    window.display.resize(window.parent, window.size());
    let (x, y) = plan.click(VIEW);
    window.display.click((at * x, at * y));
    // A large window is drawn slowly.
    sleep(Duration::from_millis(300));
    let (x, y) = plan.at(item);
    window.display.click((at * x, at * y));
}

/// The host is asked for room, as much is in the window as before, and the smallest size follows.
pub fn a_zoom_is_chosen(display: &Display) {
    let mut window = Window::open(Host::new(), display);
    assert_eq!(window.told, (960, 640));
    choose(&window, 1, "200 %");
    until("larger", || {
        window.host.idle();
        window.size() == (1920, 1280)
    });
    window.idle(500);
    assert_eq!(window.host.asked_sizes(), [(1920, 1280)]);
    assert_eq!(window.host.editor_size(), (1920, 1280));
    let least = |window: &mut Window| {
        let size = window.host.resize_editor(GuiSize { width: 100, height: 100 });
        window.idle(200);
        (size.width, size.height)
    };
    assert_eq!(least(&mut window), (1440, 960));
    window = Window::open(window.close(), display);
    assert_eq!((window.told, window.size()), ((1440, 960), (1440, 960)));
    // A menu of 720 points is another than one of 960.
    remember("zoom = 2.0\n");
    window = Window::open(window.close(), display);
    assert_eq!(window.told, (1920, 1280));
    choose(&window, 2, "100 %");
    until("smaller", || {
        window.host.idle();
        window.size() == (960, 640)
    });
    window.idle(500);
    assert_eq!(window.host.editor_size(), (960, 640));
    assert_eq!(least(&mut window), (720, 480));
    window.close();
}

/// The window keeps its size, is drawn as large as it can be, and opens the next time as it was chosen.
pub fn a_host_refuses(display: &Display) {
    let mut window = Window::open(Host::new(), display);
    window.host.refuse_sizes(true);
    let picture = |window: &Window| display.picture(window.parent, [0, 0, 960, 640]);
    let before = picture(&window);
    choose(&window, 1, "200 %");
    until("asked", || {
        window.host.idle();
        window.host.asked_sizes() == [(1920, 1280)]
    });
    until("taken back", || window.size() == (960, 640));
    window.idle(1_500);
    assert_eq!((window.size(), window.host.editor_size()), ((960, 640), (960, 640)));
    assert_eq!(window.host.asked_sizes(), [], "once is enough");
    assert_ne!(picture(&window), before);
    let text = remembered();
    assert!(text.contains("zoom = 2.0") && !text.contains("width"), "{text}");
    let mut host = window.close();
    for _ in 0..5 {
        window = Window::open(host, display);
        assert_eq!(window.told, (1920, 1280));
        window.host.force_editor((960, 640));
        window.idle(300);
        assert_eq!(window.size(), (960, 640));
        host = window.close();
    }
}
