/** Sections that say names or what a setup does: out of the document while listeners are blind. */
const TELLING = ['verdicts', 'curves', 'strings', 'rescue', 'note', 'about'];

/** Takes the telling sections out of the document, really out, and puts them back. */
class Sections {
    constructor() {
        this.kept = new Map();
    }

    hide() {
        for (const [id, body] of this.bodies()) {
            if (this.kept.has(id)) continue;
            const fragment = document.createDocumentFragment();
            fragment.append(...body.childNodes);
            this.kept.set(id, fragment);
            this.setHidden(id, true);
        }
    }

    /** What was sealed, for a page that was made blind: markup that the program wrote and escaped. */
    fill(sealed) {
        for (const [id, markup] of Object.entries(sealed)) {
            const holder = document.createElement('template');
            holder.innerHTML = markup;
            this.kept.set(id, holder.content);
        }
    }

    show() {
        for (const [id, body] of this.bodies()) {
            if (!this.kept.has(id)) continue;
            body.append(this.kept.get(id));
            this.setHidden(id, body.childNodes.length === 0);
            this.kept.delete(id);
        }
    }

    /** A section, and what leads to it. */
    setHidden(id, hidden) {
        document.getElementById(id).hidden = hidden;
        for (const link of document.querySelectorAll(`nav a[href="#${id}"]`)) link.parentElement.hidden = hidden;
    }

    bodies() {
        const found = TELLING.map((id) => [id, document.querySelector(`#${id} .body`)]);
        return found.filter(([, body]) => body !== null);
    }
}

/** Marks what belongs to the sound that is heard. */
function markHeard(key) {
    for (const marked of document.querySelectorAll('[data-key]')) {
        marked.classList.toggle('heard', marked.dataset.key === key);
    }
}

/** A copy of the line that the legend shows for a sound; empty for one that has no curve. */
function lineOf(key) {
    const swatch = document.querySelector(`#curves .legend [data-key="${CSS.escape(key)}"] svg`);
    return swatch ? swatch.cloneNode(true) : '';
}
