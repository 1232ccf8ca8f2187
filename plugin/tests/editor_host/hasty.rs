//! A host as some are: it flushes at once, on whichever thread asks, and takes every thread but the audio thread for its main thread
//! (so does Qtractor, in its source `qtractorClapPlugin.cpp`). CLAP allows neither, and a click may not end it.

use std::ffi::{CStr, c_char, c_void};
use std::ptr::{null, null_mut};
use std::sync::Mutex;
use std::sync::atomic::{AtomicPtr, Ordering};
use std::thread::sleep;
use std::time::Duration;

use clap_sys::events::{
    CLAP_EVENT_PARAM_GESTURE_BEGIN, CLAP_EVENT_PARAM_GESTURE_END, CLAP_EVENT_PARAM_VALUE, clap_event_header,
    clap_event_param_value, clap_input_events, clap_output_events,
};
use clap_sys::ext::gui::{
    CLAP_EXT_GUI, CLAP_WINDOW_API_X11, clap_host_gui, clap_plugin_gui, clap_window, clap_window_handle,
};
use clap_sys::ext::params::{CLAP_EXT_PARAMS, clap_host_params, clap_plugin_params};
use clap_sys::ext::thread_check::{CLAP_EXT_THREAD_CHECK, clap_host_thread_check};
use clap_sys::factory::plugin_factory::{CLAP_PLUGIN_FACTORY_ID, clap_plugin_factory};
use clap_sys::host::clap_host;
use clap_sys::plugin::clap_plugin;
use clap_sys::version::CLAP_VERSION;

use crate::display::{Display, until};
use crate::plan::Plan;

/// The one plugin of this test, which knows no other way from a C function to it.
static PLUGIN: AtomicPtr<clap_plugin> = AtomicPtr::new(null_mut());
/// Kinds of events that were told, with their values.
static TOLD: Mutex<Vec<(u16, f64)>> = Mutex::new(Vec::new());

static PARAMS: clap_host_params =
    clap_host_params { rescan: None, clear: None, request_flush: Some(request_flush) };
static GUI: clap_host_gui = clap_host_gui {
    resize_hints_changed: None,
    request_resize: None,
    request_show: None,
    request_hide: None,
    closed: None,
};
static THREADS: clap_host_thread_check =
    clap_host_thread_check { is_main_thread: Some(yes), is_audio_thread: Some(no) };

unsafe extern "C" fn yes(_: *const clap_host) -> bool {
    true
}

unsafe extern "C" fn no(_: *const clap_host) -> bool {
    false
}

unsafe extern "C" fn nothing(_: *const clap_host) {}

unsafe extern "C" fn extension(_: *const clap_host, id: *const c_char) -> *const c_void {
    // SAFETY: ids are texts.
    let id = unsafe { CStr::from_ptr(id) };
    if id == CLAP_EXT_PARAMS {
        (&raw const PARAMS).cast()
    } else if id == CLAP_EXT_GUI {
        (&raw const GUI).cast()
    } else if id == CLAP_EXT_THREAD_CHECK {
        (&raw const THREADS).cast()
    } else {
        null()
    }
}

unsafe extern "C" fn request_flush(_: *const clap_host) {
    let plugin = PLUGIN.load(Ordering::SeqCst);
    let input = clap_input_events { ctx: null_mut(), size: Some(none), get: None };
    let output = clap_output_events { ctx: null_mut(), try_push: Some(push) };
    // SAFETY: the plugin lives as long as its window; the events outlive the call.
    unsafe {
        let params = &*plugin_extension::<clap_plugin_params>(plugin, CLAP_EXT_PARAMS);
        params.flush.expect("a function")(plugin, &raw const input, &raw const output);
    }
}

unsafe extern "C" fn none(_: *const clap_input_events) -> u32 {
    0
}

unsafe extern "C" fn push(_: *const clap_output_events, event: *const clap_event_header) -> bool {
    // SAFETY: an event says by its kind what it is.
    let (kind, value) = unsafe {
        let kind = (*event).type_;
        let value = if kind == CLAP_EVENT_PARAM_VALUE {
            (*event.cast::<clap_event_param_value>()).value
        } else {
            0.0
        };
        (kind, value)
    };
    TOLD.lock().unwrap().push((kind, value));
    true
}

