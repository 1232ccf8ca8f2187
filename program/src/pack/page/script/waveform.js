/** What the arrow keys jump, in seconds, and the page keys. */
const STEP_SECONDS = 2;
const PAGE_SECONDS = 10;

/** The take as recorded, drawn; a slider that says and sets the place that is heard. */
class Waveform {
    constructor(columns, duration, words, seek) {
        Object.assign(this, { duration, words, seek });
        this.head = element('div', { class: 'head' });
        this.region = element('div', { class: 'region', hidden: true });
        this.root = element('div', {
            class: 'waveform',
            role: 'slider',
            tabindex: '0',
            'aria-label': words.say('waveform'),
            'aria-valuemin': '0',
            'aria-valuemax': duration.toFixed(1),
            onkeydown: (event) => this.key(event),
            onpointerdown: (event) => this.press(event),
            onpointermove: (event) => this.drag(event),
        });
        this.root.append(this.region, picture(columns), this.head);
        this.place = 0;
        this.show(0);
    }

    show(place) {
        this.place = place;
        const { words, duration } = this;
        this.head.style.left = `${(100 * place) / duration}%`;
        this.root.setAttribute('aria-valuenow', place.toFixed(1));
        const values = { place: words.time(place), length: words.time(duration) };
        this.root.setAttribute('aria-valuetext', words.say('place', values));
    }

    /** The part that is looped; none if it is the whole take. */
    showRegion({ from, to }) {
        this.region.hidden = from === 0 && to === this.duration;
        this.region.style.left = `${(100 * from) / this.duration}%`;
        this.region.style.width = `${(100 * (to - from)) / this.duration}%`;
    }

    press(event) {
        if (event.button !== 0) return;
        this.root.setPointerCapture(event.pointerId);
        this.root.focus({ preventScroll: true });
        this.seekTo(event.clientX);
        event.preventDefault();
    }

    drag(event) {
        if (this.root.hasPointerCapture(event.pointerId)) this.seekTo(event.clientX);
    }

    seekTo(x) {
        const { left, width } = this.root.getBoundingClientRect();
        this.seek(Math.min(Math.max((x - left) / width, 0), 1) * this.duration);
    }

    key(event) {
        const to = {
            ArrowUp: this.place + STEP_SECONDS,
            ArrowDown: this.place - STEP_SECONDS,
            PageUp: this.place + PAGE_SECONDS,
            PageDown: this.place - PAGE_SECONDS,
            Home: 0,
            End: this.duration,
        }[event.key];
        if (to === undefined || event.ctrlKey || event.altKey || event.metaKey) return;
        event.preventDefault();
        this.seek(to);
    }
}

/** The columns, each a least and a greatest value within 127, as one outline. */
function picture(columns) {
    const count = columns.length / 2;
    const upper = Array.from({ length: count }, (_, i) => `${i} ${-columns[2 * i + 1]}`);
    const lower = Array.from({ length: count }, (_, i) => `${i} ${1 - columns[2 * i]}`);
    const space = 'http://www.w3.org/2000/svg';
    const svg = document.createElementNS(space, 'svg');
    svg.setAttribute('viewBox', `0 -128 ${Math.max(count - 1, 1)} 256`);
    svg.setAttribute('preserveAspectRatio', 'none');
    svg.setAttribute('aria-hidden', 'true');
    const path = document.createElementNS(space, 'path');
    path.setAttribute('d', `M${upper.join('L')}L${lower.reverse().join('L')}Z`);
    svg.append(path);
    return svg;
}
