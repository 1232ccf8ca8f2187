//! Devices for sound by their names.

use cpal::traits::DeviceTrait;
use firstjack_libraries::Missing;

use crate::error::Failure;

/// What a device may be called by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Names {
    /// The name that people read.
    Only,
    /// Also the system's own, since one interface may have several devices of one name.
    AndIds,
}

/// The system's sound, once its library is there.
///
/// # Errors
/// If it is missing.
pub fn host() -> Result<cpal::Host, Missing> {
    firstjack_libraries::alsa().map(|()| cpal::default_host())
}

/// As people read it.
pub fn name(device: &cpal::Device) -> String {
    device
        .description()
        .map_or_else(|_| "a device without a name".to_owned(), |about| about.name().to_owned())
}

/// The device that an option names.
///
/// # Errors
/// If there is none, with those that there are.
pub fn named(
    option: &str,
    wanted: &str,
    devices: Result<impl Iterator<Item = cpal::Device>, cpal::Error>,
    names: Names,
) -> Result<cpal::Device, Failure> {
    let mut known = Vec::new();
    for device in devices.into_iter().flatten() {
        let name = name(&device);
        let id = device.id().map(|id| id.id().to_owned()).ok().filter(|_| names == Names::AndIds);
        if name == wanted || id.as_deref() == Some(wanted) {
            return Ok(device);
        }
        known.push(match id {
            Some(id) if id != name => format!("{name} ({id})"),
            _ => name,
        });
    }
    let accepted = if known.is_empty() {
        "there is none".to_owned()
    } else {
        format!("accepted are {}", known.join(", "))
    };
    Err(Failure::Usage(format!("{option}: no device '{wanted}': {accepted}")))
}
