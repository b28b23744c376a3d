// Puts what changed in its place.
//
// The page is never loaded again for an edit. What did not change stays the same node, so that the
// place on the page, the selection, the focus and whatever was opened are kept.

const root = document.documentElement;
const line = document.querySelector('.state');
const main = document.querySelector('main');

// Puts the parts that are other ones in place, and all of them in their order where that is another one.
function place({ order, parts, far }) {
    const fresh = new Map(parts);
    if (order) become(main, arranged(order, fresh, far));
    else for (const [id, html] of fresh) become(document.getElementById(id), parse(html));
}

// Parts that stand for those on the page, which stay as they are.
const stays = new WeakSet();

// What `main` is to hold: the first parts in no section, and then section by section, of which so many are laid out only
// where they are in sight.
function arranged([first, ...sections], fresh, far) {
    const content = document.createDocumentFragment();
    content.append(...first.map(id => partOf(id, fresh)));
    for (const [number, ids] of sections.entries()) {
        const section = document.createElement('section');
        if (number < far) section.className = 'far';
        section.append(...ids.map(id => partOf(id, fresh)));
        content.append(section);
    }
    return content;
}

function partOf(id, fresh) {
    const part = document.createElement('div');
    part.className = 'part';
    part.id = id;
    if (fresh.has(id)) part.append(parse(fresh.get(id)));
    else if (document.getElementById(id)) stays.add(part);
    // Something else may have been at work here, such as a translation.
    else throw new Error(`the part ${id} is gone`);
    return part;
}

// Makes the content of `element` equal to `fresh`.
function become(element, fresh) {
    const callbacks = {
        beforeNodeMorphed: (old, node) => !stays.has(node) && !old.isEqualNode(node),
        // Whether details are open is up to the reader.
        beforeAttributeUpdated: (name, node) => !(name === 'open' && node.localName === 'details'),
    };
    Idiomorph.morph(element, fresh.childNodes, { morphStyle: 'innerHTML', callbacks });
}

// The nodes that `html` stands for.
function parse(html) {
    const template = document.createElement('template');
    template.innerHTML = html;
    return template.content;
}
