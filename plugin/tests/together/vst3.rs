//! A VST3 host: it is told of gestures by its component handler, and hands values to the plugin with its blocks.

use std::collections::BTreeMap;
use std::ffi::c_void;
use std::ptr::null_mut;

use nice_plug::wrapper::vst3::vst3::Steinberg::Vst::{
    AudioBusBuffers, AudioBusBuffers__type0, IAudioProcessor, IAudioProcessorTrait as _, IComponent,
    IComponentHandler, IComponentTrait as _, IEditController, IEditControllerTrait as _, IParamValueQueue,
    IParamValueQueueTrait, IParameterChanges, IParameterChangesTrait, ParamID, ParamValue, ParameterInfo,
    ParameterInfo_::ParameterFlags_, ProcessData, ProcessModes_::kRealtime, ProcessSetup, String128,
    SymbolicSampleSizes_::kSample32,
};
use nice_plug::wrapper::vst3::vst3::Steinberg::{
    IBStream, IPlugFrame, IPlugView, IPlugViewTrait as _, IPluginBaseTrait as _, kInvalidArgument,
    kPlatformTypeX11EmbedWindowID, kResultFalse, kResultOk, tresult,
};
use nice_plug::wrapper::vst3::vst3::{Class, ComPtr, ComWrapper};
use serde_json::Value;

use crate::desk::{BLOCK, Desk, RATE_HZ, Values};
use crate::host::{Sound, Told};
use crate::stream::Stream;
use crate::vst3_host::{Edit, Frame, Handler, controller, rect};

pub struct Vst3 {
    controller: ComPtr<IEditController>,
    component: ComPtr<IComponent>,
    processor: ComPtr<IAudioProcessor>,
    handler: ComWrapper<Handler>,
    frame: ComWrapper<Frame>,
    view: Option<ComPtr<IPlugView>>,
    /// Ids of parameters by their names, and whether they can be automated.
    parameters: BTreeMap<String, (ParamID, bool)>,
}

impl Vst3 {
    fn id(&self, name: &str) -> ParamID {
        self.parameters[name].0
    }

    fn name(&self, id: ParamID) -> String {
        let found = self.parameters.iter().find(|(_, (one, _))| *one == id);
        found.expect("a parameter of that id").0.clone()
    }

    fn start(&self) {
        let mut setup = ProcessSetup {
            processMode: i32::try_from(kRealtime).unwrap(),
            symbolicSampleSize: i32::try_from(kSample32).unwrap(),
            maxSamplesPerBlock: i32::try_from(BLOCK).unwrap(),
            sampleRate: RATE_HZ,
        };
        // SAFETY: plain data that outlives the call.
        unsafe {
            assert_eq!(self.processor.setupProcessing(&raw mut setup), kResultOk);
            assert_eq!(self.component.setActive(1), kResultOk);
            assert_eq!(self.processor.setProcessing(1), kResultOk);
        }
    }
}

fn list(controller: &ComPtr<IEditController>) -> BTreeMap<String, (ParamID, bool)> {
    // SAFETY: no arguments.
    let count = unsafe { controller.getParameterCount() };
    let info = |index| {
        // SAFETY: plain data, filled by the call.
        unsafe {
            let mut info: ParameterInfo = std::mem::zeroed();
            assert_eq!(controller.getParameterInfo(index, &raw mut info), kResultOk);
            info
        }
    };
    let infos = (0..count).map(info);
    infos
        .map(|info| (wide(&info.title), (info.id, info.flags & ParameterFlags_::kCanAutomate != 0)))
        .collect()
}

fn wide(text: &String128) -> String {
    let units: Vec<u16> = text.iter().copied().take_while(|unit| *unit != 0).collect();
    String::from_utf16(&units).unwrap()
}

impl Desk for Vst3 {
    const FORMAT: &'static str = "VST3";
    const GIVES_BACK: bool = true;

