/**
 * The sounds that can be heard, as a group of radio buttons. A choice is `{ key, label, letter, ... }`: the letter is the key on the
 * keyboard. Where names are shown there are also `mark`, a drawing of its curve's line, a line of `detail`, its `verdict` and its
 * `truthGain`. No sound's key gets into the document from here.
 */
class Choices {
    constructor(words, choose) {
        Object.assign(this, { words, choose, choices: [], rows: [] });
        this.list = element('div', { class: 'choices' });
        const legend = element('legend', {}, words.say('sounds'));
        this.root = element('fieldset', { class: 'sounds' }, legend, this.list);
    }

    show(choices) {
        this.choices = choices;
        this.rows = choices.map((choice, index) => this.row(choice, index));
        this.list.replaceChildren(...this.rows.map(({ label }) => label));
    }

    row({ label, letter, mark = '', detail = '' }, index) {
        const input = element('input', {
            type: 'radio',
            name: 'heard',
            value: String(index),
            onchange: () => this.choose(index),
        });
        const letterbox = letter === label ? '' : element('kbd', { 'aria-hidden': 'true' }, letter);
        const name = element('span', { class: 'name' }, label, mark);
        const text = element('span', { class: 'text' }, name, element('span', { class: 'detail' }, detail));
        return { input, label: element('label', {}, input, letterbox, text) };
    }

    check(index) {
        this.rows[index].input.checked = true;
    }

    /** Whether the focus is on the choice that is checked, where the space bar has nothing to do. */
    get rests() {
        return this.rows.some(({ input }) => input === document.activeElement && input.checked);
    }

    indexOfLetter(letter) {
        return this.choices.findIndex((choice) => choice.letter.toLowerCase() === letter);
    }
}

/** A button that lets a sound be heard; pressed as long as that one is chosen. */
class ListenButton {
    /** `text` is what is to be read on it, where what it is for is known from its place. */
    constructor(words, sound, listen, text = words.say('listen_to', { sound })) {
        this.root = button(text, listen, { 'aria-label': words.say('listen_to', { sound }), class: 'listen' });
        this.press(false);
    }

    press(pressed) {
        this.root.setAttribute('aria-pressed', String(pressed));
    }
}
