/** Folds what the markup has unfolded, for readers without a script; unfolds what a link on top leads to, and all of it for paper. */
function foldSections() {
    const parts = [...document.querySelectorAll('main > section > details')];
    const fold = (part) => part.toggleAttribute('open', false);
    const unfold = (part) => part.toggleAttribute('open', true);
    const unfoldLinked = (hash) => parts.filter((part) => `#${part.parentElement.id}` === hash).forEach(unfold);
    parts.forEach(fold);
    unfoldLinked(location.hash);
    for (const link of document.querySelectorAll('nav a')) {
        link.addEventListener('click', () => unfoldLinked(link.hash));
    }
    let forPaper = [];
    addEventListener('beforeprint', () => {
        forPaper = parts.filter((part) => !part.open);
        forPaper.forEach(unfold);
    });
    addEventListener('afterprint', () => forPaper.forEach(fold));
}
