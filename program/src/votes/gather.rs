//! Answers of many files become those that count, each once and with its listener.

use super::answer::{Answer, AnswerError, Place, Vote};
use super::find;
use super::page::Page;

/// What came in.
#[derive(Debug, Default)]
pub struct Gathered {
    /// Who sent something that counts.
    pub listeners: Vec<String>,
    /// What counts, each with its listener, counted as above.
    pub answers: Vec<(usize, Answer)>,
    /// What was made of answers that belong together.
    pub notes: Vec<String>,
    /// What does not count.
    pub refused: Vec<Refused>,
}

/// Something that does not count.
#[derive(Debug)]
pub struct Refused {
    pub file: String,
    /// Counted from one; `None` if it is the whole file.
    pub line: Option<usize>,
    pub problem: AnswerError,
}

impl Gathered {
    /// Takes what a file holds.
    pub fn file(&mut self, file: &str, text: std::io::Result<Vec<u8>>, page: &Page) {
        let text = match text {
            Ok(bytes) => String::from_utf8_lossy(&bytes).into_owned(),
            Err(error) => return self.refuse(file, None, error.into()),
        };
        let found = find::all(&text);
        if found.is_empty() {
            self.refuse(file, None, AnswerError::Nothing);
        }
        for found in found {
            let place = Place { file: file.to_owned(), line: found.line };
            let answer = found.answer.and_then(|json| Answer::new(place, &json, page));
            if let Err(problem) = answer.and_then(|answer| self.take(answer)) {
                self.refuse(file, Some(found.line), problem);
            }
        }
    }

    fn refuse(&mut self, file: &str, line: Option<usize>, problem: AnswerError) {
        self.refused.push(Refused { file: file.to_owned(), line, problem });
    }

    fn take(&mut self, answer: Answer) -> Result<(), AnswerError> {
        let before = self.answers.iter_mut().find_map(|(_, before)| Some((shared(before, &answer)?, before)));
        match before {
            None => {
                let listener = self.listener(&answer);
                self.answers.push((listener, answer));
            }
            Some((Shared::Nothing, before)) => {
                return Err(AnswerError::SameSeed { first: before.place.to_string() });
            }
            Some((shared, before)) => {
                let (again, first) = (&answer.place, &before.place);
                let also = if answer.listener == before.listener {
                    String::new()
                } else {
                    format!(", though its name is {}: it counts as {}'s", named(&answer), named(before))
                };
                self.notes.push(match shared {
                    Shared::All => format!("{again} is the answer at {first} again: it counts once{also}."),
                    _ => format!(
                        "{again} and {first} are one run, cut at different trials: the longer counts{also}."
                    ),
                });
                if matches!(shared, Shared::Beginning) {
                    before.vote = answer.vote;
                }
            }
        }
        Ok(())
    }

    /// Who sent it. Without a name the seed has to do.
    fn listener(&mut self, answer: &Answer) -> usize {
        let name = named(answer);
        let same = |listener: &String| listener.to_lowercase() == name.to_lowercase();
        self.listeners.iter().position(same).unwrap_or_else(|| {
            if answer.listener.is_empty() {
                self.notes.push(format!("{} has no name: it counts as one more listener.", answer.place));
            }
            self.listeners.push(name);
            self.listeners.len() - 1
        })
    }
}

fn named(answer: &Answer) -> String {
    if answer.listener.is_empty() { format!("unnamed {:08x}", answer.seed) } else { answer.listener.clone() }
}

/// What two answers from one seed have in common.
enum Shared {
    All,
    /// The first is the beginning of the second, ...
    Beginning,
    /// ... or the second of the first.
    End,
    Nothing,
}

/// `None` if they have nothing to do with each other.
fn shared(before: &Answer, answer: &Answer) -> Option<Shared> {
    if before.seed != answer.seed {
        return None;
    }
    match (&before.vote, &answer.vote) {
        (first, second) if first == second => Some(Shared::All),
        (Vote::Abx { sounds, said_b: first }, Vote::Abx { sounds: others, said_b: second })
            if sounds.iter().all(|sound| others.contains(sound)) =>
        {
            if sounds == others && second.starts_with(first) {
                Some(Shared::Beginning)
            } else if sounds == others && first.starts_with(second) {
                Some(Shared::End)
            } else {
                Some(Shared::Nothing)
            }
        }
        _ => None,
    }
}
