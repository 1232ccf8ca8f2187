/** How often the place is shown and the next round looked after, in milliseconds. */
const LOOK_MILLISECONDS = 100;
/** The shortest part that can be looped, in seconds. */
const SHORTEST_LOOP_SECONDS = 0.25;

/** The player: what is heard, where, in which loop and how loud. */
class Player {
    constructor(data, words, onchosen) {
        Object.assign(this, { data, words, onchosen, chosen: 0, mixer: null, truth: false, blind: false, run: null });
        const duration = data.frames / data.rate_hz;
        this.sounds = new Sounds(data);
        this.transport = new Transport(duration, data.rate_hz);
        this.waveform = new Waveform(data.waveform, duration, words, (place) => this.seek(place));
        this.choices = new Choices(words, (index) => this.choose(index));
        this.bar = new Bar(words, duration, () => this.toggle());
        this.build();
        this.showPlace();
    }

    build() {
        const { words } = this;
        this.verdict = element('p', { class: 'verdict' });
        this.loop = checkbox(words.say('loop'), true, (on) => this.setLooping(on));
        this.loud = checkbox(words.say('truth'), false, (on) => this.setTruth(on));
        this.progress = element('p', { class: 'quiet' });
        const region = [
            button(words.say('loop_from'), () => this.loopFrom()),
            button(words.say('loop_to'), () => this.loopTo()),
            button(words.say('loop_all'), () => this.loopAll()),
        ];
        this.root = element('div', { class: 'player' });
        this.root.append(
            this.verdict,
            this.waveform.root,
            element('div', { class: 'line', role: 'group', 'aria-label': words.say('loop') }, this.loop.label, ...region),
            this.choices.root,
            this.loud.label,
            this.progress,
        );
    }

    /**
     * Offers these sounds and hears the first. Blind, nothing is told of them and the levels stay matched. A `run` is told which one is
     * chosen (`chosen`), and again and again which one is heard (`heard`), by their indices.
     */
    present(choices, blind, run = null) {
        Object.assign(this, { blind, run });
        this.setTruth(false);
        this.loud.label.hidden = blind;
        this.choices.show(choices);
        this.choose(0);
    }

    get choice() {
        return this.choices.choices[this.chosen];
    }

    /** Puts another sound behind a choice that does not tell which it is, and goes back to the first. */
    swap(index, key) {
        this.choices.choices[index].key = key;
        this.choose(0);
    }

    /** Whether the chosen sound can be heard at this moment. */
    get isHeard() {
        const { mixer, transport } = this;
        if (mixer === null || !transport.playing) return false;
        return mixer.change.key === this.choice.key && mixer.context.currentTime >= mixer.change.end;
    }

    choose(index) {
        this.chosen = index;
        this.choices.check(index);
        this.bar.showHeard(this.choice.label);
        this.verdict.textContent = this.choice.verdict ?? '';
        this.onchosen(this.choice, this.blind);
        this.run?.chosen(index);
        if (this.mixer !== null) this.load(this.choice.key);
    }

    /** Chooses a sound and lets it be heard, whether anything was playing or not. */
    listen(index) {
        this.choose(index);
        if (!this.transport.playing) this.play();
    }

    /** The chosen sound at its level: matched, or as loud as it really is. */
    hear() {
        this.mixer.hear(this.choice.key, this.truth ? this.choice.truthGain : 1);
    }

    setTruth(truth) {
        this.truth = truth;
        this.loud.input.checked = truth;
        if (this.mixer !== null && this.sounds.has(this.choice.key)) this.hear();
    }

    toggle() {
        if (this.transport.playing) this.pause();
        else this.play();
    }

    /** The context is made here, since browsers want it made by a touch. */
    async play() {
        if (this.mixer === null) this.open();
        this.mixer.context.resume();
        if (!(await this.load(this.choice.key))) return;
        this.transport.play();
        this.showPlace();
        this.timer ??= setInterval(() => this.look(), LOOK_MILLISECONDS);
        this.loadOthers();
    }

