//! Answers of many files become those that count, each once and with its listener.

use std::collections::{HashMap, HashSet};
use std::fmt;

use crate::format::{self, Answer, AnswerError, Page, Vote};

/// What came in.
#[derive(Debug, Default)]
pub struct Gathered {
    /// Who sent something that counts.
    pub listeners: Vec<Listener>,
    /// What counts.
    pub answers: Vec<Counted>,
    /// What was made of answers that belong together.
    pub notes: Vec<String>,
    /// What does not count.
    pub refused: Vec<Refused>,
    /// Names, in small letters, whose ballots are each another listener's.
    apart: HashSet<String>,
    /// Whose the names are, in small letters.
    named: HashMap<String, usize>,
    /// How many listeners were given a number behind such a name.
    numbered: HashMap<String, usize>,
    /// Where what makes two answers one was seen first, counted as above.
    known: HashMap<Trait, usize>,
}

/// A listener.
#[derive(Debug)]
pub struct Listener {
    /// As it is shown.
    pub name: String,
    /// Whether the listener gave a name.
    pub is_named: bool,
}

/// An answer that counts.
#[derive(Debug)]
pub struct Counted {
    /// Counted as in [`Gathered::listeners`].
    pub listener: usize,
    pub place: Place,
    pub answer: Answer,
}

/// Where an answer stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    pub file: String,
    /// Counted from one.
    pub line: usize,
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}", self.file, self.line)
    }
}

/// Something that does not count.
#[derive(Debug)]
pub struct Refused {
    pub file: String,
    /// Counted from one; `None` if it is the whole file.
    pub line: Option<usize>,
    pub problem: AnswerError,
}

/// What makes two answers one.
#[derive(Debug, PartialEq, Eq, Hash)]
enum Trait {
    /// Its identity.
    Ballot(u64),
    /// The seed of a run and its pair: what X is follows from them, and every run begins with a seed of its own.
    Run(u32, [usize; 2]),
    /// A ranking without an identity, by its name in small letters: listeners at one page had one seed.
    Order(u32, Vec<usize>, String),
}

impl Trait {
    fn of(answer: &Answer) -> Vec<Self> {
        let identity = answer.ballot.map(Self::Ballot);
        let vote = match &answer.vote {
            Vote::Abx { sounds: [a, b], .. } => Some(Self::Run(answer.seed, [*a.min(b), *a.max(b)])),
            Vote::Ranking(order) if identity.is_none() => {
                Some(Self::Order(answer.seed, order.clone(), answer.listener.to_lowercase()))
            }
            Vote::Ranking(_) => None,
        };
        identity.into_iter().chain(vote).collect()
    }
}

impl Gathered {
    /// Each ballot of these names will be another listener's.
    pub fn new(apart: &[String]) -> Self {
        Self { apart: apart.iter().map(|name| name.to_lowercase()).collect(), ..Self::default() }
    }

    /// Takes what a file holds.
    pub fn file(&mut self, file: &str, text: &[u8], page: &Page) {
        let found = format::all(text, page);
        if found.is_empty() {
            self.refuse(file, None, AnswerError::Nothing);
        }
        for format::Found { line, answer } in found {
            let place = Place { file: file.to_owned(), line };
            if let Err(problem) = answer.and_then(|answer| self.take(place, answer)) {
                self.refuse(file, Some(line), problem);
            }
        }
    }

    /// Tells that something does not count.
    pub fn refuse(&mut self, file: &str, line: Option<usize>, problem: AnswerError) {
        self.refused.push(Refused { file: file.to_owned(), line, problem });
    }

    fn take(&mut self, place: Place, answer: Answer) -> Result<(), AnswerError> {
        let traits = Trait::of(&answer);
        if let Some((one, before)) = traits.iter().find_map(|one| Some((one, *self.known.get(one)?))) {
            return self.take_again(before, one, &place, answer);
        }
        let listener = self.listener(&place, &answer);
        let at = self.answers.len();
        self.known.extend(traits.into_iter().map(|one| (one, at)));
        self.answers.push(Counted { listener, place, answer });
        Ok(())
    }

    /// Takes what has something in common with an answer that counts: once more, a longer part of it, or not at all.
    fn take_again(
        &mut self,
        before: usize,
        one: &Trait,
        again: &Place,
        answer: Answer,
    ) -> Result<(), AnswerError> {
        let Counted { place: first, answer: before, listener } = &mut self.answers[before];
        let shared = shared(before, &answer);
        if matches!(shared, Shared::Nothing) {
            let first = first.to_string();
            return Err(match one {
                Trait::Ballot(_) => AnswerError::SameBallot { first },
                _ => AnswerError::SameSeed { first },
            });
        }
        let also = if answer.listener == before.listener {
            String::new()
        } else {
            let name = &self.listeners[*listener].name;
            let given = if answer.listener.is_empty() { "missing" } else { &answer.listener };
            format!(", though its name is {given}: it counts as {name}'s")
        };
        self.notes.push(match (&shared, one) {
            (Shared::All, Trait::Order(..)) => format!(
                "{again} is like {first}, and the page that they come from gave its ballots no identity: they count once, as one that was \
                 sent twice. If two people agreed on one device, that cannot be told."
            ),
            (Shared::All, _) => format!("{again} is the answer at {first} again: it counts once{also}."),
            _ => format!("{again} and {first} are one run, cut at different trials: the longer counts{also}."),
        });
        if matches!(shared, Shared::Beginning) {
            before.vote = answer.vote;
        }
        Ok(())
    }

