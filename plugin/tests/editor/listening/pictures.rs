//! Pictures to look at, under the target folder.

use std::path::Path;

use egui_kittest::Harness;

/// Writes what is shown as `target/tmp/editor/<name>.png`.
pub fn save<S>(harness: &mut Harness<'_, S>, name: &str) {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("editor");
    std::fs::create_dir_all(&folder).unwrap();
    harness.render().unwrap().save(folder.join(format!("{name}.png"))).unwrap();
}

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
