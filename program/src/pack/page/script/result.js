/** A ballot, as a code and a file, with what else is to be read of it. */
class Result {
    /** `text` is what answers.js made of it. */
    constructor(words, text) {
        const given = JSON.parse(text);
        Object.assign(this, { words, given });
        const codes = new Codes(words, 'result_code', `firstjack-answers-${given.pack.slice(0, 8)}-${given.ballot}.json`);
        codes.show([text]);
        this.names = element('div', {});
        const lines = given.kind === 'abx' ? scoreOf(words, given.said, seedOf(given)) : [];
        const whose = given.listener === '' ? [] : [element('p', { class: 'quiet' }, given.listener)];
        this.root = element('div', { class: 'result' });
        this.root.append(
            element('h3', { tabindex: '-1' }, words.say(`result_${given.kind}`)),
            ...whose,
            ...lines.map((line) => element('p', {}, line)),
            this.names,
            codes.root,
        );
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
