use std::fs;
use std::path::{Component, Path, PathBuf};

use anyhow::{Context, Result, bail, ensure};
use pulldown_cmark::{CodeBlockKind, CowStr, Event, HeadingLevel, Options, Parser, Tag, TagEnd, html};

use super::book::Book;
use super::picture;
use crate::paths;

/// One file of the guide.
#[derive(Clone)]
pub struct Chapter {
    /// Under the workspace's folder.
    pub path: PathBuf,
    pub title: String,
    pub text: String,
    /// What its headings are called in links, in order.
    headings: Vec<String>,
}

impl Chapter {
    /// Reads a file under the workspace's folder.
    pub fn read(path: &Path) -> Result<Self> {
        let text = fs::read_to_string(paths::root().join(path));
        let text = text.with_context(|| format!("{} cannot be read", path.display()))?.replace("\r\n", "\n");
        let titles = titles(&text);
        let title = titles.first().with_context(|| format!("{} has no title", path.display()))?.clone();
        let headings: Vec<String> = titles.iter().map(|title| slug(title)).collect();
        for (index, heading) in headings.iter().enumerate() {
            ensure!(!headings[..index].contains(heading), "{}: two headings '{heading}'", path.display());
        }
        Ok(Self { path: path.to_owned(), title, text, headings })
    }

    /// What the page calls it.
    pub fn id(&self) -> String {
        self.path.file_stem().unwrap_or_default().to_string_lossy().to_lowercase()
    }

    /// What the page calls a heading of it, or all of it.
    pub fn anchor(&self, heading: Option<&str>) -> Option<String> {
        match heading {
            Some(heading) if self.headings.first().is_none_or(|title| title != heading) => {
                let known = self.headings.iter().any(|known| known == heading);
                known.then(|| format!("{}-{heading}", self.id()))
            }
            _ => Some(self.id()),
        }
    }

    /// The file and the heading that a link in it leads to.
    pub fn target<'a>(&self, link: &'a str) -> Result<(PathBuf, Option<&'a str>)> {
        ensure!(!link.contains(':'), "it leads out of the guide");
        let (file, heading) =
            link.split_once('#').map_or((link, None), |(file, heading)| (file, Some(heading)));
        let mut path = self.path.clone();
        if !file.is_empty() {
            path.pop();
            for part in Path::new(file).components() {
                match part {
                    Component::ParentDir => ensure!(path.pop(), "it leads out of the project"),
                    Component::Normal(name) => path.push(name),
                    _ => bail!("it leads out of the project"),
                }
            }
        }
        Ok((path, heading))
    }

    /// Its part of the page.
    ///
    /// # Errors
    /// If a link or a picture leads nowhere.
    pub fn html(&self, book: &Book) -> Result<String> {
        let mut headings = self.headings.iter();
        let mut in_code = false;
        let mut events = Vec::new();
        for event in parser(&self.text) {
            match event {
                Event::Start(Tag::Heading { level, .. }) => {
                    let id = headings.next().and_then(|heading| self.anchor(Some(heading))).map(CowStr::from);
                    let (classes, attrs) = (Vec::new(), Vec::new());
                    events.push(Event::Start(Tag::Heading { level: lower(level), id, classes, attrs }));
                }
                Event::End(TagEnd::Heading(level)) => events.push(Event::End(TagEnd::Heading(lower(level)))),
                Event::Start(Tag::Link { dest_url, link_type, title, id }) => {
                    let dest_url = self.link(book, &dest_url)?.into();
                    events.push(Event::Start(Tag::Link { dest_url, link_type, title, id }));
                }
                Event::Start(Tag::Image { dest_url, link_type, title, id }) => {
                    let dest_url = picture::inlined(&self.target(&dest_url)?.0)?.into();
                    events.push(Event::Start(Tag::Image { dest_url, link_type, title, id }));
                }
                Event::Start(Tag::CodeBlock(kind)) => {
                    in_code = true;
                    events.push(Event::Html(code(&kind).into()));
                }
                Event::End(TagEnd::CodeBlock) => {
                    in_code = false;
                    events.push(Event::Html("</code></pre>\n".into()));
                }
                Event::Text(text) if in_code => events.extend(words(&text)),
                other => events.push(other),
            }
        }
        let mut text = String::new();
        html::push_html(&mut text, events.into_iter());
        Ok(text)
    }

    fn link(&self, book: &Book, link: &str) -> Result<String> {
        let (file, heading) = self.target(link).with_context(|| format!("the link to {link}"))?;
        let anchor = book.anchor(&file, heading);
        Ok(format!("#{}", anchor.with_context(|| format!("the link to {link} leads nowhere in the guide"))?))
    }
}

fn parser(text: &str) -> Parser<'_> {
    Parser::new_ext(text, Options::ENABLE_TABLES)
}

/// Of all headings, in order.
fn titles(text: &str) -> Vec<String> {
    let mut titles = Vec::new();
    let mut inside = false;
    for event in parser(text) {
        match event {
            Event::Start(Tag::Heading { .. }) => {
                inside = true;
                titles.push(String::new());
            }
            Event::End(TagEnd::Heading(_)) => inside = false,
            Event::Text(text) | Event::Code(text) if inside => {
                titles.last_mut().expect("a heading has begun").push_str(&text);
            }
            _ => {}
        }
    }
    titles
}

