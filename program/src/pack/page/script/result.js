/** How long a file that is being saved is kept, in milliseconds. */
const SAVING_MILLISECONDS = 60_000;

/** Answers that were given, as a code to paste and as a file. */
class Result {
    /** `given` is what the answers hold of their kind, `lines` what else is to be read. */
    constructor(words, pack, seed, listener, given, lines) {
        Object.assign(this, { words, given });
        this.text = answersText(pack, seed, listener, given);
        this.file = `firstjack-answers-${pack.slice(0, 8)}-${(seed >>> 0).toString(16).padStart(8, '0')}.json`;
        this.said = element('p', { role: 'status', class: 'quiet' });
        this.code = element('textarea', { readonly: true, rows: '4', spellcheck: 'false' });
        this.code.value = answersCode(this.text);
        this.names = element('div', {});
        this.root = element('div', { class: 'result' });
        this.root.append(
            element('h3', { tabindex: '-1' }, words.say(`result_${given.kind}`)),
            ...lines.map((line) => element('p', {}, line)),
            this.names,
            element('label', {}, words.say('result_code'), this.code),
            this.line(),
            this.said,
        );
    }

    line() {
        const copy = button(this.words.say('result_copy'), () => this.copy());
        const save = button(this.words.say('result_save'), () => this.save());
        return element('div', { class: 'line' }, copy, save);
    }

    /** Selects the code as well, for browsers that do not let a page copy. */
    async copy() {
        this.code.focus();
        this.code.select();
        const copied = await navigator.clipboard?.writeText(this.code.value).then(() => true, () => false);
        this.said.textContent = this.words.say(copied ? 'result_copied' : 'result_copy_yourself');
    }

    save() {
        const url = URL.createObjectURL(new Blob([this.text], { type: 'application/json' }));
        element('a', { href: url, download: this.file }).click();
        setTimeout(() => URL.revokeObjectURL(url), SAVING_MILLISECONDS);
    }

    /** What was what, once names are shown. */
    tell(nameOf) {
        const { given, words } = this;
        if (given.kind === 'abx') {
            const values = { a: nameOf(given.a), b: nameOf(given.b) };
            this.names.replaceChildren(element('p', {}, words.say('result_pair', values)));
        } else {
            const items = given.order.map((key) => element('li', {}, nameOf(key)));
            this.names.replaceChildren(element('ol', {}, ...items));
        }
    }

    /** Takes that back for another vote. */
    forget() {
        this.names.replaceChildren();
    }
}
