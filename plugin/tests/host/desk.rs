//! What the host offers the plugin.

use clack_extensions::gui::{GuiSize, HostGui, HostGuiImpl};
use clack_host::prelude::*;

pub struct Desk;

pub struct Shared;

impl HostHandlers for Desk {
    type Shared<'a> = Shared;
    type MainThread<'a> = ();
    type AudioProcessor<'a> = ();

    fn declare_extensions(builder: &mut HostExtensions<Self>, _: &Shared) {
        builder.register::<HostGui>();
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
