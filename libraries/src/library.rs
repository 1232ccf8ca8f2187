use crate::Missing;

/// A library by its file, and the package of Debian and its kin that has it.
#[derive(Debug, Clone, Copy)]
pub struct Library {
    pub file: &'static str,
    pub package: &'static str,
}

const fn library(file: &'static str, package: &'static str) -> Library {
    Library { file, package }
}

/// What baseview loads for a window and its keyboard; of several in one row it takes the one that is there.
pub const WINDOW: [&[Library]; 6] = [
    &[library("libX11.so.6", "libx11-6")],
    &[library("libX11-xcb.so.1", "libx11-xcb1")],
    &[library("libxcb.so.1", "libxcb1")],
    &[library("libxkbcommon.so.0", "libxkbcommon0")],
    &[library("libxkbcommon-x11.so.0", "libxkbcommon-x11-0")],
    &[library("libGL.so.1", "libgl1"), library("libEGL.so.1", "libegl1")],
];

#[cfg(target_arch = "x86_64")]
pub const ALSA: Library = library("libasound.so.2", "libasound2");

pub const JACK: Library = library("libjack.so.0", "libjack-jackd2-0");

impl Library {
    /// Loads it for as long as the process runs: some drivers do not survive being unloaded.
    pub fn load(&self) -> Option<&'static libloading::Library> {
        // SAFETY: what these run when they are loaded is what any program that is linked with them runs.
        let library = unsafe { libloading::Library::new(self.file) }.ok()?;
        Some(Box::leak(Box::new(library)))
    }
}

/// Fails with all that are missing of these, where one of each row is enough and the first is the one to install.
pub fn need(rows: &[&[Library]]) -> Result<(), Missing> {
    let is_missing = |row: &&&[Library]| row.iter().all(|library| library.load().is_none());
    let missing: Vec<&Library> = rows.iter().filter(is_missing).filter_map(|row| row.first()).collect();
    if missing.is_empty() { Ok(()) } else { Err(said(&missing)) }
}

/// That these are missing, and what brings them.
pub fn said(missing: &[&Library]) -> Missing {
    let list = |part: fn(&Library) -> &'static str, between| {
        missing.iter().map(|library| part(library)).collect::<Vec<_>>().join(between)
    };
    let is = if missing.len() == 1 { "is" } else { "are" };
    Missing(format!(
        "{} {is} missing; install {} with your package manager, for example: sudo apt-get install {}",
        list(|library| library.file, ", "),
        if missing.len() == 1 { "it" } else { "them" },
        list(|library| library.package, " "),
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_missing_is_named_with_its_package() {
        let there = library("libc.so.6", "libc6");
        let missing = library("libnowhere.so.7", "libnowhere7");
        let other = library("libnever.so.1", "libnever1");
        assert_eq!(need(&[&[there], &[missing, there]]), Ok(()));
        let told = need(&[&[missing, other], &[there], &[other]]).expect_err("two are missing").to_string();
        assert_eq!(
            told,
            "libnowhere.so.7, libnever.so.1 are missing; install them with your package manager, for example: \
             sudo apt-get install libnowhere7 libnever1"
        );
        let told = need(&[&[missing]]).expect_err("one is missing").to_string();
        assert!(told.starts_with("libnowhere.so.7 is missing; install it"), "{told}");
    }
}
