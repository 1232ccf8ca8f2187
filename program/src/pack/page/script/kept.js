/** All ballots so far, of everyone who voted here: kept in the browser, shown as codes to send at once, forgotten when asked. */
class Kept {
    /** `onforget` is called when there are none any more. */
    constructor(words, pack, onforget) {
        Object.assign(this, { words, onforget, store: new Store(pack) });
        const { ballots, running } = this.store.read();
        this.ballots = ballots;
        /** A vote that was not finished when the page was left. */
        this.running = running;
        this.said = element('p', { role: 'status', class: 'quiet' });
        this.count = element('summary', {});
        this.codes = new Codes(words, 'kept_codes', `firstjack-answers-${pack.slice(0, 8)}.json`);
        this.results = element('div', {});
        this.forgetting = element('div', {});
        this.list = element('details', { class: 'kept' }, this.count, this.codes.root, this.forgetting, this.results);
        this.root = element('div', {}, this.said, this.list);
        this.show();
    }

    get works() {
        return this.store.works;
    }

    show() {
        const { words, ballots } = this;
        const count = String(ballots.length);
        const kept = ballots.length > 0 ? 'kept_here' : 'kept_will_be';
        this.said.textContent = words.say(this.works ? kept : 'kept_nowhere');
        this.count.textContent = words.say('kept_count', { count });
        this.codes.show(ballots);
        this.list.hidden = ballots.length === 0;
        this.askNothing();
    }

    /** Keeps a finished ballot. */
    add(text) {
        this.running = null;
        this.store.change((kept) => {
            kept.ballots = [...new Set([...kept.ballots, ...this.ballots, text])];
            kept.running = null;
            this.ballots = kept.ballots;
        });
        this.show();
    }

    /** Keeps a vote that goes on; null once none does. */
    setRunning(running) {
        this.running = running;
        this.store.change((kept) => {
            kept.running = running;
        });
    }

    askNothing() {
        this.forgetting.replaceChildren(button(this.words.say('kept_forget'), () => this.ask()));
    }

    /** What was not sent is lost then, so it takes two presses. */
    ask() {
        const { words } = this;
        const keep = button(words.say('kept_forget_no'), () => this.askNothing());
        const forget = button(words.say('kept_forget_yes'), () => this.forget());
        const line = element('div', { class: 'line' }, keep, forget);
        this.forgetting.replaceChildren(element('p', { role: 'status' }, words.say('kept_forget_ask')), line);
        keep.focus();
    }

    forget() {
        this.store.forget();
        this.ballots = [];
        this.results.replaceChildren();
        this.list.open = false;
        this.show();
        this.said.textContent = this.words.say('kept_forgotten');
        this.onforget();
    }
}
