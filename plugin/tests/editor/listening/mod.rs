//! Meters and the blind switch.

mod blind;
mod meters;

use egui_kittest::Harness;

/// All texts that a reader or a screen reader gets.
pub fn texts<S>(harness: &Harness<'_, S>) -> Vec<String> {
    use egui_kittest::kittest::NodeT;
    let all = harness.root().children_recursive();
    all.flat_map(|node| {
        let node = node.accesskit_node();
        [node.label(), node.value(), node.description()].into_iter().flatten().collect::<Vec<_>>()
    })
    .collect()
}