    fn new() -> Self {
        let controller = controller();
        let component = controller.cast::<IComponent>().expect("component and controller are one");
        let processor = component.cast().expect("component and processor are one");
        let handler = ComWrapper::new(Handler::default());
        let told = handler.to_com_ptr::<IComponentHandler>().expect("a handler");
        // SAFETY: the handler lives as long as the controller.
        unsafe { assert_eq!(controller.setComponentHandler(told.as_ptr()), kResultOk) };
        let parameters = list(&controller);
        let frame = ComWrapper::new(Frame::default());
        let desk = Self { controller, component, processor, handler, frame, view: None, parameters };
        desk.start();
        desk
    }

    fn parameters(&self) -> Vec<(String, bool)> {
        self.parameters.iter().map(|(name, (_, automatable))| (name.clone(), *automatable)).collect()
    }

    fn value(&mut self, name: &str) -> f64 {
        // SAFETY: plain arguments.
        unsafe { self.controller.getParamNormalized(self.id(name)) }
    }

    fn read(&mut self, name: &str, text: &str) -> f64 {
        let mut typed: Vec<u16> = text.encode_utf16().chain([0]).collect();
        let mut value = f64::NAN;
        // SAFETY: the text ends in zero, and the value outlives the call.
        let read = unsafe {
            self.controller.getParamValueByString(self.id(name), typed.as_mut_ptr().cast(), &raw mut value)
        };
        assert_eq!(read, kResultOk, "'{text}' was refused for '{name}'");
        value
    }

    fn text(&mut self, name: &str, value: f64) -> String {
        let mut text: String128 = [0; 128];
        // SAFETY: the text has the size that the interface asks for.
        unsafe {
            let written = self.controller.getParamStringByValue(self.id(name), value, &raw mut text);
            assert_eq!(written, kResultOk);
        }
        wide(&text)
    }

    fn open(&mut self, window: u32) -> (u16, u16) {
        let frame = self.frame.to_com_ptr::<IPlugFrame>().expect("a frame");
        let mut size = rect(0, 0);
        // SAFETY: pointers live as long as the calls; the window and the frame outlive the view.
        let view = unsafe {
            let view = ComPtr::from_raw(self.controller.createView(c"editor".as_ptr())).expect("a view");
            assert_eq!(view.setFrame(frame.as_ptr()), kResultOk);
            assert_eq!(view.getSize(&raw mut size), kResultOk);
            let parent = window as usize as *mut c_void;
            assert_eq!(view.attached(parent, kPlatformTypeX11EmbedWindowID), kResultOk);
            view
        };
        self.view = Some(view);
        [size.right, size.bottom].map(|side| u16::try_from(side).unwrap()).into()
    }

    fn close(&mut self) {
        let view = self.view.take().expect("an open view");
        // SAFETY: the view is attached, and then gone.
        unsafe {
            assert_eq!(view.removed(), kResultOk);
            assert_eq!(view.setFrame(null_mut()), kResultOk);
        }
    }

    fn turn(&mut self) {
        self.frame.round();
    }

    fn run(&mut self, input: &Sound, values: &Values) -> Sound {
        let mut input = input.clone();
        // Not zero: what the plugin leaves unwritten shows.
        let mut output = vec![vec![f32::NAN; BLOCK]; input.len()];
        let mut from: Vec<*mut f32> = input.iter_mut().map(|channel| channel.as_mut_ptr()).collect();
        let mut to: Vec<*mut f32> = output.iter_mut().map(|channel| channel.as_mut_ptr()).collect();
        let bus = |channels: &mut Vec<*mut f32>| AudioBusBuffers {
            numChannels: i32::try_from(channels.len()).unwrap(),
            silenceFlags: 0,
            __field0: AudioBusBuffers__type0 { channelBuffers32: channels.as_mut_ptr() },
        };
        let (mut inputs, mut outputs) = (bus(&mut from), bus(&mut to));
        let changes = ComWrapper::new(Changes::new(values.iter().map(|(name, to)| (self.id(name), *to))));
        let changes = changes.to_com_ptr::<IParameterChanges>().expect("changes");
        // SAFETY: all that may be null is; buses, buffers and changes live as long as the call, and are as long as they say.
        unsafe {
            let mut data: ProcessData = std::mem::zeroed();
            data.numSamples = i32::try_from(BLOCK).unwrap();
            (data.numInputs, data.numOutputs) = (1, 1);
            (data.inputs, data.outputs) = (&raw mut inputs, &raw mut outputs);
            data.inputParameterChanges = changes.as_ptr();
            assert_eq!(self.processor.process(&raw mut data), kResultOk);
        }
        output
    }

