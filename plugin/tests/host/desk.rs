//! What the host offers the plugin.

use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

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
    marks: AtomicUsize,
}

impl Shared {
    /// Whether the plugin has asked for a flush since this was last asked.
    pub fn take_flush(&self) -> bool {
        self.flush.swap(false, Ordering::SeqCst)
    }

    /// How often the plugin has marked its state as changed since this was last asked.
    pub fn take_marks(&self) -> usize {
        self.marks.swap(0, Ordering::SeqCst)
    }
}

pub struct Main<'a>(pub &'a Shared);

impl<'a> MainThreadHandler<'a> for Main<'a> {}

impl HostStateImpl for Main<'_> {
    fn mark_dirty(&self) {
        self.0.marks.fetch_add(1, Ordering::SeqCst);
    }
}

impl HostParamsImplShared for Shared {
    fn request_flush(&self) {
        self.flush.store(true, Ordering::SeqCst);
    }
}

impl HostParamsImplMainThread for Main<'_> {
    fn rescan(&self, _: ParamRescanFlags) {}
    fn clear(&self, _: ClapId, _: ParamClearFlags) {}
}

impl HostHandlers for Desk {
    type Shared<'a> = Shared;
    type MainThread<'a> = Main<'a>;
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

    fn request_resize(&self, _: GuiSize) -> Result<(), HostError> {
        Ok(())
    }

    fn request_show(&self) -> Result<(), HostError> {
        Ok(())
    }

    fn request_hide(&self) -> Result<(), HostError> {
        Ok(())
    }

    fn closed(&self, _: bool) {}
}
