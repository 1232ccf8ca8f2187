/** How long a file that is being saved is kept, in milliseconds. */
const SAVING_MILLISECONDS = 60_000;

/** Answers as codes to paste, one a line, and as a file. */
class Codes {
    /** `label` is the id of what the codes are called; `file` is what the saved file is. */
    constructor(words, label, file) {
        Object.assign(this, { words, file, texts: [] });
        this.said = element('p', { role: 'status', class: 'quiet' });
        this.area = element('textarea', { readonly: true, rows: '4', spellcheck: 'false' });
        const copy = button(words.say('result_copy'), () => this.copy());
        const save = button(words.say('result_save'), () => this.save());
        const line = element('div', { class: 'line' }, copy, save);
        this.root = element('div', {}, element('label', {}, words.say(label), this.area), line, this.said);
    }

    show(texts) {
        this.texts = texts;
        this.area.value = texts.map(answersCode).join('\n');
        this.said.textContent = '';
    }

    /** Selects the codes as well, for browsers that do not let a page copy. */
    async copy() {
        this.area.focus();
        this.area.select();
        const copied = await navigator.clipboard?.writeText(this.area.value).then(() => true, () => false);
        this.said.textContent = this.words.say(copied ? 'result_copied' : 'result_copy_yourself');
    }

    save() {
        const url = URL.createObjectURL(new Blob([this.texts.join('\n')], { type: 'application/json' }));
        element('a', { href: url, download: this.file }).click();
        setTimeout(() => URL.revokeObjectURL(url), SAVING_MILLISECONDS);
    }
}
