/** Reads what the page carries and puts bar, player and vote into it. */
function start() {
    const data = JSON.parse(document.getElementById('data').textContent);
    const words = new Words(data.language, data.words);
    let opened = null;
    const secret = () => (opened ??= unseal(data.pack, data.sealed));
    const player = new Player(data, words, ({ key }, blind) => {
        if (!blind) markHeard(key);
    });
    const vote = new Vote(data, words, player, secret, new Sections());
    const keys = new Keys(player);
    const bar = document.getElementById('bar');
    bar.replaceChildren(...player.bar.parts);
    bar.hidden = false;
    document.querySelector('#player > .body').replaceChildren(player.root, keysHelp(words, keys));
    document.querySelector('#vote > .body').replaceChildren(vote.root);
    foldSections();
}

document.addEventListener('DOMContentLoaded', start);
