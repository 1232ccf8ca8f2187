/** What uses the space bar, what uses arrow keys (what is wide scrolls by them), and what takes text. */
const USES_SPACE = 'button, input, select, textarea, summary, a[href]';
const USES_ARROWS = 'input:not([type=checkbox]), select, textarea, .scroll, .note-scroll';
const TAKES_TEXT = 'input:not([type=radio], [type=checkbox]), select, textarea';

/** The keyboard. What a focused control needs itself is left to it. */
class Keys {
    constructor(player) {
        this.player = player;
        this.on = true;
        document.addEventListener('keydown', (event) => this.press(event));
    }

    press(event) {
        if (!this.on || event.defaultPrevented || event.ctrlKey || event.altKey || event.metaKey) return;
        const act = this.actionOf(event);
        if (act === null) return;
        event.preventDefault();
        act();
    }

    /** What a key does here, or null. */
    actionOf({ key, target }) {
        const { player } = this;
        const on = (selector) => target instanceof Element && target.matches(selector);
        if (key === ' ') return on(USES_SPACE) && !player.choices.rests ? null : () => player.toggle();
        if (key === 'ArrowLeft') return on(USES_ARROWS) ? null : () => player.seekBy(-STEP_SECONDS);
        if (key === 'ArrowRight') return on(USES_ARROWS) ? null : () => player.seekBy(STEP_SECONDS);
        if (on(TAKES_TEXT)) return null;
        const letter = key.toLowerCase();
        const sound = player.choices.indexOfLetter(letter);
        if (sound >= 0) return () => player.choose(sound);
        const acts = {
            l: () => player.setLooping(!player.transport.looping),
            s: () => player.loopFrom(),
            e: () => player.loopTo(),
            w: () => player.loopAll(),
            m: player.blind ? null : () => player.setTruth(!player.truth),
        };
        return acts[letter] ?? null;
    }
}

/** What the keys do, in words, and a box to switch them off. */
function keysHelp(words, keys) {
    const rows = ['space', 'arrows', 'digits', 'letters', 'loop', 'region', 'level'].map((id) => {
        const [key, what] = [words.say(`key_${id}`), words.say(`key_${id}_does`)];
        return element('div', {}, element('dt', {}, key), element('dd', {}, what));
    });
    const on = checkbox(words.say('keys_on'), true, (checked) => {
        keys.on = checked;
    });
    const parts = [element('summary', {}, words.say('help')), on.label, element('dl', {}, ...rows)];
    return element('details', { class: 'help' }, ...parts, element('p', {}, words.say('help_silent')));
}
