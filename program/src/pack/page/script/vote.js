/** The vote: what is asked, the blind runs, what came of them, and whose turn it is. */
class Vote {
    constructor(data, words, player, secret, sections) {
        Object.assign(this, { data, words, player, secret, sections });
        /** On a page that was made blind, labels stay the same until names are shown or the next listener comes. */
        this.seed = freshSeed();
        this.named = !data.blind;
        /** ABX runs of the one whose turn it is: of several pairs that are asked about, each has its turn. */
        this.runs = 0;
        this.panel = element('div', { class: 'panel' });
        this.kept = new Kept(words, data.pack, () => this.forget());
        /** Of all listeners; those of the one whose turn it is stand in the list. */
        this.results = this.kept.ballots.map((text) => new Result(words, text));
        this.kept.results.append(...this.results.map(({ root }) => root));
        this.resultList = element('div', {});
        this.listener = element('input', { type: 'text', maxlength: '60', autocomplete: 'off' });
        this.root = element('div', {}, this.panel, this.resultList, this.kept.root);
        this.warn = (event) => event.preventDefault();
        if (data.blind) sections.hide();
        this.idle();
        if (this.canGoOn()) this.offerToGoOn();
    }

    /** Before and after a vote. */
    idle() {
        const { words } = this;
        this.player.present(this.named ? namedChoices(this.secret(), words) : this.labelled(), !this.named);
        this.panel.replaceChildren(
            ...(this.resultList.childElementCount > 0 ? [this.nextButton()] : []),
            element('p', {}, words.say('vote_intro')),
            element('label', { class: 'field' }, words.say('vote_listener'), this.listener),
            this.rankingStart(),
            this.abxStart(),
        );
        this.panel.append(element('p', { class: 'quiet' }, words.say('vote_honest')));
        if (!this.named) this.panel.append(button(words.say('vote_peek'), () => this.showNames()));
        this.panel.after(this.resultList);
    }

    nextButton() {
        return button(this.words.say('vote_next'), () => this.nextListener(), { class: 'start' });
    }

    /** The phone goes on: names away, no name in the field, another order of labels, and what others said out of the way. */
    nextListener() {
        if (this.data.blind) {
            this.named = false;
            this.sections.hide();
        }
        this.seed = freshSeed();
        this.runs = 0;
        this.listener.value = '';
        for (const result of this.results) result.forget();
        this.kept.results.prepend(...this.resultList.childNodes);
        this.idle();
        this.sayFirst('vote_next_ready');
    }

    /** On top of the panel, and read out. */
    sayFirst(id, values = {}) {
        this.panel.prepend(element('p', { class: 'quiet', tabindex: '-1' }, this.words.say(id, values)));
        this.panel.firstChild.focus();
    }

    /** Whether a vote was going on when the page was left, and enough of it is there. */
    canGoOn() {
        const { running } = this.kept;
        if (typeof running !== 'object' || running === null || !Number.isInteger(running.seed)) return false;
        const keys = this.data.sounds.map(({ key }) => key);
        return running.kind === 'abx' ? isRun(running, keys) : running.kind === 'ranking' && isRanking(running, keys);
    }

    offerToGoOn() {
        const { words } = this;
        const { running } = this.kept;
        const listener = typeof running.listener === 'string' ? running.listener : '';
        const goOn = () => {
            this.listener.value = listener;
            if (running.kind === 'abx') this.startAbx(running);
            else this.startRanking(running);
        };
        const drop = () => {
            this.kept.setRunning(null);
            this.idle();
        };
        const done = { done: running.said?.length, trials: running.trials };
        const line = element('div', { class: 'line' });
        line.append(button(words.say('vote_go_on'), goOn, { class: 'start' }), button(words.say('vote_drop'), drop));
        const whose = listener === '' ? [] : [element('p', {}, listener)];
        const what = element('p', {}, words.say(`vote_broken_off_${running.kind}`, done));
        const heading = element('h3', {}, words.say('vote_broken_off'));
        this.panel.replaceChildren(element('div', { class: 'kind' }, heading, ...whose, what, line));
    }

    rankingStart() {
        const { words } = this;
        const start = button(words.say('ranking_start'), () => this.startRanking(), { class: 'start' });
        const help = element('p', {}, words.say('ranking_intro'));
        return element('div', { class: 'kind' }, element('h3', {}, words.say('ranking')), help, start);
    }

    abxStart() {
        const { words } = this;
        const begin = (pair, trials) => this.startAbx({ pair, trials });
        const form = new AbxForm(words, this.player.choices.choices, begin, this.asked());
        const intro = element('p', {}, words.say('abx_intro'));
        return element('div', { class: 'kind' }, element('h3', {}, words.say('abx')), intro, form.root);
    }

