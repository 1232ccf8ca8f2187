//! Changes to a kit's file: what the person wrote stays, what others write is not lost, and what is no kit is left alone.

use std::fs;
use std::thread;

use dsp_core::circuit::InputBox;
use dsp_core::kit::{Entry, Kit, KitBox, Levels, Origin};
use firstjack_kit::{Draft, DraftError, KitFile, KitFileError};
use proptest::prelude::*;

const OURS: &str = "\
# Everything that we own.
version = 1 # for ever

# The old one, under the bridge.
[[pickup]]
name = \"bridge\"   # of the guitarrón
capacitance = \"680 pF ±6 %\" # by sweep
measured = \"2026-11-27\"

# Borrowed.
[[box]]
name = \"our tuner\"
input = \"1M\"  # printed on it

[[box]]
transformer = { primary = \"47 H\", ratio = \"12\", secondary = \"1k5\" } # from its sheet
name = \"di\"
# The end.
";

fn input_box(name: &str, input: &str) -> Entry {
    KitBox {
        input: InputBox::new(name, input.parse().unwrap()),
        levels: Levels::default(),
        origin: Origin::default(),
    }
    .into()
}

fn changed(change: impl FnOnce(&mut Draft) -> Result<(), DraftError>) -> String {
    let mut draft = Draft::new(OURS).unwrap();
    change(&mut draft).unwrap();
    let text = draft.to_string();
    assert_eq!(Kit::from_toml(&text).as_ref(), Ok(draft.kit()), "{text}");
    text
}

#[test]
fn nothing_changes_that_is_not_changed() {
    assert_eq!(changed(|_| Ok(())), OURS);
    let text = changed(|draft| draft.set("Our Tuner", "input", Some("1 MΩ ±3 %")));
    assert_eq!(text, OURS.replace("\"1M\"", "\"1 MΩ ±3 %\""));
    let text = changed(|draft| draft.set("our tuner", "capacitance", Some("47p")));
    assert_eq!(text, OURS.replace("# printed on it\n", "# printed on it\ncapacitance = \"47p\"\n"));
    let text = changed(|draft| draft.set("di", "transformer.primary", Some("50 H")));
    assert_eq!(text, OURS.replace("47 H", "50 H"));
    let text = changed(|draft| draft.set("bridge", "measured", None));
    assert_eq!(text, OURS.replace("measured = \"2026-11-27\"\n", ""));
    let text = changed(|draft| draft.rename("bridge", "Bridge of the guitarrón"));
    assert_eq!(text, OURS.replace("\"bridge\"", "\"Bridge of the guitarrón\""));
    let text = changed(|draft| draft.remove("our tuner"));
    let at = OURS.find("\n# Borrowed.").unwrap();
    let end = OURS.find("\n[[box]]\ntransformer").unwrap();
    assert_eq!(text, [&OURS[..at], &OURS[end..]].concat());
    let text = changed(|draft| draft.add(&input_box("amp", "470k")));
    let new = "\n[[box]]\nname = \"amp\"\ninput = \"470 kΩ\"\n";
    let (front, end) = OURS.split_once("# The end.").unwrap();
    assert_eq!(text, format!("{front}{new}# The end.{end}"));
}

#[test]
fn what_cannot_be_is_refused_and_changes_nothing() {
    let mut draft = Draft::new(OURS).unwrap();
    let unknown = |name: &str, near: Option<&str>| DraftError::Unknown {
        name: name.to_owned(),
        near: near.map(str::to_owned),
    };
    assert_eq!(draft.remove("our tunr"), Err(unknown("our tunr", Some("our tuner"))));
    assert_eq!(draft.set("moon", "input", Some("1M")), Err(unknown("moon", None)));
    for (name, field, value, told) in [
        ("our tuner", "input", Some("1X"), "box 'our tuner': input: cannot read '1X'"),
        ("our tuner", "imput", Some("1M"), "box 'our tuner': imput is not known here: did you mean input?"),
        ("our tuner", "input", None, "box 'our tuner': give either input"),
        ("our tuner", "input.x", Some("1M"), "input has no parts"),
        ("our tuner", "transformer.primary", Some("4 H"), "box 'our tuner'"),
        ("bridge", "inductance", Some("4 H"), "pickup 'bridge': inductance belongs to a magnetic pickup"),
        ("bridge", "name", Some("di"), "'di' is in the kit already"),
        ("bridge", "name", Some("1M"), "the name '1M' cannot be told from a value"),
        ("bridge", "name", None, "a name is empty"),
        ("bridge", "method", Some("ear"), "pickup 'bridge': method = \"ear\" is not known"),
    ] {
        let error = draft.set(name, field, value).unwrap_err().to_string();
        assert!(error.starts_with(told), "{error}\n and not\n{told}");
        assert_eq!(draft.to_string(), OURS);
    }
    assert!(draft.add(&input_box("BRIDGE", "1M")).is_err());
    assert!(draft.add(&input_box("470k", "1M")).is_err());
    assert_eq!(draft.to_string(), OURS);
}

#[test]
fn an_entry_may_be_put_in_place_of_another() {
    let text = changed(|draft| draft.replace(&input_box("our tuner", "2M2")));
    assert!(
        text.contains("\nname = \"our tuner\"\ninput = \"2.2 MΩ\"\n") && !text.contains("\"1M\""),
        "{text}"
    );
    let text = changed(|draft| draft.replace(&input_box("Bridge", "2M2")));
    assert!(!text.contains("[[pickup]]") && text.contains("name = \"Bridge\""), "{text}");
}

/// Tables in braces are read too; one is added as a table of its own.
#[test]
fn lists_in_braces_can_be_changed() {
    let text = "version = 1\nbox = [{ name = \"a\", input = \"1M\" }, { name = \"b\", input = \"470k\" }]\n";
    let mut draft = Draft::new(text).unwrap();
    draft.set("b", "input", Some("220k")).unwrap();
    draft.add(&input_box("c", "56k")).unwrap();
    draft.remove("a").unwrap();
    let names: Vec<&str> = draft.kit().entries().iter().map(Entry::name).collect();
    assert_eq!(names, ["b", "c"]);
    assert_eq!(Kit::from_toml(&draft.to_string()).as_ref(), Ok(draft.kit()));
}

#[test]
fn a_file_is_made_where_there_is_none() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("not there").join("kit.toml");
    let file = KitFile::find(Some(&path)).unwrap();
    assert!(matches!(file.read(), Err(KitFileError::Read { .. })), "it was said, and is not there");
    file.change(|draft| draft.add(&input_box("our tuner", "1M"))).unwrap();
    assert_eq!(
        fs::read_to_string(&path).unwrap(),
        "version = 1\n\n[[box]]\nname = \"our tuner\"\ninput = \"1 MΩ\"\n"
    );
    assert_eq!(file.read().unwrap().entries().len(), 1);
    let there: Vec<_> =
        fs::read_dir(path.parent().unwrap()).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    assert_eq!(there, ["kit.toml"], "no lock and no temporary file is left");
    fs::write(&path, "").unwrap();
    file.change(|draft| draft.add(&input_box("our tuner", "1M"))).unwrap();
    assert_eq!(file.read().unwrap().entries().len(), 1, "an empty file is an empty kit");
}

