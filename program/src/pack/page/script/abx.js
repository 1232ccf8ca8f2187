/** Trials of a run if nobody says otherwise, and at most. */
const TRIALS = 16;
const MOST_TRIALS = 100;
/** From here on a result is unlikely to be a guess: one run in twenty (common practice, no source). */
const UNLIKELY = 0.05;
/** What the choices of a run stand for, in the player's order. */
const [A, B, X] = [0, 1, 2];
const LETTERS = ['A', 'B', 'X'];

/** A run of trials: X is one of two sounds, and the listener says which. What was said stays said. */
class AbxRun {
    /**
     * `said` is what was said before the page was left, if it was; `keep` gets what it takes to go on from here, `finish` what the
     * answers add to those of every kind.
     */
    constructor(words, player, { pair, trials, seed, said = '' }, { keep, finish }) {
        Object.assign(this, { words, player, pair, trials, keep, finish, said });
        this.sides = sidesOf(seed, trials);
        this.count = element('p', { 'aria-live': 'polite', class: 'count' });
        this.progress = element('progress', { max: String(trials), value: '0', 'aria-label': words.say('abx_progress') });
        this.hint = element('p', { 'aria-live': 'polite', id: 'abx-hint' });
        this.listens = LETTERS.map((label, index) => new ListenButton(words, label, () => player.listen(index)));
        this.buttons = ['a', 'b'].map((side) => {
            const attributes = { class: 'answer', 'aria-describedby': 'abx-hint' };
            return button(words.say(`abx_x_is_${side}`), () => this.answer(side), attributes);
        });
        this.root = element('div', {}, this.count, this.progress);
        this.root.append(
            element('div', { class: 'line' }, ...this.listens.map(({ root }) => root)),
            this.hint,
            element('div', { class: 'line' }, ...this.buttons),
        );
        player.present(LETTERS.map((label, index) => this.choice(label, index)), true, this);
        this.ask();
    }

    choice(label, index) {
        return { label, letter: label, key: this.pair[index === B ? 1 : 0] };
    }

    /** The next trial; it begins with A, so that X is listened to anew. */
    ask() {
        const done = this.said.length;
        this.allow(false);
        this.count.textContent = this.words.say('abx_trial', { trial: done + 1, trials: this.trials });
        this.progress.value = done;
        this.keep({ pair: this.pair, trials: this.trials, said: this.said });
        this.player.swap(X, this.pair[this.sides[done] === 'a' ? 0 : 1]);
    }

    chosen(index) {
        this.listens.forEach((listen, at) => listen.press(at === index));
    }

    /** Nobody answers before X was heard in this trial. */
    heard(index) {
        if (index === X) this.allow(true);
    }

    allow(allowed) {
        if (this.allowed === allowed) return;
        this.allowed = allowed;
        this.hint.textContent = this.words.say(allowed ? 'abx_may_answer' : 'abx_hear_x');
        for (const answer of this.buttons) answer.setAttribute('aria-disabled', String(!allowed));
    }

    answer(side) {
        if (!this.allowed) return;
        this.said += side;
        if (this.said.length < this.trials) this.ask();
        else this.finish({ kind: 'abx', a: this.pair[A], b: this.pair[B], said: this.said });
    }
}

/** A run in words: how many were right, and how often guessing does as well. */
function scoreOf(words, said, seed) {
    const trials = said.length;
    const sides = sidesOf(seed, trials);
    const right = [...said].filter((side, trial) => side === sides[trial]).length;
    const chance = chanceOfGuessing(right, trials);
    const values = { right, trials, p: words.digits(chance, 3), percent: words.digits(100 * chance, 2) };
    const verdict = words.say(chance <= UNLIKELY ? 'abx_heard' : 'abx_not_shown');
    return [words.say('abx_score', values), verdict];
}

/** Whether what was kept of a run is enough to go on with it. */
function isRun({ pair, trials, said }, keys) {
    const isPair = Array.isArray(pair) && pair.length === 2 && pair[A] !== pair[B] && pair.every((key) => keys.includes(key));
    const isLong = Number.isInteger(trials) && trials >= 1 && trials <= MOST_TRIALS;
    return isPair && isLong && typeof said === 'string' && /^[ab]*$/.test(said) && said.length < trials;
}

/** Asks for two of the offered sounds and for how many trials. */
class AbxForm {
    /** `asked`, where it is not for the listener to choose, has the pair and texts that say so. */
    constructor(words, offered, begin, asked) {
        Object.assign(this, { words, offered, begin, asked });
        const max = String(MOST_TRIALS);
        const number = { type: 'number', min: '1', max, value: String(TRIALS), required: true };
        this.trials = element('input', number);
        this.selects = [A, B].map((index) => this.select(index));
        this.said = element('p', { role: 'status', class: 'status' });
        this.root = element('div', {});
        this.root.append(
            ...(asked ? asked.texts.map((text) => element('p', {}, text)) : [this.field('abx_first', A), this.field('abx_second', B)]),
            element('label', { class: 'field' }, words.say('abx_trials'), this.trials),
            button(words.say('abx_start'), () => this.start(), { class: 'start' }),
            this.said,
        );
    }

    select(index) {
        const options = this.offered.map(({ label }) => element('option', {}, label));
        const select = element('select', {}, ...options);
        select.selectedIndex = index;
        return select;
    }

    field(id, index) {
        return element('label', { class: 'field' }, this.words.say(id), this.selects[index]);
    }

    start() {
        if (!this.trials.reportValidity()) return;
        const pair = this.asked?.pair ?? this.selects.map(({ selectedIndex }) => this.offered[selectedIndex].key);
        if (pair[A] === pair[B]) this.said.textContent = this.words.say('abx_same');
        else this.begin(pair, this.trials.valueAsNumber);
    }
}
