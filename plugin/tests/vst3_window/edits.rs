//! VST3 wants its component handler called on the host's UI thread only (`IComponentHandler` in `ivsteditcontroller.h`), and the
//! window has a thread of its own. A workstation was seen to die of it.

use std::ffi::c_void;
use std::ptr::null_mut;
use std::thread::sleep;
use std::time::Duration;

use nice_plug::wrapper::vst3::vst3::Steinberg::Vst::{
    IAudioProcessor, IAudioProcessorTrait as _, IComponent, IComponentHandler, IComponentTrait as _,
    IEditController, IEditControllerTrait as _, ParamID, ParameterInfo, ProcessModes_::kRealtime,
    ProcessSetup, SymbolicSampleSizes_::kSample32,
};
use nice_plug::wrapper::vst3::vst3::Steinberg::{
    IPlugFrame, IPlugView, IPlugViewTrait as _, IPluginBaseTrait as _, kPlatformTypeX11EmbedWindowID,
    kResultOk,
};
use nice_plug::wrapper::vst3::vst3::{ComPtr, ComWrapper};

use crate::display::{Display, until};
use crate::host::{Bare, Edit, Frame, Handler, controller, rect};
use crate::plan::Plan;

const COMBO: &str = "combo, A1";
const COMBO_INPUT: &str = "combo: input";
/// The third of seven choices is the second setup.
const SETUP_2: f64 = 1.0 / 6.0;
const SETUP_3: f64 = 2.0 / 6.0;
/// Longer than the window needs to act, and than it waits for the host before it holds a value itself.
const A_WHILE: Duration = Duration::from_millis(1_000);

pub fn reach_the_host_on_its_own_thread(display: &Display) {
    for processing in [false, true] {
        by_the_run_loop(display, processing);
        without_a_run_loop(display, processing);
    }
    closed_before_the_loop_runs(display);
    closed_in_the_middle_of_a_gesture(display);
    destroyed_in_the_middle_of_a_gesture(display);
}

/// An instance whose window is open and drawn.
struct Open<'a> {
    display: &'a Display,
    window: u32,
    controller: ComPtr<IEditController>,
    view: ComPtr<IPlugView>,
    /// `None`: the host has no run loop.
    run_loop: Option<ComWrapper<Frame>>,
    handler: ComWrapper<Handler>,
}

impl<'a> Open<'a> {
    fn new(display: &'a Display, processing: bool, has_run_loop: bool) -> Self {
        let controller = controller();
        let handler = ComWrapper::new(Handler::default());
        let run_loop = has_run_loop.then(|| ComWrapper::new(Frame::default()));
        let frame = match &run_loop {
            Some(frame) => frame.to_com_ptr::<IPlugFrame>(),
            None => ComWrapper::new(Bare).to_com_ptr::<IPlugFrame>(),
        };
        let window = display.window();
        // SAFETY: pointers live as long as the calls, or are counted by those who keep them; the window outlives the view.
        let view = unsafe {
            let told = handler.to_com_ptr::<IComponentHandler>().expect("a handler");
            assert_eq!(controller.setComponentHandler(told.as_ptr()), kResultOk);
            if processing {
                process(&controller);
            }
            let view = ComPtr::from_raw(controller.createView(c"editor".as_ptr())).expect("a view");
            assert_eq!(view.setFrame(frame.expect("a frame").as_ptr()), kResultOk);
            let parent = window as usize as *mut c_void;
            assert_eq!(view.attached(parent, kPlatformTypeX11EmbedWindowID), kResultOk);
            view
        };
        let open = Self { display, window, controller, view, run_loop, handler };
        until("drawn", || {
            open.round();
            display.is_drawn(window)
        });
        assert_eq!(open.handler.take(), []);
        open
    }

    /// One round of the run loop, if there is one.
    fn round(&self) {
        if let Some(run_loop) = &self.run_loop {
            run_loop.round();
        }
    }

    /// Runs the loop until the host has been told so much.
    fn await_edits(&self, count: usize) {
        until("the host is told", || {
            self.round();
            self.handler.count() >= count
        });
    }

