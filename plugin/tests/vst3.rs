//! What a VST3 host sees, through the library's own factory: the same names and texts as through CLAP.

mod host;

use std::ffi::c_void;

use firstjack_plugin::GetPluginFactory;
use nice_plug::wrapper::vst3::vst3::Steinberg::Vst::{
    BusDirection, BusDirections_, BusInfo, IAudioProcessor, IAudioProcessorTrait as _, IComponent,
    IComponentTrait as _, IEditController, IEditControllerTrait as _, ParameterInfo,
    ParameterInfo_::ParameterFlags_, String128,
};
use nice_plug::wrapper::vst3::vst3::Steinberg::{
    IPluginBaseTrait as _, IPluginFactory, IPluginFactory2, IPluginFactory2Trait as _,
    IPluginFactoryTrait as _, PClassInfo2, PFactoryInfo, kResultFalse, kResultOk,
};
use nice_plug::wrapper::vst3::vst3::{ComPtr, Interface as _};

fn factory() -> ComPtr<IPluginFactory> {
    // SAFETY: the function returns an owned pointer to a factory, or null.
    unsafe { ComPtr::from_raw(GetPluginFactory().cast::<IPluginFactory>()) }.expect("a factory")
}

fn controller() -> ComPtr<IEditController> {
    let class = class();
    let mut object: *mut c_void = std::ptr::null_mut();
    // SAFETY: both ids have 16 bytes, and `object` receives an owned pointer of the asked interface.
    let component = unsafe {
        let result =
            factory().createInstance(class.cid.as_ptr(), IComponent::IID.as_ptr().cast(), &raw mut object);
        assert_eq!(result, kResultOk);
        ComPtr::from_raw(object.cast::<IComponent>()).expect("a component")
    };
    // SAFETY: a fresh component may be initialized once, and needs no host context here.
    unsafe { assert_eq!(component.initialize(std::ptr::null_mut()), kResultOk) };
    component.cast().expect("component and controller are one")
}

fn class() -> PClassInfo2 {
    let factory = factory().cast::<IPluginFactory2>().expect("a factory of the second kind");
    // SAFETY: plain data, filled by the call.
    unsafe {
        let mut info: PClassInfo2 = std::mem::zeroed();
        assert_eq!(factory.getClassInfo2(0, &raw mut info), kResultOk);
        info
    }
}

fn bytes(text: &[std::ffi::c_char]) -> String {
    text.iter().take_while(|c| **c != 0).map(|c| char::from(c.to_ne_bytes()[0])).collect()
}

fn wide(text: &String128) -> String {
    let units: Vec<u16> = text.iter().copied().take_while(|unit| *unit != 0).collect();
    String::from_utf16(&units).unwrap()
}

#[test]
fn the_factory_says_who_it_is() {
    // SAFETY: plain data, filled by the call.
    let info = unsafe {
        let mut info: PFactoryInfo = std::mem::zeroed();
        assert_eq!(factory().getFactoryInfo(&raw mut info), kResultOk);
        info
    };
    assert_eq!(bytes(&info.vendor), "Firstjack");
    let class = class();
    assert_eq!(bytes(&class.name), "Firstjack");
    assert_eq!(bytes(&class.category), "Audio Module Class");
    assert_eq!(bytes(&class.subCategories), "Fx|Filter|Restoration|Tools");
    // The id that projects refer to; on Windows laid out as its GUIDs are: a number of 32 bits and two of 16, turned round (from memory).
    let id = if cfg!(windows) { b"sriFjtcakLoading" } else { b"FirstjackLoading" };
    assert_eq!(&class.cid.map(|c| c.to_ne_bytes()[0]), id);
    // SAFETY: no arguments.
    assert_eq!(unsafe { factory().countClasses() }, 1);
}

