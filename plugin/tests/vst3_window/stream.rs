//! A state on its way between a VST3 host and the plugin.

use std::ffi::c_void;
use std::sync::Mutex;

use nice_plug::wrapper::vst3::vst3::Class;
use nice_plug::wrapper::vst3::vst3::Steinberg::IBStream_::IStreamSeekMode_::{kIBSeekCur, kIBSeekSet};
use nice_plug::wrapper::vst3::vst3::Steinberg::{IBStream, IBStreamTrait, kResultFalse, kResultOk, tresult};

/// A host's stream in memory: what is in it, and the position.
#[derive(Default)]
pub struct Stream(Mutex<(Vec<u8>, usize)>);

/// Answers where the plugin wants it.
fn tell<T>(to: *mut T, value: T) {
    // SAFETY: null, or the plugin's.
    if let Some(to) = unsafe { to.as_mut() } {
        *to = value;
    }
}

impl Stream {
    pub fn of(bytes: &[u8]) -> Self {
        Self(Mutex::new((bytes.to_vec(), 0)))
    }

    /// What is in it.
    pub fn bytes(&self) -> Vec<u8> {
        self.0.lock().unwrap().0.clone()
    }
}

impl Class for Stream {
    type Interfaces = (IBStream,);
}

impl IBStreamTrait for Stream {
    unsafe fn read(&self, buffer: *mut c_void, count: i32, read: *mut i32) -> tresult {
        let (bytes, at) = &mut *self.0.lock().unwrap();
        let length = usize::try_from(count).unwrap().min(bytes.len() - *at);
        // SAFETY: the plugin's buffer has room for `count` bytes.
        unsafe { buffer.cast::<u8>().copy_from_nonoverlapping(bytes[*at..].as_ptr(), length) };
        *at += length;
        tell(read, i32::try_from(length).unwrap());
        kResultOk
    }

    unsafe fn write(&self, buffer: *mut c_void, count: i32, written: *mut i32) -> tresult {
        // SAFETY: the plugin's buffer has `count` bytes.
        let new = unsafe { std::slice::from_raw_parts(buffer.cast::<u8>(), usize::try_from(count).unwrap()) };
        let (bytes, at) = &mut *self.0.lock().unwrap();
        bytes.extend_from_slice(new);
        *at = bytes.len();
        tell(written, count);
        kResultOk
    }

    unsafe fn seek(&self, by: i64, mode: i32, result: *mut i64) -> tresult {
        let (bytes, at) = &mut *self.0.lock().unwrap();
        let mode = i64::from(mode);
        let start = if mode == i64::from(kIBSeekSet) { 0 } else { bytes.len() };
        let from = if mode == i64::from(kIBSeekCur) { *at } else { start };
        let Some(to) = from.checked_add_signed(isize::try_from(by).unwrap()) else { return kResultFalse };
        *at = to.min(bytes.len());
        tell(result, i64::try_from(*at).unwrap());
        kResultOk
    }

    unsafe fn tell(&self, result: *mut i64) -> tresult {
        tell(result, i64::try_from(self.0.lock().unwrap().1).unwrap());
        kResultOk
    }
}
