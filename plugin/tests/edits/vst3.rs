//! A VST3 host with a component handler, that gives each edit back to the processor some blocks later.

use std::ffi::c_void;
use std::ptr::null_mut;

use firstjack_plugin::editor::{HostSession, Session as _, Stage};
use nice_plug::prelude::*;
use nice_plug::wrapper::vst3::Wrapper;
use nice_plug::wrapper::vst3::vst3::Steinberg::Vst::{
    IAudioProcessor, IAudioProcessorTrait as _, IComponent, IComponentHandler, IComponentHandler2,
    IComponentHandler2Trait, IComponentTrait as _, IEditController, IEditControllerTrait as _,
    IParamValueQueue, IParamValueQueueTrait, IParameterChanges, IParameterChangesTrait, ParamID, ParamValue,
    ProcessData, ProcessModes_::kRealtime, ProcessSetup, SymbolicSampleSizes_::kSample32,
};
use nice_plug::wrapper::vst3::vst3::Steinberg::{
    FIDString, IPlugFrame, IPlugView, IPlugViewTrait as _, IPluginBaseTrait as _, TBool, int32,
    kInvalidArgument, kPlatformTypeX11EmbedWindowID, kResultFalse, kResultOk, tresult,
};
use nice_plug::wrapper::vst3::vst3::{Class, ComPtr, ComWrapper};

use crate::frame::{Edit, Frame, Handler};
use crate::spy::{self, Spy};

impl Vst3Plugin for Spy {
    const VST3_CLASS_ID: [u8; 16] = *b"Firstjack, spied";
    const VST3_SUBCATEGORIES: &'static [Vst3SubCategory] = &[Vst3SubCategory::Fx];

    fn whole_state(&self) -> Option<std::sync::Arc<dyn WholeState>> {
        ClapPlugin::whole_state(self)
    }
}

/// Changes of parameters in a block, each with one point.
struct Changes(Vec<ComPtr<IParamValueQueue>>);

impl Class for Changes {
    type Interfaces = (IParameterChanges,);
}

impl IParameterChangesTrait for Changes {
    unsafe fn getParameterCount(&self) -> int32 {
        self.0.len().try_into().unwrap()
    }
    unsafe fn getParameterData(&self, index: int32) -> *mut IParamValueQueue {
        self.0[usize::try_from(index).unwrap()].as_ptr()
    }
    unsafe fn addParameterData(&self, _: *const ParamID, _: *mut int32) -> *mut IParamValueQueue {
        null_mut()
    }
}

struct Point(ParamID, ParamValue);

impl Class for Point {
    type Interfaces = (IParamValueQueue,);
}

impl IParamValueQueueTrait for Point {
    unsafe fn getParameterId(&self) -> ParamID {
        self.0
    }
    unsafe fn getPointCount(&self) -> int32 {
        1
    }
    unsafe fn getPoint(&self, _: int32, offset: *mut int32, value: *mut ParamValue) -> tresult {
        // SAFETY: the caller's own variables.
        unsafe { (*offset, *value) = (0, self.1) };
        kResultOk
    }
    unsafe fn addPoint(&self, _: int32, _: ParamValue, _: *mut int32) -> tresult {
        kInvalidArgument
    }
}

/// A component handler that may be told that the state has changed.
#[derive(Default)]
pub struct Marked {
    handler: Handler,
    dirty: std::sync::atomic::AtomicUsize,
}

impl Class for Marked {
    type Interfaces = (IComponentHandler, IComponentHandler2);
}

impl nice_plug::wrapper::vst3::vst3::Steinberg::Vst::IComponentHandlerTrait for Marked {
    unsafe fn beginEdit(&self, id: ParamID) -> tresult {
        // SAFETY: plain arguments.
        unsafe { self.handler.beginEdit(id) }
    }
    unsafe fn performEdit(&self, id: ParamID, value: ParamValue) -> tresult {
        // SAFETY: plain arguments.
        unsafe { self.handler.performEdit(id, value) }
    }
    unsafe fn endEdit(&self, id: ParamID) -> tresult {
        // SAFETY: plain arguments.
        unsafe { self.handler.endEdit(id) }
    }
    unsafe fn restartComponent(&self, _: int32) -> tresult {
        kResultOk
    }
}

impl IComponentHandler2Trait for Marked {
    unsafe fn setDirty(&self, state: TBool) -> tresult {
        assert_ne!(state, 0);
        self.dirty.fetch_add(1, std::sync::atomic::Ordering::SeqCst);
        kResultOk
    }
    unsafe fn requestOpenEditor(&self, _: FIDString) -> tresult {
        kResultFalse
    }
    unsafe fn startGroupEdit(&self) -> tresult {
        kResultFalse
    }
    unsafe fn finishGroupEdit(&self) -> tresult {
        kResultFalse
    }
}

pub struct Vst3 {
    pub session: HostSession,
    controller: ComPtr<IEditController>,
    view: ComPtr<IPlugView>,
    frame: ComWrapper<Frame>,
    told: Told,
}

enum Told {
    Plain(ComWrapper<Handler>),
    Marked(ComWrapper<Marked>),
}

