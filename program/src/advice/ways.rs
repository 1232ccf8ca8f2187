//! A chain plugged in another way.

use dsp_core::circuit::{Chain, InputBox, Link, Thru};

/// The boxes of a chain, each with its place and whether it loads the pickup.
pub fn boxes(chain: &Chain) -> impl Iterator<Item = (usize, &InputBox, bool)> {
    chain.links().enumerate().filter_map(|(index, (link, loads))| match link {
        Link::Box(input) => Some((index, input, loads)),
        _ => None,
    })
}

/// The chain with one of its boxes straight behind the cables at its beginning. Of the last one nothing is left but a cable that leads
/// nowhere, which goes.
pub fn first(chain: &Chain, index: usize) -> Option<Chain> {
    let mut links: Vec<Link> = chain.links().map(|(link, _)| link.clone()).collect();
    let moved = links.remove(index);
    let cables = links.iter().take_while(|link| matches!(link, Link::Cable(_))).count();
    links.insert(cables, moved);
    while links.len() > cables + 1 && matches!(links.last(), Some(Link::Cable(_))) {
        links.pop();
    }
    Chain::new(links).ok()
}

/// What stands in front of all boxes: cables, of a load expression all of them.
pub fn in_front(chain: &Chain) -> Vec<Link> {
    let front = chain.loading().take_while(|link| link.name().is_none());
    front.filter(|link| matches!(link, Link::Cable(_))).cloned().collect()
}

/// The chain with one box, the one that is listened to, straight behind the cables at its beginning and no other; `None` if it is so already.
pub(super) fn straight(chain: &Chain) -> Option<(&str, Chain)> {
    let heard = chain.heard()?;
    let mut before = chain.loading().take_while(|link| !is(link, heard));
    before.find(|link| link.name().is_some())?;
    let only = InputBox { thru: None, ..heard.clone() };
    let links = in_front(chain).into_iter().chain([Link::Box(only)]).collect();
    Some((&heard.name, Chain::new(links).ok()?))
}

fn is(link: &Link, input: &InputBox) -> bool {
    matches!(link, Link::Box(one) if std::ptr::eq(one, input))
}

/// The chain with one box's thru on the other side of its buffer.
pub(super) fn turned(chain: &Chain, index: usize) -> Option<Chain> {
    let mut links: Vec<Link> = chain.links().map(|(link, _)| link.clone()).collect();
    let Link::Box(InputBox { thru: Some(thru), .. }) = links.get_mut(index)? else { return None };
    *thru = match thru {
        Thru::Before => Thru::After,
        Thru::After => Thru::Before,
        // That of a pedal that is on is no question.
        Thru::Active => return None,
    };
    Chain::new(links).ok()
}
