// Puts what changed in its place.
//
// The page is never loaded again for an edit. What did not change stays the same node, so that the
// place on the page, the selection, the focus and whatever was opened are kept.

const main = document.querySelector('main');
// The elements that hold the parts, in their order.
let parts = findParts();
// Images that were loaded again, by their paths: what was put behind their addresses.
const renewed = new Map();

function findParts() {
    return [...main.querySelectorAll(':scope>section>.part')];
}

function replaceParts(message) {
    if (message.splice) splice(...message.splice);
    for (const [key, texts] of message.texts) setTexts(find(key), texts);
    const fresh = parseEach(message.elements.map(([, html]) => html));
    message.elements.forEach(([id], index) => become(document.getElementById(id), fresh[index].firstElementChild));
    for (const [index, html] of message.parts) fill(parts[index], html);
    if (message.head !== null) fill(main.firstElementChild, message.head);
}

// Changes some of the texts in an element, by their numbers.
function setTexts(element, texts) {
    const walker = document.createTreeWalker(element, NodeFilter.SHOW_TEXT);
    let at = -1;
    for (const [index, before, now] of texts) {
        for (; at < index; at += 1) walker.nextNode();
        const text = walker.currentNode;
        // Something else may have been at work here, such as a translation.
        if (text.data !== before) throw new Error(`"${before}" should stand where "${text.data}" does`);
        text.data = now;
    }
}

function replaceMain(html) {
    const fresh = parse(html);
    const keepOpen = (name, element) => !(name === 'open' && element.localName === 'details');
    Idiomorph.morph(main, fresh.childNodes, { morphStyle: 'innerHTML', callbacks: { beforeAttributeUpdated: keepOpen } });
    parts = findParts();
}

// Takes away `removed` parts and puts in others, each with whether it begins a section.
function splice(at, removed, added) {
    for (const part of parts.splice(at, removed)) leave(part);
    added.forEach(([begins, html], index) => {
        const part = document.createElement('div');
        part.className = 'part';
        part.append(parse(html));
        enter(part, parts[at + index - 1], begins);
        parts.splice(at + index, 0, part);
    });
    for (let index = at; index < parts.length; index += 1) parts[index].dataset.part = index;
}

// Removes a part. Where its section began with it, the rest joins the section before.
function leave(part) {
    const section = part.parentElement;
    const before = section.previousElementSibling;
    const begins = section.firstElementChild === part && before.localName === 'section';
    part.remove();
    if (!begins) return;
    before.append(...section.childNodes);
    section.remove();
}

// Puts a part behind another one, or first of all.
function enter(part, before, begins) {
    if (!before) return main.querySelector(':scope>section').prepend(part);
    before.after(part);
    if (!begins) return;
    const section = document.createElement('section');
    const rest = [];
    for (let node = part; node; node = node.nextSibling) rest.push(node);
    before.parentElement.after(section);
    section.append(...rest);
}

// The nodes that `html` stands for, with images as they were loaded last.
function parse(html) {
    const template = document.createElement('template');
    template.innerHTML = html;
    return renewed.size > 0 ? renewAll(template.content) : template.content;
}

// The nodes of each of many pieces, which are parsed at once: that takes half the time.
function parseEach(pieces) {
    const all = parse(pieces.map(html => `<template>${html}</template>`).join(''));
    return [...all.children].map(({ content }) => (renewed.size > 0 ? renewAll(content) : content));
}

function fill(element, html) {
    becomeInside(element, parse(html));
}

// Makes `old` equal to `fresh`; what is equal in it already stays as it is.
function become(old, fresh) {
    if (old.isEqualNode(fresh)) return;
    if (old.nodeName !== fresh.nodeName || old.namespaceURI !== fresh.namespaceURI) return old.replaceWith(fresh);
    if (old.nodeType !== Node.ELEMENT_NODE) {
        old.data = fresh.data;
        return;
    }
    becomeOutside(old, fresh);
    becomeInside(old, fresh);
}

function becomeOutside(old, fresh) {
    for (const name of fresh.getAttributeNames()) {
        const value = fresh.getAttribute(name);
        if (old.getAttribute(name) !== value) old.setAttribute(name, value);
    }
    for (const name of old.getAttributeNames()) {
        // Whether details are open is up to the reader.
        const isReaders = name === 'open' && old.localName === 'details';
        if (!isReaders && !fresh.hasAttribute(name)) old.removeAttribute(name);
    }
}

function becomeInside(old, fresh) {
    const olds = [...old.childNodes];
    const news = [...fresh.childNodes];
    while (olds.length && news.length && olds.at(-1).isEqualNode(news.at(-1))) {
        olds.pop();
        news.pop();
    }
    let same = 0;
    while (same < olds.length && same < news.length && olds[same].isEqualNode(news[same])) same += 1;
    const gone = olds.slice(same);
    const come = news.slice(same);
    if (gone.length === come.length) return gone.forEach((node, index) => become(node, come[index]));
    // Where there are more or fewer than before, those with the same id are the same.
    const byId = new Map(gone.filter(node => node.id).map(node => [node.id, node]));
    const after = olds.length ? olds.at(-1).nextSibling : old.firstChild;
    const kept = come.map(node => {
        const match = byId.get(node.id);
        if (!match) return node;
        become(match, node);
        return match.isConnected ? match : node;
    });
    for (const node of gone) if (!kept.includes(node)) node.remove();
    let place = same > 0 ? olds[same - 1].nextSibling : old.firstChild;
    for (const node of kept) {
        if (node === place) place = node.nextSibling;
        else old.insertBefore(node, place);
    }
}

// ---- Images ----

function loadAgain(path) {
    renewed.set(path, Date.now());
    renewAll(document);
}

function renewAll(content) {
    content.querySelectorAll('img').forEach(renew);
    return content;
}

function renew(image) {
    const address = new URL(image.getAttribute('src') ?? '', location.href);
    const last = renewed.get(decodeURI(address.pathname));
    if (last === undefined || address.origin !== location.origin) return;
    address.searchParams.set('changed', last);
    if (image.src !== address.href) image.src = address.href;
}