/// Each of many runs at once finds its entry in the end.
#[test]
fn runs_at_once_lose_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("kit.toml");
    let letters = "abcdefgh";
    thread::scope(|scope| {
        for letter in letters.chars() {
            let path = &path;
            scope.spawn(move || {
                for number in ["one", "two", "three", "four", "five"] {
                    let file = KitFile::find(Some(path)).unwrap();
                    let entry = input_box(&format!("{number} of {letter}"), "1M");
                    file.change(|draft| draft.add(&entry)).unwrap();
                }
            });
        }
    });
    let kit = KitFile::find(Some(&path)).unwrap().read().unwrap();
    assert_eq!(kit.entries().len(), 5 * letters.len());
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
}

#[test]
fn what_is_no_kit_is_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("kit.toml");
    let file = KitFile::find(Some(&path)).unwrap();
    let hostile: [(&str, Vec<u8>); 6] = [
        ("no text", vec![0xff, 0xfe, 0x00, 0x41]),
        ("has at most", vec![b'#'; (1 << 20) + 1]),
        ("cannot read", b"[[box]\n".to_vec()),
        ("not known here", b"version = 1\n[[setup]]\nname = \"x\"\n".to_vec()),
        ("version is missing", b"[[box]]\nname = \"a\"\ninput = \"1M\"\n".to_vec()),
        ("control", b"version = 1\n\x00".to_vec()),
    ];
    for (told, bytes) in hostile {
        fs::write(&path, &bytes).unwrap();
        let error = file.read().unwrap_err().to_string();
        assert!(told == "control" || error.contains(told), "{error}\n and not\n{told}");
        assert!(error.starts_with(&path.display().to_string()), "{error}");
        assert!(file.change(|draft| draft.add(&input_box("a", "1M"))).is_err());
        assert_eq!(fs::read(&path).unwrap(), bytes);
    }
    fs::remove_file(&path).unwrap();
    fs::create_dir(&path).unwrap();
    for refused in [file.read().err(), file.change(|_| Ok(())).err()] {
        let refused = refused.unwrap().to_string();
        assert!(refused.ends_with("cannot read the kit: it is a folder"), "{refused}");
    }
}

