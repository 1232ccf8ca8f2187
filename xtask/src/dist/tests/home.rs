use std::fs;
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use flate2::read::GzDecoder;
use tempfile::TempDir;

use super::super::archive::tar_gz;
use super::super::contents;
use super::{built, common};

/// A program that runs everywhere.
const PROGRAM: &str = "#!/bin/sh\necho firstjack 1.0.0\n";

/// A person's home with a space in its name, and an archive unpacked beside it.
struct Home {
    folder: TempDir,
}

impl Home {
    fn new() -> Self {
        let home = Self { folder: tempfile::tempdir().expect("a folder") };
        fs::create_dir(home.path()).expect("a home");
        home
    }

    fn path(&self) -> PathBuf {
        self.folder.path().join("a person's home")
    }

    fn unpack(&self, program: &str) -> PathBuf {
        let tree = contents::linux(&common(), &built(program)).expect("all is there");
        let archive = tar_gz(&tree, "top", 1_700_000_000).expect("packed");
        let unpacked = self.folder.path().join("top");
        let _ = fs::remove_dir_all(&unpacked);
        tar::Archive::new(GzDecoder::new(&archive[..])).unpack(self.folder.path()).expect("unpacked");
        unpacked
    }

    fn run(&self, script: &Path, arguments: &[&str]) -> Output {
        let path = std::env::var_os("PATH").expect("a path");
        let mut command = Command::new(script);
        command.args(arguments).env_clear().env("HOME", self.path()).env("PATH", path);
        command.output().expect("a POSIX shell")
    }

    /// What it says of what it did.
    fn does(&self, script: &Path) -> String {
        let output = self.run(script, &[]);
        assert!(output.status.success() && output.stderr.is_empty(), "{output:?}");
        String::from_utf8(output.stdout).expect("text")
    }

    /// What it says of why it did nothing.
    fn refuses(&self, script: &Path, arguments: &[&str]) -> String {
        let output = self.run(script, arguments);
        assert_eq!(output.status.code(), Some(1), "{output:?}");
        String::from_utf8(output.stderr).expect("text")
    }

    /// All files and folders in it.
    fn all(&self) -> Vec<String> {
        let mut found = Vec::new();
        let mut folders = vec![self.path()];
        while let Some(folder) = folders.pop() {
            for entry in fs::read_dir(folder).expect("a folder") {
                let path = entry.expect("an entry").path();
                found.push(path.strip_prefix(self.path()).expect("it is in it").display().to_string());
                if path.is_dir() && !path.is_symlink() {
                    folders.push(path);
                }
            }
        }
        found.sort();
        found
    }

    fn read(&self, path: &str) -> String {
        fs::read_to_string(self.path().join(path)).unwrap_or_else(|error| panic!("{path}: {error}"))
    }

    fn write(&self, path: &str, text: &str) {
        let path = self.path().join(path);
        fs::create_dir_all(path.parent().expect("a folder")).expect("a folder");
        fs::write(path, text).expect("a file");
    }
}

#[test]
fn what_is_installed_is_where_it_is_said_to_be_and_nothing_is_left_behind() {
    let home = Home::new();
    let said = home.does(&home.unpack(PROGRAM).join("install"));
    assert!(said.starts_with("firstjack 1.0.0 is installed:\n"), "{said}");
    for path in [
        ".local/bin/firstjack",
        ".clap/Firstjack.clap",
        ".vst3/Firstjack.vst3",
        ".local/share/firstjack/presets",
        ".local/share/firstjack/guide.html",
        ".local/share/man/man1/firstjack.1",
    ] {
        let path = home.path().join(path);
        assert!(path.exists() && said.contains(&path.display().to_string()), "{} in\n{said}", path.display());
    }
    assert_eq!(home.read(".vst3/Firstjack.vst3/Contents/x86_64-linux/Firstjack.so"), "a plugin");
    assert!(said.contains("Your shell does not look into"), "{said}");
    let mode = home.path().join(".local/bin/firstjack").metadata().expect("a file").permissions().mode();
    assert_eq!(mode & 0o777, 0o755);
    assert!(home.all().iter().all(|path| !path.contains(".firstjack-")), "{:?}", home.all());
    // Once more changes nothing.
    let (before, again) = (home.all(), home.does(&home.unpack(PROGRAM).join("install")));
    assert_eq!((home.all(), again), (before, said));
    let said = home.does(&home.path().join(".local/share/firstjack/uninstall"));
    assert!(said.starts_with("Firstjack is uninstalled: "), "{said}");
    assert_eq!(home.all(), Vec::<String>::new());
}

