//! A host loads a state whose circuit cannot be read, under an open window: that is seen.

use std::thread::sleep;
use std::time::{Duration, Instant};

use crate::desk::{BLOCK, Desk};
use crate::display::{Display, until};
use crate::hand::Hand;
use crate::sides::{circuit_of, with_circuit};

/// So long without a change, and nothing moves any more.
const STILL: Duration = Duration::from_millis(300);

/// What is wrong, if it looks like a state without a circuit, which is heard just so: a plain pickup and six plain setups.
pub fn told<D: Desk>(display: &Display) -> Option<String> {
    let mut desk = D::new();
    let window = display.window();
    let size = desk.open(window);
    let silence = vec![vec![0.0; BLOCK]; 2];
    let round = |desk: &mut D| {
        desk.turn();
        desk.run(&silence, &Vec::new());
    };
    until("drawn", || {
        round(&mut desk);
        display.is_drawn(window)
    });
    display.focus(display.inner(window).expect("the editor's window"));
    display.point((1, 1));
    let hand = Hand::new(display, window);
    let state = desk.save();
    let mut picture_of = |circuit: &str| {
        desk.load(&with_circuit(state.clone(), circuit));
        hand.settle(&mut || round(&mut desk));
        still(display, window, size, &mut || round(&mut desk))
    };
    // Twice, so that pictures of one thing are known to be one.
    let [plain, again] = [picture_of(""), picture_of("")];
    let unreadable = picture_of("no preset");
    let kept = desk.save();
    desk.close();
    display.close(window);
    assert!(plain == again, "{}: what is still is drawn in two ways", D::FORMAT);
    let is_kept = circuit_of(&kept) == "no preset";
    let problem = match (unreadable == plain, is_kept) {
        (true, _) => "looks like one without a circuit: nothing is said",
        (false, false) => "is not kept",
        (false, true) => return None,
    };
    Some(format!("{}: a state that cannot be read, under an open window, {problem}\n", D::FORMAT))
}

/// A picture of what has come to rest.
fn still(display: &Display, window: u32, (width, height): (u16, u16), round: &mut dyn FnMut()) -> Vec<u8> {
    let all = [0, 0, i16::try_from(width).unwrap(), i16::try_from(height).unwrap()];
    let (mut picture, mut since) = (display.picture(window, all), Instant::now());
    while since.elapsed() < STILL {
        round();
        sleep(Duration::from_millis(5));
        let now = display.picture(window, all);
        if now != picture {
            (picture, since) = (now, Instant::now());
        }
    }
    picture
}
