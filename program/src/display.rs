use crate::error::Failure;

/// Fails if no window can be opened, so that nothing waits for one that never comes.
#[cfg(all(unix, not(target_os = "macos")))]
pub fn check() -> Result<(), Failure> {
    firstjack_libraries::window().map_err(|missing| Failure::Window(missing.to_string()))?;
    let is_set = |name| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    if !is_set("DISPLAY") {
        let problem = if is_set("WAYLAND_DISPLAY") {
            "DISPLAY is not set: windows are drawn by way of X11, so start Xwayland beside Wayland"
        } else {
            "there is no display (DISPLAY is not set)"
        };
        return Err(Failure::Window(problem.to_owned()));
    }
    let display = std::env::var_os("DISPLAY").unwrap_or_default();
    x11rb::connect(None).map(drop).map_err(|error| {
        Failure::Window(format!("the display {} does not answer: {error}", display.display()))
    })
}

/// Elsewhere there is a display wherever there is a user.
#[cfg(not(all(unix, not(target_os = "macos"))))]
pub fn check() -> Result<(), Failure> {
    Ok(())
}