    /// Drags up from there and holds, once the host has been told of two values.
    fn drag_until_told(&self, (x, mut y): (i16, i16)) {
        self.display.drag_and_hold(&[(x, y), (x, y - 12), (x, y - 24), (x, y - 36)]);
        y -= 36;
        until("the host is told", || {
            // On a busy machine several moves come in one frame, and are told as one.
            y -= 1;
            self.display.point((x, y));
            self.round();
            self.handler.count() >= 3
        });
    }

    /// Where the combo's input is, once the combo is heard.
    fn combo_input(&self) -> (i16, i16) {
        let mut plan = Plan::new();
        self.display.click(plan.click(COMBO));
        self.await_edits(3);
        assert_eq!(self.handler.take().len(), 3);
        // A press finds what the last frame has drawn, and the host may be told before that.
        sleep(A_WHILE);
        plan.at(COMBO_INPUT)
    }

    fn id(&self, name: &str) -> ParamID {
        // SAFETY: no arguments.
        let count = unsafe { self.controller.getParameterCount() };
        // SAFETY: plain data, filled by the call.
        let mut infos = (0..count).map(|index| unsafe {
            let mut info: ParameterInfo = std::mem::zeroed();
            assert_eq!(self.controller.getParameterInfo(index, &raw mut info), kResultOk);
            info
        });
        let title = |info: &ParameterInfo| {
            String::from_utf16_lossy(
                &info.title.iter().copied().take_while(|unit| *unit != 0).collect::<Vec<_>>(),
            )
        };
        infos.find(|info| title(info) == name).expect("a parameter of that name").id
    }

    fn value(&self, id: ParamID) -> f64 {
        // SAFETY: plain arguments.
        unsafe { self.controller.getParamNormalized(id) }
    }

    /// Closes the window; what the host is told until then and at that.
    fn remove(&self) -> Vec<Edit> {
        // SAFETY: the view is attached.
        unsafe { assert_eq!(self.view.removed(), kResultOk) };
        self.handler.take()
    }

    /// After the window has been removed, nothing is left to tell.
    fn end(self) {
        // SAFETY: the view lives, without a window.
        unsafe { assert_eq!(self.view.setFrame(null_mut()), kResultOk) };
        self.round();
        assert_eq!(self.handler.take(), [], "once is enough");
        // SAFETY: the controller lives.
        unsafe { assert_eq!(self.controller.setComponentHandler(null_mut()), kResultOk) };
        self.display.close(self.window);
    }
}

/// Says that sound runs, with no block ever: what comes back to the plugin must come from the host.
fn process(controller: &ComPtr<IEditController>) {
    let component = controller.cast::<IComponent>().expect("component and controller are one");
    let processor = component.cast::<IAudioProcessor>().expect("a processor");
    let mut setup = ProcessSetup {
        processMode: i32::try_from(kRealtime).unwrap(),
        symbolicSampleSize: i32::try_from(kSample32).unwrap(),
        maxSamplesPerBlock: 512,
        sampleRate: 48_000.0,
    };
    // SAFETY: plain data that outlives the call.
    unsafe {
        assert_eq!(processor.setupProcessing(&raw mut setup), kResultOk);
        assert_eq!(component.setActive(1), kResultOk);
        assert_eq!(processor.setProcessing(1), kResultOk);
    }
}

#[track_caller]
fn assert_one_gesture(told: &[Edit], id: ParamID, value: f64) {
    let [Edit::Begin(first), Edit::Perform(second, to), Edit::End(third)] = told else {
        panic!("begin, perform, end: {told:?}");
    };
    assert_eq!([*first, *second, *third], [id; 3]);
    assert!((to - value).abs() < 1e-6, "{to} is not {value}");
}

