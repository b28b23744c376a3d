"""What must be true of every drawing of a page in a real browser, at each width, in light and dark, and on paper.

Each check gives the list of what is wrong. The program's own laws hold drawings by the widths of its table of letters;
here the letters are those that the browser set.
"""

# pixels: the narrowest phone, a phone, a desk; and the column of a sheet of A4 within its margins
WIDTHS = [320, 390, 1024]
PAPER = int((210 - 44) / 25.4 * 96)
SCHEMES = ["light", "dark"]

# The drawings that are seen, and what of each letter's box its ink takes: a box has room above and below.
SEEN = """
const seen = [...document.querySelectorAll('figure .drawing')].filter(svg => svg.getBoundingClientRect().width > 0);
const name = svg => svg.querySelector('title').textContent.slice(0, 40);
const inked = text => {
    const box = text.getBoundingClientRect();
    const trim = box.height * 0.22;
    return {left: box.left + 1, right: box.right - 1, top: box.top + trim, bottom: box.bottom - trim};
};
const place = (element, x, y) => {
    const point = new DOMPoint(x, y).matrixTransform(element.getScreenCTM());
    return [point.x, point.y];
};
// A wide sketch is scrolled on a phone, within a frame that is seen whole.
const holder = svg => svg.closest('.frame') ?? svg;
// Lines of a member stand under it: they are told as a sketch is.
const isSketch = svg => svg.classList.contains('sketch') || svg.classList.contains('diagram');
const wrong = [];
"""

# Figures are told in words: a name, a sentence, and up to 40 points in a table.
TOLD = SEEN + """
if (!seen.length) wrong.push('no drawing is seen');
for (const svg of seen) {
    if (svg.getAttribute('role') !== 'img') wrong.push(`"${name(svg)}" is no image to those who do not see`);
    for (const part of ['title', 'desc']) {
        if (!svg.querySelector(part)?.textContent.trim()) wrong.push(`"${name(svg)}" has no ${part}`);
    }
    const figure = svg.closest('figure');
    const points = svg.querySelectorAll('circle').length;
    // The dots of a sketch are places and joints, which its description has.
    const is_plot = figure.querySelector('figcaption strong') && !isSketch(svg);
    if (is_plot && points > 0 && points <= 40 && !figure.querySelector('details table')) {
        wrong.push(`"${name(svg)}" has ${points} points and no table of them`);
    }
}
return wrong;
"""

# Nothing is cut: by the drawing, its figure or the window, and what is scrolled can be scrolled to.
WHOLE = SEEN + """
for (const svg of seen) {
    const frame = svg.getBoundingClientRect();
    const seen = holder(svg).getBoundingClientRect();
    if (seen.left < -1 || seen.right > innerWidth + 1) wrong.push(`"${name(svg)}" goes beyond the window`);
    const hidden = holder(svg).scrollWidth - holder(svg).clientWidth;
    const scrolls = /auto|scroll/.test(getComputedStyle(holder(svg)).overflowX);
    if (holder(svg) !== svg && frame.width > seen.width + (scrolls ? hidden : 0) + 1) wrong.push(`"${name(svg)}" cannot be scrolled to its end`);
    if (hidden > 0 && holder(svg) !== svg && !/gradient/.test(getComputedStyle(holder(svg)).backgroundImage)) {
        wrong.push(`"${name(svg)}" does not show that it goes on`);
    }
    for (const element of svg.querySelectorAll('path, circle, text')) {
        const box = element.getBoundingClientRect();
        const slack = 1;
        if (box.left < frame.left - slack || box.right > frame.right + slack
            || box.top < frame.top - slack || box.bottom > frame.bottom + slack) {
            wrong.push(`"${name(svg)}": <${element.localName}> "${element.textContent}" is cut`);
        }
    }
}
return wrong;
"""

# No words lie over others.
APART = SEEN + """
for (const svg of seen) {
    const words = [...svg.querySelectorAll('text')].map(text => [text.textContent, inked(text)]);
    words.forEach(([one, a], at) => {
        for (const [other, b] of words.slice(at + 1)) {
            if (a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom) {
                wrong.push(`"${name(svg)}": "${one}" and "${other}" lie over each other`);
            }
        }
    });
}
return wrong;
"""

# No words lie over a mark or a line; a grid, which is thin and quiet, may go behind them.
CLEAR = SEEN + """
for (const svg of seen) {
    const words = [...svg.querySelectorAll('text')].map(text => [text.textContent, inked(text)]);
    const hit = (x, y) => words.find(([, box]) => x > box.left && x < box.right && y > box.top && y < box.bottom);
    for (const circle of svg.querySelectorAll('circle')) {
        const box = circle.getBoundingClientRect();
        for (const [text, own] of words) {
            // The number of a section stands in a circle of its own.
            if (own.left > box.left && own.right < box.right && own.top > box.top && own.bottom < box.bottom) continue;
            if (own.left < box.right && box.left < own.right && own.top < box.bottom && box.top < own.bottom) {
                wrong.push(`"${name(svg)}": "${text}" lies over a mark`);
            }
        }
    }
    for (const path of svg.querySelectorAll('path')) {
        const style = getComputedStyle(path);
        if (style.stroke === 'none' || parseFloat(style.strokeWidth) <= 0.5) continue;
        const length = path.getTotalLength();
        for (let at = 0; at <= length; at += 1.5) {
            const point = path.getPointAtLength(at);
            const found = hit(...place(path, point.x, point.y));
            if (found) {
                wrong.push(`"${name(svg)}": a line goes through "${found[0]}"`);
                break;
            }
        }
    }
}
return wrong;
"""

