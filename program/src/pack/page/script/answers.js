/** CRC-32 (IEEE 802.3) of bytes, as 8 hex digits. */
function crc32(bytes) {
    let remainder = 0xffffffff;
    for (const byte of bytes) {
        remainder ^= byte;
        for (let bit = 0; bit < 8; bit += 1) {
            remainder = (remainder >>> 1) ^ (remainder & 1 ? 0xedb88320 : 0);
        }
    }
    return (~remainder >>> 0).toString(16).padStart(8, '0');
}

/** Answers of version 1: the JSON text that `firstjack votes` reads. `given` is what the kind of vote adds. */
function answersText(pack, seed, listener, given) {
    const digits = (seed >>> 0).toString(16).padStart(8, '0');
    return JSON.stringify({ firstjack: 'answers', version: 1, pack, seed: digits, listener, ...given });
}

/** The same answers as one line to paste into a message. */
function answersCode(text) {
    const bytes = new TextEncoder().encode(text);
    return `fj1.${base64UrlOf(bytes)}.${crc32(bytes)}`;
}
