use std::fs;
use std::path::PathBuf;

use proptest::prelude::*;
use tempfile::TempDir;

use super::*;

const NEW: WriteArguments = WriteArguments { overwrite: false, dry_run: false, verbose: false };
const REPLACED: WriteArguments = WriteArguments { overwrite: true, ..NEW };

fn folder() -> (TempDir, PathBuf) {
    let folder = TempDir::new().unwrap();
    let path = folder.path().canonicalize().unwrap();
    (folder, path)
}

fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

/// What nobody holds goes; what a living run holds stays, and so does every other file.
#[test]
fn leftovers_are_those_of_no_living_run() {
    let (_kept, path) = folder();
    let mut outputs = Outputs::new(&NEW, []);
    outputs.add("-o", &path.join("one.wav"), Expected::default()).unwrap();
    let mut living = outputs.create(&path.join("one.wav")).unwrap();
    let others =
        [".firstjack-notes.part", ".firstjack-a1b2c3.txt", "firstjack-a1b2c3.part", ".firstjack-a1b2c-.part"];
    for name in others.iter().chain(&[".firstjack-a1b2c3.part", ".firstjack-zzzzzz.part"]) {
        fs::write(path.join(name), "half").unwrap();
    }
    fs::create_dir(path.join(".firstjack-folder.part")).unwrap();
    let mut second = Outputs::new(&NEW, []);
    second.add("-o", &path.join("two.wav"), Expected::default()).unwrap();
    second.prepare(false).unwrap();
    let left = names(&path);
    assert!(!left.iter().any(|name| name.contains("a1b2c3.part") && name.starts_with('.')), "{left:?}");
    assert!(!left.contains(&".firstjack-zzzzzz.part".to_owned()), "{left:?}");
    assert!(others.iter().all(|name| left.iter().any(|there| there == name)), "{left:?}");
    assert_eq!(left.len(), others.len() + 2, "the folder and the living run's: {left:?}");
    living.fill(b"whole").unwrap();
    living.publish().unwrap();
    assert_eq!(fs::read(path.join("one.wav")).unwrap(), b"whole");
}

#[test]
fn a_part_that_is_dropped_leaves_nothing() {
    let (_kept, path) = folder();
    let target = path.join("set").join("one.wav");
    let mut outputs = Outputs::new(&NEW, []);
    outputs.folder(&path.join("set")).unwrap();
    outputs.add("-o", &target, Expected::default()).unwrap();
    let mut part = outputs.create(&target).unwrap();
    part.fill(b"half").unwrap();
    drop((part, outputs));
    assert_eq!(names(&path), Vec::<String>::new());
}

/// A file that comes while the run works is not replaced unasked, and what is no file never.
#[test]
fn what_comes_meanwhile_stays() {
    let (_kept, path) = folder();
    for (overwrite, folder_comes) in [(false, false), (false, true), (true, true)] {
        let target = path.join(format!("{overwrite}-{folder_comes}"));
        let mut outputs = Outputs::new(if overwrite { &REPLACED } else { &NEW }, []);
        outputs.add("-o", &target, Expected::default()).unwrap();
        let part = outputs.create(&target).unwrap();
        if folder_comes {
            fs::create_dir(&target).unwrap()
        } else {
            fs::write(&target, "precious").unwrap()
        }
        let error = part.publish().unwrap_err().to_string();
        let said = if folder_comes { "it is a folder" } else { "it exists" };
        assert!(error.contains(said), "{error}");
        assert_eq!(target.is_dir(), folder_comes);
    }
}

#[test]
fn more_than_there_is_room_for() {
    let (_kept, path) = folder();
    let mut outputs = Outputs::new(&NEW, []);
    outputs.add("-o", &path.join("one.wav"), Expected { bytes: Some(1 << 61), seconds: None }).unwrap();
    outputs.add("-o", &path.join("two.wav"), Expected { bytes: Some(1 << 61), seconds: None }).unwrap();
    let Err(error) = outputs.prepare(false) else { panic!("a disk of 4.6 EB?") };
    assert_eq!(error.exit_code(), 1);
    let said = error.to_string();
    assert!(
        said.contains("too little room: 4611686018427.4 MB needed, ") && said.contains(" MB free"),
        "{said}"
    );
}

/// A run's own inputs, by any name.
#[test]
fn inputs_are_no_targets() {
    let (_kept, path) = folder();
    let input = path.join("setups.toml");
    fs::write(&input, "").unwrap();
    fs::hard_link(&input, path.join("twin.toml")).unwrap();
    let gone = path.join("gone.toml");
    for (target, input) in [(&input, &input), (&path.join("twin.toml"), &input), (&gone, &gone)] {
        let mut outputs = Outputs::new(&REPLACED, [Input { path: input, is: "the file of setups" }]);
        let error = outputs.add("-o", target, Expected::default()).unwrap_err().to_string();
        assert!(error.ends_with("it is the file of setups itself; give another -o"), "{error}");
    }
}

/// Where names differ in case only, it is up to the disk whether they are two.
#[test]
fn capital_and_small_letters() {
    let (_kept, path) = folder();
    let mut outputs = Outputs::new(&NEW, []);
    outputs.add("-o", &path.join("Take.wav"), Expected::default()).unwrap();
    outputs.add("--note", &path.join("take.wav"), Expected::default()).unwrap();
    fs::write(path.join("letters"), "").unwrap();
    assert_eq!(outputs.prepare(false).is_err(), path.join("LETTERS").exists());
    let [one, two] = outputs.targets.as_slice() else { panic!("two were added") };
    let error = two.check_case(&[one, two]).unwrap_err().to_string();
    assert!(error.contains("take.wav: it is one file with") && error.contains("Take.wav"), "{error}");
}

#[test]
fn names_sort_and_fit() {
    assert_eq!(numbered("take", 3, 7, "passive box", "wav"), "take-3-passive-box.wav");
    assert_eq!(numbered("take", 3, 10, "combo", "wav"), "take-3-combo.wav");
    assert_eq!(numbered("take", 3, 11, "combo / 2", "wav"), "take-03-combo-2.wav");
    assert_eq!(numbered("take", 3, 120, "...", "flac"), "take-003.flac");
    let long = numbered("take", 12, 20, &"ü".repeat(300), "wav");
    assert_eq!(long, format!("take-12-{}.wav", "ü".repeat(121)));
}

proptest! {
    #[test]
    fn any_name_makes_a_file(stem in ".{1,250}", name in ".{0,400}", number in 0_usize..400) {
        let made = numbered(&stem, number, 400, &name, "flac");
        prop_assert!(made.len() <= 255, "{} bytes", made.len());
        let start = format!("-{number:03}");
        prop_assert!(made.contains(&start) && made.ends_with(".flac"), "{}", made);
    }
}
