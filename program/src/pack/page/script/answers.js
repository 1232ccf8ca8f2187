/** CRC-32 (IEEE 802.3) of bytes, as 8 hex digits. */
function crc32(bytes) {
    let remainder = 0xffffffff;
    for (const byte of bytes) {
        remainder ^= byte;
        for (let bit = 0; bit < 8; bit += 1) {
            remainder = (remainder >>> 1) ^ (remainder & 1 ? 0xedb88320 : 0);
        }
    }
    return hexOf(~remainder);
}

/**
 * Answers of version 1: the JSON text that `firstjack votes` reads. The ballot's identity tells it from every other, whatever they say;
 * `given` is what the kind of vote adds.
 */
function answersText(pack, seed, listener, given) {
    const head = { firstjack: 'answers', version: 1, pack, ballot: freshBallot(), seed: hexOf(seed) };
    return JSON.stringify({ ...head, listener, ...given });
}

/** An identity that no other ballot has: 16 hex digits that nobody chose. */
function freshBallot() {
    return Array.from(crypto.getRandomValues(new Uint32Array(2)), hexOf).join('');
}

/** 32 bits as 8 hex digits. */
function hexOf(number) {
    return (number >>> 0).toString(16).padStart(8, '0');
}

/** The seed of answers, as a number. */
function seedOf({ seed }) {
    return parseInt(seed, 16);
}

/** The same answers as one line to paste into a message. */
function answersCode(text) {
    const bytes = new TextEncoder().encode(text);
    return `fj1.${base64UrlOf(bytes)}.${crc32(bytes)}`;
}
