//! A VST3 host that exports: a project's state, the process mode "offline", and the sound that comes of it.

mod host;
#[path = "vst3_window/stream.rs"]
mod stream;

use std::ffi::c_void;
use std::ptr::null_mut;

use firstjack_plugin::GetPluginFactory;
use host::{Host, Noise, Sound, sine};
use nice_plug::wrapper::vst3::vst3::Steinberg::Vst::{
    AudioBusBuffers, AudioBusBuffers__type0, IAudioProcessor, IAudioProcessorTrait as _, IComponent,
    IComponentTrait as _, ProcessData, ProcessModes, ProcessModes_, ProcessSetup, SymbolicSampleSizes_,
};
use nice_plug::wrapper::vst3::vst3::Steinberg::{
    IBStream, IPluginBaseTrait as _, IPluginFactory, IPluginFactory2, IPluginFactory2Trait as _,
    IPluginFactoryTrait as _, PClassInfo2, kResultOk,
};
use nice_plug::wrapper::vst3::vst3::{ComPtr, ComWrapper, Interface as _};
use stream::Stream;

const BLOCK: usize = 512;

struct Vst3 {
    component: ComPtr<IComponent>,
    processor: ComPtr<IAudioProcessor>,
}

impl Vst3 {
    fn new() -> Self {
        let mut object: *mut c_void = null_mut();
        // SAFETY: the factory is the library's own, both ids have 16 bytes, `object` receives an owned pointer of the asked interface,
        // and a fresh component may be initialized once.
        let component = unsafe {
            let factory = ComPtr::from_raw(GetPluginFactory().cast::<IPluginFactory>()).expect("a factory");
            let mut class: PClassInfo2 = std::mem::zeroed();
            let second = factory.cast::<IPluginFactory2>().unwrap();
            assert_eq!(second.getClassInfo2(0, &raw mut class), kResultOk);
            let iid = IComponent::IID.as_ptr().cast();
            assert_eq!(factory.createInstance(class.cid.as_ptr(), iid, &raw mut object), kResultOk);
            let component = ComPtr::from_raw(object.cast::<IComponent>()).expect("a component");
            assert_eq!(component.initialize(null_mut()), kResultOk);
            component
        };
        let processor = component.cast().expect("component and processor are one");
        Self { component, processor }
    }

    fn load(&self, state: &[u8]) {
        let stream = ComWrapper::new(Stream::of(state));
        let stream = stream.to_com_ptr::<IBStream>().unwrap();
        // SAFETY: the stream lives as long as the call.
        unsafe { assert_eq!(self.component.setState(stream.as_ptr()), kResultOk) };
    }

    fn save(&self) -> Vec<u8> {
        let stream = ComWrapper::new(Stream::default());
        let pointer = stream.to_com_ptr::<IBStream>().unwrap();
        // SAFETY: as above.
        unsafe { assert_eq!(self.component.getState(pointer.as_ptr()), kResultOk) };
        stream.bytes()
    }

    fn start(&self, mode: ProcessModes) {
        let mut stereo = [3];
        let mut setup = ProcessSetup {
            processMode: i32::try_from(mode).unwrap(),
            symbolicSampleSize: i32::try_from(SymbolicSampleSizes_::kSample32).unwrap(),
            maxSamplesPerBlock: i32::try_from(BLOCK).unwrap(),
            sampleRate: 48_000.0,
        };
        // SAFETY: the arrays hold as many arrangements as are said, and `setup` lives as long as the call.
        unsafe {
            let (input, output) = (stereo.as_mut_ptr(), stereo.as_mut_ptr());
            assert_eq!(self.processor.setBusArrangements(input, 1, output, 1), kResultOk);
            assert_eq!(self.processor.setupProcessing(&raw mut setup), kResultOk);
            assert_eq!(self.component.setActive(1), kResultOk);
            self.processor.setProcessing(1);
        }
    }

    fn stop(&self) {
        // SAFETY: no arguments that live anywhere.
        unsafe {
            self.processor.setProcessing(0);
            assert_eq!(self.component.setActive(0), kResultOk);
        }
    }

    fn run(&self, sound: &Sound) -> Sound {
        let mut output: Sound = vec![Vec::new(); sound.len()];
        for start in (0..sound[0].len()).step_by(BLOCK) {
            let end = sound[0].len().min(start + BLOCK);
            let mut input: Sound = sound.iter().map(|channel| channel[start..end].to_vec()).collect();
            let mut part = vec![vec![f32::NAN; end - start]; sound.len()];
            let mut from: Vec<*mut f32> = input.iter_mut().map(|channel| channel.as_mut_ptr()).collect();
            let mut to: Vec<*mut f32> = part.iter_mut().map(|channel| channel.as_mut_ptr()).collect();
            let bus = |channels: &mut Vec<*mut f32>| AudioBusBuffers {
                numChannels: i32::try_from(channels.len()).unwrap(),
                silenceFlags: 0,
                __field0: AudioBusBuffers__type0 { channelBuffers32: channels.as_mut_ptr() },
            };
            let (mut inputs, mut outputs) = (bus(&mut from), bus(&mut to));
            // SAFETY: all that may be null is; buses and buffers live as long as the call, and are as long as they say.
            unsafe {
                let mut data: ProcessData = std::mem::zeroed();
                data.numSamples = i32::try_from(end - start).unwrap();
                (data.numInputs, data.numOutputs) = (1, 1);
                (data.inputs, data.outputs) = (&raw mut inputs, &raw mut outputs);
                assert_eq!(self.processor.process(&raw mut data), kResultOk);
            }
            output.iter_mut().zip(part).for_each(|(all, part)| all.extend(part));
        }
        output
    }
}

impl Drop for Vst3 {
    fn drop(&mut self) {
        // SAFETY: the last call.
        unsafe { self.component.terminate() };
    }
}

/// What one hearing has learned is kept through a VST3 state; offline nothing moves, and two exports are one, as in a CLAP host.
#[test]
fn an_export_is_what_was_heard() {
    let mut clap = Host::running(48_000.0, &[("Heard setup", "Setup 2")]);
    let music = sine(2, 5 * 48_000, 110.0, 48_000.0, 0.3);
    let project = clap.save();
    // A CLAP state is the length and the JSON that a VST3 state is.
    let vst3 = Vst3::new();
    vst3.load(&project[8..]);
    vst3.start(ProcessModes_::kRealtime);
    vst3.run(&music);
    vst3.stop();
    let heard = vst3.save();
    assert_ne!(heard, project[8..]);
    // Anything but what was learned: offline it changes nothing.
    let other = Noise::new(3).sound(2, 6 * 48_000);
    let exports = [(); 2].map(|()| {
        let vst3 = Vst3::new();
        vst3.load(&heard);
        vst3.start(ProcessModes_::kOffline);
        let sound = vst3.run(&other);
        assert_eq!(vst3.save(), heard);
        vst3.stop();
        sound
    });
    assert_eq!(exports[0], exports[1]);
    let mut clap = Host::new();
    assert!(clap.load(&host::packed(std::str::from_utf8(&heard).unwrap())));
    clap.set_offline(true);
    clap.start(48_000.0);
    assert_eq!(clap.run(&other, BLOCK), exports[0]);
    // Live, so much of it would have been learned.
    let vst3 = Vst3::new();
    vst3.load(&heard);
    vst3.start(ProcessModes_::kRealtime);
    vst3.run(&other);
    vst3.run(&other);
    vst3.run(&other);
    assert_ne!(vst3.save(), heard);
}