# Words are read: the size of the type is 15/17 of the page's, a little less for a value beside an arrow or an index.
READABLE = SEEN + """
const [least] = arguments;
for (const svg of seen) {
    for (const text of svg.querySelectorAll('text')) {
        const scale = svg.getBoundingClientRect().width / svg.viewBox.baseVal.width;
        const size = parseFloat(text.getAttribute('font-size')) * scale;
        // A sketch shrinks as a whole: to the width of its figure and no further, and to two thirds of what it is
        // on paper at the most, where its letters have the size of an index of the page's formulas.
        const is_sketch = svg.classList.contains('sketch');
        const room = Math.min(1, svg.closest('figure').clientWidth / svg.viewBox.baseVal.width);
        if (is_sketch && scale < 0.98 * room) wrong.push(`"${name(svg)}" is ${scale.toFixed(2)} of its size, and there is room for ${room.toFixed(2)}`);
        if (is_sketch && scale < 0.66) wrong.push(`"${name(svg)}" is ${scale.toFixed(2)} of its size`);
        const read = isSketch(svg) ? 0.66 * Math.min(least, text.getAttribute('font-size')) : least;
        if (size < read) wrong.push(`"${name(svg)}": "${text.textContent}" is ${size.toFixed(1)} pixels high`);
    }
}
return wrong;
"""

# The contrast that WCAG 2.1 asks of ordinary text (1.4.3) and of lines that say something (1.4.11). What lies under words
# is the paper or a band.
CONTRAST = SEEN + """
const numbers = colour => colour.match(/[\\d.]+/g).map(Number);
const linear = part => (part /= 255) <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4;
const light = ([r, g, b]) => 0.2126 * linear(r) + 0.7152 * linear(g) + 0.0722 * linear(b);
const contrast = (one, other) => {
    const [low, high] = [light(one), light(other)].sort((a, b) => a - b);
    return (high + 0.05) / (low + 0.05);
};
const paper = numbers(getComputedStyle(document.documentElement).backgroundColor);
for (const svg of seen) {
    const bands = [...svg.querySelectorAll('.band-fill')].map(band => numbers(getComputedStyle(band).fill));
    for (const text of svg.querySelectorAll('text')) {
        const ink = numbers(getComputedStyle(text).fill);
        for (const under of [paper, ...bands]) {
            const found = contrast(ink, under);
            if (found < 4.5) wrong.push(`"${name(svg)}": "${text.textContent}" has a contrast of ${found.toFixed(1)} only`);
        }
    }
    for (const path of svg.querySelectorAll('path')) {
        const style = getComputedStyle(path);
        if (style.stroke === 'none' || parseFloat(style.strokeWidth) <= 0.5) continue;
        const found = contrast(numbers(style.stroke), paper);
        // A member of a sketch is a stroke of paper between the edges that a wider one leaves of it.
        if (isSketch(svg) && found === 1) continue;
        if (found < 3) wrong.push(`"${name(svg)}": a line has a contrast of ${found.toFixed(1)} only`);
    }
}
return [...new Set(wrong)];
"""

# No two things of figures have one id.
SINGLE = SEEN + """
const known = new Set();
for (const {id} of document.querySelectorAll('figure [id], figure[id]')) {
    if (known.has(id)) wrong.push(`the id "${id}" stands twice`);
    known.add(id);
}
return wrong;
"""

CHECKS = {"told": TOLD, "whole": WHOLE, "apart": APART, "clear": CLEAR, "contrast": CONTRAST, "single": SINGLE}

# Pixels of a screen, where a phone's drawing may be a little smaller than it was drawn; an index is not measured.
LEAST = 11.5


def has_any(browser):
    return browser.run("return document.querySelector('figure .drawing') !== null")


def checks(browser):
    """The checks of the drawings of an open page, by name."""
    found = {}
    for width in WIDTHS:
        for scheme in SCHEMES:
            found[f"{width} pixels, {scheme}"] = lambda w=width, s=scheme: look(browser, w, "screen", s)
    found["A4"] = lambda: look(browser, PAPER, "print", "light")
    return found


def look(browser, width, medium, scheme):
    show(browser, width, medium, scheme)
    try:
        wrong = [said for script in CHECKS.values() for said in browser.run(script)]
        return wrong + browser.run(READABLE, LEAST) + spoken(browser)
    finally:
        show(browser, 1200, "screen", "light")


