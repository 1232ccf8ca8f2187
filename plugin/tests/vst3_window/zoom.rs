//! A zoom is chosen in the window of a host that makes room for it, and of one that does not.

use std::ffi::c_void;
use std::sync::atomic::Ordering;
use std::thread::sleep;
use std::time::Duration;

use nice_plug::wrapper::vst3::vst3::Steinberg::Vst::IEditControllerTrait as _;
use nice_plug::wrapper::vst3::vst3::Steinberg::{
    IPlugFrame, IPlugView, IPlugViewTrait as _, kPlatformTypeX11EmbedWindowID, kResultOk,
};
use nice_plug::wrapper::vst3::vst3::{ComPtr, ComWrapper};

use crate::display::{Display, until};
use crate::host::{Frame, controller, rect};
use crate::plan::Plan;

fn size(view: &ComPtr<IPlugView>) -> (i32, i32) {
    let mut size = rect(0, 0);
    // SAFETY: the size lives as long as the call.
    assert_eq!(unsafe { view.getSize(&raw mut size) }, kResultOk);
    (size.right, size.bottom)
}

pub fn is_asked_for(display: &Display) {
    for refuses in [true, false] {
        let controller = controller();
        let frame = ComWrapper::new(Frame::default());
        frame.refuses.store(refuses, Ordering::SeqCst);
        let host = frame.to_com_ptr::<IPlugFrame>().expect("a frame");
        let window = display.window();
        // SAFETY: pointers live as long as the calls, the window and the frame until after the removal.
        let view = unsafe {
            let view = ComPtr::from_raw(controller.createView(c"editor".as_ptr())).expect("a view");
            assert_eq!(view.setFrame(host.as_ptr()), kResultOk);
            let parent = window as usize as *mut c_void;
            assert_eq!(view.attached(parent, kPlatformTypeX11EmbedWindowID), kResultOk);
            view
        };
        until("drawn", || {
            frame.round();
            display.is_drawn(window)
        });
        let inner = display.inner(window).expect("the editor's window");
        let before = display.size(inner);
        let mut plan = Plan::new();
        display.click(plan.click("View"));
        sleep(Duration::from_millis(300));
        display.click(plan.at("125 %"));
        until("asked", || {
            frame.round();
            *frame.asked.lock().unwrap() == [(1200, 800)]
        });
        for _ in 0..25 {
            frame.round();
            sleep(Duration::from_millis(40));
        }
        let expected = if refuses { before } else { (1200, 800) };
        assert_eq!(display.size(inner), expected, "refused: {refuses}");
        assert_eq!(size(&view), (expected.0.into(), expected.1.into()));
        // SAFETY: as above.
        unsafe {
            assert_eq!(view.removed(), kResultOk);
            assert_eq!(view.setFrame(std::ptr::null_mut()), kResultOk);
        }
        display.close(window);
        drop((view, controller));
        let folder = std::env::var_os("XDG_CONFIG_HOME").expect("it is set");
        let settings = std::path::Path::new(&folder).join("firstjack").join("editor.toml");
        until("remembered", || {
            std::fs::read_to_string(&settings).is_ok_and(|text| text.contains("zoom = 1.25"))
        });
        std::fs::write(settings, "").expect("forgotten");
    }
}
