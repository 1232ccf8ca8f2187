use std::fs;
use std::io::Read;
use std::path::Path;

use flate2::read::GzDecoder;

use super::super::archive::{sha256, tar_gz, zip};
use super::super::binary::{Needs, tells_nothing_of};
use super::super::tree::Tree;
use super::super::{LIMIT_BYTES, contents, deb, write};
use super::{built, common};

/// Paths, modes and times in a packed tar archive.
fn listed(bytes: &[u8]) -> Vec<(String, u32, u64)> {
    let mut archive = tar::Archive::new(GzDecoder::new(bytes));
    let entries = archive.entries().expect("an archive");
    let about = entries.map(|entry| {
        let entry = entry.expect("an entry");
        let (path, header) = (entry.path().expect("a path").display().to_string(), entry.header());
        (path, header.mode().expect("a mode"), header.mtime().expect("a time"))
    });
    about.collect()
}

#[test]
fn an_archive_is_the_same_bytes_twice_in_order_with_the_commits_time() {
    let make = || {
        let tree = contents::linux(&common(), &built("program")).expect("all is there");
        tar_gz(&tree, "firstjack-1", 1_700_000_000).expect("it is packed")
    };
    let archive = make();
    assert_eq!(archive, make());
    let entries = listed(&archive);
    assert!(entries.iter().all(|(_, _, seconds)| *seconds == 1_700_000_000));
    let files: Vec<&str> =
        entries.iter().map(|(path, ..)| path.as_str()).filter(|p| !p.ends_with('/')).collect();
    assert!(files.is_sorted(), "{files:?}");
    for name in
        ["README.txt", "LICENSE", "LICENCES.txt", "CHANGELOG.md", "guide.html", "presets/courtyard.toml"]
    {
        assert!(files.contains(&format!("firstjack-1/{name}").as_str()), "{name} is missing from {files:?}");
    }
    let programs = entries.iter().filter(|(path, mode, _)| mode & 0o100 != 0 && !path.ends_with('/'));
    let programs: Vec<&str> = programs.map(|(path, ..)| path.as_str()).collect();
    assert_eq!(programs, ["firstjack-1/bin/firstjack", "firstjack-1/install", "firstjack-1/uninstall"]);
}

#[test]
fn a_large_file_that_is_there_twice_is_packed_once_and_unpacked_twice() {
    let (mut tree, plugin) = (Tree::default(), vec![7; 2 << 20]);
    for name in ["a/plugin", "b/plugin"] {
        tree.add(name, plugin.clone());
    }
    tree.add_program("c", plugin.clone());
    let archive = tar_gz(&tree, "top", 1_700_000_000).expect("it is packed");
    let mut entries = tar::Archive::new(GzDecoder::new(&archive[..]));
    let links = entries.entries().expect("an archive").filter_map(|entry| {
        let entry = entry.expect("an entry");
        entry
            .link_name()
            .expect("a name")
            .map(|to| (entry.path().expect("a path").into_owned(), to.into_owned()))
    });
    let link = ("top/b/plugin".into(), "top/a/plugin".into());
    assert_eq!(links.collect::<Vec<(std::path::PathBuf, std::path::PathBuf)>>(), [link]);
    let folder = tempfile::tempdir().expect("a folder");
    tar::Archive::new(GzDecoder::new(&archive[..])).unpack(folder.path()).expect("it is unpacked");
    for name in ["a/plugin", "b/plugin", "c"] {
        assert_eq!(fs::read(folder.path().join("top").join(name)).expect("a file"), plugin, "{name}");
    }
}

#[test]
fn a_package_is_the_same_bytes_twice_and_has_what_its_format_asks_for() {
    let make = || {
        let tree = contents::debian(&common(), &built("program")).expect("all is there");
        deb::package(&tree, "1.2.3", 1_700_000_000).expect("it is packed")
    };
    let package = make();
    assert_eq!(package, make());
    // deb(5) and ar(5): names, times, owners, modes and sizes of 60 bytes in front of each, at even places.
    assert!(
        package.starts_with(b"!<arch>\ndebian-binary   1700000000  0     0     100644  4         `\n2.0\n")
    );
    let control = 8 + 60 + 4;
    let header = std::str::from_utf8(&package[control..control + 60]).expect("text");
    assert!(header.starts_with("control.tar.gz  ") && header.ends_with("`\n"), "{header}");
    let size: usize = header[48..58].trim_end().parse().expect("a size");
    let about = &package[control + 60..control + 60 + size];
    let names: Vec<String> = listed(about).into_iter().map(|(path, ..)| path).collect();
    assert_eq!(names, ["./", "control"]);
    let mut text = String::new();
    GzDecoder::new(about).read_to_string(&mut text).expect("a tar archive of text");
    for line in
        ["Package: firstjack\n", "Version: 1.2.3\n", "Architecture: amd64\n", "Depends: libc6 (>= 2.31)\n"]
    {
        assert!(text.contains(line), "{line} is missing");
    }
}