    pause() {
        this.transport.pause();
        this.showPlace();
    }

    open() {
        const context = contextAt(this.data.rate_hz);
        this.mixer = new Mixer(context, this.data.sounds.map(({ key }) => key));
        this.transport.attach(this.mixer);
        context.onstatechange = () => {
            if (context.state === 'running' || !this.transport.playing) return;
            this.pause();
            this.bar.say(this.words.say('interrupted'));
        };
    }

    /** Decodes a sound and lets it join; says whether it could. If it is still the chosen one, it is heard. */
    async load(key) {
        if (!(await this.decode(key))) return false;
        this.join();
        if (this.choice.key === key) this.hear();
        return true;
    }

    /** Decodes a sound, and says in words that it does or why it cannot. */
    async decode(key) {
        const sound = this.choices.choices.find((choice) => choice.key === key).label;
        try {
            if (!this.sounds.has(key)) this.bar.say(this.words.say('decoding', { sound }));
            await this.sounds.get(key);
            this.bar.say();
            return true;
        } catch (error) {
            const values = { sound, codec: this.data.mime, reason: error.message };
            this.bar.say(this.words.say('not_decoded', values));
            return false;
        }
    }

    /** All others as well, one after another, if all fit. */
    async loadOthers() {
        if (this.sounds.most < this.data.sounds.length) return;
        for (const { key } of this.data.sounds) {
            await this.sounds.get(key).catch(() => null);
            this.join();
        }
    }

    join() {
        const { sounds, transport, words } = this;
        const known = [...sounds.decoded.keys()].every((key) => transport.buffers.has(key));
        if (known && sounds.decoded.size === transport.buffers.size) return;
        transport.setBuffers(sounds.decoded);
        const mebibytes = (sounds.decoded.size * sounds.bytesOfOne) / 2 ** 20;
        const values = { count: sounds.decoded.size, all: this.data.sounds.length, size: words.number(mebibytes, 0) };
        this.progress.textContent = words.say('decoded', values);
    }

    look() {
        this.transport.look();
        this.showPlace();
        if (this.isHeard) this.run?.heard(this.chosen);
        if (this.transport.playing) return;
        clearInterval(this.timer);
        this.timer = null;
    }

    showPlace() {
        const place = this.transport.position();
        this.waveform.show(place);
        this.bar.showPlace(place, this.transport.playing);
    }

    seek(place) {
        this.transport.seek(place);
        this.showPlace();
    }

    seekBy(seconds) {
        this.seek(this.transport.position() + seconds);
    }

    setLooping(on) {
        this.loop.input.checked = on;
        this.transport.setLooping(on);
    }

    loopFrom() {
        const from = this.transport.position();
        const { to } = this.transport.region;
        this.setRegion(from, from + SHORTEST_LOOP_SECONDS <= to ? to : this.transport.duration);
    }

    loopTo() {
        const to = this.transport.position();
        const { from } = this.transport.region;
        this.setRegion(from + SHORTEST_LOOP_SECONDS <= to ? from : 0, to);
    }

    loopAll() {
        this.setRegion(0, this.transport.duration);
    }

    /** A part that is too short is made as long as it must be. */
    setRegion(from, to) {
        const { transport } = this;
        const start = Math.max(0, Math.min(from, transport.duration - SHORTEST_LOOP_SECONDS));
        transport.setRegion(start, Math.min(Math.max(to, start + SHORTEST_LOOP_SECONDS), transport.duration));
        this.setLooping(true);
        this.waveform.showRegion(transport.region);
    }
}

/** At the rate of the take where the browser can, so that nothing is converted. */
function contextAt(sampleRate) {
    try {
        return new AudioContext({ sampleRate });
    } catch {
        return new AudioContext();
    }
}

/** A box to tick, with its label. */
function checkbox(text, checked, set) {
    const input = element('input', { type: 'checkbox', checked, onchange: () => set(input.checked) });
    return { input, label: element('label', { class: 'tick' }, input, text) };
}
