/** How long a switch takes, in seconds: a raised cosine. */
const SWITCH_SECONDS = 0.025;
/** Nothing is asked of the sound's thread sooner than this, in seconds: it may have run ahead of what the page knows. */
const LEAD_SECONDS = 0.03;
/** What two curves on one gain keep between them, in seconds: they must not touch. */
const GUARD_SECONDS = 0.001;

/** Points of a raised cosine between two values. Two that change places add up to the same all along. */
function raisedCosine(from, to, points) {
    return Float32Array.from({ length: points }, (_, i) => {
        return from + ((to - from) * (1 - Math.cos((Math.PI * i) / (points - 1)))) / 2;
    });
}

/** A gain for each sound. One sound is heard at a time, and a switch is a crossfade. Takes any BaseAudioContext. */
class Mixer {
    constructor(context, keys) {
        this.context = context;
        this.output = new GainNode(context);
        this.output.connect(context.destination);
        this.gains = new Map(keys.map((key) => [key, new GainNode(context, { gain: 0 })]));
        for (const gain of this.gains.values()) gain.connect(this.output);
        this.points = Math.round(SWITCH_SECONDS * context.sampleRate) + 1;
        /** The last change that was asked for; `before` is the one that it follows while it may still be taken back. */
        this.change = { start: -Infinity, end: -Infinity, key: null, gain: 0, before: null };
    }

    /** Where a source of this sound plugs in. */
    input(key) {
        return this.gains.get(key);
    }

    /** Hears `key` at `gain` and nothing else. A change under way is finished first; of those that wait, the latest counts. */
    hear(key, gain) {
        const now = this.context.currentTime + LEAD_SECONDS;
        const waiting = this.change.before !== null && this.change.start > now;
        if (waiting) this.takeBack();
        const before = this.change;
        if (before.key === key && before.gain === gain) return;
        const start = Math.max(now, before.end + 2 * GUARD_SECONDS);
        for (const [from, to, fading] of this.moves(before, key, gain)) {
            const curve = raisedCosine(from, to, this.points);
            this.gains.get(fading).gain.setValueCurveAtTime(curve, start, SWITCH_SECONDS);
        }
        this.change = { start, end: start + SWITCH_SECONDS, key, gain, before: { ...before, before: null } };
    }

    /** From, to and key of each gain that moves. */
    moves(before, key, gain) {
        if (before.key === key) return [[before.gain, gain, key]];
        const rising = [[0, gain, key]];
        return before.key === null ? rising : [[before.gain, 0, before.key], ...rising];
    }

    takeBack() {
        const { start, key, before } = this.change;
        for (const fading of [key, before.key]) {
            this.gains.get(fading)?.gain.cancelScheduledValues(start - GUARD_SECONDS);
        }
        this.change = before;
    }
}
