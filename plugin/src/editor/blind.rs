/// From here on a result is unlikely to be a guess: one run in twenty (common practice, no source).
const UNLIKELY: f64 = 0.05;
/// Answers of the longest run.
const MOST_ANSWERS: u32 = 1000;

/// What is asked of the blind comparison.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BlindMessage {
    /// Shuffle all setups, from a seed.
    Shuffle(u64),
    /// Begin a run of answers on two setups, counted from zero.
    Compare {
        /// The setups.
        setups: [usize; 2],
        /// How many answers there will be.
        answers: u32,
        /// What all chance comes from.
        seed: u64,
    },
    /// Hear something.
    Hear(Sound),
    /// X is the one with this label, counted from zero.
    Answer(usize),
    /// Show names and score.
    Reveal,
    /// Go back to the open setups.
    End,
}

/// What can be heard blind.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sound {
    /// The setup with a label, counted from zero.
    Label(usize),
    /// One of the two in a run, nobody says which.
    X,
    /// The take as recorded, of which no secret is made.
    Take,
}

/// Setups under labels that do not tell which they are. What is hidden has no way out but [`Blind::name_of`], once it is revealed, and
/// `Blind::to_hear`, which is for the session and never for a view.
#[derive(Debug, Clone)]
pub struct Blind {
    /// The setup behind each label.
    order: Vec<usize>,
    sound: Option<Sound>,
    run: Option<Run>,
    revealed: bool,
    random: fastrand::Rng,
}

/// A run of answers to "is X the one or the other?" (ABX).
#[derive(Debug, Clone)]
struct Run {
    /// The label behind X.
    x: usize,
    score: Score,
}

/// How many answers were right.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Score {
    /// Right answers.
    pub right: u32,
    /// Answers given.
    pub answered: u32,
    /// Answers agreed on before the run.
    pub of: u32,
}

/// What may be concluded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Conclusion {
    /// Not even all right would be more than a lucky guess.
    TooFew,
    /// A guess gets there in one run of twenty, or fewer.
    Heard,
    /// A guess may well get there.
    NotShown,
}

impl Score {
    /// The chance to get at least as many right by guessing.
    pub fn p_value(&self) -> f64 {
        p_value(self.right, self.answered)
    }

    /// What may be concluded.
    pub fn conclusion(&self) -> Conclusion {
        if p_value(self.answered, self.answered) > UNLIKELY {
            Conclusion::TooFew
        } else if self.p_value() <= UNLIKELY {
            Conclusion::Heard
        } else {
            Conclusion::NotShown
        }
    }
}

/// The exact chance of at least `right` right answers of `answered` (1000 at most) by guessing: `sum C(n, i) / 2^n` for `i >= right`, the upper tail
/// of the binomial distribution with one half.
pub fn p_value(right: u32, answered: u32) -> f64 {
    // From the top: all right has one way in 2^n; one less has i/(n - i + 1) times as many.
    let mut chance = 0.5f64.powf(f64::from(answered));
    let mut sum = 0.0;
    for i in (right..=answered).rev() {
        sum += chance;
        chance *= f64::from(i) / f64::from(answered - i + 1);
    }
    sum.min(1.0)
}

impl Blind {
    /// All of `count` setups in an order that `seed` gives.
    pub fn shuffle(count: usize, seed: u64) -> Self {
        let mut random = fastrand::Rng::with_seed(seed);
        let mut order: Vec<usize> = (0..count).collect();
        random.shuffle(&mut order);
        Self { order, sound: Some(Sound::Label(0)), run: None, revealed: false, random }
    }

    /// Two setups and X, for so many answers.
    pub fn compare(mut setups: [usize; 2], answers: u32, seed: u64) -> Self {
        let mut random = fastrand::Rng::with_seed(seed);
        random.shuffle(&mut setups);
        let x = random.usize(0..2);
        let score = Score { right: 0, answered: 0, of: answers.clamp(1, MOST_ANSWERS) };
        let run = Some(Run { x, score });
        Self { order: setups.to_vec(), sound: Some(Sound::X), run, revealed: false, random }
    }

