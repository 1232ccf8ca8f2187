/** The bytes of base64 text (RFC 4648). */
function bytesOfBase64(text) {
    return Uint8Array.from(atob(text.trim()), (character) => character.charCodeAt(0));
}

/** Bytes as base64url without padding (RFC 4648). */
function base64UrlOf(bytes) {
    const text = Array.from(bytes, (byte) => String.fromCharCode(byte)).join('');
    return btoa(text).replaceAll('+', '-').replaceAll('/', '_').replaceAll('=', '');
}
