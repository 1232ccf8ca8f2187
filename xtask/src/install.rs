//! Bundles where a host looks for them. A host may have the one that is there open: it is moved aside, as a whole, and the new one, as a whole,
//! takes its name; what is open stays what it was.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail};

/// Puts a copy of a bundle, a file or a folder, into a folder that is made if it is not there; tells where it is.
pub fn install(bundle: &Path, folder: &Path) -> Result<PathBuf> {
    install_by(bundle, folder, |from, to| fs::rename(from, to))
}

fn install_by(
    bundle: &Path,
    folder: &Path,
    rename: impl Fn(&Path, &Path) -> io::Result<()>,
) -> Result<PathBuf> {
    let name = bundle.file_name().context("a bundle has a name")?;
    let to = folder.join(name);
    // Neither ends as a bundle does, so that no host takes it for one.
    let [new, old] = ["new", "old"].map(|end| {
        let mut name = name.to_owned();
        name.push(format!(".{end}"));
        folder.join(name)
    });
    fs::create_dir_all(folder).with_context(|| format!("cannot make {}", folder.display()))?;
    remove(&new).and_then(|()| copy(bundle, &new)).with_context(|| cannot(&to))?;
    let is_there = to.symlink_metadata().is_ok();
    if is_there && let Err(error) = remove(&old).and_then(|()| rename(&to, &old)) {
        let _ = remove(&new);
        bail!(held(&to, &error));
    }
    if let Err(error) = rename(&new, &to) {
        let back = if is_there { rename(&old, &to) } else { Ok(()) };
        let _ = remove(&new);
        back.with_context(|| format!("{}: what was there is now {}", to.display(), old.display()))?;
        bail!(held(&to, &error));
    }
    if remove(&old).is_err() {
        println!("{} goes with the next installation: a host has it open", old.display());
    }
    Ok(to)
}

fn cannot(to: &Path) -> String {
    format!("cannot install to {}", to.display())
}

fn held(to: &Path, error: &io::Error) -> String {
    format!(
        "{}: what is there stays, since it cannot be moved aside ({error}). Close the hosts that have it open (workstations, and what \
         scans plugins for them), then install again",
        to.display()
    )
}

fn remove(path: &Path) -> io::Result<()> {
    match path.symlink_metadata() {
        Ok(there) if there.is_dir() => fs::remove_dir_all(path),
        Ok(_) => fs::remove_file(path),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(()),
        Err(error) => Err(error),
    }
}

fn copy(from: &Path, to: &Path) -> io::Result<()> {
    if !from.is_dir() {
        return fs::copy(from, to).map(drop);
    }
    fs::create_dir(to)?;
    for entry in fs::read_dir(from)? {
        let entry = entry?;
        copy(&entry.path(), &to.join(entry.file_name()))?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use std::cell::Cell;
    use std::collections::BTreeMap;
    use std::fs::File;
    use std::io::Read;

    use super::*;

    /// A bundle that is a file, or one that is a folder, in a folder of its own.
    fn bundle(is_folder: bool, text: &str) -> (tempfile::TempDir, PathBuf) {
        let folder = tempfile::tempdir().unwrap();
        let bundle = folder.path().join("Some.bundle");
        if is_folder {
            fs::create_dir_all(bundle.join("Contents/system")).unwrap();
            fs::write(bundle.join("Contents/info"), text).unwrap();
            fs::write(bundle.join("Contents/system/Some.so"), text.repeat(1000)).unwrap();
        } else {
            fs::write(&bundle, text.repeat(1000)).unwrap();
        }
        (folder, bundle)
    }

    /// All files below, with what is in them.
    fn listing(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
        let entries = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
        let of = |path: PathBuf| {
            if path.is_dir() {
                listing(&path)
            } else {
                BTreeMap::from([(path.clone(), fs::read(path).unwrap())])
            }
        };
        entries.flat_map(of).collect()
    }

    /// What is installed is the bundle and nothing else, whatever was there, what a run that was killed has left included.
    #[test]
    fn the_bundle_is_there_and_nothing_else() {
        for (is_folder, was_folder) in [(false, false), (false, true), (true, false), (true, true)] {
            let hosts = tempfile::tempdir().unwrap();
            let folder = hosts.path().join("not/there/yet");
            let (_one, old) = bundle(was_folder, "old");
            let (two, new) = bundle(is_folder, "new");
            assert_eq!(install(&old, &folder).unwrap(), folder.join("Some.bundle"));
            fs::write(folder.join("Some.bundle.new"), "half").unwrap();
            fs::create_dir(folder.join("Some.bundle.old")).unwrap();
            install(&new, &folder).unwrap();
            let there = listing(&folder);
            let wanted = listing(two.path());
            let relative = |of: &BTreeMap<PathBuf, Vec<u8>>, base: &Path| -> Vec<(PathBuf, Vec<u8>)> {
                of.iter()
                    .map(|(path, bytes)| (path.strip_prefix(base).unwrap().to_owned(), bytes.clone()))
                    .collect()
            };
            assert_eq!(relative(&there, &folder), relative(&wanted, two.path()));
        }
    }

    /// A host that has it open goes on with what it has opened.
    #[test]
    fn what_is_open_stays_what_it_was() {
        for (is_folder, library) in [(false, "Some.bundle"), (true, "Some.bundle/Contents/system/Some.so")] {
            let hosts = tempfile::tempdir().unwrap();
            install(&bundle(is_folder, "old").1, hosts.path()).unwrap();
            let mut open = File::open(hosts.path().join(library)).unwrap();
            match install(&bundle(is_folder, "new").1, hosts.path()) {
                Ok(_) => assert!(cfg!(not(windows)) || !is_folder),
                // There a folder in which a file is open keeps its name.
                Err(error) => {
                    assert!(cfg!(windows) && is_folder && error.to_string().contains("Close the hosts"))
                }
            }
            let mut text = String::new();
            open.read_to_string(&mut text).unwrap();
            assert_eq!(text, "old".repeat(1000));
        }
    }

    /// Whichever renaming fails: what was there is there, whole, and what is to be done is said.
    #[test]
    fn nothing_is_left_half() {
        for (is_folder, fails) in [(false, 1), (false, 2), (true, 1), (true, 2)] {
            let hosts = tempfile::tempdir().unwrap();
            install(&bundle(is_folder, "old").1, hosts.path()).unwrap();
            let before = listing(hosts.path());
            let count = Cell::new(0);
            let rename = |from: &Path, to: &Path| {
                count.set(count.get() + 1);
                if count.get() == fails {
                    Err(io::ErrorKind::PermissionDenied.into())
                } else {
                    fs::rename(from, to)
                }
            };
            let error = install_by(&bundle(is_folder, "new").1, hosts.path(), rename).unwrap_err();
            assert!(error.to_string().contains("Close the hosts that have it open"), "{error}");
            assert_eq!(listing(hosts.path()), before);
        }
    }
}
