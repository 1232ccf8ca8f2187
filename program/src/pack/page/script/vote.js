/** The vote: what is asked, the blind runs, and what came of them. */
class Vote {
    constructor(data, words, player, secret, sections) {
        Object.assign(this, { data, words, player, secret, sections });
        /** On a page that was made blind, labels stay the same until names are shown. */
        this.seed = freshSeed();
        this.named = !data.blind;
        this.panel = element('div', { class: 'panel' });
        this.results = [];
        this.resultList = element('div', {});
        this.listener = element('input', { type: 'text', maxlength: '60', autocomplete: 'off' });
        this.root = element('div', {}, this.panel, this.resultList);
        this.warn = (event) => event.preventDefault();
        if (data.blind) sections.hide();
        this.idle();
    }

    /** Before and after a vote. */
    idle() {
        const { words } = this;
        this.player.onheard = null;
        this.player.present(this.named ? namedChoices(this.secret(), words) : this.labelled(), !this.named);
        this.panel.replaceChildren(
            element('p', {}, words.say('vote_intro')),
            element('label', { class: 'field' }, words.say('vote_listener'), this.listener),
            this.rankingStart(),
            this.abxStart(),
        );
        if (!this.named) this.panel.append(button(words.say('vote_peek'), () => this.showNames()));
        this.panel.append(element('p', { class: 'quiet' }, words.say('vote_honest')));
    }

    rankingStart() {
        const { words } = this;
        const start = button(words.say('ranking_start'), () => this.startRanking(), { class: 'start' });
        const help = element('p', {}, words.say('ranking_intro'));
        return element('div', { class: 'kind' }, element('h3', {}, words.say('ranking')), help, start);
    }

    abxStart() {
        const { words, data } = this;
        const begin = (pair, trials) => this.startAbx(pair, trials);
        const offered = this.player.choices.choices;
        const form = new AbxForm(words, offered, begin, data.abx && { pair: data.abx, text: this.askedPair() });
        const intro = element('p', {}, words.say('abx_intro'));
        return element('div', { class: 'kind' }, element('h3', {}, words.say('abx')), intro, form.root);
    }

    /** The pair that the organiser asks about: by name where names are shown. */
    askedPair() {
        if (!this.named) return this.words.say('abx_asked_blind');
        const [a, b] = this.data.abx.map((key) => this.secret().sounds[key].name);
        return this.words.say('abx_asked', { a, b });
    }

    startRanking() {
        if (this.named) this.seed = freshSeed();
        const { words, player, seed } = this;
        const labelled = this.labelled();
        this.begin('ranking', (finish) => new Ranking(words, player, labelled, finish), seed);
    }

    /** Both sounds are decoded first: one that had to be in the middle of the run would tell that it is another. */
    async startAbx(pair, trials) {
        const { words, player } = this;
        for (const key of pair) if (!(await player.decode(key))) return;
        const seed = freshSeed();
        this.begin('abx', (finish) => new AbxRun(words, player, { pair, trials, seed }, finish), seed);
    }

    begin(kind, run, seed) {
        const { words } = this;
        this.sections.hide();
        for (const result of this.results) result.forget();
        addEventListener('beforeunload', this.warn);
        const heading = element('h3', { tabindex: '-1' }, words.say(kind));
        const stop = button(words.say(this.named ? 'vote_stop' : 'vote_stop_blind'), () => this.leave());
        const { root } = run((given, lines) => this.finish(seed, given, lines));
        this.panel.replaceChildren(heading, root, stop);
        heading.focus();
    }

    finish(seed, given, lines) {
        const { words, data } = this;
        removeEventListener('beforeunload', this.warn);
        this.player.onheard = null;
        const result = new Result(words, data.pack, seed, this.listener.value.trim(), given, lines);
        this.results.push(result);
        this.resultList.prepend(result.root);
        const again = this.named ? [] : [button(words.say('vote_again'), () => this.idle())];
        const show = button(words.say('vote_show'), () => this.showNames(), { class: 'start' });
        const thanks = element('p', {}, words.say('vote_thanks'));
        this.panel.replaceChildren(thanks, element('div', { class: 'line' }, show, ...again));
        result.root.querySelector('h3').focus();
    }

    /** Breaks a run off; its answers are gone. */
    leave() {
        removeEventListener('beforeunload', this.warn);
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
        const said = this.words.say('vote_named', { count: order.length });
        this.panel.prepend(element('p', { class: 'quiet', tabindex: '-1' }, said));
        this.panel.firstChild.focus();
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
        const { name, verdict, loss_db: lossDb, lufs, matching_db: matching, truth_gain: truthGain } = sounds[key];
        const loss = words.say('loss', { loss: words.signed(-lossDb, 1) });
        const detail = `${loss} \u00b7 ${loudness(lufs, matching, words)}`;
        return { key, label: name, letter: String(index), mark: lineOf(key), detail, verdict, truthGain };
    });
}

/** How loud a sound is, in words; of silence there is none. */
function loudness(lufs, matching, words) {
    if (lufs === null) return words.say('silent');
    return words.say('loudness', { lufs: words.number(lufs, 1), matching: words.signed(matching ?? 0, 1) });
}
