//! For plugins whose parameters and persistent fields are one thing.

use std::sync::Arc;

/// Tells the host that the state has changed in something that is no parameter. May be called from
/// any thread but the audio thread, and while the plugin is being destroyed.
pub type StateNotifier = Arc<dyn Fn() + Send + Sync>;

/// A plugin may have a persistent field that only makes sense together with the values of its
/// parameters. Without this, the wrappers save and load one value after the other while the editor
/// and the audio thread go on, and what the editor sets arrives a block later.
///
/// With it, saving and loading happen within functions of the plugin, which may take a lock there.
/// And the plugin sets the parameters that its editor turns itself, at once, with whatever belongs
/// to them: [`GuiContext`][nice_plug_core::context::gui::GuiContext] then only tells the host of
/// them, as they are when it is told.
pub trait WholeState: Send + Sync {
    /// Call `save`, which reads all parameters and fields, once.
    fn save(&self, save: &mut dyn FnMut());

    /// Call `load`, which sets all parameters and fields, once.
    fn load(&self, load: &mut dyn FnMut());

    /// Take what tells the host that the state has changed. Called once, before the editor is made.
    fn set_notifier(&self, notifier: StateNotifier);
}

/// Runs `save` within the plugin's function, if it has one.
pub(crate) fn save<R>(whole: Option<&dyn WholeState>, mut save: impl FnMut() -> R) -> R {
    let Some(whole) = whole else { return save() };
    let mut result = None;
    whole.save(&mut || result = Some(save()));
    result.expect("`WholeState::save()` must call its argument")
}

/// Runs `load` within the plugin's function, if it has one.
pub(crate) fn load<R>(whole: Option<&dyn WholeState>, mut load: impl FnMut() -> R) -> R {
    let Some(whole) = whole else { return load() };
    let mut result = None;
    whole.load(&mut || result = Some(load()));
    result.expect("`WholeState::load()` must call its argument")
}
