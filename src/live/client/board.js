// The page in front of others: where the last edit was, one step after another, answers, large type,
// and which line of the worksheet something is.

// What is shown one after another; what is not yet shown keeps its place.
const STEPS = '.lines > .line, .answer > div, .check tbody tr, figure';
const KEYS = 'keys: s steps, → next, ← back; a answers; l large type; p paper; k keep the view; Esc all as it was';
const LONGEST_MARK = 1600; // milliseconds
const MOST_MARKS = 40;

// Whether it walks by steps, and how many are shown.
let walks = false;
let steps = 0;
// What a key asked for, for the status line.
let told = null;

function isOn(name) {
    return root.hasAttribute(`data-${name}`);
}

function turn(name, on = !isOn(name)) {
    root.toggleAttribute(`data-${name}`, on);
    return on;
}

function say(words) {
    told = words;
    tell();
}

// ---- The place of the edit ----

// The elements of parts that are to change, and what they say.
function noted(parts) {
    const before = new Map();
    for (const [id] of parts) for (const element of pieces(id)) before.set(element.id || element.textContent, element.textContent);
    return before;
}

// Statements of a part, or where it has none, its own elements.
function pieces(id) {
    const part = document.getElementById(id);
    if (!part) return [];
    const own = [...part.querySelectorAll('[id]')];
    return own.length > 0 ? own : [...part.children];
}

// Marks what says something else than before, quietly and for a moment, and brings it into view.
function point(parts, before) {
    const all = parts.filter(([id]) => id !== 'part/summary').flatMap(([id]) => pieces(id));
    const other = all.filter(element => before.get(element.id || element.textContent) !== element.textContent);
    // Of what stands in each other, the innermost.
    const around = new Set();
    for (const { parentElement } of other) for (let outer = parentElement; outer && outer !== main && !around.has(outer); outer = outer.parentElement) around.add(outer);
    const changed = other.filter(element => !around.has(element));
    for (const element of changed.slice(0, MOST_MARKS)) {
        element.animate([{ backgroundColor: 'var(--band)' }, { backgroundColor: 'transparent' }], { duration: LONGEST_MARK, easing: 'ease-in' });
    }
    const [first] = changed;
    if (!first || isOn('still')) return;
    const box = first.getBoundingClientRect();
    if (box.top < 0 || box.bottom > innerHeight) first.scrollIntoView({ block: 'center' });
}

// ---- Step by step ----

// Hides what is not yet shown; after a change of the page again.
function walk() {
    const all = [...main.querySelectorAll(STEPS)];
    steps = Math.max(0, Math.min(steps, all.length));
    all.forEach((element, at) => {
        const isLater = walks && at >= steps;
        if (element.classList.contains('later') === isLater) return;
        element.classList.toggle('later', isLater);
        if (element.className === '') element.removeAttribute('class');
    });
    return all;
}

function step(by) {
    if (!walks) return;
    steps += by;
    const all = walk();
    all[steps - 1]?.scrollIntoView({ block: 'nearest' });
    say(`step ${steps} of ${all.length}`);
}

// ---- The view of paper ----

// What is said of paper holds on the screen too, and what is said of screens does not.
function setPaper(on) {
    for (const sheet of document.styleSheets) {
        for (const rule of sheet.cssRules) {
            if (!(rule instanceof CSSMediaRule)) continue;
            rule.written ??= rule.media.mediaText;
            if (/^print/.test(rule.written)) rule.media.mediaText = on ? 'all' : rule.written;
            else if (/^screen/.test(rule.written)) rule.media.mediaText = on ? 'not all' : rule.written;
        }
    }
}

// ---- Keys ----

function press(key) {
    switch (key) {
    case 's':
        walks = !walks;
        steps = 0;
        walk();
        return say(walks ? 'step by step: → shows the next, ← takes it back, s ends' : 'all steps are shown');
    case 'ArrowRight':
        return step(1);
    case 'ArrowLeft':
        return step(-1);
    case 'a':
        return say(turn('answers-later') ? 'answers are hidden' : 'answers are shown');
    case 'l':
        return say(turn('large') ? 'large type' : 'type of its own size');
    case 'p':
        setPaper(turn('on-paper'));
        return say(isOn('on-paper') ? 'as on paper' : 'as on a screen');
    case 'k':
        return say(turn('still') ? 'the view is kept still' : 'the view goes to what changed');
    case 'Escape':
        walks = false;
        ['answers-later', 'large', 'on-paper', 'still'].forEach(name => turn(name, false));
        setPaper(false);
        walk();
        return say(null);
    case '?':
        return say(KEYS);
    }
}

addEventListener('keydown', event => {
    const isTyping = event.target.closest?.('input, textarea, select, [contenteditable]');
    if (isTyping || event.ctrlKey || event.altKey || event.metaKey) return;
    if (['ArrowRight', 'ArrowLeft'].includes(event.key) && walks) event.preventDefault();
    press(event.key);
});

// ---- The line of the worksheet ----

main.addEventListener('dblclick', async event => {
    const statement = event.target.closest('[id]');
    if (!statement) return;
    const address = root.dataset.follow.replace('/-/follow/', '/-/line/');
    const answer = await fetch(`${address}?id=${encodeURIComponent(statement.id)}`);
    if (!answer.ok) return;
    const [number, editor] = (await answer.text()).split('\n');
    say(`line ${number} of ${decodeURIComponent(address.split('/').pop())}`);
    if (editor) location.href = editor;
});
