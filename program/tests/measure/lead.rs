//! The page of the measuring lead.

use crate::support::Sandbox;

#[test]
fn one_page_in_every_language() {
    let sandbox = Sandbox::new();
    for (language, said) in [
        (
            "en",
            ["Measuring lead", "headphones off the ears", "local electrical codes", "-12 dBFS", "100 kΩ 1 %"],
        ),
        ("de", ["Messleitung", "Kopfhörer von den Ohren", "örtliche", "-12 dBFS", "100 kΩ 1 %"]),
    ] {
        let (pdf, html) = (format!("{language}.pdf"), format!("{language}.html"));
        for output in [&pdf, &html] {
            assert_eq!(sandbox.done(&["measure", "lead", "--language", language, "-o", output]), "");
        }
        let pdf = sandbox.read(&pdf);
        let count = |text: &[u8]| pdf.windows(text.len()).filter(|window| *window == text).count();
        assert_eq!(
            (pdf.starts_with(b"%PDF-1."), count(b"/Type/Page/"), count(b"CreationDate")),
            (true, 1, 0)
        );
        let html = String::from_utf8(sandbox.read(&html)).unwrap();
        assert!(html.contains(&format!("<html lang=\"{language}\">")));
        for part in said {
            assert!(html.contains(part), "{part} in {html}");
        }
        assert_eq!(html.matches("<svg").count(), 6, "the wiring and five steps");
    }
    let before = sandbox.listing();
    let again = sandbox.run(&["measure", "lead", "-o", "en.pdf"]);
    assert!(again.code == Some(2) && again.stderr.contains("it exists"), "{again:?}");
    assert!(sandbox.listing() == before);
}