#[test]
fn what_is_the_persons_stays_and_what_is_older_goes() {
    let home = Home::new();
    home.write(".config/firstjack/kit.toml", "a kit");
    home.write(".clap/Other.clap", "another plugin");
    home.write(".clap/Firstjack.clap", "built by the person");
    let said = home.does(&home.unpack(PROGRAM).join("install"));
    assert!(said.contains("Kept, since they are yours:") && said.contains("Firstjack.clap.old\n"), "{said}");
    home.write(".local/share/firstjack/presets/own.toml", "of one's own");
    home.write(".local/share/firstjack/presets/courtyard.toml", "changed");
    // An older version had a file that this one has not.
    home.write(".local/share/firstjack/gone.txt", "abc");
    let list = ".local/share/firstjack/installed";
    let gone = home.path().join(".local/share/firstjack/gone.txt").display().to_string();
    let abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
    home.write(list, &format!("{}{abc}  {gone}\n", home.read(list)));
    let newer = "#!/bin/sh\necho firstjack 1.1.0\n";
    let said = home.does(&home.unpack(newer).join("install"));
    assert!(said.starts_with("firstjack 1.1.0 is installed:\n"), "{said}");
    assert!(said.contains("presets/courtyard.toml.old\n"), "{said}");
    assert_eq!(home.read(".local/bin/firstjack"), newer);
    assert_eq!(home.read(".local/share/firstjack/presets/courtyard.toml.old"), "changed");
    assert!(home.read(".local/share/firstjack/presets/courtyard.toml").contains("version"));
    assert!(!Path::new(&gone).exists());
    home.write(".local/share/firstjack/presets/venues.toml", "changed, too");
    let said = home.does(&home.path().join(".local/share/firstjack/uninstall"));
    assert!(said.contains("Left:\n") && said.contains("venues.toml: you have changed it\n"), "{said}");
    let mut left = home.all();
    left.retain(|path| !home.path().join(path).is_dir());
    let presets = ".local/share/firstjack/presets";
    let kept = ["courtyard.toml.old", "own.toml", "venues.toml"].map(|name| format!("{presets}/{name}"));
    let others = [".clap/Firstjack.clap.old", ".clap/Other.clap", ".config/firstjack/kit.toml"];
    assert_eq!(left, others.into_iter().map(str::to_owned).chain(kept).collect::<Vec<_>>());
    assert_eq!(home.read(".clap/Firstjack.clap.old"), "built by the person");
}

#[test]
fn what_cannot_be_installed_is_refused_and_nothing_is_changed() {
    let home = Home::new();
    let unpacked = home.unpack(PROGRAM);
    let install = unpacked.join("install");
    let refused = |said: &str, why: &str| {
        assert!(said.starts_with("install: ") && said.contains(why), "{said}");
        assert!(said.ends_with("Nothing was changed.\n"), "{said}");
    };
    refused(&home.refuses(&install, &["--force"]), "'--force' is not an option");
    // A folder stands where a file is to go: found when half of all has been copied.
    home.write(".vst3/Firstjack.vst3/Contents/x86_64-linux/Firstjack.so/in", "the way");
    let before = home.all();
    refused(&home.refuses(&install, &[]), "Firstjack.so is a folder; move it away");
    assert_eq!(home.all(), before);
    fs::remove_dir_all(home.path().join(".vst3")).expect("it goes");
    // A file stands where a folder is to be.
    home.write(".local", "no folder");
    refused(&home.refuses(&install, &[]), "cannot make ");
    assert_eq!(home.all(), [".local"]);
    fs::remove_file(home.path().join(".local")).expect("it goes");
    // The archive is not all there, or has been changed.
    fs::write(unpacked.join("presets/tour.toml"), "changed").expect("a file");
    refused(&home.refuses(&install, &[]), "presets/tour.toml: FAILED");
    fs::remove_file(unpacked.join("presets/tour.toml")).expect("it goes");
    refused(&home.refuses(&install, &[]), "presets/tour.toml");
    // The program does not run, on a system that is too old for it.
    let old = home.unpack("#!/bin/sh\necho \"version GLIBC_2.31 not found\" >&2\nexit 1\n");
    refused(&home.refuses(&old.join("install"), &[]), "does not run here: version GLIBC_2.31 not found");
    assert_eq!(home.all(), Vec::<String>::new());
    let said = home.refuses(&old.join("uninstall"), &[]);
    assert!(said.starts_with("uninstall: nothing is installed here: "), "{said}");
}