impl Vst3 {
    /// With its window open and sound running; whether it has a word for a state that has changed.
    pub fn running(has_mark: bool) -> Self {
        let told = if has_mark {
            Told::Marked(ComWrapper::new(Marked::default()))
        } else {
            Told::Plain(ComWrapper::new(Handler::default()))
        };
        let handler = match &told {
            Told::Plain(handler) => handler.to_com_ptr::<IComponentHandler>(),
            Told::Marked(handler) => handler.to_com_ptr::<IComponentHandler>(),
        };
        let frame = ComWrapper::new(Frame::default());
        let wrapper = ComWrapper::new(Wrapper::<Spy>::new());
        let controller = wrapper.to_com_ptr::<IEditController>().unwrap();
        let component = controller.cast::<IComponent>().unwrap();
        let mut setup = ProcessSetup {
            processMode: i32::try_from(kRealtime).unwrap(),
            symbolicSampleSize: i32::try_from(kSample32).unwrap(),
            maxSamplesPerBlock: 512,
            sampleRate: 48_000.0,
        };
        let processor = component.cast::<IAudioProcessor>().unwrap();
        // SAFETY: pointers live as long as the calls, or are counted by those who keep them; the window is nobody's.
        let view = unsafe {
            assert_eq!(component.initialize(null_mut()), kResultOk);
            assert_eq!(controller.setComponentHandler(handler.unwrap().as_ptr()), kResultOk);
            assert_eq!(processor.setupProcessing(&raw mut setup), kResultOk);
            assert_eq!(component.setActive(1), kResultOk);
            assert_eq!(processor.setProcessing(1), kResultOk);
            let view = ComPtr::from_raw(controller.createView(c"editor".as_ptr())).unwrap();
            assert_eq!(view.setFrame(frame.to_com_ptr::<IPlugFrame>().unwrap().as_ptr()), kResultOk);
            let parent = std::ptr::dangling_mut::<c_void>();
            assert_eq!(view.attached(parent, kPlatformTypeX11EmbedWindowID), kResultOk);
            view
        };
        Self { session: spy::session(), controller, view, frame, told }
    }

    /// A round of the host's loop; what it is told in it.
    pub fn round(&self) -> Vec<Edit> {
        self.frame.round();
        match &self.told {
            Told::Plain(handler) => handler.take(),
            Told::Marked(marked) => marked.handler.take(),
        }
    }

    /// How often the state has been said to have changed.
    pub fn marked(&self) -> usize {
        match &self.told {
            Told::Plain(_) => 0,
            Told::Marked(marked) => marked.dirty.load(std::sync::atomic::Ordering::SeqCst),
        }
    }

    /// Gives these values to the processor.
    pub fn give(&self, edits: &[Edit]) {
        let points = edits.iter().filter_map(|edit| match edit {
            Edit::Perform(id, value) => ComWrapper::new(Point(*id, *value)).to_com_ptr::<IParamValueQueue>(),
            _ => None,
        });
        let changes = ComWrapper::new(Changes(points.collect()));
        let changes = changes.to_com_ptr::<IParameterChanges>().unwrap();
        let processor = self.controller.cast::<IAudioProcessor>().unwrap();
        // SAFETY: all that may be null is: a block without sound has changes only.
        unsafe {
            let mut data: ProcessData = std::mem::zeroed();
            data.inputParameterChanges = changes.as_ptr();
            assert_eq!(processor.process(&raw mut data), kResultOk);
        }
    }
}

impl Drop for Vst3 {
    fn drop(&mut self) {
        // SAFETY: the last calls.
        unsafe {
            self.view.removed();
            self.view.setFrame(null_mut());
            self.controller.setComponentHandler(null_mut());
            self.controller.terminate();
        }
    }
}

/// As a window does, on a thread of its own.
fn change(session: &mut HostSession, edit: impl FnOnce(&mut firstjack_plugin::editor::Document) + Send) {
    std::thread::scope(|scope| {
        let editing = scope.spawn(|| {
            let document = session.document();
            let mut to = document.clone();
            edit(&mut to);
            session.change(&document, &to, Stage::Whole).unwrap();
        });
        editing.join().unwrap();
    });
}

/// What comes back late does not undo what was set since, by hand or by a state; what the host says by itself counts.
#[test]
fn what_a_vst3_host_gives_back_late_is_no_news() {
    let mut vst3 = Vst3::running(true);
    let mut told = Vec::new();
    for heard in [1, 2, 4] {
        change(&mut vst3.session, |document| document.heard = Some(heard));
        told.push(vst3.round());
    }
    for late in &told {
        assert_eq!(late.len(), 3, "{late:?}");
        vst3.give(late);
        assert_eq!(vst3.session.document().heard, Some(4));
    }
    // Once is an answer, twice is automation.
    vst3.give(&told[0]);
    assert_eq!(vst3.session.document().heard, Some(1));
    // Another value than the one it was told is the host's own.
    change(&mut vst3.session, |document| document.heard = Some(5));
    let late = vst3.round();
    vst3.give(&told[1]);
    assert_eq!(vst3.session.document().heard, Some(2));
    drop(late);
    // A text and the values of it, twice, before the first comes back.
    let [passive, blend] = ["passive", "blend"]
        .map(|name| dsp_core::preset::Preset::from_toml(&crate::host::preset(name)).unwrap());
    change(&mut vst3.session, |document| document.preset = passive);
    let late = vst3.round();
    assert!(late.len() > 3);
    change(&mut vst3.session, |document| document.preset = blend.clone());
    let now = vst3.session.document();
    vst3.give(&late);
    assert_eq!(vst3.session.document(), now);
    vst3.give(&vst3.round());
    assert_eq!(vst3.session.document(), now);
    assert_eq!(now.preset, blend);
}

/// `IComponentHandler2::setDirty` (`ivsteditcontroller.h`), on the host's own thread; a host without it hears nothing.
#[test]
fn renaming_marks_a_vst3_project_and_turns_nothing() {
    for has_mark in [true, false] {
        let mut vst3 = Vst3::running(has_mark);
        change(&mut vst3.session, |document| document.preset.setups[0].name = "festival stage".into());
        assert_eq!(vst3.marked(), 0, "before the host's thread runs its loop");
        assert_eq!(vst3.round(), []);
        assert_eq!(vst3.marked(), usize::from(has_mark));
    }
}
