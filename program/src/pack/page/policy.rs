use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest, Sha256};

/// Text between tags as a browser's parser hands it on: lines end in a line feed alone ("normalize newlines", WHATWG Infra Standard, which
/// the parser of the HTML Living Standard does to all of its input). A checkout may have them otherwise, and a browser hashes what it has
/// parsed.
pub fn parsed(text: &str) -> String {
    text.replace("\r\n", "\n").replace('\r', "\n")
}

/// The Content-Security-Policy of a page (W3C, Content Security Policy Level 3): nothing from anywhere, and of what is in it only the
/// script and the style with these hashes.
pub fn policy(script: &str, style: &str) -> String {
    let hash = |text: &str| STANDARD.encode(Sha256::digest(text));
    format!(
        "default-src 'none'; script-src 'sha256-{}'; style-src 'sha256-{}'; img-src data: blob:; media-src blob: data:; \
         base-uri 'none'; form-action 'none'",
        hash(script),
        hash(style)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The hash of `alert('Hello, world.');` in CSP Level 3, section 2.3.1 ("script-src"), and of nothing (FIPS 180-4, from memory).
    #[test]
    fn hashes_are_those_of_the_standards() {
        let policy = policy("alert('Hello, world.');", "");
        assert!(
            policy.contains("script-src 'sha256-qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tng='"),
            "{policy}"
        );
        assert!(
            policy.contains("style-src 'sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU='"),
            "{policy}"
        );
    }
}
