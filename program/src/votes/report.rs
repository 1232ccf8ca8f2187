//! What votes come to, for people and for scripts.

use std::fmt;

use anstyle::Style;
use serde::Serialize;
use unicode_width::UnicodeWidthStr;

use super::abx::{self, Pair, Tally};
use super::gather::Gathered;
use super::ranking::{self, Labelled, Orders, Ranked, Rankings, Rescued, Sent};
use super::words::{self, chance, counted, listed, p_is, percent};
use crate::format::{Kind, Page};

/// The JSON's fields.
#[derive(Serialize)]
pub struct Report {
    pack: String,
    /// One a pair that was tried, and one of the rankings.
    verdicts: Vec<String>,
    abx: Vec<Pair>,
    ranking: Option<Rankings>,
    /// What was made of answers that belong together.
    notes: Vec<String>,
    /// What only who gathers them can know.
    questions: Vec<String>,
    /// What may be concluded, and what not.
    conclusions: Vec<String>,
    refused: Vec<Refusal>,
}

#[derive(Serialize)]
struct Refusal {
    file: String,
    line: Option<usize>,
    problem: String,
}

impl Report {
    pub fn new(gathered: &Gathered, page: &Page) -> Self {
        let abx = abx::pairs(gathered, page);
        let ranking = ranking::rankings(gathered, page);
        let mut verdicts: Vec<String> = abx.iter().map(words::of_pair).collect();
        verdicts.extend(ranking.as_ref().map(words::of_rankings));
        let same_names = ranking.iter().flat_map(|rankings| &rankings.same_names);
        let questions = same_names.map(words::about_same_name).collect();
        let mut conclusions = Vec::new();
        if !abx.is_empty() {
            conclusions.extend(words::about_pairs(&abx));
        }
        conclusions.extend(ranking.iter().flat_map(words::about_rankings));
        conclusions.extend(words::about_votes().map(str::to_owned));
        let refusal = |refused: &super::gather::Refused| Refusal {
            file: refused.file.clone(),
            line: refused.line,
            problem: refused.problem.to_string(),
        };
        Self {
            pack: page.pack.clone(),
            verdicts,
            abx,
            ranking,
            notes: gathered.notes.clone(),
            questions,
            conclusions,
            refused: gathered.refused.iter().map(refusal).collect(),
        }
    }

    pub fn json(&self) -> String {
        crate::stdout::json(self)
    }
}

impl fmt::Display for Report {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let bold = Style::new().bold();
        self.verdicts.iter().try_for_each(|verdict| writeln!(f, "{bold}{verdict}{bold:#}"))?;
        self.abx.iter().try_for_each(|pair| pair.fmt(f))?;
        self.ranking.iter().try_for_each(|ranking| ranking.fmt(f))?;
        if !self.notes.is_empty() || !self.questions.is_empty() {
            writeln!(f, "\nwhat came in")?;
            self.notes.iter().chain(&self.questions).try_for_each(|note| writeln!(f, "  {note}"))?;
        }
        writeln!(f, "\nwhat may be concluded")?;
        self.conclusions.iter().try_for_each(|sentence| writeln!(f, "  {sentence}"))
    }
}

impl fmt::Display for Pair {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        const TOGETHER: &str = "all together";
        let names = self.listeners.iter().map(|one| one.listener.as_str());
        let width = width(names.chain([TOGETHER]));
        let [a, b] = &self.sounds;
        writeln!(f, "\n  {} or {}", a.name, b.name)?;
        let columns = columns(["right of trials", "p", "by Holm", "right, 95 %"]);
        writeln!(f, "    {}  {columns}", padded("listener", width))?;
        for one in &self.listeners {
            let runs = if one.runs > 1 { format!("  {} runs", one.runs) } else { String::new() };
            writeln!(f, "    {}  {}{runs}", padded(&one.listener, width), line(&one.tally))?;
        }
        writeln!(f, "    {}  {}", padded(TOGETHER, width), line(&self.together))
    }
}

fn line(tally: &Tally) -> String {
    let Tally { right, trials, p, p_holm, .. } = tally;
    columns([&format!("{right} of {trials}"), &chance(*p), &chance(*p_holm), &percent(tally)])
}

