//! What answers may be taken to say, in words.

use super::abx::{Listener, Pair, Tally};
use super::ranking::{Orders, Preference, Ranked, Rankings, Rescued, SameName, Test};
use super::statistics::{Sides, UNLIKELY, needed, p_at_least, p_two_sided};

/// How often a difference is heard that is still called easy to miss: right three times of four.
const SHARE: f64 = 0.75;
/// How surely that is to be found (common practice, no source).
const POWER: f64 = 0.8;

/// The verdict on a pair.
pub fn of_pair(pair: &Pair) -> String {
    let [a, b] = pair.sounds.each_ref().map(|sound| sound.name.as_str());
    let (tally, people) = (&pair.together, counted(pair.listeners.len(), "listener"));
    let score = format!("{} of {} right by {people}, {}", tally.right, tally.trials, p_is(tally.p_holm));
    if tally.comes_out() {
        return format!("{a} and {b} were told apart ({score})");
    }
    let alone: Vec<&str> = pair.listeners.iter().filter(|one| one.tally.comes_out()).map(name).collect();
    if alone.is_empty() {
        format!("it is not shown that {a} and {b} can be told apart ({score})")
    } else {
        format!("{a} and {b} were told apart by {}, not by all together ({score})", listed(&alone))
    }
}

/// The verdict on rankings.
pub fn of_rankings(rankings: &Rankings) -> String {
    let orders = &rankings.all;
    let people = counted(orders.listeners, "listener");
    match &orders.friedman {
        Some(test) if test.comes_out() => {
            let (best, last) = (leading(orders.candidates.iter()), leading(orders.candidates.iter().rev()));
            let shown = not_shown(orders);
            format!(
                "{people} order the setups more alike than by chance ({}): on average {best} best, {last} last{shown}",
                p_is(test.p)
            )
        }
        Some(test) => {
            format!("{people} agree on no order of the setups more than by chance ({})", p_is(test.p))
        }
        None if orders.candidates.len() < 2 => {
            format!("{people} ranked, and with one setup there is nothing to prefer")
        }
        None if orders.listeners == 1 => {
            let best = leading(orders.candidates.iter());
            format!("1 listener ranked, which is an opinion and no test: of the setups {best} best")
        }
        None => format!("{people} ranked, and prefer no setup"),
    }
}

/// Before which others the best comes on average only.
fn not_shown(orders: &Orders) -> String {
    let Some(best) = orders.candidates.first() else { return String::new() };
    let is_shown = |other: &Ranked| {
        orders.pairs.iter().any(|pair| {
            pair.comes_out() && pair.better.key == best.sound.key && pair.other.key == other.sound.key
        })
    };
    let others =
        orders.candidates.iter().filter(|other| other.mean_rank > best.mean_rank && !is_shown(other));
    let names: Vec<&str> = others.map(|other| other.sound.name.as_str()).collect();
    if names.is_empty() {
        return String::new();
    }
    format!("; not shown by itself: {} before {}", best.sound.name, listed(&names))
}

/// Those that come first, which may have the same mean rank.
fn leading<'a>(sounds: impl Iterator<Item = &'a Ranked>) -> String {
    let sounds: Vec<&Ranked> = sounds.collect();
    let as_first = |ranked: &&&Ranked| ranked.mean_rank.total_cmp(&sounds[0].mean_rank).is_eq();
    listed(&sounds.iter().take_while(as_first).map(|ranked| ranked.sound.name.as_str()).collect::<Vec<_>>())
}

/// What may be concluded from runs, and what not.
pub fn about_pairs(pairs: &[Pair]) -> Vec<String> {
    let mut said = Vec::new();
    let alpha = UNLIKELY / real(pairs.len());
    if pairs.iter().any(|pair| !pair.together.comes_out()) {
        said.push(
            "Not shown is not the same as equal: a difference may be there and too small for so few trials."
                .to_owned(),
        );
    }
    if let Some(least) = (1..).find(|trials| p_at_least(*trials, *trials) <= alpha)
        && pairs.iter().any(|pair| pair.together.trials < least)
    {
        said.push(format!("Fewer than {least} trials show nothing, even with all right."));
    }
    if let Some(trials) = needed(SHARE, alpha, POWER, Sides::One) {
        let counts: Vec<String> = pairs.iter().map(|pair| pair.together.trials.to_string()).collect();
        let among = if pairs.len() > 1 { format!(" as one of {} pairs", pairs.len()) } else { String::new() };
        said.push(format!(
            "A difference that is answered right 3 times of 4 comes out{among} with a power of 80 % or more from {trials} trials on; here are {}.",
            listed(&counts.iter().map(String::as_str).collect::<Vec<_>>())
        ));
    }
    said.push("p is the chance of as many right by guessing; it holds if the number of trials was agreed on before the first.".to_owned());
    if pairs.iter().any(|pair| pair.listeners.len() > 1) {
        said.push(
            "All together takes every trial as independent, and its interval all listeners as equally good: look at each one's line too."
                .to_owned(),
        );
    }
    let tests: usize = pairs.iter().map(|pair| pair.listeners.len()).sum();
    if tests > 1 {
        said.push(format!(
            "Among {tests} lines one comes out by luck more easily than among one: Holm's correction allows for it, for listeners and \
             for pairs each."
        ));
    }
    said
}