    /// How many labels there are.
    pub const fn labels(&self) -> usize {
        self.order.len()
    }

    /// Whether this is a run of answers.
    pub const fn is_run(&self) -> bool {
        self.run.is_some()
    }

    /// Whether names and score are shown.
    pub const fn is_revealed(&self) -> bool {
        self.revealed
    }

    /// What is heard, if it is something of this comparison.
    pub const fn sound(&self) -> Option<Sound> {
        self.sound
    }

    /// Answers given, and agreed on.
    pub fn progress(&self) -> Option<(u32, u32)> {
        self.run.as_ref().map(|run| (run.score.answered, run.score.of))
    }

    /// Whether an answer is awaited.
    pub fn is_asking(&self) -> bool {
        !self.revealed && self.progress().is_some_and(|(answered, of)| answered < of)
    }

    /// The setup behind a label, once it may be known.
    pub fn name_of(&self, label: usize) -> Option<usize> {
        self.order.get(label).copied().filter(|_| self.revealed)
    }

    /// The score, once it may be known.
    pub fn score(&self) -> Option<Score> {
        self.run.as_ref().map(|run| run.score).filter(|_| self.revealed)
    }

    /// What a session is to be asked for, if anything of this comparison is heard: the inner `None` is the take as recorded.
    pub(super) fn to_hear(&self) -> Option<Option<usize>> {
        match (self.sound?, &self.run) {
            (Sound::Label(label), _) => Some(self.order.get(label).copied()),
            (Sound::X, Some(run)) => Some(self.order.get(run.x).copied()),
            (Sound::X, None) => None,
            (Sound::Take, _) => Some(None),
        }
    }

    /// Chooses what is heard. What is not there changes nothing.
    pub(super) fn hear(&mut self, sound: Sound) {
        let is_there = match sound {
            Sound::Label(label) => label < self.order.len(),
            Sound::X => self.run.is_some(),
            Sound::Take => true,
        };
        if is_there {
            self.sound = Some(sound);
        }
    }

    /// The blind meaning of a choice by number: labels in their order, and instead of the take X where there is one.
    pub(super) fn meant(&self, heard: Option<usize>) -> Sound {
        match heard {
            Some(label) => Sound::Label(label),
            None if self.run.is_some() => Sound::X,
            None => Sound::Take,
        }
    }

    /// Takes note of what is heard whoever asked for it.
    pub(super) fn note_heard(&mut self, heard: Option<usize>) {
        if self.to_hear() != Some(heard) {
            self.sound = None;
        }
    }

    /// Takes an answer, and chooses the next X.
    pub(super) fn answer(&mut self, label: usize) {
        if !self.is_asking() || label >= self.order.len() {
            return;
        }
        let next = self.random.usize(0..2);
        if let Some(run) = &mut self.run {
            run.score.right += u32::from(run.x == label);
            run.score.answered += 1;
            run.x = next;
        }
    }

