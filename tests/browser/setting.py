"""How formulas and values are set: levels, spaces, fractions, brackets, roots, numerals, plain text. Each check measures the page."""

# What the formulas of the engine stand in; a formula that the author wrote in TeX is the author's own.
OURS = ".lines, table, .answer, .required"

# The bases of all scripts, each set anew in large type with a script of one digit, on the line of another digit.
LEVELS = """
const [ours] = arguments;
const wrong = [];
const size = 100;
const stage = document.body.appendChild(document.createElement('div'));
stage.style.position = 'absolute';
const bottom = element => element.getBoundingClientRect().bottom;
const isTall = base => base.querySelector('mfrac, mtable, msqrt, mroot, msup, msubsup');
const bases = new Map();
for (const script of document.querySelectorAll(`:is(${ours}) :is(msub, msup, msubsup)`)) {
    const base = script.firstElementChild;
    if (base.localName === 'mfrac' || isTall(base)) continue;
    const has = bases.get(base.outerHTML) ?? {words: base.textContent};
    has.lower ||= script.localName !== 'msup';
    has.upper ||= script.localName !== 'msub';
    bases.set(base.outerHTML, has);
}
const measured = (base, wrap) => {
    const script = tag => `<${tag}>${base}<mn>1</mn>${tag === 'msubsup' ? '<mn>1</mn>' : ''}</${tag}>`;
    const formula = ['msub', 'msup', 'msubsup'].map(script).join('') + '<mn>1</mn>';
    stage.innerHTML = `<math>${wrap ? `<msqrt><mrow>${formula}</mrow></msqrt>` : `<mrow>${formula}</mrow>`}</math>`;
    stage.firstChild.style.fontSize = `${size}px`;
    const [lower, upper, both, line] = stage.querySelector('mrow').children;
    const level = element => (bottom(line) - bottom(element)) / size;
    return {lower: [lower, both].map(it => level(it.children[1])), upper: level(upper.children[1]), above: level(both.children[2])};
};
for (const wrap of [false, true]) {
    const usual = measured('<mi>A</mi>', wrap);
    if (usual.lower[0] > -0.15 || usual.upper < 0.3) wrong.push(`scripts of A stand at ${usual.lower[0]} and ${usual.upper} em`);
    for (const [html, has] of bases) {
        const found = measured(html, wrap);
        const compare = (level, of) => {
            if (Math.abs(level - of) > 0.025) wrong.push(`a script of "${has.words}" stands at ${level.toFixed(3)} em, of A at ${of.toFixed(3)} em`);
        };
        if (has.lower) compare(found.lower[0], usual.lower[0]);
        if (has.upper) compare(found.upper, usual.upper);
        if (has.lower && has.upper) [found.lower[1], found.above].forEach((level, at) => compare(level, [usual.lower[0], usual.upper][at]));
    }
}
stage.remove();
// As they stand: powers of digits beside the subscripts that they have.
for (const both of document.querySelectorAll(`:is(${ours}) msubsup`)) {
    const [base, lower, upper] = both.children;
    if (!/^[0-9]+$/.test(upper.textContent) || !/^[0-9]+$/.test(lower.textContent)) continue;
    const apart = (bottom(lower) - bottom(upper)) / parseFloat(getComputedStyle(both).fontSize);
    if (Math.abs(apart - 0.59) > 0.06) wrong.push(`the scripts of "${both.textContent}" are ${apart.toFixed(2)} em apart`);
}
return wrong;
"""