    /** The pair that is asked about and what is said of it, by name where names are shown; null where the listener chooses. */
    asked() {
        const { words, data } = this;
        const pairs = data.abx_pairs ?? [];
        if (pairs.length === 0) return null;
        const number = this.runs % pairs.length;
        const pair = pairs[number];
        const values = { number: number + 1, count: pairs.length };
        const [a, b] = this.named ? pair.map((key) => this.secret().sounds[key].name) : [];
        const texts = pairs.length > 1 ? [words.say('abx_asked_of', values)] : [];
        return { pair, texts: [...texts, words.say(this.named ? 'abx_asked' : 'abx_asked_blind', { a, b })] };
    }

    /** `before` is what was kept of it, if it goes on. */
    startRanking(before) {
        if (before) this.seed = before.seed;
        else if (this.named) this.seed = freshSeed();
        const { words, player, seed } = this;
        const labelled = this.labelled();
        this.begin('ranking', seed, (told) => new Ranking(words, player, labelled, before, told));
    }

    /** Both sounds are decoded first: one that had to be in the middle of the run would tell that it is another. */
    async startAbx({ pair, trials, said, seed = freshSeed() }) {
        const { words, player } = this;
        for (const key of pair) if (!(await player.decode(key))) return;
        this.begin('abx', seed, (told) => new AbxRun(words, player, { pair, trials, seed, said }, told));
    }

    begin(kind, seed, run) {
        const { words, kept } = this;
        this.sections.hide();
        for (const result of this.results) result.forget();
        const listener = this.listener.value.trim();
        const keep = (state) => kept.setRunning({ kind, seed, listener, ...state });
        const { root } = run({ keep, finish: (given) => this.finish(seed, given) });
        // What is kept is not lost by leaving.
        if (!kept.works) addEventListener('beforeunload', this.warn);
        const heading = element('h3', { tabindex: '-1' }, words.say(kind));
        const stop = button(words.say(this.named ? 'vote_stop' : 'vote_stop_blind'), () => this.leave());
        this.panel.replaceChildren(heading, root, stop);
        heading.focus();
    }

    finish(seed, given) {
        const { words, data } = this;
        removeEventListener('beforeunload', this.warn);
        this.player.run = null;
        if (given.kind === 'abx') this.runs += 1;
        const text = answersText(data.pack, seed, this.listener.value.trim(), given);
        this.kept.add(text);
        const result = new Result(words, text);
        this.results.push(result);
        this.resultList.prepend(result.root);
        const again = this.named ? [] : [button(words.say('vote_again'), () => this.idle())];
        const show = button(words.say('vote_show'), () => this.showNames());
        const thanks = element('p', {}, words.say('vote_thanks'));
        this.panel.replaceChildren(thanks, element('div', { class: 'line' }, this.nextButton(), ...again), show);
        // The code to send comes first, the names last.
        this.panel.before(this.resultList);
        result.root.querySelector('h3').focus();
    }

    /** All ballots are gone. */
    forget() {
        this.results = [];
        this.resultList.replaceChildren();
    }

    /** Breaks a run off; its answers are gone. */
    leave() {
        removeEventListener('beforeunload', this.warn);
        this.kept.setRunning(null);
        if (this.named) this.showNames();
        else this.idle();
    }

    showNames() {
        const { order, sounds, sections } = this.secret();
        if (sections && !this.named) this.sections.fill(sections);
        this.named = true;
        this.sections.show();
        for (const result of this.results) result.tell((key) => sounds[key]?.name ?? key);
        this.idle();
        this.sayFirst('vote_named', { count: order.length });
    }

    /** All sounds under labels that do not tell which they are. */
    labelled() {
        const keys = this.data.sounds.map(({ key }) => key);
        return shuffled(this.seed, keys).map((key, index) => {
            const number = String(index + 1);
            return { key, label: this.words.say('sound', { number }), letter: number };
        });
    }
}

/** All sounds by name, with what is known of them. */
function namedChoices({ order, sounds }, words) {
    return order.map((key, index) => {
        const { name, kind, verdict, loss_db: lossDb, lufs, matching_db: matching, truth_gain: truthGain } = sounds[key];
        // Of an anchor nothing is left there, and its verdict says so.
        const loss = kind === 'anchor' ? [] : [words.say('loss', { loss: words.signed(-lossDb, 1) })];
        const detail = [...loss, loudness(lufs, matching, words)].join(' \u00b7 ');
        return { key, label: name, letter: String(index), mark: lineOf(key), detail, verdict, truthGain };
    });
}

/** How loud a sound is, in words; of silence there is none. */
function loudness(lufs, matching, words) {
    if (lufs === null) return words.say('silent');
    return words.say('loudness', { lufs: words.number(lufs, 1), matching: words.signed(matching ?? 0, 1) });
}