/// The same of rankings.
pub fn about_rankings(rankings: &Rankings) -> Vec<String> {
    let orders = &rankings.all;
    let mut said = vec![
        "The order is that of these listeners, on this take, at this level; others may like another."
            .to_owned(),
    ];
    match &orders.friedman {
        Some(test) => said.push(about_test(test, orders)),
        None => said.push("A test needs at least two listeners with preferences, and two setups.".to_owned()),
    }
    if orders.candidates.len() < orders.sounds.len() {
        said.push("Means, tests and pairs are about the setups; the take as recorded and the anchor only tell who listens.".to_owned());
    }
    said.extend(orders.rescued.iter().map(|rescued| about_rescued(rescued, orders.listeners)));
    let came_out = |orders: &Orders| orders.friedman.as_ref().is_some_and(Test::comes_out);
    if rankings.without_doubtful.as_ref().is_some_and(|without| came_out(without) != came_out(orders)) {
        said.push("The verdict hangs on those who put the anchor before the take as recorded: without them it is another.".to_owned());
    }
    let alpha = UNLIKELY / real(orders.pairs.len().max(1));
    if orders.pairs.is_empty() {
        return said;
    }
    if let Some(least) = (1..).find(|listeners| p_two_sided(*listeners, 0) <= alpha)
        && (orders.listeners as u64) < least
    {
        said.push(format!(
            "No pair of {} setups can come out by itself with fewer than {least} listeners, even if all agree.",
            orders.candidates.len()
        ));
    }
    if let Some(listeners) = needed(SHARE, alpha, POWER, Sides::Two) {
        said.push(format!(
            "That 3 of 4 people like one setup of a pair better comes out with a power of 80 % or more from {listeners} listeners on; here are {}.",
            orders.listeners
        ));
    }
    said
}

/// Where a rescued setup stands, and before and behind which setups that is no luck.
fn about_rescued(rescued: &Rescued, listeners: usize) -> String {
    let Rescued { ranked, behind, before, pairs } = rescued;
    let place = match (behind, before) {
        (None, _) => "before all of them".to_owned(),
        (Some(_), None) => "behind all of them".to_owned(),
        (Some(behind), Some(before)) => format!("between {} and {}", behind.name, before.name),
    };
    let stands = format!(
        "{} is a setup and what to do at the desk, and not counted as a setup: put among them it stands {place} on average",
        ranked.sound.name
    );
    let out: Vec<String> = pairs.iter().filter(|pair| pair.comes_out()).map(preferred).collect();
    if out.is_empty() {
        let people = counted(listeners, "listener");
        return format!("{stands}, which with {people} is shown against none of them by itself.");
    }
    format!("{stands}; by itself is shown: {}.", out.join("; "))
}

/// Which of two is liked better, by how many.
pub fn preferred(pair: &Preference) -> String {
    let (better, other) = (&pair.better.name, &pair.other.name);
    let (n, of) = (pair.for_better, pair.for_better + pair.for_other);
    format!("{better} before {other}: {n} of {of}, {}", p_is(pair.p_holm))
}

fn about_test(test: &Test, orders: &Orders) -> String {
    let how = match test.draws {
        None => "counts all orders that listeners without a preference might give".to_owned(),
        Some(draws) => {
            format!("is of {draws} drawn orders of listeners without a preference, from a fixed seed")
        }
    };
    let agreed = if test.comes_out() {
        "Agreement says that some setups differ; which ones, only the pairs can say."
    } else {
        "No agreement is not the same as no difference: tastes may differ, or listeners be too few."
    };
    let few =
        if orders.listeners < 10 { "; with so few listeners go by it and not by chi-square" } else { "" };
    format!("{agreed} p {how}{few}.")
}

/// Asks whose the rankings of one name are.
pub fn about_same_name(same: &SameName) -> String {
    let SameName { listener, places, alike } = same;
    let places: Vec<&str> = places.iter().map(String::as_str).collect();
    let orders = if *alike { "with the same order" } else { "with different orders" };
    // The name is anybody's text: it stands in no command that could be copied.
    format!(
        "{} ballots are named {listener}, {orders} ({}): one person more than once, or several people? They count as one listener, by their \
         mean; --apart with this name counts them as {}.",
        places.len(),
        listed(&places),
        places.len()
    )
}

/// What holds of any vote.
pub fn about_votes() -> [&'static str; 2] {
    [
        // 20 listeners: as a report on listening tests of an ISO working group quotes both recommendations, which were not at hand.
        "This is a check among friends, no laboratory: ITU-R BS.1116 and BS.1534 ask for some 20 trained listeners in a controlled room.",
        "A blind page can be read by who is determined to, and its codes find damage, not forgery: the figures are worth what the \
         listeners' word is.",
    ]
}

/// "p = 0.038".
pub fn p_is(p: f64) -> String {
    let chance = chance(p);
    if chance.starts_with('<') { format!("p {chance}") } else { format!("p = {chance}") }
}

/// A chance to two figures, none as nought.
pub fn chance(p: f64) -> String {
    match p {
        ..0.0001 => "< 0.0001".to_owned(),
        ..0.001 => format!("{p:.5}"),
        ..0.01 => format!("{p:.4}"),
        ..0.1 => format!("{p:.3}"),
        _ => format!("{p:.2}"),
    }
}

/// "1 listener", "3 listeners".
pub fn counted(count: usize, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}

/// "one, two and three".
pub fn listed(names: &[&str]) -> String {
    match names {
        [] => String::new(),
        [only] => (*only).to_owned(),
        [before @ .., last] => format!("{} and {last}", before.join(", ")),
    }
}

/// Right answers in hundredths, as an interval.
pub fn percent(tally: &Tally) -> String {
    format!("{:.0} to {:.0} %", tally.low * 100.0, tally.high * 100.0)
}

fn name(listener: &Listener) -> &str {
    &listener.listener
}

fn real(count: usize) -> f64 {
    f64::from(u32::try_from(count).unwrap_or(u32::MAX))
}
