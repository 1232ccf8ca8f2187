//! Libraries of the system that are found when they are needed, so that a program without sound or window runs where there are none, and
//! named with their packages when they are missing.

#[cfg(all(target_os = "linux", target_arch = "x86_64"))]
mod alsa;
#[cfg(target_os = "linux")]
mod library;

use std::fmt;

/// What is missing, in words that end with what installs it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Missing(String);

impl fmt::Display for Missing {
    fn fmt(&self, formatter: &mut fmt::Formatter) -> fmt::Result {
        formatter.write_str(&self.0)
    }
}

impl std::error::Error for Missing {}

/// Whether windows can be opened, as far as libraries are concerned: those of X11, its keyboards and GL. Always so on other systems than Linux.
///
/// # Errors
/// With all that are missing.
pub fn window() -> Result<(), Missing> {
    #[cfg(target_os = "linux")]
    library::need(&library::WINDOW)?;
    Ok(())
}

/// Makes ALSA ready; on Linux nothing of `cpal` may be called before. Other systems have their own sound.
///
/// # Errors
/// If its library is missing.
pub fn alsa() -> Result<(), Missing> {
    #[cfg(all(target_os = "linux", target_arch = "x86_64"))]
    alsa::load()?;
    Ok(())
}

/// Whether JACK's library is there, which the `jack` crate loads by itself. Other systems are not asked.
///
/// # Errors
/// If it is missing.
pub fn jack() -> Result<(), Missing> {
    #[cfg(target_os = "linux")]
    library::need(&[&[library::JACK]])?;
    Ok(())
}
