"""What must be true of every page in a real browser. Each check gives the list of what is wrong, which is empty on a good page."""

import re
from urllib.parse import quote

PHONE = 360
WIDTHS = [PHONE, 800, 1200]  # pixels: a phone, a tablet, a desk
PAPER = {"A4": (210, 297), "letter": (215.9, 279.4)}  # millimetres
MARGINS = 40  # what the narrowest text column leaves on both sides together, in millimetres

# A fraction cannot be broken: where there is no room for it, as on a phone, its line may scroll within the window.
WIDER_THAN_THE_WINDOW = """
const [mayScroll] = arguments;
const wrong = [];
const width = document.documentElement.scrollWidth;
if (width > innerWidth) wrong.push(`the page is ${width} pixels wide in a window of ${innerWidth}`);
const scrolls = element => element !== document.body && /auto|scroll/.test(getComputedStyle(element).overflowX);
for (const math of document.querySelectorAll('math')) {
    let holder = math;
    while (mayScroll && holder !== document.body && !scrolls(holder)) holder = holder.parentElement;
    const box = (scrolls(holder) ? holder : math).getBoundingClientRect();
    if (box.right > innerWidth + 1 || box.left < -1) {
        wrong.push(`"${math.textContent.slice(0, 60)}" goes from ${box.left} to ${box.right} in a window of ${innerWidth}`);
    }
}
return wrong;
"""

EMPTY_MATH = """
const wrong = [];
for (const math of document.querySelectorAll('math')) {
    const box = math.getBoundingClientRect();
    if (box.width <= 0 || box.height <= 0) wrong.push(`"${math.textContent.slice(0, 60)}" has no size`);
}
return wrong;
"""

# A browser asks for a font when it first draws with it, at a time of its own: so each is asked for here, and waited for.
FONTS = """
const family = face => face.replace(/"/g, '');
return Promise.all([...document.fonts].map(face => face.load().then(() => null, () => `${face.family} cannot be loaded`))).then(told => {
    const wrong = told.filter(Boolean);
    const math = document.querySelector('math');
    if (!math) return wrong;
    const first = family(getComputedStyle(math).fontFamily.split(',')[0]);
    if (![...document.fonts].some(face => family(face.family) === first)) wrong.push(`formulas are set in ${first}, which is not in the page`);
    return wrong;
});
"""

ANCHORS = """
const wrong = [];
const seen = new Set();
for (const {id} of document.querySelectorAll('[id]')) {
    if (seen.has(id)) wrong.push(`the id "${id}" stands twice`);
    seen.add(id);
}
for (const link of document.querySelectorAll('a[href^="#"]')) {
    const target = decodeURIComponent(link.getAttribute('href').slice(1));
    if (!seen.has(target)) wrong.push(`a link goes to "#${target}", which does not exist`);
}
return wrong;
"""

SELF_CONTAINED = """
const wrong = [];
for (const {name} of performance.getEntriesByType('resource')) {
    if (!name.startsWith('data:')) wrong.push(`the page asks for ${name}`);
}
if (document.scripts.length) wrong.push('the page has a script');
const policy = document.querySelector('meta[http-equiv="Content-Security-Policy" i]');
if (!policy || !/default-src 'none'/.test(policy.content)) wrong.push('the page has no strict content security policy');
return wrong;
"""

STRUCTURE = """
const wrong = [];
if (!document.documentElement.lang) wrong.push('the page has no language');
if (!document.title.trim()) wrong.push('the page has no title');
if (!document.querySelector('h1')) wrong.push('the page has no heading');
if (!document.querySelector('meta[name="viewport"]')) wrong.push('the page has no viewport for phones');
if (!/check/i.test(document.querySelector('footer')?.textContent ?? '')) wrong.push('the footer has no caution');
for (const table of document.querySelectorAll('table')) {
    if (!table.querySelector('th')) wrong.push(`a table has no header: "${table.textContent.trim().slice(0, 60)}"`);
}
let before = 0;
for (const heading of document.querySelectorAll('h1, h2, h3, h4, h5, h6')) {
    const level = Number(heading.tagName[1]);
    if (level > before + 1) wrong.push(`"${heading.textContent}" skips a level`);
    before = level;
}
return wrong;
"""

