/**
 * A new element. `attributes` beginning with "on" are listeners, true and false make attributes come and go, and all others are
 * text; so are children that are no elements. Nothing here is ever read as markup.
 */
function element(name, attributes = {}, ...children) {
    const made = document.createElement(name);
    for (const [key, value] of Object.entries(attributes)) {
        if (key.startsWith('on')) made.addEventListener(key.slice(2), value);
        else if (typeof value === 'boolean') made.toggleAttribute(key, value);
        else made.setAttribute(key, value);
    }
    made.append(...children);
    return made;
}

/** A button that says `text`. */
function button(text, onclick, attributes = {}) {
    return element('button', { type: 'button', onclick, ...attributes }, text);
}
