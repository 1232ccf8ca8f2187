/** How long sound takes to come and go where it starts, stops and jumps, in seconds. */
const EDGE_SECONDS = 0.01;
/** The next round of a loop is planned this long before it begins, in seconds: pages in the background look up once a second. */
const AHEAD_SECONDS = 1.5;

/** One run of all sounds, in step, from a frame on. Times are those of the context. */
class Pass {
    /** Starts `buffers` (by key) at `start` from `offset`, and fades them out at `end`, all in seconds. */
    constructor(mixer, buffers, start, offset, end) {
        Object.assign(this, { start, offset, end });
        const { context } = mixer;
        this.points = Math.round(EDGE_SECONDS * context.sampleRate) + 1;
        this.voices = Array.from(buffers, ([key, buffer]) => {
            const source = new AudioBufferSourceNode(context, { buffer });
            const edge = new GainNode(context, { gain: 0 });
            source.connect(edge).connect(mixer.input(key));
            edge.gain.setValueCurveAtTime(raisedCosine(0, 1, this.points), start, EDGE_SECONDS);
            source.start(start, offset);
            return { source, edge };
        });
        this.fadeOut(end);
    }

    fadeOut(at) {
        for (const { source, edge } of this.voices) {
            edge.gain.setValueCurveAtTime(raisedCosine(1, 0, this.points), at, EDGE_SECONDS);
            source.stop(at + EDGE_SECONDS + GUARD_SECONDS);
        }
    }

    /** Ends earlier than planned. */
    endAt(at) {
        if (at >= this.end - GUARD_SECONDS) return;
        for (const { edge } of this.voices) edge.gain.cancelScheduledValues(at);
        this.end = at;
        this.fadeOut(at);
    }

    /** Takes back a run that has not begun. */
    drop() {
        for (const { source, edge } of this.voices) {
            source.stop();
            edge.disconnect();
        }
    }
}

/**
 * Play, pause, seek and loop for all sounds at once. Whatever changes begins a new pass at a whole frame, and the old one fades out
 * under it; where both play the same place, the fades add up to one and nothing is heard. Seconds are those of the take.
 */
class Transport {
    constructor(duration, rate) {
        Object.assign(this, { duration, rate, mixer: null, playing: false, rest: 0, passes: [] });
        this.buffers = new Map();
        this.looping = true;
        this.region = { from: 0, to: duration };
    }

    /** Where sound goes from now on. */
    attach(mixer) {
        this.mixer = mixer;
    }

    /** The place that is heard now. */
    position() {
        if (!this.playing) return this.rest;
        const now = this.mixer.context.currentTime;
        const pass = this.passes.findLast((pass) => pass.start <= now) ?? this.passes[0];
        return this.placeIn(pass, Math.max(now, pass.start));
    }

    /** Where a pass is at a time of the context; where it is past the loop's end, that far into the next round. */
    placeIn(pass, time) {
        const place = Math.min(pass.offset + time - pass.start, this.duration);
        const { from, to } = this.region;
        return this.loops(pass) && place >= to ? from + ((place - to) % (to - from)) : place;
    }

    /** Sounds that may be heard; those that have just come join in. */
    setBuffers(buffers) {
        this.buffers = new Map(buffers);
        if (this.playing) this.begin();
    }

    play() {
        if (this.playing) return;
        if (this.rest >= this.duration - EDGE_SECONDS) this.rest = 0;
        this.playing = true;
        this.begin(this.rest);
    }

    pause() {
        if (!this.playing) return;
        this.rest = this.position();
        this.playing = false;
        this.endAll(this.soonest());
    }

    seek(to) {
        const place = Math.min(Math.max(to, 0), this.duration);
        if (this.playing) this.begin(place);
        else this.rest = place;
    }

    setLooping(looping) {
        if (this.looping === looping) return;
        this.looping = looping;
        if (this.playing) this.begin();
    }

    /** Loops from `from` to `to`; what is past the end by then goes back to the beginning. */
    setRegion(from, to) {
        const past = this.position() + (this.playing ? LEAD_SECONDS + EDGE_SECONDS : 0) >= to;
        this.region = { from, to };
        if (this.playing) this.begin(past ? from : undefined);
        else if (past) this.rest = from;
    }

    /** To be called now and then: plans the next round, and stops at the end. */
    look() {
        if (!this.playing) return;
        const now = this.mixer.context.currentTime;
        this.passes = this.passes.filter((pass) => pass.end + 2 * EDGE_SECONDS > now);
        if (this.passes.length === 0) {
            this.playing = false;
            this.rest = 0;
            return;
        }
        while (this.loops(this.passes.at(-1)) && this.passes.at(-1).end < now + AHEAD_SECONDS) {
            const last = this.passes.at(-1);
            const cut = last.offset + last.end - last.start;
            const missing = Math.max(0, this.region.to - cut);
            this.plan(last.end + missing, this.region.from);
        }
    }

    /** Whether a run comes to the end of the region: one that begins behind it plays to the end of the take. */
    loops(pass) {
        return this.looping && pass.offset < this.region.to;
    }

    /** Begins a new pass at `place`, or where the old one is by then. */
    begin(place) {
        const start = this.soonest();
        const running = this.passes.findLast((pass) => pass.start < start);
        const offset = place ?? (running ? this.placeIn(running, start) : this.rest);
        this.endAll(start);
        this.plan(start, Math.max(0, Math.min(offset, this.duration - 2 * EDGE_SECONDS)));
        this.look();
    }

    /** When a change may begin: at a whole frame, and after the fade-in of what plays. */
    soonest() {
        const now = this.mixer.context.currentTime + LEAD_SECONDS;
        const begun = this.passes.filter((pass) => pass.start <= now);
        const faded = begun.map((pass) => pass.start + EDGE_SECONDS + GUARD_SECONDS);
        // A whole frame that rounding puts a hair later is that frame.
        return Math.ceil(Math.max(now, ...faded) * this.rate - 1e-6) / this.rate;
    }

    /** The end of the take has no sound behind it to fade, so the fade comes before it. */
    plan(start, offset) {
        const from = Math.round(offset * this.rate) / this.rate;
        const loops = this.looping && from < this.region.to;
        const to = Math.min(loops ? this.region.to : this.duration, this.duration - EDGE_SECONDS);
        const end = start + Math.max(to - from, EDGE_SECONDS + GUARD_SECONDS);
        this.passes.push(new Pass(this.mixer, this.buffers, start, from, end));
    }

    endAll(at) {
        for (const pass of this.passes) {
            if (pass.start < at - GUARD_SECONDS) pass.endAt(at);
            else pass.drop();
        }
        this.passes = this.passes.filter((pass) => pass.start < at - GUARD_SECONDS);
    }
}
