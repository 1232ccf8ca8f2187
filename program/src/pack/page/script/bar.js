/** What stays in sight wherever the page is read: play, the place, what is heard, and what went wrong. */
class Bar {
    constructor(words, duration, toggle) {
        Object.assign(this, { words, duration });
        this.play = button(words.say('play'), toggle, { class: 'play' });
        this.heard = element('span', { class: 'heard-now', 'aria-live': 'polite' });
        this.time = element('span', { class: 'time' });
        this.status = element('p', { role: 'status', class: 'status' });
        this.done = element('div', { class: 'done' });
        this.parts = [this.play, element('p', { class: 'now' }, this.heard, this.time), this.status, this.done];
    }

    showHeard(sound) {
        this.heard.textContent = this.words.say('heard', { sound });
    }

    showPlace(place, playing) {
        const { words, duration } = this;
        this.time.textContent = words.say('place', { place: words.time(place), length: words.time(duration) });
        this.done.style.width = `${(100 * place) / duration}%`;
        this.play.textContent = words.say(playing ? 'pause' : 'play');
    }

    /** Says what is going on or went wrong; nothing takes it back. */
    say(text = '') {
        this.status.textContent = text;
    }
}
