/** The page's texts and numbers in its language. */
class Words {
    constructor(language, texts) {
        this.language = language;
        this.texts = texts;
    }

    /** The text `id`, with each {name} replaced from `values`. */
    say(id, values = {}) {
        const text = this.texts[id] ?? id;
        return text.replace(/\{(\w+)\}/g, (whole, name) => String(values[name] ?? whole));
    }

    /** A number with so many decimals, and a minus that is one. */
    number(value, decimals) {
        const format = { minimumFractionDigits: decimals, maximumFractionDigits: decimals };
        // None of them is "−0.0".
        const rounded = Number(value.toFixed(decimals)) || 0;
        return rounded.toLocaleString(this.language, format).replace('-', '\u2212');
    }

    /** A number that tells up from down. */
    signed(value, decimals) {
        const text = this.number(value, decimals);
        return Number(value.toFixed(decimals)) > 0 ? `+${text}` : text;
    }

    /** A small number to so many digits that count. */
    digits(value, count) {
        return value.toLocaleString(this.language, { maximumSignificantDigits: count });
    }

    /** Seconds as minutes and seconds, to a tenth. */
    time(seconds) {
        const tenths = Math.max(0, Math.round(seconds * 10));
        const rest = this.number((tenths % 600) / 10, 1);
        return `${Math.floor(tenths / 600)}:${rest.padStart(4, '0')}`;
    }
}
