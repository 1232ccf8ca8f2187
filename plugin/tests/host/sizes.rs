//! What the window's size is asked for and told.

use super::*;

impl Host {
    /// From now on the plugin is refused whatever size it asks for, or not.
    pub fn refuse_sizes(&mut self, refuses: bool) {
        self.instance.access_shared_handler(|shared: &Shared| shared.refuse_sizes(refuses));
    }

    /// What the plugin has asked for since the last time.
    pub fn asked_sizes(&mut self) -> Vec<(u32, u32)> {
        self.instance.access_shared_handler(Shared::take_sizes)
    }

    /// What the plugin tells of the open window.
    pub fn editor_size(&mut self) -> (u32, u32) {
        let handle = self.instance.plugin_handle();
        let size = handle.get_extension::<PluginGui>().unwrap().get_size(&handle).unwrap();
        (size.width, size.height)
    }

    /// Sizes the open window without asking what it allows.
    pub fn force_editor(&mut self, (width, height): (u32, u32)) {
        let handle = self.instance.plugin_handle();
        let gui: PluginGui = handle.get_extension().unwrap();
        gui.set_size(&handle, GuiSize { width, height }).unwrap();
    }
}