#[test]
fn names_and_texts_are_those_of_clap() {
    let mut clap = host::Host::new();
    let controller = controller();
    let parameters = clap.parameters();
    // SAFETY: no arguments.
    assert_eq!(usize::try_from(unsafe { controller.getParameterCount() }).unwrap(), parameters.len());
    for (index, expected) in (0..).zip(&parameters) {
        // SAFETY: plain data, filled by the call.
        let info = unsafe {
            let mut info: ParameterInfo = std::mem::zeroed();
            assert_eq!(controller.getParameterInfo(index, &raw mut info), kResultOk);
            info
        };
        assert_eq!((info.id, wide(&info.title)), (expected.id, expected.name.clone()));
        assert_eq!(wide(&info.units), "", "the text has the unit already");
        // A list is shown and automated as one, without what lies between (`kIsList` in `ivsteditcontroller.h`).
        let is_list = info.flags & ParameterFlags_::kIsList != 0;
        assert_eq!(is_list, expected.name == "Heard setup", "{}", expected.name);
        assert!(!is_list || info.stepCount == 6, "seven choices");
        for step in 0..=100 {
            let fraction = f64::from(step) / 100.0;
            let value = expected.min + (expected.max - expected.min) * fraction;
            assert_eq!(text(&controller, info.id, fraction), clap.text_of(&expected.name, value));
        }
    }
}

fn text(controller: &ComPtr<IEditController>, id: u32, normalized: f64) -> String {
    let mut text: String128 = [0; 128];
    // SAFETY: `text` has the size that the interface asks for.
    unsafe { assert_eq!(controller.getParamStringByValue(id, normalized, &raw mut text), kResultOk) };
    wide(&text)
}

#[test]
fn typed_text_is_read() {
    let controller = controller();
    let id = host::Host::new().parameters().iter().find(|p| p.name == "Setup 1 load resistance").unwrap().id;
    let mut typed: Vec<u16> = "4.7 MΩ\0".encode_utf16().collect();
    let mut normalized = -1.0;
    // SAFETY: the text ends in zero, and `normalized` outlives the call.
    unsafe {
        assert_eq!(
            controller.getParamValueByString(id, typed.as_mut_ptr().cast(), &raw mut normalized),
            kResultOk
        );
    }
    assert_eq!(text(&controller, id, normalized), "4.7 MΩ");
}

/// What hosts ask for, one bit a speaker (`vstspeaker.h`), they get if it is mono or stereo, the same in as out.
#[test]
fn a_host_that_asks_gets_mono() {
    const MONO: u64 = 1 << 19;
    const STEREO: u64 = 0b11;
    const QUADRO: u64 = 0b11_0011;
    let component = controller().cast::<IComponent>().expect("component and controller are one");
    let processor = component.cast::<IAudioProcessor>().expect("a processor");
    let ask = |mut input: u64, mut output: u64| {
        // SAFETY: one bus each way, as many as it has.
        unsafe { processor.setBusArrangements(&raw mut input, 1, &raw mut output, 1) }
    };
    let now = |direction: BusDirection| {
        let mut arrangement = 0;
        // SAFETY: plain data, filled by the calls.
        unsafe {
            let mut info: BusInfo = std::mem::zeroed();
            assert_eq!(processor.getBusArrangement(direction, 0, &raw mut arrangement), kResultOk);
            assert_eq!(component.getBusInfo(0, direction, 0, &raw mut info), kResultOk);
            (arrangement, info.channelCount)
        }
    };
    let both = || {
        [BusDirections_::kInput, BusDirections_::kOutput].map(|way| now(BusDirection::try_from(way).unwrap()))
    };
    assert_eq!(both(), [(STEREO, 2); 2], "for hosts that do not ask");
    assert_eq!(ask(MONO, MONO), kResultOk);
    assert_eq!(both(), [(MONO, 1); 2]);
    for (input, output) in [(MONO, STEREO), (STEREO, MONO), (QUADRO, QUADRO)] {
        assert_eq!(ask(input, output), kResultFalse);
        assert_eq!(both(), [(MONO, 1); 2], "it stays");
    }
    assert_eq!(ask(STEREO, STEREO), kResultOk);
    assert_eq!(both(), [(STEREO, 2); 2]);
}