    /// Who sent it: whoever sent something under that name. Without a name it is somebody else each time.
    fn listener(&mut self, place: &Place, answer: &Answer) -> usize {
        let name = answer.listener.to_lowercase();
        let is_named = !name.is_empty();
        if let Some(listener) = self.named.get(&name).filter(|_| !self.apart.contains(&name)) {
            return *listener;
        }
        if !is_named {
            self.notes.push(format!("{place} has no name: it counts as one more listener."));
        }
        let given = if is_named { answer.listener.clone() } else { format!("unnamed {:08x}", answer.seed) };
        let listener = Listener { name: self.unlike_others(given), is_named };
        self.named.insert(listener.name.to_lowercase(), self.listeners.len());
        self.listeners.push(listener);
        self.listeners.len() - 1
    }

    /// The name, with a number if it is another listener's.
    fn unlike_others(&mut self, name: String) -> String {
        let count = self.numbered.entry(name.to_lowercase()).or_insert(1);
        let mut unlike = name.clone();
        while self.named.contains_key(&unlike.to_lowercase()) {
            *count += 1;
            unlike = format!("{name} ({count})");
        }
        unlike
    }

    /// Whether somebody gave this name.
    pub fn has(&self, name: &str) -> bool {
        self.named.get(&name.to_lowercase()).is_some_and(|listener| self.listeners[*listener].is_named)
    }
}

/// What two answers have in common.
enum Shared {
    All,
    /// The first is the beginning of the second, ...
    Beginning,
    /// ... or the second of the first.
    End,
    Nothing,
}

fn shared(before: &Answer, answer: &Answer) -> Shared {
    if before.seed != answer.seed {
        return Shared::Nothing;
    }
    match (&before.vote, &answer.vote) {
        (first, second) if first == second => Shared::All,
        (Vote::Abx { sounds, said_b: first }, Vote::Abx { sounds: others, said_b: second })
            if sounds == others =>
        {
            if second.starts_with(first) {
                Shared::Beginning
            } else if first.starts_with(second) {
                Shared::End
            } else {
                Shared::Nothing
            }
        }
        _ => Shared::Nothing,
    }
}

#[cfg(test)]
mod tests {
    use std::collections::HashSet;

    use proptest::prelude::*;
    use serde_json::{Value, json};

    use super::*;
    use crate::format::{Kind, Sound};

    const PACK: &str = "0123456789abcdef";

    fn page() -> Page {
        let sound = |key: &str| Sound { key: key.to_owned(), name: key.to_owned(), kind: Kind::Setup };
        Page { pack: PACK.to_owned(), sounds: ["x", "y", "z"].map(sound).into(), held: vec![0, 1, 2] }
    }

    /// A ballot as people make them: who, at which page load, how, and whether the page gave it an identity.
    #[derive(Debug, Clone)]
    struct Made {
        name: &'static str,
        load: u32,
        order: Vec<&'static str>,
        is_run: bool,
        has_identity: bool,
    }

    fn made() -> impl Strategy<Value = Made> {
        let order = Just(vec!["x", "y", "z"]).prop_shuffle();
        (prop::sample::select(vec!["", "Ada", "ada", "Bo"]), 1..3_u32, order, any::<bool>(), any::<bool>())
            .prop_map(|(name, load, order, is_run, has_identity)| Made {
                name,
                load,
                order,
                is_run,
                has_identity,
            })
    }

    /// What the page sends; `number` is by chance there.
    fn sent(made: &Made, number: u32) -> Value {
        let mut answer = json!({ "firstjack": "answers", "version": 1, "pack": PACK, "listener": made.name });
        // Every run has a seed of its own; rankings have that of their page load.
        let seed = if made.is_run { 1000 + number } else { made.load };
        answer["seed"] = format!("{seed:x}").into();
        if made.has_identity {
            answer["ballot"] = format!("{number:016x}").into();
        }
        let kind = if made.is_run {
            json!({ "kind": "abx", "a": made.order[0], "b": made.order[1], "said": "abba" })
        } else {
            json!({ "kind": "ranking", "order": made.order })
        };
        answer.as_object_mut().unwrap().extend(kind.as_object().unwrap().clone());
        answer
    }

    proptest! {
        /// Whatever was sent twice, in whatever order and in however many files: each ballot counts once.
        #[test]
        fn each_ballot_counts_once(
            all in prop::collection::vec(made(), 1..12),
            again in prop::collection::vec(any::<prop::sample::Index>(), 0..12),
            order in any::<u64>(),
        ) {
            let twice = again.iter().map(|index| index.index(all.len()));
            let mut sequence: Vec<usize> = (0..all.len()).chain(twice).collect();
            fastrand::Rng::with_seed(order).shuffle(&mut sequence);
            let mut gathered = Gathered::default();
            for at in sequence {
                let text = sent(&all[at], u32::try_from(at).unwrap()).to_string();
                gathered.file("file", text.as_bytes(), &page());
            }
            prop_assert!(gathered.refused.is_empty(), "{:?}", gathered.refused);
            // Without an identity equal rankings of one load and one name cannot be told apart.
            let distinct: HashSet<_> = all.iter().enumerate().map(|(at, made)| {
                let known = made.has_identity || made.is_run;
                if known { (Some(at), None) } else { (None, Some((made.load, &made.order, made.name.to_lowercase()))) }
            }).collect();
            prop_assert_eq!(gathered.answers.len(), distinct.len());
            let unnamed = gathered.answers.iter().filter(|counted| counted.answer.listener.is_empty()).count();
            let names: HashSet<_> = all.iter().map(|made| made.name.to_lowercase()).filter(|name| !name.is_empty()).collect();
            prop_assert_eq!(gathered.listeners.len(), unnamed + names.len());
        }
    }
}