/// Figures, and what stands above them.
fn columns([right, p, p_holm, interval]: [&str; 4]) -> String {
    format!("{right:>15}  {p:>9}  {p_holm:>9}  {interval:>13}")
}

/// Columns of a terminal that the widest of these takes.
fn width<'a>(names: impl Iterator<Item = &'a str>) -> usize {
    names.map(UnicodeWidthStr::width).max().unwrap_or(0)
}

/// So wide on a terminal, where letters of some scripts take two columns and marks none.
fn padded(name: &str, width: usize) -> String {
    format!("{name}{}", " ".repeat(width.saturating_sub(name.width())))
}

impl fmt::Display for Rankings {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.all.fmt(f)?;
        if !self.doubtful.is_empty() {
            let names: Vec<&str> = self.doubtful.iter().map(String::as_str).collect();
            writeln!(
                f,
                "\n  put the anchor, made to be worse, before the take as recorded: {}",
                listed(&names)
            )?;
            writeln!(
                f,
                "  taste or an oversight (screening in the spirit of ITU-R BS.1534). Above they count; without them:"
            )?;
            match &self.without_doubtful {
                Some(orders) => orders.fmt(f)?,
                None => writeln!(f, "  nobody is left")?,
            }
        }
        writeln!(f, "\n  as each one ranked, best first, with the page's numbers")?;
        self.sent.iter().try_for_each(|sent| sent.fmt(f))
    }
}

impl fmt::Display for Orders {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let title = format!("order of {}", counted(self.listeners, "listener"));
        let rescued = self.rescued.iter().map(|rescued| &rescued.ranked);
        let names = self.candidates.iter().chain(rescued).map(|ranked| ranked.sound.name.as_str());
        let width = width(names.chain([title.as_str()]));
        writeln!(f, "\n  {}  mean rank", padded(&title, width))?;
        let line =
            |ranked: &Ranked| format!("  {}  {:9.2}", padded(&ranked.sound.name, width), ranked.mean_rank);
        self.candidates.iter().try_for_each(|ranked| writeln!(f, "{}", line(ranked)))?;
        for Rescued { ranked, .. } in &self.rescued {
            writeln!(f, "{}  put among the setups without being one", line(ranked))?;
        }
        let screens = |ranked: &&Ranked| matches!(ranked.sound.kind, Kind::Recorded | Kind::Anchor);
        let others: Vec<String> = self
            .sounds
            .iter()
            .filter(screens)
            .map(|ranked| format!("{} {:.2}", ranked.sound.name, ranked.mean_rank))
            .collect();
        if !others.is_empty() {
            writeln!(
                f,
                "  only there to screen listeners, mean place among all {}: {}",
                self.sounds.len(),
                others.join(", ")
            )?;
        }
        if let Some(test) = &self.friedman {
            let how = test.draws.map_or("counted".to_owned(), |draws| format!("{draws} draws"));
            writeln!(
                f,
                "  Friedman: {} ({how}); chi-square {:.2}, {} of freedom, {}; Kendall's W {:.2}",
                p_is(test.p),
                test.chi_square,
                counted(test.degrees as usize, "degree"),
                p_is(test.p_chi_square),
                test.kendalls_w
            )?;
        }
        self.fmt_pairs(f)
    }
}

impl Orders {
    fn fmt_pairs(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.listeners < 2 || self.pairs.is_empty() {
            return Ok(());
        }
        let mut out = self.pairs.iter().filter(|pair| pair.comes_out()).peekable();
        if out.peek().is_none() {
            return writeln!(f, "  pairs, sign test by Holm: none of {} comes out", self.pairs.len());
        }
        writeln!(f, "  pairs, sign test by Holm: of {} come out", self.pairs.len())?;
        out.try_for_each(|pair| writeln!(f, "    {}", words::preferred(pair)))
    }
}

impl fmt::Display for Sent {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sound = |Labelled { sound, label }: &Labelled| format!("{} ({label})", sound.name);
        let sounds: Vec<String> = self.order.iter().map(sound).collect();
        writeln!(f, "    {}: {}", self.listener, sounds.join(", "))
    }
}