# Between number and unit and between groups of digits a sixth, beside the sign of times as much and what its glyph leaves.
SPACES = """
const wrong = [];
const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
const range = document.createRange();
let narrow = 0;
while (walker.nextNode()) {
    const text = walker.currentNode;
    if (text.parentElement.closest('style, script, svg')) continue;
    for (let at = text.data.indexOf('\\u202f'); at >= 0; at = text.data.indexOf('\\u202f', at + 1)) {
        range.setStart(text, at);
        range.setEnd(text, at + 1);
        const width = range.getBoundingClientRect().width / parseFloat(getComputedStyle(text.parentElement).fontSize);
        if (!range.getClientRects().length || width === 0) continue;
        narrow += 1;
        const words = text.data.slice(Math.max(0, at - 12), at + 12);
        const letters = parseFloat(getComputedStyle(text.parentElement).letterSpacing) || 0;
        if (!letters && Math.abs(width - 1 / 6) > 0.012) wrong.push(`a space of ${width.toFixed(3)} em in "${words}"`);
    }
    if (/[0-9]{5}/.test(text.data) && text.parentElement.closest('math, .value')) wrong.push(`"${text.data.slice(0, 40)}" has five digits in a row`);
    if (/(^|[^0-9\\u202f])[0-9]\\u202f[0-9]{3}($|[^0-9\\u202f])/.test(text.data) && !text.parentElement.closest('.data')) wrong.push(`"${text.data.slice(0, 40)}" parts four digits`);
}
for (const sign of document.querySelectorAll('math mo')) {
    if (sign.textContent !== '×') continue;
    const size = parseFloat(getComputedStyle(sign).fontSize);
    const box = element => element.getBoundingClientRect();
    for (const [beside, gap] of [
        [sign.previousElementSibling, other => box(sign).left - box(other).right],
        [sign.nextElementSibling, other => box(other).left - box(sign).right],
    ]) {
        if (!beside || box(beside).width === 0) continue;
        const found = gap(beside) / size;
        if (Math.abs(found - 1 / 6) > 0.04) wrong.push(`× stands ${found.toFixed(3)} em from "${beside.textContent.slice(0, 20)}"`);
    }
}
return wrong;
"""

FRACTIONS = """
const [ours] = arguments;
const wrong = [];
for (const fraction of document.querySelectorAll(`:is(${ours}) mfrac`)) {
    const words = fraction.textContent.slice(0, 40);
    const outer = fraction.parentElement.closest('mfrac, msup > :not(:first-child), msub > :not(:first-child), msubsup > :not(:first-child)');
    if (outer) wrong.push(`"${words}" is stacked within "${outer.textContent.slice(0, 40)}"`);
    const size = element => parseFloat(getComputedStyle(element).fontSize);
    const half = fraction.firstElementChild;
    if (size(half) < 0.99 * size(fraction.closest('math'))) wrong.push(`"${words}" is set in ${size(half)} pixels`);
}
for (const value of document.querySelectorAll('.value mfrac')) wrong.push(`"${value.textContent}" is stacked in a line of words`);
return wrong;
"""

BRACKETS = """
const [ours] = arguments;
const wrong = [];
// What is stacked or over a line is tall; a row that holds it has tall brackets.
const isTall = row => row.querySelector('mfrac, mtable, msqrt, mroot');
for (const sign of document.querySelectorAll(`:is(${ours}) mo`)) {
    if (!/^[()]$/.test(sign.textContent)) continue;
    const height = sign.getBoundingClientRect().height / parseFloat(getComputedStyle(sign).fontSize);
    if (height > 1.05 && !isTall(sign.parentElement)) wrong.push(`a bracket of "${sign.parentElement.textContent.slice(0, 40)}" is ${height.toFixed(2)} em high`);
}
const flat = math => [...math.querySelectorAll('mi, mn, mo, mtext, mfrac')].map(leaf => leaf.localName === 'mfrac' ? '¦' : leaf.textContent).join('');
for (const math of document.querySelectorAll('math')) {
    if (!math.closest(ours) && !math.closest('.value')) continue;
    const letters = flat(math);
    const open = [];
    const pairs = new Map();
    [...letters].forEach((letter, at) => {
        if (letter === '(') open.push(at);
        else if (letter === ')' && open.length) pairs.set(open.pop(), at);
    });
    for (const [from, to] of pairs) {
        if (pairs.get(from + 1) === to - 1) wrong.push(`"${letters.slice(from, to + 1)}" has brackets twice`);
    }
}
return wrong;
"""

