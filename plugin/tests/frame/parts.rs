//! Only what has changed is drawn; what is seen must be what a window that is drawn anew shows.

use std::thread::sleep;
use std::time::Duration;

use crate::Window;
use crate::display::{Display, until};
use crate::host::{Host, Noise, preset};

const SIZE: (u32, u32) = (960, 640);

/// Until nothing moves any more.
fn still(window: &mut Window) -> Vec<u8> {
    let silence = vec![vec![0.0; 48_000]; 2];
    let (mut before, mut times) = (Vec::new(), 0);
    until("still", || {
        for _ in 0..5 {
            window.host.run(&silence, 480);
            window.host.idle();
            sleep(Duration::from_millis(100));
        }
        let now = window.display.picture(window.parent, [0, 0, 960, 640]);
        times = if now == before { times + 1 } else { 0 };
        before = now;
        times == 4
    });
    before
}

/// Sound, states, another rate, a pointer that wanders, menus: then the same as after a frame of another size.
pub fn parts_are_as_the_whole(display: &Display) {
    let mut window = Window::open(Host::running(48_000.0, &[("Heard setup", "Setup 2")]), display);
    let sound = Noise::new(1).sound(2, 4_800);
    let mut random = fastrand::Rng::with_seed(14);
    for name in ["passive", "blend", "courtyard"] {
        let parent = window.parent;
        window.host.run_beside(&sound, 480, |host| {
            host.load_preset(&preset(name));
            for _ in 0..12 {
                host.idle();
                let at = (random.i16(0..960), random.i16(0..640));
                if random.u8(0..4) == 0 { display.click(at) } else { display.point(at) }
            }
            assert!(display.drawings(parent, || sleep(Duration::from_millis(300))) > 0);
        });
        display.key(crate::display::ENTER);
        display.point((5, 635));
        let parts = still(&mut window);
        window.host.force_editor((SIZE.0 + 1, SIZE.1 + 1));
        window.idle(300);
        window.host.force_editor(SIZE);
        window.idle(300);
        let whole = still(&mut window);
        let differing = parts.chunks(4).zip(whole.chunks(4)).filter(|(parts, whole)| parts != whole).count();
        assert_eq!(differing, 0, "pixels after {name}");
    }
    window.close();
}
