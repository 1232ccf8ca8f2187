use std::path::{Path, PathBuf};

/// The workspace's folder.
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().expect("xtask lies in the workspace").to_owned()
}

/// Where cargo builds.
pub fn target() -> PathBuf {
    std::env::var_os("CARGO_TARGET_DIR").map_or_else(|| root().join("target"), |folder| root().join(folder))
}

/// The release build of the program.
pub fn program() -> PathBuf {
    target().join("release").join(executable("firstjack"))
}

/// What the system calls the file of a program of this name.
pub fn executable(name: &str) -> String {
    format!("{name}{}", std::env::consts::EXE_SUFFIX)
}

/// A file in the workspace's presets.
pub fn preset(name: &str) -> PathBuf {
    root().join("presets").join(name)
}
