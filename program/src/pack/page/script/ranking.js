/** All sounds under labels, put in order by the listener, best first. */
class Ranking {
    /**
     * `labelled` are the choices in the order of their labels. `order` and `unheard`, counted in those, are what they were before the
     * page was left, if it was; `keep` gets them, `finish` what the answers add to those of every kind.
     */
    constructor(words, player, labelled, { order, unheard } = {}, { keep, finish }) {
        Object.assign(this, { words, player, keep, finish, unheard: new Set(unheard ?? labelled.keys()) });
        this.said = element('p', { 'aria-live': 'polite', class: 'quiet' });
        this.missing = element('p', { class: 'quiet', id: 'ranking-missing' });
        this.list = element('ol', { class: 'ranking' });
        const rows = labelled.map((choice, index) => this.row(choice, index));
        this.rows = order?.map((index) => rows[index]) ?? rows;
        this.list.append(...this.rows.map(({ item }) => item));
        const attributes = { class: 'answer', 'aria-describedby': 'ranking-missing' };
        this.send = button(words.say('ranking_done'), () => this.done(), attributes);
        const help = element('p', {}, words.say('ranking_help'));
        this.root = element('div', {}, help, this.list, this.said, this.missing, this.send);
        player.present(labelled, true);
        player.onheard = (index) => this.tick(index);
        this.showMissing();
        this.keepAll();
    }

    row({ key, label }, index) {
        const { words } = this;
        const named = (id) => ({ 'aria-label': words.say(id, { sound: label }) });
        const hear = () => this.player.choose(index);
        const listen = button(words.say('ranking_listen'), hear, named('ranking_listen_to'));
        const up = button('\u2191', () => this.move(row, -1, up), named('ranking_up'));
        const down = button('\u2193', () => this.move(row, 1, down), named('ranking_down'));
        const item = element('li', { onkeydown: (event) => this.key(event, row) });
        item.append(element('div', {}, element('span', { class: 'name' }, label), listen, up, down));
        const row = { key, label, item, index };
        return row;
    }

    key(event, row) {
        const by = { ArrowUp: -1, ArrowDown: 1 }[event.key];
        if (by === undefined) return;
        event.preventDefault();
        this.move(row, by, event.target);
    }

    /** One place up or down; the focus stays on the button that moved it. */
    move(row, by, focus) {
        const from = this.rows.indexOf(row);
        const to = from + by;
        if (to < 0 || to >= this.rows.length) return;
        this.rows.splice(from, 1);
        this.rows.splice(to, 0, row);
        this.list.replaceChildren(...this.rows.map(({ item }) => item));
        focus.focus();
        const values = { sound: row.label, place: to + 1, count: this.rows.length };
        this.said.textContent = this.words.say('ranking_moved', values);
        this.keepAll();
    }

    keepAll() {
        this.keep({ order: this.rows.map(({ index }) => index), unheard: [...this.unheard] });
    }

    tick(index) {
        if (!this.unheard.delete(index)) return;
        this.showMissing();
        this.keepAll();
    }

    showMissing() {
        const labels = [...this.unheard].map((index) => this.player.choices.choices[index].label);
        const missing = this.words.say('ranking_missing', { sounds: labels.join(', ') });
        this.missing.textContent = labels.length === 0 ? '' : missing;
        this.send.setAttribute('aria-disabled', String(labels.length > 0));
    }

    done() {
        if (this.unheard.size > 0) return;
        this.finish({ kind: 'ranking', order: this.rows.map(({ key }) => key) });
    }
}

/** Whether what was kept of a ranking is enough to go on with it. */
function isRanking({ order, unheard }, keys) {
    const isOne = (index) => Number.isInteger(index) && index >= 0 && index < keys.length;
    const isOrder = Array.isArray(order) && order.every(isOne) && order.length === keys.length && new Set(order).size === keys.length;
    return isOrder && Array.isArray(unheard) && unheard.every(isOne);
}
