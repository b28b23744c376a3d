// What the reader has selected and focused.

// Runs `change`, and restores the selection and the focus where they stood in what changed.
function keeping(change) {
    const selection = getSelection();
    const isSelected = selection.rangeCount > 0 && !selection.isCollapsed && main.contains(selection.anchorNode);
    const selected = isSelected && note(selection);
    const focused = document.activeElement;
    const holder = main.contains(focused) && holderOf(focused);
    const index = holder && focusable(holder).indexOf(focused);
    change();
    if (selected) select(selection, selected);
    if (holder && !focused.isConnected) focusable(document.getElementById(holder.id))[index]?.focus({ preventScroll: true });
}

function focusable(holder) {
    return holder ? [...holder.querySelectorAll('a[href],summary,button,input,[tabindex]')] : [];
}

// The element by which a place is found again: a statement, a heading or a part.
function holderOf(node) {
    const element = node.nodeType === Node.ELEMENT_NODE ? node : node.parentElement;
    return element.closest('[id]');
}

// A place as so many characters into an element that is found again.
function markOf(node, offset) {
    const holder = holderOf(node);
    if (!holder) return null;
    const range = document.createRange();
    range.setStart(holder, 0);
    range.setEnd(node, offset);
    return { id: holder.id, characters: range.toString().length };
}

// What is selected: the text, its ends, and where they are found again.
function note(selection) {
    const ends = [[selection.anchorNode, selection.anchorOffset], [selection.focusNode, selection.focusOffset]];
    return { text: textOf(selection), ends, marks: ends.map(end => markOf(...end)) };
}

function textOf(selection) {
    return selection.rangeCount > 0 ? selection.getRangeAt(0).toString() : '';
}

// Selects again what was selected, if its text is still there.
function select(selection, { text, ends, marks }) {
    const now = note(selection);
    if (now.text === text && ends.flat().every((part, index) => part === now.ends.flat()[index])) return;
    if (!marks.every(Boolean)) return;
    const [from, to] = marks;
    const holders = marks.map(({ id }) => document.getElementById(id));
    if (!holders.every(Boolean)) return selection.removeAllRanges();
    let moved = 0;
    if (from.id === to.id) {
        // What stands before it in the same element may be longer or shorter now.
        const start = Math.min(from.characters, to.characters);
        const found = nearest(holders[0].textContent, text, start);
        if (found < 0) return selection.removeAllRanges();
        moved = found - start;
    }
    const places = marks.map(({ characters }, index) => placeOf(holders[index], characters + moved));
    if (places.every(Boolean)) selection.setBaseAndExtent(...places[0], ...places[1]);
    if (textOf(selection) !== text) selection.removeAllRanges();
}

// Where `text` stands in `whole`, as near as may be to `start`; -1 where it does not.
function nearest(whole, text, start) {
    const after = whole.indexOf(text, start);
    const before = whole.lastIndexOf(text, start);
    if (before < 0 || (after >= 0 && after - start < start - before)) return after;
    return before;
}

// The node and offset that are so many characters into an element.
function placeOf(holder, characters) {
    if (!holder) return null;
    const walker = document.createTreeWalker(holder, NodeFilter.SHOW_TEXT);
    let left = characters;
    while (walker.nextNode()) {
        const length = walker.currentNode.length;
        if (left <= length) return [walker.currentNode, left];
        left -= length;
    }
    return null;
}