# The contrast that WCAG 2.1, 1.4.3 asks of ordinary text.
CONTRAST = """
const numbers = colour => colour.match(/[\\d.]+/g).map(Number);
const linear = part => (part /= 255) <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4;
const light = ([r, g, b]) => 0.2126 * linear(r) + 0.7152 * linear(g) + 0.0722 * linear(b);
const behind = element => {
    for (; element; element = element.parentElement) {
        const colour = numbers(getComputedStyle(element).backgroundColor);
        if ((colour[3] ?? 1) > 0.5) return colour;
    }
    return [255, 255, 255];
};
const wrong = new Set();
for (const element of document.body.querySelectorAll('*')) {
    const text = [...element.childNodes].filter(node => node.nodeType === 3).map(node => node.data).join('').trim();
    if (!text) continue;
    const [low, high] = [light(numbers(getComputedStyle(element).color)), light(behind(element))].sort((a, b) => a - b);
    const contrast = (high + 0.05) / (low + 0.05);
    if (contrast < 4.5) wrong.add(`"${text.slice(0, 40)}" has a contrast of ${contrast.toFixed(1)} only`);
}
return [...wrong];
"""

# Sections out of sight are not laid out on screen; anchors and the search of the browser must reach them all the same.
LAST_HEADING = """
const text = document.body.textContent;
const once = heading => text.split(heading.textContent.trim()).length === 2;
const last = [...document.querySelectorAll('h1[id], h2[id], h3[id]')].filter(once).at(-1);
return last ? [last.id, last.textContent.trim()] : null;
"""

TOP_OF = """
const heading = document.getElementById(arguments[0]);
return new Promise(resolve => setTimeout(() => resolve(heading.getBoundingClientRect().top), 300));
"""

HIDDEN_IN_PRINT = """
return [...document.querySelectorAll('body *')]
    .filter(element => getComputedStyle(element).contentVisibility !== 'visible')
    .slice(0, 3)
    .map(element => `<${element.localName} id="${element.id}"> may be missing on paper`);
"""


def on_screen(browser):
    """The checks of an open page on a screen, by name."""
    checks = {
        "console": browser.messages,
        "fonts": lambda: browser.run(FONTS),
        "anchors": lambda: browser.run(ANCHORS),
        "self-contained": lambda: browser.run(SELF_CONTAINED),
        "structure": lambda: browser.run(STRUCTURE),
        "contrast": lambda: browser.run(CONTRAST),
        "far down": lambda: far_down(browser),
    }
    for width in WIDTHS:
        checks[f"{width} pixels"] = lambda width=width: at_width(browser, width)
    return checks


def on_paper(browser):
    """The checks of an open page on paper, by name."""
    checks = {"nothing hidden in print": lambda: in_print(browser, HIDDEN_IN_PRINT)}
    for name, (width, _) in PAPER.items():
        pixels = int((width - MARGINS) / 25.4 * 96)
        checks[f"column of {name}"] = lambda pixels=pixels: print_width(browser, pixels)
    return checks


def far_down(browser):
    """Goes to the last heading whose text stands once, by its id, and by its text as a search would find it."""
    heading = browser.run(LAST_HEADING)
    if not heading:
        return ["no heading has an id and a text of its own"]
    (name, text), page = heading, browser.address()
    wrong = []
    for fragment in f"#{quote(name)}", f"#:~:text={quote(text, safe='')}":
        top = arrive(browser, page + fragment, name)
        if not is_in_view(browser, top):
            wrong.append(f"{fragment} leads to {top:.0f} pixels from its heading")
    browser.go(page)
    return wrong


def arrive(browser, address, name):
    """Goes to an address; the heading's distance from the top of the window.

    On a busy machine the browser may look for the text before it has the page; then it is asked again.
    """
    top = 0
    for _ in range(16):
        browser.go("about:blank")
        browser.go(address)
        for _ in range(5):
            top = browser.run(TOP_OF, name)
            if is_in_view(browser, top):
                return top
    return top


def is_in_view(browser, top):
    return -5 <= top < browser.run("return innerHeight")


def at_width(browser, width):
    browser.size(width)
    return browser.run(WIDER_THAN_THE_WINDOW, width <= PHONE) + browser.run(EMPTY_MATH)


def print_width(browser, width):
    browser.size(width)
    return in_print(browser, WIDER_THAN_THE_WINDOW)


def in_print(browser, script):
    browser.medium("print")
    try:
        return browser.run(script)
    finally:
        browser.medium("screen")


def paper(pdf):
    """What is wrong with a printed page; its size has to be one of ours."""
    if not pdf.startswith(b"%PDF"):
        return ["this is no PDF"]
    boxes = re.findall(rb"/MediaBox\s*\[\s*0\s+0\s+([\d.]+)\s+([\d.]+)", pdf)
    if not boxes:
        return ["it has no pages"]
    wrong = []
    for box in set(boxes):
        width, height = (float(side) / 72 * 25.4 for side in box)
        sizes = PAPER.values()
        if not any(abs(width - w) < 1 and abs(height - h) < 1 for w, h in sizes):
            wrong.append(f"it is printed on {width:.0f} by {height:.0f} mm")
    return wrong