ROOTS = """
const wrong = [];
const box = element => element.getBoundingClientRect();
for (const root of document.querySelectorAll('math :is(msqrt, mroot)')) {
    const size = parseFloat(getComputedStyle(root).fontSize);
    const words = root.textContent.slice(0, 30);
    const inside = root.localName === 'mroot' ? [root.firstElementChild] : [...root.children];
    const top = Math.min(...inside.map(part => box(part).top));
    // The space above the bar, the bar, and the air beneath it.
    const above = (top - box(root).top) / size;
    if (above < 0.25) wrong.push(`the bar of the root of "${words}" is ${above.toFixed(2)} em above`);
    const right = box(root).right - Math.max(...inside.map(part => box(part).right));
    if (right > 0.12 * size) wrong.push(`the root of "${words}" takes ${(right / size).toFixed(2)} em more than its bar`);
    const next = root.nextElementSibling;
    // In these the next element stands elsewhere than behind.
    if (!next || root.parentElement.matches('mfrac, msup, msub, msubsup')) continue;
    const ends = next.localName === 'mspace' || (next.localName === 'mo');
    if (!ends) wrong.push(`"${next.textContent.slice(0, 20)}" stands close behind the root of "${words}"`);
}
return wrong;
"""

# Letters in large type: how much of what either covers both do.
LETTERS = """
const wrong = [];
const size = 200;
const drawn = (letter, family) => {
    const canvas = document.createElement('canvas');
    canvas.width = canvas.height = 2 * size;
    const pen = canvas.getContext('2d');
    pen.font = `${size}px "${family}"`;
    const ink = pen.measureText(letter);
    pen.fillText(letter, size / 2 + ink.actualBoundingBoxLeft, size);
    return [...pen.getImageData(0, 0, 2 * size, 2 * size).data].filter((_, at) => at % 4 === 3).map(alpha => alpha > 127);
};
for (const [one, other, family] of arguments[0]) {
    const [left, right] = [drawn(one, family), drawn(other, family)];
    const both = left.filter((ink, at) => ink && right[at]).length;
    const either = left.filter((ink, at) => ink || right[at]).length;
    if (!either || both / either > 0.7) wrong.push(`"${one}" and "${other}" of ${family} are alike: ${both} of ${either}`);
}
return wrong;
"""

PAIRS = [("\U0001d463", "\U0001d708", "STIX Two Math"), ("v", "ν", "STIX Two Letters"), ("\U0001d497", "\U0001d742", "STIX Two Math")]

NUMERALS = """
const wrong = [];
const range = document.createRange();
const place = cell => {
    const walker = document.createTreeWalker(cell, NodeFilter.SHOW_TEXT);
    const text = walker.nextNode();
    if (!text) return null;
    const found = /^\\s*[\\u2212-]?[0-9\\u202f]+/.exec(text.data);
    if (!found) return null;
    range.setStart(text, found[0].length - 1);
    range.setEnd(text, found[0].length);
    return range.getBoundingClientRect().right;
};
for (const table of document.querySelectorAll('table')) {
    const columns = new Map();
    for (const row of table.rows) {
        // A number of rows below a column is none of its readings.
        if (row.cells[0]?.textContent === 'n') continue;
        [...row.cells].forEach((cell, column) => {
            if (!cell.matches('td.number')) return;
            const at = place(cell);
            if (at !== null) columns.set(column, [...(columns.get(column) ?? []), [at, cell.textContent]]);
        });
    }
    for (const cells of columns.values()) {
        for (const [at, words] of cells) {
            if (Math.abs(at - cells[0][0]) > 1) wrong.push(`"${words}" ends its whole part ${(at - cells[0][0]).toFixed(1)} pixels from "${cells[0][1]}"`);
        }
    }
}
return wrong;
"""

