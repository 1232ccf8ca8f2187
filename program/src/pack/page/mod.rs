//! The page: one file that has everything in it.

mod about;
mod policy;

use std::io::{self, BufWriter, Write};

use askama::Template;
use base64::engine::general_purpose::STANDARD;
use base64::write::EncoderWriter;
use firstjack_words::Words;

use super::sound::Encoded;
use crate::format::Sections;
use crate::style::custom_properties;

pub use about::About;

/// The page's, and what the crew note adds.
const RULES: &str = concat!(include_str!("style.css"), include_str!("../../note/note.css"));

/// All of the script, in this order: what others build on first, what begins last.
const SCRIPTS: &[&str] = &[
    include_str!("script/words.js"),
    include_str!("script/element.js"),
    include_str!("script/base64.js"),
    include_str!("script/sequence.js"),
    include_str!("script/chance.js"),
    include_str!("script/answers.js"),
    include_str!("script/sounds.js"),
    include_str!("script/mixer.js"),
    include_str!("script/transport.js"),
    include_str!("script/waveform.js"),
    include_str!("script/choices.js"),
    include_str!("script/bar.js"),
    include_str!("script/player.js"),
    include_str!("script/sections.js"),
    include_str!("script/folds.js"),
    include_str!("script/keys.js"),
    include_str!("script/codes.js"),
    include_str!("script/store.js"),
    include_str!("script/result.js"),
    include_str!("script/kept.js"),
    include_str!("script/ranking.js"),
    include_str!("script/abx.js"),
    include_str!("script/vote.js"),
    include_str!("script/start.js"),
];

/// Sections whose markup the script makes.
const FILLED_BY_SCRIPT: [&str; 2] = ["player", "vote"];

/// Sections that are in sight without being asked for: to hear, to vote, what it means. The rest is folded.
const UNFOLDED: [&str; 3] = ["player", "vote", "verdicts"];

/// What is wanted in a hurry and lies further down: links to these stand on top.
const LINKED: [&str; 3] = ["vote", "rescue", "note"];

/// What follows the sounds; the template leaves off before them.
const END: &[u8] = b"</body>\n</html>\n";

/// What `page.html` is made of.
#[derive(Template)]
#[template(path = "pack/page/page.html")]
struct Page<'a> {
    language: &'a str,
    title: &'a str,
    subtitle: &'a str,
    /// The Content-Security-Policy.
    policy: &'a str,
    style: &'a str,
    script: &'a str,
    /// JSON, escaped for a script block.
    data: &'a str,
    sections: Vec<Section<'a>>,
    /// In sight on a blind page too.
    cautions: [&'static str; 4],
    words: &'a Words,
}

/// A part of the page with a heading.
struct Section<'a> {
    id: &'static str,
    heading: &'a str,
    /// Markup, which the script fills in where it is empty.
    body: &'a str,
    /// Until the script has something to show.
    hidden: bool,
}

impl Section<'_> {
    fn is_folded(&self) -> bool {
        !UNFOLDED.contains(&self.id)
    }

    fn is_linked(&self) -> bool {
        LINKED.contains(&self.id)
    }
}

/// A page without its sounds.
pub struct Markup {
    pub title: String,
    pub subtitle: String,
    /// JSON as [`crate::format::json`] writes it.
    pub data: String,
    pub cautions: [&'static str; 4],
    /// `None` on a page that is made blind.
    pub sections: Option<Sections>,
}

impl Markup {
    /// Writes the page with its sounds: `order` says which sound goes into which block.
    pub fn write(
        &self,
        words: &Words,
        order: &[usize],
        sounds: &[Encoded],
        to: &mut impl Write,
    ) -> io::Result<()> {
        let mut out = BufWriter::new(to);
        out.write_all(self.html(words).map_err(io::Error::other)?.as_bytes())?;
        for (number, index) in order.iter().enumerate() {
            write!(out, "<script type=\"text/plain\" id=\"sound-{number}\">")?;
            let mut base64 = EncoderWriter::new(&mut out, &STANDARD);
            sounds[*index].each_piece(|piece| base64.write_all(piece))?;
            base64.finish()?;
            drop(base64);
            out.write_all(b"</script>\n")?;
        }
        out.write_all(END)?;
        out.flush()
    }