#[cfg(not(unix))]
#[test]
#[ignore = "links and modes are those of Unix"]
fn a_link_stays_a_link_and_a_mode_stays_a_mode() {}

#[cfg(unix)]
#[test]
fn a_link_stays_a_link_and_a_mode_stays_a_mode() {
    use std::os::unix::fs::{PermissionsExt, symlink};
    let folder = tempfile::tempdir().unwrap();
    let (real, link) = (folder.path().join("real.toml"), folder.path().join("kit.toml"));
    fs::write(&real, OURS).unwrap();
    fs::set_permissions(&real, fs::Permissions::from_mode(0o640)).unwrap();
    symlink(&real, &link).unwrap();
    let file = KitFile::find(Some(&link)).unwrap();
    file.change(|draft| draft.remove("di")).unwrap();
    assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
    assert!(!fs::read_to_string(&real).unwrap().contains("\"di\""));
    assert_eq!(fs::metadata(&real).unwrap().permissions().mode() & 0o777, 0o640);
    fs::set_permissions(&real, fs::Permissions::from_mode(0o440)).unwrap();
    let error = file.change(|draft| draft.remove("bridge")).unwrap_err().to_string();
    assert!(error.contains("it may only be read"), "{error}");
}

/// What may be done to a kit, in any order.
#[derive(Debug, Clone)]
enum Step {
    Add(String, bool),
    Remove(String),
    Rename(String, String),
    Set(String, String),
}

fn steps() -> impl Strategy<Value = Vec<Step>> {
    let name = prop_oneof![
        Just("our tuner".to_owned()),
        Just("BRIDGE".to_owned()),
        Just("di".to_owned()),
        "[a-c]",
        "\\PC{0,12}"
    ];
    let step = prop_oneof![
        (name.clone(), any::<bool>()).prop_map(|(name, replaces)| Step::Add(name, replaces)),
        name.clone().prop_map(Step::Remove),
        (name.clone(), name.clone()).prop_map(|(name, new)| Step::Rename(name, new)),
        (name, prop_oneof![Just("1M"), Just("47p"), Just("none"), Just("4x")].prop_map(str::to_owned))
            .prop_map(|(name, value)| Step::Set(name, value)),
    ];
    prop::collection::vec(step, 0..12)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Whatever is done in whatever order: the file can be read and says what the draft says, what was refused changed nothing, and the comment
    /// at the head is there.
    #[test]
    fn any_changes_in_any_order_leave_a_kit(steps in steps()) {
        let mut draft = Draft::new(OURS).unwrap();
        for step in steps {
            let before = draft.to_string();
            let done = match &step {
                Step::Add(name, false) => draft.add(&input_box(name, "1M")),
                Step::Add(name, true) => draft.replace(&input_box(name, "2M2")),
                Step::Remove(name) => draft.remove(name),
                Step::Rename(name, new) => draft.rename(name, new),
                Step::Set(name, value) => draft.set(name, "capacitance", Some(value).filter(|value| *value != "none").map(String::as_str)),
            };
            let text = draft.to_string();
            prop_assert_eq!(Kit::from_toml(&text), Ok(draft.kit().clone()), "{}", text);
            prop_assert!(text.starts_with("# Everything that we own.\nversion = 1 # for ever\n"));
            if done.is_err() {
                prop_assert_eq!(text, before, "{:?}", step);
            }
        }
    }
}
