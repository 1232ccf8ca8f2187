//! Archives that are the same bytes whenever, wherever and by whomever they are made: files in order, one time for all, nobody's names.

use std::collections::HashMap;
use std::fmt::Write as _;
use std::io::{Cursor, Write};

use anyhow::{Context, Result};
use flate2::{Compression, GzBuilder};
use sha2::{Digest, Sha256};
use tar::{EntryType, Header};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipWriter};

use super::tree::Tree;

/// What the operating system of gzip's header is where it is not known (RFC 1952).
const UNKNOWN_SYSTEM: u8 = 255;

/// A file from this size on that is there twice is packed once. Both bundles are one plugin.
const LINKED_BYTES: usize = 1 << 20;

/// A tar archive packed by gzip: everything below a folder, with a time in seconds since 1970. A large file that is there twice is a hard
/// link the second time.
pub fn tar_gz(tree: &Tree, below: &str, seconds: u64) -> Result<Vec<u8>> {
    let mut archive = tar::Builder::new(Vec::new());
    let mut append = |path: &str, kind: EntryType, mode: u32, bytes: &[u8], link: Option<&str>| {
        let mut header = Header::new_ustar();
        header.set_entry_type(kind);
        header.set_mode(mode);
        header.set_mtime(seconds);
        header.set_uid(0);
        header.set_gid(0);
        header.set_username("root")?;
        header.set_groupname("root")?;
        header.set_size(bytes.len() as u64);
        match link {
            None => archive.append_data(&mut header, path, bytes),
            Some(to) => archive.append_link(&mut header, path, to),
        }
        .with_context(|| format!("cannot pack {path}"))
    };
    append(&format!("{below}/"), EntryType::Directory, 0o755, &[], None)?;
    for folder in tree.folders() {
        append(&format!("{below}/{folder}/"), EntryType::Directory, 0o755, &[], None)?;
    }
    let mut packed: HashMap<(u32, &[u8]), String> = HashMap::new();
    for (path, file) in tree.files() {
        let path = format!("{below}/{path}");
        let mode = if file.is_program { 0o755 } else { 0o644 };
        if file.bytes.len() < LINKED_BYTES {
            append(&path, EntryType::Regular, mode, &file.bytes, None)?;
        } else if let Some(first) = packed.get(&(mode, &file.bytes[..])) {
            append(&path, EntryType::Link, mode, &[], Some(first))?;
        } else {
            append(&path, EntryType::Regular, mode, &file.bytes, None)?;
            packed.insert((mode, &file.bytes[..]), path);
        }
    }
    gz(&archive.into_inner()?)
}

/// Bytes packed by gzip, without a name or time.
pub fn gz(bytes: &[u8]) -> Result<Vec<u8>> {
    let mut packed =
        GzBuilder::new().mtime(0).operating_system(UNKNOWN_SYSTEM).write(Vec::new(), Compression::best());
    packed.write_all(bytes)?;
    Ok(packed.finish()?)
}

/// A zip archive: everything below a folder. Its times have no zone and no use, and are the earliest that there is.
pub fn zip(tree: &Tree, below: &str) -> Result<Vec<u8>> {
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    for (path, file) in tree.files() {
        let options = SimpleFileOptions::default()
            .compression_method(CompressionMethod::Deflated)
            .compression_level(Some(9))
            .last_modified_time(DateTime::default())
            .unix_permissions(if file.is_program { 0o755 } else { 0o644 });
        archive.start_file(format!("{below}/{path}"), options)?;
        archive.write_all(&file.bytes)?;
    }
    Ok(archive.finish()?.into_inner())
}

/// As `sha256sum` writes it.
pub fn sha256(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().fold(String::new(), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    })
}
