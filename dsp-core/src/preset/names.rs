//! Names that people type.

/// What was probably meant by a name that is not known: the nearest of those that are, if it is near. Capital and small letters are one.
///
/// ```
/// use dsp_core::preset::nearest;
/// assert_eq!(nearest("imput", ["box", "input"]), Some("input"));
/// assert_eq!(nearest("moon", ["courtyard", "chapel"]), None);
/// ```
pub fn nearest<'a>(typed: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let typed = typed.to_lowercase();
    // One slip in a short name, two in a longer one.
    let allowed = (typed.chars().count() / 3).min(2);
    let distance = |name: &&str| strsim::osa_distance(&typed, &name.to_lowercase());
    known.into_iter().filter(|name| distance(name) <= allowed).min_by_key(distance)
}
