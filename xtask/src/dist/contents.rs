//! What is in each archive, and where.

use anyhow::{Context, Result};

use super::archive::{gz, sha256};
use super::release::{Release, VERSION};
use super::tree::Tree;
use crate::paths;

const README: &str = include_str!("files/README.txt");
const ON_LINUX: &str = include_str!("files/install-linux.txt");
const ON_WINDOWS: &str = include_str!("files/install-windows.txt");
const INSTALL: &str = include_str!("files/install");
const UNINSTALL: &str = include_str!("files/uninstall");
const INSTALL_CMD: &str = include_str!("files/install.cmd");
const UNINSTALL_CMD: &str = include_str!("files/uninstall.cmd");

/// What every archive has, whatever it is for.
#[derive(Debug)]
pub struct Common {
    pub release: Release,
    /// One HTML file.
    pub guide: Vec<u8>,
    /// Of everything inside, with versions.
    pub licences: String,
}

/// What was built for Linux.
#[derive(Debug)]
pub struct Linux {
    pub program: Vec<u8>,
    pub plugin: Vec<u8>,
    pub manual: String,
    pub bash: String,
    pub zsh: String,
    pub fish: String,
}

/// The archive that `install` lies in, which takes its files from a list with their checksums.
pub fn linux(common: &Common, built: &Linux) -> Result<Tree> {
    let mut tree = Tree::default();
    common.add_to(&mut tree, "Linux on x86_64", ON_LINUX)?;
    tree.add_program("bin/firstjack", built.program.clone());
    tree.add("Firstjack.clap", built.plugin.clone());
    tree.add("Firstjack.vst3/Contents/x86_64-linux/Firstjack.so", built.plugin.clone());
    tree.add("share/man/man1/firstjack.1", built.manual.clone());
    tree.add("share/bash-completion/completions/firstjack", built.bash.clone());
    tree.add("share/zsh/site-functions/_firstjack", built.zsh.clone());
    tree.add("share/fish/vendor_completions.d/firstjack.fish", built.fish.clone());
    tree.add_program("uninstall", UNINSTALL);
    let sums = tree.files().map(|(path, file)| format!("{}  {path}\n", sha256(&file.bytes)));
    let sums = sums.collect::<String>();
    tree.add("files.sha256", sums);
    tree.add_program("install", INSTALL);
    Ok(tree)
}

/// The package's files by their paths from the root on.
pub fn debian(common: &Common, built: &Linux) -> Result<Tree> {
    let mut tree = Tree::default();
    let documents = "usr/share/doc/firstjack";
    tree.add_program("usr/bin/firstjack", built.program.clone());
    tree.add("usr/lib/clap/Firstjack.clap", built.plugin.clone());
    tree.add("usr/lib/vst3/Firstjack.vst3/Contents/x86_64-linux/Firstjack.so", built.plugin.clone());
    tree.add_from("usr/share/firstjack/presets", &paths::root().join("presets"))?;
    tree.add("usr/share/man/man1/firstjack.1.gz", gz(built.manual.as_bytes())?);
    tree.add("usr/share/bash-completion/completions/firstjack", built.bash.clone());
    tree.add("usr/share/zsh/vendor-completions/_firstjack", built.zsh.clone());
    tree.add("usr/share/fish/vendor_completions.d/firstjack.fish", built.fish.clone());
    tree.add(format!("{documents}/guide.html"), common.guide.clone());
    let licence = read("LICENSE")?;
    let inside = "What it is made of, with licences and versions, is in LICENCES.txt.gz.";
    tree.add(format!("{documents}/copyright"), format!("{licence}\nThe Apache License, Version 2.0, is at /usr/share/common-licenses/Apache-2.0.\n\n{inside}\n"));
    tree.add(format!("{documents}/LICENCES.txt.gz"), gz(common.licences.as_bytes())?);
    tree.add(format!("{documents}/NEWS.md.gz"), gz(read("CHANGELOG.md")?.as_bytes())?);
    tree.add(format!("{documents}/changelog.gz"), gz(common.changelog().as_bytes())?);
    Ok(tree)
}

/// The archive that `install.cmd` lies in, of a folder with the program and the plugin. Both bundles are one file, and a zip archive has no links:
/// CLAP's is what `install.cmd` makes of VST3's.
pub fn windows(common: &Common, built: &std::path::Path) -> Result<Tree> {
    let mut tree = Tree::default();
    common.add_to(&mut tree, "Windows on x86_64", ON_WINDOWS)?;
    for name in ["firstjack.exe", "Firstjack.vst3"] {
        tree.add_from(name, &built.join(name))?;
    }
    let presets =
        tree.files().filter_map(|(path, _)| path.strip_prefix("presets/")).collect::<Vec<_>>().join(" ");
    let scripts = [("install.cmd", INSTALL_CMD), ("uninstall.cmd", UNINSTALL_CMD)];
    for (name, script) in scripts {
        tree.add(name, with_crlf(&script.replace("@PRESETS@", &presets)));
    }
    Ok(tree)
}

impl Common {
    fn add_to(&self, tree: &mut Tree, system: &str, install: &str) -> Result<()> {
        let Release { commit, day, .. } = &self.release;
        let words = [
            ("@VERSION@", VERSION),
            ("@SYSTEM@", system),
            ("@INSTALL@", install.trim_end()),
            ("@COMMIT@", commit),
            ("@DATE@", day),
        ];
        let readme = words.iter().fold(README.to_owned(), |text, (name, value)| text.replace(name, value));
        let ends = if system.starts_with("Windows") { with_crlf } else { str::to_owned };
        tree.add("README.txt", ends(&readme));
        tree.add("CHANGELOG.md", ends(&read("CHANGELOG.md")?));
        tree.add("LICENSE", ends(&read("LICENSE")?));
        tree.add("LICENCES.txt", ends(&self.licences));
        tree.add("guide.html", self.guide.clone());
        tree.add_from("presets", &paths::root().join("presets"))
    }

    /// As Debian has it, whose own readers go no further back than the package.
    fn changelog(&self) -> String {
        format!(
            "firstjack ({VERSION}) unstable; urgency=medium\n\n  * What a user notices is told in NEWS.md.gz.\n\n -- {}  {}\n",
            super::deb::MAINTAINER,
            self.release.date
        )
    }
}

fn read(name: &str) -> Result<String> {
    std::fs::read_to_string(paths::root().join(name)).with_context(|| format!("{name} is missing"))
}

/// As programs of Windows expect lines to end.
fn with_crlf(text: &str) -> String {
    text.replace("\r\n", "\n").replace('\n', "\r\n")
}
