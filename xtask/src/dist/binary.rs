//! What a program or library of Linux asks of a system, and whether it tells where it was built.

use std::path::Path;

use anyhow::{Context, Result, ensure};
use object::elf::{self, FileHeader64};
use object::read::elf::{Dyn, FileHeader, VerneedIterator};
use object::{Endianness, StringTable};

/// The newest version of the C library that is asked for.
pub const NEWEST_GLIBC: (u32, u32) = (2, 31);

/// The libraries that may be asked for when it is started: those of the C library itself, which are wherever that is.
const ALLOWED: [&str; 7] = [
    "ld-linux-x86-64.so.2",
    "libc.so.6",
    "libdl.so.2",
    "libm.so.6",
    "libpthread.so.0",
    "librt.so.1",
    "libutil.so.1",
];

/// What the dynamic linker must find.
#[derive(Debug, Default, PartialEq, Eq)]
pub struct Needs {
    pub libraries: Vec<String>,
    /// Every version of symbols that is asked for.
    pub versions: Vec<String>,
}

impl Needs {
    /// Reads them from an ELF file of 64 bits.
    pub fn of(bytes: &[u8]) -> Result<Self> {
        let header = FileHeader64::<Endianness>::parse(bytes).context("it is no ELF file of 64 bits")?;
        let endian = header.endian()?;
        let sections = header.sections(endian, bytes)?;
        let mut needs = Self::default();
        if let Some((entries, link)) = sections.dynamic(endian, bytes)? {
            let strings = sections.strings(endian, bytes, link)?;
            for entry in entries.iter().filter(|entry| entry.tag(endian) == elf::DT_NEEDED) {
                let name = entry.string(endian, strings)?;
                needs.libraries.push(String::from_utf8_lossy(name).into_owned());
            }
        }
        if let Some((versions, link)) = sections.gnu_verneed(endian, bytes)? {
            needs.versions = names(versions, endian, sections.strings(endian, bytes, link)?)?;
        }
        Ok(needs)
    }

    /// The newest version of the C library that is asked for.
    pub fn glibc(&self) -> Option<(u32, u32)> {
        self.versions.iter().filter_map(|version| number(version)).max()
    }

    /// Fails if more is asked for than what every system of the years since 2020 has.
    pub fn check(&self) -> Result<()> {
        for library in &self.libraries {
            ensure!(ALLOWED.contains(&library.as_str()), "it is linked with {library}");
        }
        for version in &self.versions {
            ensure!(number(version).is_some(), "it asks for {version}");
        }
        let newest = self.glibc().context("it does not say which C library it needs")?;
        let (given, allowed) = (format!("{}.{}", newest.0, newest.1), NEWEST_GLIBC);
        ensure!(newest <= allowed, "it needs glibc {given}, not {}.{}", allowed.0, allowed.1);
        Ok(())
    }
}

/// Of a version of the C library.
fn number(version: &str) -> Option<(u32, u32)> {
    let mut parts = version.strip_prefix("GLIBC_")?.split('.').map(str::parse);
    Some((parts.next()?.ok()?, parts.next()?.ok()?))
}

fn names(
    mut libraries: VerneedIterator<FileHeader64<Endianness>>,
    endian: Endianness,
    strings: StringTable,
) -> Result<Vec<String>> {
    let mut names = Vec::new();
    while let Some((_, mut versions)) = libraries.next()? {
        while let Some(version) = versions.next()? {
            names.push(String::from_utf8_lossy(version.name(endian, strings)?).into_owned());
        }
    }
    names.sort_unstable();
    Ok(names)
}

/// Fails if a path in one of these folders is told in a file.
pub fn tells_nothing_of(bytes: &[u8], folders: &[&Path]) -> Result<()> {
    for folder in folders {
        let text = folder.to_str().context("a folder of this machine is no text")?;
        // With what ends its name, which is the beginning of others.
        let text = format!("{text}{}", std::path::MAIN_SEPARATOR);
        // A root or a folder without a name would be found in anything.
        ensure!(text.len() > 4, "{text} is too short to be looked for");
        let found = bytes.windows(text.len()).position(|part| part == text.as_bytes());
        if let Some(at) = found {
            let end = bytes.len().min(at + 120);
            anyhow::bail!("it tells where it was built: {}", String::from_utf8_lossy(&bytes[at..end]));
        }
    }
    Ok(())
}
