"""How the rows of a page stand: chains in as few rows as there is room for, their reasons in one column, sheets of paper that end in no heading."""

import subprocess
import tempfile

from checks import in_print

# A piece of a chain begins a row only where it has no room behind the one before, and then below the first sign.
CHAINS = """
const wrong = [];
for (const side of document.querySelectorAll('.side:not(.wide):not(.quiet)')) {
    const room = side.getBoundingClientRect();
    const pieces = [...side.children].filter(piece => piece.localName === 'span' && !piece.className);
    const told = piece => `"${piece.textContent.slice(0, 40)}"`;
    pieces.forEach((piece, at) => {
        const box = piece.getBoundingClientRect();
        const before = at && pieces[at - 1].getBoundingClientRect();
        if (!before || box.left >= before.right - 1) return;
        if (Math.abs(box.left - room.left) > 1) wrong.push(`${told(piece)} goes on ${box.left - room.left} pixels from the sign`);
        if (before.right + box.width < room.right - 1) wrong.push(`${told(piece)} begins a row, though it has room`);
    });
}
return wrong;
"""

# At one place of the page; where there is no room for a column they stand below their line.
COLUMN = """
const wrong = [];
const places = (selector, edge) => {
    const all = [...document.querySelectorAll(selector)].filter(it => it.closest('.lines').getBoundingClientRect().width > 0);
    const known = new Set(all.map(it => Math.round(it.getBoundingClientRect()[edge])));
    if (known.size > 1) wrong.push(`${selector} stand at ${[...known].join(', ')}`);
};
places('.lines .line>.about', 'left');
places('.lines .line>.number', 'right');
return wrong;
"""

# What may not be the last on a sheet: headings, names of blocks, heads of tables.
HEADS = """
const plain = element => element.querySelector('math') ? '' : element.textContent.replace(/\\s+/g, ' ').trim();
const all = [...document.querySelectorAll('h1, h2, h3, h4, h5, h6, p.name, caption, thead tr')].map(plain).filter(Boolean);
const entries = [...document.querySelectorAll('.answer')].map(it => it.querySelectorAll('div').length);
return {all, entries: Math.max(0, ...entries), foot: document.querySelector('footer').textContent};
"""

SPOILED = """
const sheet = new CSSStyleSheet();
sheet.replaceSync('.side>span{display:table!important}.line:first-child>.about{margin-left:9px}');
document.adoptedStyleSheets = [sheet];
"""

WHOLE = "document.adoptedStyleSheets = [];"


def checks(browser, widths):
    """The checks of an open page, by name."""
    found = {f"rows at {width} pixels": lambda width=width: at_width(browser, width) for width in widths}
    return {**found, "rows on paper": lambda: on_paper(browser)}


def at_width(browser, width):
    browser.size(width)
    return browser.run(CHAINS) + browser.run(COLUMN)


def on_paper(browser):
    browser.size(640)
    return in_print(browser, CHAINS) + in_print(browser, COLUMN)


def can_fail(browser):
    """Whether the checks see rows that are spoiled."""
    browser.size(1200)
    browser.run(SPOILED)
    seen = browser.run(CHAINS), browser.run(COLUMN)
    browser.run(WHOLE)
    return [f"{name} are not seen" for name, wrong in zip(("chains in too many rows", "reasons beside their column"), seen) if not wrong]


def sheets(browser, pdf):
    """What is wrong with where the sheets of a printed page end."""
    heads = browser.run(HEADS)
    wrong = []
    for number, lines in enumerate(text_of_sheets(pdf), 1):
        if not lines:
            wrong.append(f"sheet {number} is empty")
            continue
        if lines[-1] in heads["all"]:
            wrong.append(f'sheet {number} ends in "{lines[-1]}"')
        own = [line for line in lines if line not in heads["all"] and line not in heads["foot"]]
        if any(line.lower() == "answer" for line in lines) and len(own) <= heads["entries"]:
            wrong.append(f"sheet {number} holds an answer alone")
    return wrong


def text_of_sheets(pdf):
    """The lines of each sheet without its number."""
    with tempfile.NamedTemporaryFile(suffix=".pdf") as file:
        file.write(pdf)
        file.flush()
        text = subprocess.run(["pdftotext", "-layout", file.name, "-"], stdout=subprocess.PIPE, timeout=60, check=True).stdout.decode()
    for sheet in text.split("\f")[:-1]:
        lines = [" ".join(line.split()) for line in sheet.splitlines()]
        yield [line for line in lines if line][:-1]
