/**
 * The seeded sequence, the same as in `program/src/format/sequence.rs`: xorshift32 with shifts 13, 17, 5 (Marsaglia 2003,
 * "Xorshift RNGs"), the first eight values left out.
 */
class Sequence {
    constructor(seed) {
        this.state = seed >>> 0 || 1;
        for (let i = 0; i < 8; i += 1) this.next();
    }

    /** The next value, 32 bits without a sign. */
    next() {
        let x = this.state;
        x ^= x << 13;
        x ^= x >>> 17;
        x ^= x << 5;
        this.state = x >>> 0;
        return this.state;
    }
}

/** Which sound X is in each of `trials` trials: "a" if the top bit is 0, else "b". */
function sidesOf(seed, trials) {
    const sequence = new Sequence(seed);
    return Array.from({ length: trials }, () => (sequence.next() >>> 31 ? 'b' : 'a'));
}

/** `items` in the order of their labels: Fisher and Yates, from the last one down. */
function shuffled(seed, items) {
    const sequence = new Sequence(seed ^ 0x5bd1e995);
    const order = [...items];
    for (let i = order.length - 1; i > 0; i -= 1) {
        const j = sequence.next() % (i + 1);
        [order[i], order[j]] = [order[j], order[i]];
    }
    return order;
}

/** Opens what the page keeps sealed. The seal keeps honest readers honest; it is no lock. */
function unseal(pack, sealed) {
    const sequence = new Sequence(parseInt(pack.slice(0, 8), 16));
    const bytes = bytesOfBase64(sealed).map((byte) => byte ^ (sequence.next() >>> 24));
    return JSON.parse(new TextDecoder().decode(bytes));
}

/** A seed that nobody chose. */
function freshSeed() {
    return crypto.getRandomValues(new Uint32Array(1))[0];
}
