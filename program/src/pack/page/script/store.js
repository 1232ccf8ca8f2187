/**
 * What the browser keeps of a pack's page, from disk too: finished ballots as text, and the vote that goes on. Every look at it can
 * fail: browsers may allow a page nothing, and what was kept may be damaged.
 */
class Store {
    constructor(pack) {
        this.name = `firstjack-answers-${pack}`;
        this.pack = pack;
        /** Whether the last look did not fail. */
        this.works = true;
        this.change(() => {});
    }

    /** All that is kept. */
    read() {
        let text = null;
        try {
            text = localStorage.getItem(this.name);
        } catch {
            this.works = false;
        }
        const { ballots, running = null } = parsed(text) ?? {};
        const kept = Array.isArray(ballots) ? ballots : [];
        return { ballots: kept.filter((ballot) => this.isOurs(ballot)), running };
    }

    /** Changes what is kept by now: another window may have added to it. */
    change(act) {
        this.works = true;
        const kept = this.read();
        act(kept);
        try {
            localStorage.setItem(this.name, JSON.stringify(kept));
        } catch {
            this.works = false;
        }
    }

    forget() {
        try {
            localStorage.removeItem(this.name);
        } catch {
            this.works = false;
        }
    }

    isOurs(text) {
        const given = parsed(text);
        const { pack, ballot, said, order } = given ?? {};
        const says = given?.kind === 'abx' ? typeof said === 'string' : given?.kind === 'ranking' && Array.isArray(order);
        return pack === this.pack && typeof ballot === 'string' && says;
    }
}

/** What a text of JSON says, or null. */
function parsed(text) {
    try {
        return typeof text === 'string' ? JSON.parse(text) : null;
    } catch {
        return null;
    }
}
