//! Tests that only some systems can run. Elsewhere the harness counts them as ignored, and says why: a run that shows nothing but passes has
//! passed everything.

/// One test in the place of those of a file, wherever `cfg` does not hold; and that every file with such tests is told.
macro_rules! elsewhere {
    ($($name:ident, $file:literal, $cfg:meta, $reason:literal;)*) => {
        $(
            #[cfg(not($cfg))]
            #[test]
            #[ignore = $reason]
            fn $name() {
                unreachable!("it cannot run here");
            }
        )*

        /// Files whose tests depend on the system, by their sources.
        #[cfg(target_os = "linux")]
        #[test]
        fn every_file_is_told() {
            let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests");
            let told = [$($file),*].map(|file| folder.join(file));
            let mut folders = vec![folder];
            let mut gated = Vec::new();
            while let Some(folder) = folders.pop() {
                for entry in std::fs::read_dir(folder).unwrap() {
                    let path = entry.unwrap().path();
                    if path.is_dir() {
                        folders.push(path);
                    } else if std::fs::read_to_string(&path).is_ok_and(|text| gates::is_gated(&text)) {
                        gated.push(path);
                    }
                }
            }
            gated.sort();
            let mut told = told.to_vec();
            told.sort();
            assert_eq!(gated, told);
        }
    };
}

/// Whether a line asks for a system.
#[cfg(target_os = "linux")]
pub fn is_gated(text: &str) -> bool {
    let systems = ["unix", "windows", "target_os"];
    let asks = |line: &str| {
        let line = line.trim_start();
        (line.starts_with("#[cfg(") || line.starts_with("#![cfg("))
            && systems.iter().any(|name| line.contains(name))
    };
    text.lines().any(asks)
}