fn by_the_run_loop(display: &Display, processing: bool) {
    let open = Open::new(display, processing, true);
    let mut plan = Plan::new();
    let (heard, ohms) = (open.id("Heard setup"), open.id("Setup 2 load resistance"));
    display.click(plan.click(COMBO));
    sleep(A_WHILE);
    assert_eq!(open.handler.take(), [], "before the host's thread runs its loop");
    open.await_edits(3);
    assert_one_gesture(&open.handler.take(), heard, SETUP_2);
    assert!((open.value(heard) - SETUP_2).abs() < 1e-6, "what is shown is held");
    for (key, value) in [("3", SETUP_3), ("2", SETUP_2)] {
        display.write(key);
        open.await_edits(3);
        assert_one_gesture(&open.handler.take(), heard, value);
    }
    // A drag, told while it lasts.
    let (x, y) = plan.at(COMBO_INPUT);
    open.drag_until_told((x, y));
    display.release();
    sleep(A_WHILE);
    open.round();
    let told = open.handler.take();
    assert_drag(&told, ohms);
    assert_eq!(told.last(), Some(&Edit::End(ohms)));
    assert_eq!(open.remove(), []);
    open.end();
}

/// Begun once, then values that rise.
#[track_caller]
fn assert_drag(told: &[Edit], id: ParamID) {
    assert_eq!(told.first(), Some(&Edit::Begin(id)), "{told:?}");
    let values: Vec<f64> = told[1..]
        .iter()
        .filter_map(|edit| match edit {
            Edit::Perform(of, value) if *of == id => Some(*value),
            Edit::End(of) if *of == id => None,
            other => panic!("{other:?} in a gesture of {id}: {told:?}"),
        })
        .collect();
    assert!(values.len() >= 2 && values.is_sorted() && values[0] < values[values.len() - 1], "{told:?}");
}

/// There is no way to such a host's thread: the plugin holds the value meanwhile, and the host is told when it next calls.
fn without_a_run_loop(display: &Display, processing: bool) {
    let open = Open::new(display, processing, false);
    let mut plan = Plan::new();
    let heard = open.id("Heard setup");
    display.click(plan.click(COMBO));
    until("held", || (open.value(heard) - SETUP_2).abs() < 1e-6);
    sleep(A_WHILE);
    assert_eq!(open.handler.take(), [], "nobody of the host's has asked yet");
    let mut size = rect(960, 640);
    // SAFETY: plain data that outlives the call.
    unsafe { assert_eq!(open.view.onSize(&raw mut size), kResultOk) };
    assert_one_gesture(&open.handler.take(), heard, SETUP_2);
    display.write("3");
    until("held", || (open.value(heard) - SETUP_3).abs() < 1e-6);
    assert_one_gesture(&open.remove(), heard, SETUP_3);
    open.end();
}

fn closed_before_the_loop_runs(display: &Display) {
    let open = Open::new(display, true, true);
    let mut plan = Plan::new();
    let heard = open.id("Heard setup");
    display.click(plan.click(COMBO));
    sleep(A_WHILE);
    assert_one_gesture(&open.remove(), heard, SETUP_2);
    open.end();
}

fn closed_in_the_middle_of_a_gesture(display: &Display) {
    let open = Open::new(display, true, true);
    let (x, y) = open.combo_input();
    let ohms = open.id("Setup 2 load resistance");
    open.drag_until_told((x, y));
    let told = open.remove();
    assert_drag(&told, ohms);
    assert_eq!(told.iter().filter(|edit| matches!(edit, Edit::End(_))).count(), 1, "{told:?}");
    assert_eq!(told.last(), Some(&Edit::End(ohms)));
    display.release();
    open.end();
}

/// As no host should: the window is still open, the hand on a value, and nothing of it has been told.
fn destroyed_in_the_middle_of_a_gesture(display: &Display) {
    let open = Open::new(display, true, true);
    let (x, y) = open.combo_input();
    display.drag_and_hold(&[(x, y), (x, y - 12), (x, y - 24)]);
    let Open { window, controller, view, run_loop, handler, .. } = open;
    // SAFETY: no arguments.
    unsafe { assert_eq!(controller.terminate(), kResultOk) };
    drop(controller);
    run_loop.expect("a run loop").round();
    assert_eq!(handler.take(), [], "there is nobody left who could tell");
    drop(view);
    display.release();
    display.close(window);
}
