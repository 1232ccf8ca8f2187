/** All sounds under labels, put in order by the listener, best first. */
class Ranking {
    /**
     * `labelled` are the choices in the order of their labels. `order` and `unheard`, counted in those, are what they were before the
     * page was left, if it was; `keep` gets them, `finish` what the answers add to those of every kind.
     */
    constructor(words, player, labelled, { order, unheard } = {}, { keep, finish }) {
        Object.assign(this, { words, player, keep, finish, unheard: new Set(unheard ?? labelled.keys()) });
        this.said = element('p', { 'aria-live': 'polite', class: 'quiet' });
        this.missing = element('p', { 'aria-live': 'polite', id: 'ranking-missing' });
        this.list = element('ol', { class: 'ranking' });
        const rows = labelled.map((choice, index) => this.row(choice, index));
        this.rows = order?.map((index) => rows[index]) ?? rows;
        /** Whether the order is the listener's: something was moved, or it was said that nothing is to be. */
        this.isTheirs = this.rows.some(({ index }, place) => index !== place);
        this.list.append(...this.rows.map(({ item }) => item));
        const attributes = { class: 'answer', 'aria-describedby': 'ranking-missing' };
        this.send = button(words.say('ranking_done'), () => this.done(), attributes);
        const help = element('p', {}, words.say('ranking_help'));
        this.root = element('div', {}, help, this.list, this.said);
        this.root.append(element('div', { class: 'line' }, this.send, this.missing));
        player.present(labelled, true, this);
        this.showMissing();
        this.keepAll();
    }

    row({ key, label }, index) {
        const { words } = this;
        const named = (id) => ({ 'aria-label': words.say(id, { sound: label }) });
        const listen = new ListenButton(words, label, () => this.player.listen(index), words.say('listen'));
        const up = button('\u2191', () => this.move(row, -1, up), named('ranking_up'));
        const down = button('\u2193', () => this.move(row, 1, down), named('ranking_down'));
        const item = element('li', { onkeydown: (event) => this.key(event, row) });
        item.append(element('div', {}, element('span', { class: 'name' }, label), listen.root, up, down));
        const row = { key, label, item, index, listen };
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
        this.isTheirs = true;
        this.showMissing();
        this.keepAll();
    }

    keepAll() {
        this.keep({ order: this.rows.map(({ index }) => index), unheard: [...this.unheard] });
    }

    chosen(index) {
        for (const row of this.rows) row.listen.press(row.index === index);
    }

    heard(index) {
        if (!this.unheard.delete(index)) return;
        this.showMissing();
        this.keepAll();
    }

    /** What has to be done before the order can be sent, in words. */
    showMissing() {
        const { words, unheard, rows } = this;
        const labels = rows.filter(({ index }) => unheard.has(index)).map(({ label }) => label);
        const texts = labels.length > 0 ? [words.say('ranking_missing', { sounds: labels.join(', ') })] : [];
        if (!this.isTheirs) texts.push(words.say('ranking_unmoved'));
        this.missing.textContent = texts.join(' ') || words.say('ranking_ready');
        this.send.setAttribute('aria-disabled', String(labels.length > 0));
    }

    /** An order that nobody made is sent only when that is said twice. */
    done() {
        if (this.unheard.size > 0) return;
        if (this.isTheirs) this.finish({ kind: 'ranking', order: this.rows.map(({ key }) => key) });
        else {
            this.isTheirs = true;
            this.missing.textContent = this.words.say('ranking_unmoved_sure');
        }
    }
}

/** Whether what was kept of a ranking is enough to go on with it. */
function isRanking({ order, unheard }, keys) {
    const isOne = (index) => Number.isInteger(index) && index >= 0 && index < keys.length;
    const isOrder = Array.isArray(order) && order.every(isOne) && order.length === keys.length && new Set(order).size === keys.length;
    return isOrder && Array.isArray(unheard) && unheard.every(isOne);
}