NAMES = """
const singular = words => words.trim().replace(/:$/, '').toLowerCase().replace(/s$/, '');
return [...document.querySelectorAll('.name')].filter(name => {
    const above = name.closest('table, .answer, .required')?.previousElementSibling;
    return above && /^H[1-6]$/.test(above.tagName) && singular(above.textContent) === singular(name.textContent);
}).map(name => `"${name.textContent}" stands below a heading that says it`);
"""

# What is copied of values in the text, and whether one is broken.
PLAIN = """
const wrong = [];
for (const value of document.querySelectorAll('.value')) {
    if (value.closest('svg, details')) continue;
    const words = value.textContent;
    if (value.querySelector('math')) { wrong.push(`"${words}" is no plain text`); continue; }
    const range = document.createRange();
    range.selectNodeContents(value);
    getSelection().removeAllRanges();
    getSelection().addRange(range);
    const copied = getSelection().toString();
    if (copied !== words && value.getBoundingClientRect().width > 0) wrong.push(`"${words}" is copied as "${copied}"`);
    const high = value.getBoundingClientRect().height / parseFloat(getComputedStyle(value).fontSize);
    if (high > 2) wrong.push(`"${words}" is broken`);
}
getSelection().removeAllRanges();
return wrong;
"""

CHECKS = {
    "levels": (LEVELS, OURS),
    "spaces": (SPACES,),
    "fractions": (FRACTIONS, OURS),
    "brackets": (BRACKETS, OURS),
    "roots": (ROOTS,),
    "letters": (LETTERS, PAIRS),
    "numerals": (NUMERALS,),
    "names": (NAMES,),
    "plain values": (PLAIN,),
}

# How each check is made to fail: what is done to a page that is right.
SPOILED = [
    ("levels", "document.querySelectorAll('math :is(msub, msubsup) > :first-child').forEach(it => it.style.paddingBottom = '.3em');"),
    ("spaces", "document.querySelectorAll('math').forEach(it => it.style.fontFamily = 'monospace');"),
    ("spaces", "document.querySelectorAll('math mo').forEach(it => it.setAttribute('lspace', '0.3em'));"),
    ("fractions", "document.querySelectorAll('.lines math').forEach(it => it.style.mathStyle = 'compact');"),
    ("fractions", "document.querySelectorAll('.lines mfrac > :first-child').forEach(it => it.outerHTML = '<mfrac><mn>1</mn><mn>2</mn></mfrac>');"),
    ("brackets", "document.querySelectorAll('.lines math').forEach(it => it.innerHTML = `<mo>(</mo><mo>(</mo>${it.innerHTML}<mo>)</mo><mo>)</mo>`);"),
    ("roots", "document.querySelectorAll('msqrt').forEach(it => it.insertAdjacentHTML('afterend', '<mi>x</mi>'));"),
    ("names", "document.querySelectorAll('.given').forEach(it => it.insertAdjacentHTML('beforebegin', '<h3>Given:</h3>'));"),
    ("plain values", "document.querySelectorAll('.value').forEach(it => it.innerHTML = '<math><mi>V</mi></math>');"),
    ("plain values", "document.querySelectorAll('.value').forEach(it => { it.style.display = 'inline-block'; it.style.width = '1em'; it.style.whiteSpace = 'normal'; });"),
]


# The same on a page with readings.
SPOILED_READINGS = [
    ("numerals", "document.querySelectorAll('td.number').forEach((it, at) => it.style.paddingRight = `${5 * at}px`);"),
]


def checks(browser):
    """The checks of an open page, by name."""
    return {name: lambda body=body: browser.run(*body) for name, body in CHECKS.items()}


def can_fail(browser, page, spoiled=SPOILED):
    """Whether each check says something where the page is spoiled for it."""
    wrong = []
    for name, spoil in spoiled:
        browser.go(page)
        browser.run(spoil)
        if not browser.run(*CHECKS[name]):
            wrong.append(f'the check "{name}" does not see {spoil.strip()[:70]}')
    if not browser.run(LETTERS, [("v", "v", "STIX Two Letters")]):
        wrong.append('the check "letters" does not see that a letter is like itself')
    browser.go(page)
    return wrong
