//! The editor's window in a VST3 host with a run loop, as the interfaces of VST3 say: attached to a window of X11, resized, clicked,
//! removed, again and again; and what its edits tell the host, on which thread.
#![cfg(all(feature = "editor", target_os = "linux"))]

#[path = "../editor_host/display.rs"]
#[allow(dead_code, reason = "other tests use more of it")]
mod display;
mod edits;
#[path = "../editor/fake.rs"]
#[allow(dead_code, reason = "other tests use more of it")]
mod fake;
#[allow(dead_code, reason = "other tests use more of it")]
mod host;
#[path = "../editor_host/plan.rs"]
#[allow(dead_code, reason = "other tests use more of it")]
mod plan;
mod zoom;

use std::ffi::c_void;
use std::ptr::null_mut;

use display::{Display, until};
use host::{Frame, controller, rect};
use nice_plug::wrapper::vst3::vst3::Steinberg::Vst::{IEditController, IEditControllerTrait as _};
use nice_plug::wrapper::vst3::vst3::Steinberg::{
    IPlugFrame, IPlugViewTrait as _, kPlatformTypeX11EmbedWindowID, kResultFalse, kResultOk, kResultTrue,
};
use nice_plug::wrapper::vst3::vst3::{ComPtr, ComWrapper};

fn opened_resized_and_removed(display: &Display, controller: &ComPtr<IEditController>) {
    let frame = ComWrapper::new(Frame::default());
    let host = frame.to_com_ptr::<IPlugFrame>().expect("a frame");
    let window = display.window();
    // SAFETY: pointers live as long as the calls, the window until after the removal, and the frame until it is taken back.
    let view = unsafe {
        let view = ComPtr::from_raw(controller.createView(c"editor".as_ptr())).expect("a view");
        assert_eq!(view.isPlatformTypeSupported(kPlatformTypeX11EmbedWindowID), kResultTrue);
        assert_eq!(view.setFrame(host.as_ptr()), kResultOk);
        let mut size = rect(0, 0);
        assert_eq!(view.getSize(&raw mut size), kResultOk);
        assert_eq!((size.right, size.bottom), (960, 640));
        assert_eq!(view.canResize(), kResultTrue);
        let parent = window as usize as *mut c_void;
        assert_eq!(view.attached(parent, kPlatformTypeX11EmbedWindowID), kResultOk);
        view
    };
    until("drawn", || {
        frame.round();
        display.is_drawn(window)
    });
    let inner = display.inner(window).expect("the editor's window");
    assert_eq!(display.size(inner), (960, 640));
    // SAFETY: as above.
    unsafe {
        // Not below the smallest size; then what is allowed.
        let mut small = rect(100, 100);
        assert_eq!(view.checkSizeConstraint(&raw mut small), kResultTrue);
        assert_eq!((small.right, small.bottom), (720, 480));
        assert_eq!(view.onSize(&raw mut small), kResultOk);
    }
    until("resized", || {
        frame.round();
        display.size(inner) == (720, 480)
    });
    // SAFETY: as above.
    unsafe {
        // Key codes of VST3 (`keycodes.h`): the space bar and F1 are told to a view, and are not its own.
        for code in [7, 40] {
            assert_eq!(view.onKeyDown(0, code, 0), kResultFalse);
        }
        let mut large = rect(960, 640);
        assert_eq!(view.onSize(&raw mut large), kResultOk);
        assert_eq!(view.removed(), kResultOk);
        assert_eq!(view.setFrame(null_mut()), kResultOk);
    }
    display.close(window);
}

/// One test, since threads are counted.
#[test]
fn the_window_lives_in_a_vst3_host() {
    let folder = tempfile::tempdir().unwrap();
    // SAFETY: this is the only test here, and no other thread is running yet that asks for the environment.
    let display = unsafe {
        std::env::set_var("XDG_CONFIG_HOME", folder.path());
        Display::new()
    };
    let Some(display) = display else { return };
    edits::reach_the_host_on_its_own_thread(&display);
    zoom::is_asked_for(&display);
    let controller = controller();
    let threads = || std::fs::read_dir("/proc/self/task").unwrap().count();
    opened_resized_and_removed(&display, &controller);
    // The framework's own, for what an instance does in the background, are there now.
    let before = threads();
    for _ in 1..20 {
        opened_resized_and_removed(&display, &controller);
        until("no thread is left", || threads() <= before);
    }
}