    fn html(&self, words: &Words) -> askama::Result<String> {
        self.with(words, &script(), &style())
    }

    fn with(&self, words: &Words, script: &str, style: &str) -> askama::Result<String> {
        let (script, style) = (policy::parsed(script), policy::parsed(style));
        let page = Page {
            language: words.language(),
            title: &self.title,
            subtitle: &self.subtitle,
            policy: &policy::policy(&script, &style),
            style: &style,
            script: &script,
            data: &self.data,
            sections: self.sections(words),
            cautions: self.cautions,
            words,
        };
        page.render()
    }

    /// In the order of the page: the sounds, the vote, what it comes down to, then what is behind it and what to take along.
    fn sections<'a>(&'a self, words: &'a Words) -> Vec<Section<'a>> {
        let of =
            |body: fn(&Sections) -> &String| self.sections.as_ref().map_or("", |sections| body(sections));
        let parts = [
            ("player", ""),
            ("vote", ""),
            ("verdicts", of(|sections| &sections.verdicts)),
            ("curves", of(|sections| &sections.curves)),
            ("strings", of(|sections| &sections.strings)),
            ("rescue", of(|sections| &sections.rescue)),
            ("note", of(|sections| &sections.note)),
            ("about", of(|sections| &sections.about)),
        ];
        let section = |(id, body): (&'static str, &'a str)| Section {
            id,
            heading: words.get(&format!("page.{id}")),
            body,
            hidden: body.is_empty() && !FILLED_BY_SCRIPT.contains(&id),
        };
        parts.map(section).into()
    }
}

/// All of the script in one function, so that nothing of it is anybody else's.
fn script() -> String {
    format!("(function () {{\n'use strict';\n{}}})();\n", SCRIPTS.concat())
}

/// All of the style.
fn style() -> String {
    format!("{}{RULES}", custom_properties())
}

#[cfg(test)]
mod tests {
    use base64::Engine;
    use sha2::{Digest, Sha256};

    use super::*;

    /// What would end a block early, or change it on its way through a parser.
    #[test]
    fn script_and_style_can_stand_in_their_blocks() {
        for text in [script(), style()] {
            let lower = text.to_lowercase();
            assert!(!lower.contains("</") && !lower.contains("<!--") && !lower.contains("<script"), "{text}");
            assert!(!text.contains('\0'));
        }
    }

    /// What stands between the tags is what a browser hashes, wherever it was checked out: SHA-256 of it (CSP Level 3), by the `sha2` crate.
    #[test]
    fn hashes_match_however_lines_end() {
        let markup = Markup {
            title: String::new(),
            subtitle: String::new(),
            data: String::new(),
            cautions: [""; 4],
            sections: None,
        };
        let words = Words::ENGLISH;
        let page = |end: &str| {
            let [script, style] = [script(), style()].map(|text| policy::parsed(&text).replace('\n', end));
            markup.with(&words, &script, &style).unwrap()
        };
        for end in ["\n", "\r\n", "\r"] {
            let page = page(end).replace("&#39;", "'");
            for (begin, end, directive) in
                [("<script>", "</script>", "script-src"), ("<style>", "</style>", "style-src")]
            {
                let text = page.split_once(begin).unwrap().1.split_once(end).unwrap().0;
                assert!(text.lines().count() > 100 && !text.contains('\r'));
                let hash = STANDARD.encode(Sha256::digest(text));
                assert!(page.contains(&format!("{directive} 'sha256-{hash}'")), "{directive}");
            }
        }
    }
}
