//! The host's side: a run loop with a frame, a frame without, and a component handler that notes who calls it.

use std::ffi::c_void;
use std::ptr::null_mut;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::thread::{ThreadId, current};

use firstjack_plugin::GetPluginFactory;
use nice_plug::wrapper::vst3::vst3::Steinberg::Linux::{
    FileDescriptor, IEventHandler, IEventHandlerTrait as _, IRunLoop, IRunLoopTrait, ITimerHandler,
    TimerInterval,
};
use nice_plug::wrapper::vst3::vst3::Steinberg::Vst::{
    IComponent, IComponentHandler, IComponentHandler2, IComponentHandler2Trait, IComponentHandlerTrait,
    IEditController, ParamID, ParamValue,
};
use nice_plug::wrapper::vst3::vst3::Steinberg::{
    FIDString, IPlugFrame, IPlugFrameTrait, IPlugView, IPlugViewTrait as _, IPluginBaseTrait as _,
    IPluginFactory, IPluginFactory2, IPluginFactory2Trait as _, IPluginFactoryTrait as _, PClassInfo2, TBool,
    ViewRect, int32, kResultFalse, kResultOk, kResultTrue, tresult,
};
use nice_plug::wrapper::vst3::vst3::{Class, ComPtr, ComRef, Interface as _};

/// The host's side of a view: its run loop and its frame.
#[derive(Default)]
pub struct Frame {
    handlers: Mutex<Vec<(ComPtr<IEventHandler>, FileDescriptor)>>,
    /// Sizes that the plugin has asked for.
    pub asked: Mutex<Vec<(i32, i32)>>,
    /// Whether it gets none of them.
    pub refuses: AtomicBool,
}

impl Class for Frame {
    type Interfaces = (IPlugFrame, IRunLoop);
}

impl IPlugFrameTrait for Frame {
    unsafe fn resizeView(&self, view: *mut IPlugView, size: *mut ViewRect) -> tresult {
        // SAFETY: the plugin's own view, and a size that lives as long as the call.
        let (view, size) = unsafe { (ComRef::from_raw(view).expect("a view"), &mut *size) };
        self.asked.lock().unwrap().push((size.right, size.bottom));
        if self.refuses.load(Ordering::SeqCst) {
            return kResultFalse;
        }
        // SAFETY: as above. A host makes room, and tells the view.
        unsafe { view.onSize(size) }
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
    pub fn round(&self) {
        let handlers = self.handlers.lock().unwrap().clone();
        // SAFETY: handlers that are registered live.
        handlers.iter().for_each(|(handler, fd)| unsafe { handler.onFDIsSet(*fd) });
    }
}

pub fn controller() -> ComPtr<IEditController> {
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

/// A frame of a host without a run loop.
pub struct Bare;

impl Class for Bare {
    type Interfaces = (IPlugFrame,);
}

impl IPlugFrameTrait for Bare {
    unsafe fn resizeView(&self, _: *mut IPlugView, _: *mut ViewRect) -> tresult {
        kResultTrue
    }
}

/// What a component handler is told.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Edit {
    Begin(ParamID),
    Perform(ParamID, ParamValue),
    End(ParamID),
}

/// A component handler, and who told it what.
#[derive(Default)]
pub struct Handler {
    told: Mutex<Vec<(ThreadId, Edit)>>,
    marks: AtomicUsize,
}

impl Class for Handler {
    type Interfaces = (IComponentHandler, IComponentHandler2);
}

impl Handler {
    fn note(&self, edit: Edit) -> tresult {
        self.told.lock().unwrap().push((current().id(), edit));
        kResultOk
    }

    /// How much it has been told and has not been taken.
    pub fn count(&self) -> usize {
        self.told.lock().unwrap().len()
    }

    /// How often the plugin has marked its state as changed since the last time.
    pub fn take_marks(&self) -> usize {
        self.marks.swap(0, Ordering::SeqCst)
    }

    /// What it has been told since the last time, all of it on this thread.
    #[track_caller]
    pub fn take(&self) -> Vec<Edit> {
        let told = std::mem::take(&mut *self.told.lock().unwrap());
        let strangers: Vec<_> = told.iter().filter(|(thread, _)| *thread != current().id()).collect();
        assert!(strangers.is_empty(), "told on a thread that is not the host's: {strangers:?}");
        told.into_iter().map(|(_, edit)| edit).collect()
    }
}

impl IComponentHandlerTrait for Handler {
    unsafe fn beginEdit(&self, id: ParamID) -> tresult {
        self.note(Edit::Begin(id))
    }

    unsafe fn performEdit(&self, id: ParamID, value: ParamValue) -> tresult {
        self.note(Edit::Perform(id, value))
    }

    unsafe fn endEdit(&self, id: ParamID) -> tresult {
        self.note(Edit::End(id))
    }

    unsafe fn restartComponent(&self, _: int32) -> tresult {
        kResultOk
    }
}

impl IComponentHandler2Trait for Handler {
    unsafe fn setDirty(&self, state: TBool) -> tresult {
        self.marks.fetch_add(usize::from(state != 0), Ordering::SeqCst);
        kResultOk
    }

    unsafe fn requestOpenEditor(&self, _: FIDString) -> tresult {
        kResultFalse
    }

    unsafe fn startGroupEdit(&self) -> tresult {
        kResultOk
    }

    unsafe fn finishGroupEdit(&self) -> tresult {
        kResultOk
    }
}

/// So large.
pub const fn rect(width: i32, height: i32) -> ViewRect {
    ViewRect { left: 0, top: 0, right: width, bottom: height }
}