/// # Safety
/// The plugin lives, and `T` is what the extension is.
unsafe fn plugin_extension<T>(plugin: *const clap_plugin, id: &CStr) -> *const T {
    // SAFETY: the caller's promise.
    let found: *const T = unsafe { (*plugin).get_extension.expect("a function")(plugin, id.as_ptr()) }.cast();
    assert!(!found.is_null());
    found
}

/// Every gesture arrives whole, also that in the middle of which the window closes.
pub fn a_hasty_host_lives(display: &Display) {
    let host = clap_host {
        clap_version: CLAP_VERSION,
        host_data: null_mut(),
        name: c"Hasty".as_ptr(),
        vendor: c"".as_ptr(),
        url: c"".as_ptr(),
        version: c"0".as_ptr(),
        get_extension: Some(extension),
        request_restart: Some(nothing),
        request_process: Some(nothing),
        request_callback: Some(nothing),
    };
    let window = display.window();
    // SAFETY: as the CLAP specification says; host and window outlive the plugin.
    let (plugin, gui) = unsafe {
        let entry = &firstjack_plugin::clap_entry;
        assert!(entry.init.expect("a function")(c"".as_ptr()));
        let factory = entry.get_factory.expect("a function")(CLAP_PLUGIN_FACTORY_ID.as_ptr())
            .cast::<clap_plugin_factory>();
        let id = c"org.firstjack.firstjack".as_ptr();
        let plugin = (*factory).create_plugin.expect("a function")(factory, &raw const host, id);
        PLUGIN.store(plugin.cast_mut(), Ordering::SeqCst);
        assert!((*plugin).init.expect("a function")(plugin));
        let gui = plugin_extension::<clap_plugin_gui>(plugin, CLAP_EXT_GUI);
        let x11 = CLAP_WINDOW_API_X11.as_ptr();
        assert!((*gui).create.expect("a function")(plugin, x11, false));
        let parent = clap_window { api: x11, specific: clap_window_handle { x11: window.into() } };
        assert!((*gui).set_parent.expect("a function")(plugin, &raw const parent));
        assert!((*gui).show.expect("a function")(plugin));
        (plugin, gui)
    };
    until("drawn", || display.is_drawn(window));
    let mut plan = Plan::new();
    display.click(plan.click(crate::COMBO));
    until("told", || TOLD.lock().unwrap().len() >= 3);
    assert_one_gesture(&std::mem::take(&mut *TOLD.lock().unwrap()));
    let (x, y) = plan.at(crate::COMBO_INPUT);
    display.drag_and_hold(&[(x, y), (x, y - 12), (x, y - 24), (x, y - 36)]);
    let mut y = y - 36;
    until("told", || {
        // On a busy machine several moves come in one frame, and are told as one.
        y -= 1;
        display.point((x, y));
        TOLD.lock().unwrap().len() >= 3
    });
    // SAFETY: as above.
    unsafe {
        (*gui).destroy.expect("a function")(plugin);
        assert_one_gesture(&std::mem::take(&mut *TOLD.lock().unwrap()));
        sleep(Duration::from_millis(300));
        (*plugin).destroy.expect("a function")(plugin);
    }
    assert_eq!(*TOLD.lock().unwrap(), []);
    display.release();
    display.close(window);
}

#[track_caller]
fn assert_one_gesture(told: &[(u16, f64)]) {
    let [begin, values @ .., end] = told else { panic!("begin, values, end: {told:?}") };
    assert_eq!((begin.0, end.0), (CLAP_EVENT_PARAM_GESTURE_BEGIN, CLAP_EVENT_PARAM_GESTURE_END), "{told:?}");
    let all_values = values.iter().all(|(kind, _)| *kind == CLAP_EVENT_PARAM_VALUE);
    assert!(!values.is_empty() && all_values && values.is_sorted_by_key(|(_, value)| *value), "{told:?}");
}
