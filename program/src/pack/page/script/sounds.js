/** Decoded sound that a page may hold, in bytes: phones have little, and close a page that takes more. */
const BUDGET_BYTES = 384 * 2 ** 20;

/** The sounds of the page, decoded when they are asked for. Of long takes only the latest few are kept. */
class Sounds {
    constructor(data) {
        this.data = data;
        this.blocks = new Map(data.sounds.map(({ key, block }) => [key, block]));
        this.decoded = new Map();
        this.asked = new Map();
    }

    /** What one decoded sound takes. */
    get bytesOfOne() {
        return this.data.frames * this.data.channels * Float32Array.BYTES_PER_ELEMENT;
    }

    /** How many may be kept; two at least, so that there is something to compare. */
    get most() {
        return Math.max(2, Math.floor(BUDGET_BYTES / this.bytesOfOne));
    }

    has(key) {
        return this.decoded.has(key);
    }

    /** The decoded sound; asking twice decodes once. Fails with what the browser says. */
    async get(key) {
        if (!this.has(key)) {
            if (!this.asked.has(key)) this.asked.set(key, this.decode(key));
            try {
                this.keep(key, await this.asked.get(key));
            } finally {
                this.asked.delete(key);
            }
        }
        const buffer = this.decoded.get(key);
        this.keep(key, buffer);
        return buffer;
    }

    /** Puts the sound last, as the latest, and lets the earliest go. */
    keep(key, buffer) {
        this.decoded.delete(key);
        this.decoded.set(key, buffer);
        const [earliest] = this.decoded.keys();
        if (this.decoded.size > this.most) this.decoded.delete(earliest);
    }

    /** A context that renders nothing decodes without having been touched, at the rate of the take. */
    async decode(key) {
        const decoder = new OfflineAudioContext(1, 1, this.data.rate_hz);
        const text = document.getElementById(this.blocks.get(key)).textContent;
        return decoder.decodeAudioData(bytesOfBase64(text).buffer);
    }
}
