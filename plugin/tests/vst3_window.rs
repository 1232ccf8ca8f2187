//! The editor's window in a VST3 host with a run loop, as the interfaces of VST3 say: attached to a window of X11, resized, clicked,
//! removed, again and again.
#![cfg(all(feature = "editor", target_os = "linux"))]

#[path = "editor_host/display.rs"]
#[allow(dead_code, reason = "other tests use more of it")]
mod display;

use std::ffi::c_void;
use std::ptr::null_mut;
use std::sync::Mutex;

use display::{Display, until};
use firstjack_plugin::GetPluginFactory;
use nice_plug::wrapper::vst3::vst3::Steinberg::Linux::{
    FileDescriptor, IEventHandler, IEventHandlerTrait as _, IRunLoop, IRunLoopTrait, ITimerHandler,
    TimerInterval,
};
use nice_plug::wrapper::vst3::vst3::Steinberg::Vst::{
    IComponent, IEditController, IEditControllerTrait as _,
};
use nice_plug::wrapper::vst3::vst3::Steinberg::{
    IPlugFrame, IPlugFrameTrait, IPlugView, IPlugViewTrait as _, IPluginBaseTrait as _, IPluginFactory,
    IPluginFactory2, IPluginFactory2Trait as _, IPluginFactoryTrait as _, PClassInfo2, ViewRect,
    kPlatformTypeX11EmbedWindowID, kResultFalse, kResultOk, kResultTrue, tresult,
};
use nice_plug::wrapper::vst3::vst3::{Class, ComPtr, ComRef, ComWrapper, Interface as _};

/// The host's side of a view: its run loop and its frame.
#[derive(Default)]
struct Frame {
    handlers: Mutex<Vec<(ComPtr<IEventHandler>, FileDescriptor)>>,
}

impl Class for Frame {
    type Interfaces = (IPlugFrame, IRunLoop);
}

impl IPlugFrameTrait for Frame {
    unsafe fn resizeView(&self, _: *mut IPlugView, _: *mut ViewRect) -> tresult {
        kResultTrue
    }
}

impl IRunLoopTrait for Frame {
    unsafe fn registerEventHandler(&self, handler: *mut IEventHandler, fd: FileDescriptor) -> tresult {
        // SAFETY: the plugin's handler, which it keeps until it takes it back.
        let handler = unsafe { ComRef::from_raw(handler) }.expect("a handler").to_com_ptr();
        self.handlers.lock().unwrap().push((handler, fd));
        kResultOk
    }

    unsafe fn unregisterEventHandler(&self, handler: *mut IEventHandler) -> tresult {
        self.handlers.lock().unwrap().retain(|(one, _)| one.as_ptr() != handler);
        kResultOk
    }

    unsafe fn registerTimer(&self, _: *mut ITimerHandler, _: TimerInterval) -> tresult {
        kResultFalse
    }

    unsafe fn unregisterTimer(&self, _: *mut ITimerHandler) -> tresult {
        kResultFalse
    }
}

impl Frame {
    /// One round of the loop; handlers find out by themselves whether there is anything to read.
    fn round(&self) {
        let handlers = self.handlers.lock().unwrap().clone();
        // SAFETY: handlers that are registered live.
        handlers.iter().for_each(|(handler, fd)| unsafe { handler.onFDIsSet(*fd) });
    }
}

fn controller() -> ComPtr<IEditController> {
    // SAFETY: the factory and the component are owned pointers; ids have 16 bytes; structures are plain data that the calls fill; a
    // fresh component may be initialized once, and needs no host context here.
    unsafe {
        let factory = ComPtr::from_raw(GetPluginFactory().cast::<IPluginFactory>()).expect("a factory");
        let mut class: PClassInfo2 = std::mem::zeroed();
        let factory_2 = factory.cast::<IPluginFactory2>().expect("a factory of the second kind");
        assert_eq!(factory_2.getClassInfo2(0, &raw mut class), kResultOk);
        let mut object: *mut c_void = null_mut();
        let iid = IComponent::IID.as_ptr().cast();
        assert_eq!(factory.createInstance(class.cid.as_ptr(), iid, &raw mut object), kResultOk);
        let component = ComPtr::from_raw(object.cast::<IComponent>()).expect("a component");
        assert_eq!(component.initialize(null_mut()), kResultOk);
        component.cast().expect("component and controller are one")
    }
}

const fn rect(width: i32, height: i32) -> ViewRect {
    ViewRect { left: 0, top: 0, right: width, bottom: height }
}

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