/// What a heading is called in links, as the usual viewers of Markdown call it: small letters, hyphens for spaces, no punctuation.
fn slug(title: &str) -> String {
    let kept = title.chars().filter(|c| c.is_alphanumeric() || matches!(c, ' ' | '-' | '_'));
    kept.collect::<String>().to_lowercase().replace(' ', "-")
}

/// The page has a title of its own above the chapters'.
fn lower(level: HeadingLevel) -> HeadingLevel {
    HeadingLevel::try_from(level as usize + 1).unwrap_or(HeadingLevel::H6)
}

/// What is printed looks otherwise than what is typed.
fn code(kind: &CodeBlockKind) -> &'static str {
    match kind {
        CodeBlockKind::Fenced(info) if &**info == "text" => "<pre class=\"printed\"><code>",
        _ => "<pre><code>",
    }
}

/// Text of code with words that have hyphens in them as wholes: browsers would end a line behind those of an option.
fn words<'a>(text: &str) -> Vec<Event<'a>> {
    let mut events = Vec::new();
    for piece in text.split_inclusive(char::is_whitespace) {
        let word = piece.trim_end();
        let text = |text: &str| Event::Text(text.to_owned().into());
        if word.contains('-') {
            let (begin, end) = (Event::InlineHtml("<span>".into()), Event::InlineHtml("</span>".into()));
            events.extend([begin, text(word), end, text(&piece[word.len()..])]);
        } else {
            events.push(text(piece));
        }
    }
    events
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chapter(text: &str) -> Chapter {
        let headings = titles(text).iter().map(|title| slug(title)).collect();
        Chapter {
            path: "docs/guide/doors.md".into(),
            title: "Doors".to_owned(),
            text: text.to_owned(),
            headings,
        }
    }

    #[test]
    fn headings_have_the_names_that_viewers_of_markdown_give_them() {
        assert_eq!(slug("Ask for: what?"), "ask-for-what");
        assert_eq!(slug("No `render`, no sound"), "no-render-no-sound");
        assert_eq!(titles("# One\n\ntext\n\n## Two `three`\n"), ["One", "Two three"]);
    }

    #[test]
    fn links_lead_where_the_file_is() {
        let chapter = chapter("# Doors\n");
        let target = |link| chapter.target(link).map(|(file, heading)| (file.display().to_string(), heading));
        assert_eq!(target("words.md#thru").unwrap(), ("docs/guide/words.md".to_owned(), Some("thru")));
        assert_eq!(target("../setups.md").unwrap(), ("docs/setups.md".to_owned(), None));
        assert_eq!(target("#title").unwrap(), ("docs/guide/doors.md".to_owned(), Some("title")));
        for outside in ["https://example.org", "../../../elsewhere.md", "/etc/hosts"] {
            assert!(target(outside).is_err(), "{outside}");
        }
    }

    #[test]
    fn anchors_are_those_that_are_there() {
        let chapter = chapter("# Doors\n\n## The tuner\n");
        assert_eq!(chapter.anchor(None).as_deref(), Some("doors"));
        assert_eq!(chapter.anchor(Some("doors")).as_deref(), Some("doors"));
        assert_eq!(chapter.anchor(Some("the-tuner")).as_deref(), Some("doors-the-tuner"));
        assert_eq!(chapter.anchor(Some("the-amplifier")), None);
    }

    #[test]
    fn what_leads_nowhere_is_refused() {
        let refused = |text: &str, reason: &str| {
            let chapter = chapter(text);
            let error = chapter.html(&Book::of(vec![chapter.clone()])).unwrap_err();
            assert!(format!("{error:#}").contains(reason), "{error:#}");
        };
        refused("# Doors\n\n[words](words.md)\n", "the link to words.md leads nowhere in the guide");
        refused("# Doors\n\n[there](#the-combo)\n", "the link to #the-combo leads nowhere in the guide");
        refused("# Doors\n\n[out](https://example.org)\n", "it leads out of the guide");
        refused("# Doors\n\n![none](pictures/none.png)\n", "there is no picture");
        refused("# Doors\n\n![kind](pictures/none.gif)\n", "accepted are pictures in .png and .svg");
    }

    #[test]
    fn headings_links_and_options_are_what_a_page_has_of_them() {
        let chapter = chapter("# Doors\n\n## The tuner\n\n[up](#the-tuner)\n\n```sh\na --b\n```\n");
        let html = chapter.html(&Book::of(vec![chapter.clone()])).unwrap();
        let parts = [
            "<h2 id=\"doors\">Doors</h2>",
            "<h3 id=\"doors-the-tuner\">The tuner</h3>",
            "<a href=\"#doors-the-tuner\">up</a>",
            "<pre><code>a <span>--b</span>\n</code></pre>",
        ];
        for part in parts {
            assert!(html.contains(part), "{html}");
        }
    }
}