def spoken(browser):
    """Whether a reader of the screen gets each sketch as one image: its title as the name, and its lines behind that."""
    drawn = browser.run("""
return [...document.querySelectorAll('figure .drawing.sketch')]
    .map(svg => ['title', 'desc'].map(part => svg.querySelector(part)?.textContent ?? ''));
""")
    # Far down a page nothing is read out before it comes near.
    browser.run("document.querySelectorAll('body *').forEach(it => { it.style.contentVisibility = 'visible'; }); return [];")
    tree = browser.command("Accessibility.getFullAXTree", {})["nodes"]
    heard = {
        (node["name"]["value"].strip(), node.get("description", {}).get("value", "").strip())
        for node in tree
        if not node.get("ignored") and node.get("role", {}).get("value") in ("image", "img", "graphics-document")
    }
    plain = lambda text: " ".join(text.split())
    heard = {(plain(name), plain(said)) for name, said in heard}
    return [
        f'"{title[:40]}" is not read out as it is told' for title, said in drawn if (plain(title), plain(said)) not in heard
    ]


def show(browser, width, medium, scheme):
    browser.size(width)
    features = [{"name": "prefers-color-scheme", "value": scheme}]
    browser.command("Emulation.setEmulatedMedia", {"media": medium, "features": features})


# How each check is made to fail: what is done to a page that is right.
SPOILED = {
    "told": "document.querySelectorAll('figure .drawing desc').forEach(desc => desc.remove());",
    "whole": "document.querySelectorAll('figure .drawing text').forEach(text => text.setAttribute('x', '2000'));",
    "apart": """
        for (const svg of document.querySelectorAll('figure .drawing')) {
            const [one, other] = svg.querySelectorAll('text');
            ['x', 'y', 'text-anchor'].forEach(key => one.setAttribute(key, other.getAttribute(key) ?? 'start'));
        }""",
    "clear": """
        for (const svg of document.querySelectorAll('figure .drawing')) {
            const circle = svg.querySelector('circle');
            const text = svg.querySelector('text');
            if (!circle) continue;
            text.setAttribute('text-anchor', 'middle');
            text.setAttribute('x', circle.getAttribute('cx'));
            text.setAttribute('y', Number(circle.getAttribute('cy')) + 4);
        }""",
    "contrast": "document.querySelectorAll('figure .drawing text').forEach(text => text.style.fill = '#aaa');",
    "size": "document.querySelectorAll('figure .drawing text').forEach(text => text.setAttribute('font-size', '8'));",
}


# What is done to a page with a wide sketch, seen on a phone, and which check has to see it.
SPOILED_SKETCHES = [
    ("told", "document.querySelectorAll('.sketch title').forEach(title => title.textContent = ' ');"),
    ("whole", "document.querySelectorAll('.sketch').forEach(svg => svg.parentElement.style.overflowX = 'hidden');"),
    ("whole", "document.querySelectorAll('.frame').forEach(frame => frame.style.background = 'none');"),
    ("whole", "document.querySelectorAll('.sketch').forEach(svg => svg.setAttribute('viewBox', '0 0 300 100'));"),
    ("clear", """
        for (const svg of document.querySelectorAll('.sketch')) {
            const path = [...svg.querySelectorAll('path')].find(path => path.getTotalLength() > 60);
            const at = path.getPointAtLength(path.getTotalLength() / 2);
            const text = svg.querySelector('text');
            text.setAttribute('text-anchor', 'middle');
            text.setAttribute('x', at.x);
            text.setAttribute('y', at.y + 5);
        }"""),
    ("single", "document.querySelectorAll('.sketch text').forEach(text => text.id = 'one');"),
    ("size", "document.querySelectorAll('.sketch').forEach(svg => svg.style.minWidth = 0);"),
    ("spoken", "document.querySelectorAll('.sketch').forEach(svg => svg.setAttribute('aria-label', 'a picture'));"),
    ("spoken", "document.querySelectorAll('.sketch').forEach(svg => svg.setAttribute('aria-hidden', 'true'));"),
]


def can_fail(browser, page):
    """Whether each check says something where the page is spoiled for it."""
    return spoiled(browser, page, 1024, SPOILED.items())


def can_fail_of_sketches(browser, page):
    """The same on a page with a wide sketch, on a phone."""
    return spoiled(browser, page, WIDTHS[0], SPOILED_SKETCHES)


def spoiled(browser, page, width, all_of):
    wrong = []
    for name, spoil in all_of:
        browser.go(page)
        show(browser, width, "screen", "light")
        browser.run(spoil)
        if name == "size":
            found = browser.run(READABLE, LEAST)
        elif name == "spoken":
            found = spoken(browser)
        else:
            found = browser.run(CHECKS[name])
        if not found:
            wrong.append(f'the check "{name}" does not see {spoil.strip()[:70]}')
    browser.go(page)
    return wrong
