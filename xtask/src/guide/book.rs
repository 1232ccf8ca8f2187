use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, ensure};
use pulldown_cmark::{Event, LinkType, Parser, Tag, TagEnd, html};

use super::chapter::Chapter;
use crate::paths;

/// All chapters, in order.
pub struct Book {
    chapters: Vec<Chapter>,
}

impl Book {
    /// The page at `first`, under the workspace's folder, and every chapter that it names, in that order.
    ///
    /// # Errors
    /// If one cannot be read, or the folder has one that the page does not name.
    pub fn open(first: &str) -> Result<Self> {
        let first = Chapter::read(Path::new(first))?;
        let named = named(&first)?;
        let folder = first.path.parent().unwrap_or(Path::new(""));
        for entry in fs::read_dir(paths::root().join(folder))? {
            let path = folder.join(entry?.file_name());
            let is_chapter = path.extension().is_some_and(|ending| ending == "md");
            ensure!(
                !is_chapter || path == first.path || named.contains(&path),
                "{} does not name {}",
                first.path.display(),
                path.display()
            );
        }
        let rest = named.iter().map(|path| Chapter::read(path)).collect::<Result<Vec<_>>>()?;
        Ok(Self { chapters: [vec![first], rest].concat() })
    }

    #[cfg(test)]
    pub fn of(chapters: Vec<Chapter>) -> Self {
        Self { chapters }
    }

    pub fn chapters(&self) -> &[Chapter] {
        &self.chapters
    }

    /// What a link to a file, and a heading in it, leads to.
    pub fn anchor(&self, file: &Path, heading: Option<&str>) -> Option<String> {
        let chapter = self.chapters.iter().find(|chapter| chapter.path == file)?;
        chapter.anchor(heading)
    }

    /// Items of a list, one a chapter.
    pub fn contents(&self) -> String {
        let mut list = String::new();
        for chapter in &self.chapters[1..] {
            let link = Tag::Link {
                link_type: LinkType::Inline,
                dest_url: format!("#{}", chapter.id()).into(),
                title: "".into(),
                id: "".into(),
            };
            let title = Event::Text(chapter.title.as_str().into());
            let item = [
                Event::Start(Tag::Item),
                Event::Start(link),
                title,
                Event::End(TagEnd::Link),
                Event::End(TagEnd::Item),
            ];
            html::push_html(&mut list, item.into_iter());
        }
        list
    }
}

/// The files that a page links to, as paths under the workspace's folder, in order and once.
fn named(page: &Chapter) -> Result<Vec<PathBuf>> {
    let mut named = Vec::new();
    for event in Parser::new(&page.text) {
        let Event::Start(Tag::Link { dest_url, .. }) = event else { continue };
        let (file, _) =
            page.target(&dest_url).with_context(|| format!("{}: {dest_url}", page.path.display()))?;
        if !named.contains(&file) {
            named.push(file);
        }
    }
    Ok(named)
}