#[test]
fn the_archive_for_windows_is_of_a_folder_and_refuses_one_that_lacks_a_part() {
    let folder = tempfile::tempdir().expect("a folder");
    let bundle = folder.path().join("Firstjack.vst3/Contents/x86_64-win");
    fs::create_dir_all(&bundle).expect("a folder");
    fs::write(bundle.join("Firstjack.vst3"), "MZ").expect("a file");
    let lacks = contents::windows(&common(), folder.path()).expect_err("the program is missing");
    assert!(format!("{lacks:#}").contains("firstjack.exe is missing"), "{lacks:#}");
    let program = folder.path().join("firstjack.exe");
    fs::write(&program, "").expect("a file");
    let empty = contents::windows(&common(), folder.path()).expect_err("the program is empty");
    assert!(format!("{empty:#}").contains("is empty"), "{empty:#}");
    fs::write(&program, "MZ").expect("a file");
    let make =
        || zip(&contents::windows(&common(), folder.path()).expect("all is there"), "top").expect("packed");
    let archive = make();
    assert_eq!(archive, make());
    let mut archive = zip::ZipArchive::new(std::io::Cursor::new(archive)).expect("a zip archive");
    let mut script = String::new();
    archive.by_name("top/install.cmd").expect("it is there").read_to_string(&mut script).expect("text");
    assert!(script.lines().count() > 10 && script.matches('\n').count() == script.matches("\r\n").count());
    let bundled = "top/Firstjack.vst3/Contents/x86_64-win/Firstjack.vst3";
    assert!(archive.by_name(bundled).is_ok());
}

#[test]
fn checksums_are_those_of_the_standard_and_what_is_too_large_is_refused() {
    // FIPS 180-4's example of one block.
    let abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
    assert_eq!(sha256(b"abc"), abc);
    let folder = tempfile::tempdir().expect("a folder");
    let dist = folder.path().join("dist");
    write(&dist, &[("a.zip".to_owned(), b"abc".to_vec())]).expect("it is small");
    assert_eq!(fs::read_to_string(dist.join("SHA256SUMS")).expect("a file"), format!("{abc}  a.zip\n"));
    let large = write(&dist, &[("b.zip".to_owned(), vec![0; LIMIT_BYTES + 1])]).expect_err("it is too large");
    assert!(large.to_string().starts_with("b.zip has 20971521 bytes"), "{large}");
    assert!(dist.join("a.zip").exists(), "what was there stays until there is something better");
}

#[test]
fn what_is_packed_is_under_the_licences_that_are_checked() {
    let about = fs::read_to_string(crate::paths::root().join("about.toml")).expect("a file");
    let accepted =
        about.split_once("accepted = [").and_then(|(_, rest)| rest.split_once(']')).expect("a list").0;
    let accepted: Vec<&str> =
        accepted.split(',').map(|name| name.trim().trim_matches('"')).filter(|n| !n.is_empty()).collect();
    assert_eq!(accepted, crate::licences::PERMISSIVE);
}

#[test]
fn what_is_missing_is_refused() {
    let lacks = Tree::default().add_from("a", Path::new("no/such/file")).expect_err("it is missing");
    assert!(lacks.to_string().contains("is missing"), "{lacks}");
}

/// This test is a program of this machine, which needs some C library and was built in some folder.
#[test]
#[cfg(all(target_os = "linux", target_arch = "x86_64"))]
fn what_a_program_needs_is_read_and_held_to_what_is_everywhere() {
    let own = fs::read(std::env::current_exe().expect("a path")).expect("a program");
    let needs = Needs::of(&own).expect("an ELF file");
    assert!(needs.libraries.contains(&"libc.so.6".to_owned()), "{needs:?}");
    let needs = |libraries: &[&str], versions: &[&str]| Needs {
        libraries: libraries.iter().map(|&name| name.to_owned()).collect(),
        versions: versions.iter().map(|&name| name.to_owned()).collect(),
    };
    assert_eq!(needs(&[], &["GLIBC_2.4", "GLIBC_2.28", "GLIBC_2.2.5"]).glibc(), Some((2, 28)));
    needs(&["libc.so.6", "libm.so.6"], &["GLIBC_2.31"]).check().expect("it is everywhere");
    for (given, said) in [
        (needs(&["libc.so.6"], &["GLIBC_2.31", "GLIBC_2.32"]), "it needs glibc 2.32, not 2.31"),
        (needs(&["libasound.so.2"], &["GLIBC_2.31"]), "it is linked with libasound.so.2"),
        (needs(&["libc.so.6"], &["GLIBC_2.2.5", "GLIBC_PRIVATE"]), "it asks for GLIBC_PRIVATE"),
        (needs(&["libc.so.6"], &["GLIBC_2.2.5", "GCC_3.0"]), "it asks for GCC_3.0"),
        (needs(&[], &[]), "it does not say which C library it needs"),
    ] {
        assert_eq!(given.check().expect_err("it is too much").to_string(), said);
    }
    let root = crate::paths::root();
    let told = tells_nothing_of(&own, &[&root]).expect_err("tests say where they fail");
    assert!(told.to_string().contains(&root.display().to_string()), "{told}");
    tells_nothing_of(b"nothing of it", &[&root]).expect("nothing is told");
}
