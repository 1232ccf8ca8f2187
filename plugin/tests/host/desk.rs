//! What the host offers the plugin.

use std::cell::Cell;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};

use clack_extensions::gui::{GuiSize, HostGui, HostGuiImpl};
use clack_extensions::params::{
    HostParams, HostParamsImplMainThread, HostParamsImplShared, ParamClearFlags, ParamRescanFlags,
};
use clack_extensions::state::{HostState, HostStateImpl};
use clack_host::prelude::*;

pub struct Desk;

#[derive(Default)]
pub struct Shared {
    flush: AtomicBool,
    refuses: AtomicBool,
    sizes: Mutex<Vec<(u32, u32)>>,
}

impl Shared {
    /// Whether the plugin has asked for a flush since this was last asked.
    pub fn take_flush(&self) -> bool {
        self.flush.swap(false, Ordering::SeqCst)
    }

    pub fn refuse_sizes(&self, refuses: bool) {
        self.refuses.store(refuses, Ordering::SeqCst);
    }

    pub fn take_sizes(&self) -> Vec<(u32, u32)> {
        std::mem::take(&mut *self.sizes.lock().unwrap())
    }
}

/// What the plugin tells on the host's main thread.
#[derive(Default)]
pub struct Main {
    dirty: Cell<usize>,
}

impl Main {
    /// How often the plugin has said that its state has changed since this was last asked.
    pub fn take_dirty(&self) -> usize {
        self.dirty.take()
    }
}

impl HostStateImpl for Main {
    fn mark_dirty(&self) {
        self.dirty.set(self.dirty.get() + 1);
    }
}

impl MainThreadHandler<'_> for Main {}

impl HostParamsImplShared for Shared {
    fn request_flush(&self) {
        self.flush.store(true, Ordering::SeqCst);
    }
}

impl HostParamsImplMainThread for Main {
    fn rescan(&self, _: ParamRescanFlags) {}
    fn clear(&self, _: ClapId, _: ParamClearFlags) {}
}

impl HostHandlers for Desk {
    type Shared<'a> = Shared;
    type MainThread<'a> = Main;
    type AudioProcessor<'a> = ();

    fn declare_extensions(builder: &mut HostExtensions<Self>, _: &Shared) {
        builder.register::<HostGui>().register::<HostParams>().register::<HostState>();
    }
}

impl SharedHandler<'_> for Shared {
    fn request_restart(&self) {}
    fn request_process(&self) {}
    fn request_callback(&self) {}
}

impl HostGuiImpl for Shared {
    fn resize_hints_changed(&self) {}

    fn request_resize(&self, size: GuiSize) -> Result<(), HostError> {
        self.sizes.lock().unwrap().push((size.width, size.height));
        if self.refuses.load(Ordering::SeqCst) { Err(HostError::Message("no")) } else { Ok(()) }
    }

    fn request_show(&self) -> Result<(), HostError> {
        Ok(())
    }

    fn request_hide(&self) -> Result<(), HostError> {
        Ok(())
    }

    fn closed(&self, _: bool) {}
}