    fn reset(&mut self) {
        // SAFETY: no arguments that live anywhere.
        unsafe {
            self.processor.setProcessing(0);
            assert_eq!(self.component.setActive(0), kResultOk);
        }
        self.start();
    }

    fn told(&mut self) -> Vec<Told> {
        let told = self.handler.take().into_iter();
        told.map(|edit| match edit {
            Edit::Begin(id) => Told::Begin(self.name(id)),
            Edit::Perform(id, value) => Told::Value(self.name(id), value),
            Edit::End(id) => Told::End(self.name(id)),
        })
        .collect()
    }

    fn marks(&mut self) -> usize {
        self.handler.take_marks()
    }

    fn save(&mut self) -> Value {
        let stream = ComWrapper::new(Stream::default());
        let pointer = stream.to_com_ptr::<IBStream>().expect("a stream");
        // SAFETY: the stream lives as long as the call.
        unsafe { assert_eq!(self.component.getState(pointer.as_ptr()), kResultOk) };
        serde_json::from_slice(&stream.bytes()).unwrap()
    }

    fn load(&mut self, state: &Value) {
        let stream = ComWrapper::new(Stream::of(state.to_string().as_bytes()));
        let pointer = stream.to_com_ptr::<IBStream>().expect("a stream");
        // SAFETY: as above.
        unsafe { assert_eq!(self.component.setState(pointer.as_ptr()), kResultOk) };
    }
}

impl Drop for Vst3 {
    fn drop(&mut self) {
        // SAFETY: the last calls.
        unsafe {
            self.controller.setComponentHandler(null_mut());
            self.processor.setProcessing(0);
            self.component.setActive(0);
            self.component.terminate();
        }
    }
}

/// What a block changes.
struct Changes(Vec<ComPtr<IParamValueQueue>>);

impl Changes {
    /// One queue for each parameter, as the interface wants it.
    fn new(values: impl IntoIterator<Item = (ParamID, ParamValue)>) -> Self {
        let mut queues: Vec<Queue> = Vec::new();
        for (id, value) in values {
            match queues.iter_mut().find(|queue| queue.id == id) {
                Some(queue) => queue.values.push(value),
                None => queues.push(Queue { id, values: vec![value] }),
            }
        }
        let counted = queues.into_iter().map(|queue| ComWrapper::new(queue).to_com_ptr().expect("a queue"));
        Self(counted.collect())
    }
}

impl Class for Changes {
    type Interfaces = (IParameterChanges,);
}

impl IParameterChangesTrait for Changes {
    unsafe fn getParameterCount(&self) -> i32 {
        i32::try_from(self.0.len()).unwrap()
    }

    unsafe fn getParameterData(&self, index: i32) -> *mut IParamValueQueue {
        let at = usize::try_from(index).ok();
        at.and_then(|at| self.0.get(at)).map_or(null_mut(), ComPtr::as_ptr)
    }

    unsafe fn addParameterData(&self, _: *const ParamID, _: *mut i32) -> *mut IParamValueQueue {
        null_mut()
    }
}

/// Values of one parameter, all at the first frame: the last counts.
struct Queue {
    id: ParamID,
    values: Vec<ParamValue>,
}

impl Class for Queue {
    type Interfaces = (IParamValueQueue,);
}

impl IParamValueQueueTrait for Queue {
    unsafe fn getParameterId(&self) -> ParamID {
        self.id
    }

    unsafe fn getPointCount(&self) -> i32 {
        i32::try_from(self.values.len()).unwrap()
    }

    unsafe fn getPoint(&self, index: i32, offset: *mut i32, value: *mut ParamValue) -> tresult {
        let Some(found) = usize::try_from(index).ok().and_then(|at| self.values.get(at)) else {
            return kInvalidArgument;
        };
        // SAFETY: the plugin's, to be filled.
        unsafe { (*offset, *value) = (0, *found) };
        kResultOk
    }

    unsafe fn addPoint(&self, _: i32, _: ParamValue, _: *mut i32) -> tresult {
        kResultFalse
    }
}
