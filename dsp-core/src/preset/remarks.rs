use super::names::{is_near, is_same_name};
use super::{Preset, Setup};

/// What is as a rule a slip in a file that can be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Remark {
    /// Two setups of one place have one chain, and the controls stand alike.
    SameSetups {
        /// The first one's name.
        one: String,
        /// The other's name.
        other: String,
    },
    /// Two venues' names differ by a letter, by a space or in capital letters alone.
    NearVenues {
        /// The first one.
        one: String,
        /// The other.
        other: String,
    },
}

impl Preset {
    /// What is as a rule a slip.
    pub fn remarks(&self) -> Vec<Remark> {
        let mut venues: Vec<&str> = self.venues.iter().map(|venue| venue.name.as_str()).collect();
        for venue in self.setups.iter().filter_map(|setup| setup.venue.as_deref()) {
            if !venues.contains(&venue) {
                venues.push(venue);
            }
        }
        let near = pairs(&venues)
            .filter(|(one, other)| is_near(one, other))
            .map(|(one, other)| Remark::NearVenues { one: (*one).to_owned(), other: (*other).to_owned() });
        let same = pairs(&self.setups)
            .filter(|(one, other)| is_same(one, other))
            .map(|(one, other)| Remark::SameSetups { one: one.name.clone(), other: other.name.clone() });
        near.chain(same).collect()
    }
}

/// Whether two setups that may stand in one place are one.
fn is_same(one: &Setup, other: &Setup) -> bool {
    let in_one_place = match (&one.venue, &other.venue) {
        (Some(one), Some(other)) => is_same_name(one, other),
        _ => true,
    };
    in_one_place && one.chain == other.chain && one.positions == other.positions
}

fn pairs<T>(all: &[T]) -> impl Iterator<Item = (&T, &T)> {
    all.iter().enumerate().flat_map(|(index, one)| all[index + 1..].iter().map(move |other| (one, other)))
}