    pub(super) const fn reveal(&mut self) {
        self.revealed = true;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// From memory of published tables of the binomial distribution (12 of 16, 9 of 10), and scipy 1.17.1: scipy.stats.binom.sf(right - 1, answered, 0.5).
    #[test]
    fn chances_are_those_of_the_tables() {
        for (right, answered, table) in [(12, 16, 0.0384), (9, 10, 0.0107), (5, 5, 0.0313), (13, 16, 0.0106)]
        {
            assert!((p_value(right, answered) - table).abs() < 5.1e-5, "{right} of {answered}");
        }
        SCIPY_ROWS.iter().for_each(|(right, answered, scipy)| {
            let p = p_value(*right, *answered);
            assert!((p / scipy - 1.0).abs() < 1e-12, "{right} of {answered}: {p}, scipy {scipy}");
        });
    }

    const SCIPY_ROWS: &[(u32, u32, f64)] = &[
        (12, 16, 0.0384063720703125),
        (9, 10, 0.0107421875),
        (0, 16, 1.0),
        (8, 16, 0.5981903076171875),
        (16, 16, 1.52587890625e-05),
        (17, 24, 0.03195732831954956),
        (60, 100, 0.028443966820490444),
        (530, 1000, 0.031011597549181716),
        (0, 0, 1.0),
    ];

    #[test]
    fn conclusions_follow_the_chance() {
        let of = |right, answered| Score { right, answered, of: 16 }.conclusion();
        assert_eq!(of(4, 4), Conclusion::TooFew);
        assert_eq!(of(5, 5), Conclusion::Heard);
        assert_eq!((of(11, 16), of(12, 16)), (Conclusion::NotShown, Conclusion::Heard));
        // All wrong shows nothing either.
        assert_eq!((of(0, 16), of(0, 0)), (Conclusion::NotShown, Conclusion::TooFew));
    }

    #[test]
    fn every_setup_has_one_label_and_seeds_differ() {
        let orders: Vec<Vec<usize>> = (0..20).map(|seed| Blind::shuffle(6, seed).order).collect();
        for order in &orders {
            let mut sorted = order.clone();
            sorted.sort_unstable();
            assert_eq!(sorted, [0, 1, 2, 3, 4, 5]);
        }
        assert!((0..6).all(|setup| orders.iter().any(|order| order[0] == setup)));
        assert_eq!(orders[3], Blind::shuffle(6, 3).order);
    }

    /// X is either about as often, and no answer tells the next: counts within four standard deviations of the binomial's, sqrt(n)/2.
    #[test]
    fn chance_is_fair() {
        let mut blind = Blind::compare([4, 2], 1000, 7);
        let mut seen = Vec::new();
        while blind.is_asking() {
            seen.push(blind.run.as_ref().unwrap().x);
            blind.answer(0);
        }
        let within = |count: usize, n: f64| {
            (f64::from(u32::try_from(count).unwrap()) - n / 2.0).abs() < 2.0 * n.sqrt()
        };
        assert_eq!(seen.len(), 1000);
        assert!(within(seen.iter().filter(|x| **x == 0).count(), 1000.0));
        assert!(within(seen.windows(2).filter(|pair| pair[0] == pair[1]).count(), 999.0));
        let first = (0..400).filter(|seed| Blind::compare([4, 2], 16, *seed).order[0] == 4).count();
        assert!(within(first, 400.0));
    }

    #[test]
    fn nothing_is_told_before_it_is_asked_for() {
        let mut blind = Blind::compare([4, 2], 2, 1);
        blind.answer(0);
        blind.answer(1);
        assert_eq!((blind.score(), blind.name_of(0), blind.progress()), (None, None, Some((2, 2))));
        // No more than agreed on.
        assert!(!blind.is_asking());
        blind.answer(0);
        assert_eq!(blind.progress(), Some((2, 2)));
        blind.reveal();
        assert_eq!(blind.score().map(|score| score.answered), Some(2));
        assert!(matches!((blind.name_of(0), blind.name_of(1)), (Some(4), Some(2)) | (Some(2), Some(4))));
        assert_eq!(blind.name_of(2), None);
    }

    #[test]
    fn what_is_not_there_is_not_heard() {
        let mut blind = Blind::shuffle(3, 1);
        blind.hear(Sound::Label(3));
        blind.hear(Sound::X);
        assert_eq!(blind.sound(), Some(Sound::Label(0)));
        blind.hear(Sound::Take);
        assert_eq!(blind.to_hear(), Some(None));
        blind.note_heard(Some(1));
        assert_eq!((blind.sound(), blind.to_hear()), (None, None));
    }
}
