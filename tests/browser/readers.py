"""Whether every reader gets the page: in narrow and enlarged windows, in the dark, in colours of their own, read aloud, and before its fonts are there."""

from checks import CONTRAST, WIDER_THAN_THE_WINDOW

# A phone, the narrowest one, and a window of 1280 pixels at 200 %.
REFLOW = {"390 pixels": (390, 1), "320 pixels": (320, 1), "200 %": (640, 2)}

SCHEMES = {"prefers-color-scheme": "dark"}
FORCED = {"forced-colors": "active"}

# What goes on under its edge can be reached with keys, and its edge is in shadow.
CUES = """
const wrong = [];
for (const element of document.querySelectorAll('main *')) {
    if (element.scrollWidth <= element.clientWidth + 1 || element.matches('svg *, math, math *')) continue;
    const style = getComputedStyle(element);
    if (!/auto|scroll/.test(style.overflowX)) continue;
    const told = `<${element.localName} class="${element.className}"> ${element.textContent.trim().slice(0, 40)}`;
    if (element.tabIndex < 0) wrong.push(`${told} cannot be scrolled with keys`);
    if (element.matches('.side, .frame') && !/local/.test(style.backgroundAttachment)) wrong.push(`${told} does not show that it goes on`);
}
return wrong;
"""

ALOUD = """
const wrong = [];
for (const number of document.querySelectorAll('math mn')) {
    if (/[^0-9.\\u2212\\u202f()∞]/.test(number.textContent)) wrong.push(`"${number.textContent}" is read as one number`);
}
for (const link of document.querySelectorAll('a[href^="#"]')) {
    const number = /^\\(([0-9]+)\\)$/.exec(link.textContent);
    if (number && link.getAttribute('aria-label') !== `equation ${number[1]}`) wrong.push(`the link ${link.textContent} is called "${link.getAttribute('aria-label')}"`);
}
for (const cell of document.querySelectorAll('.line > .number')) {
    const name = cell.textContent.replace(/^\\((.*)\\)$/, 'equation $1');
    if (cell.getAttribute('aria-label') !== name) wrong.push(`the cell ${cell.textContent} is called "${cell.getAttribute('aria-label')}"`);
}
for (const head of document.querySelectorAll('th')) {
    const named = [...head.querySelectorAll('math')].every(math => math.getAttribute('aria-label'));
    const walker = document.createTreeWalker(head, NodeFilter.SHOW_TEXT);
    let words = '';
    while (walker.nextNode()) if (!walker.currentNode.parentElement.closest('math')) words += walker.currentNode.data;
    if (!/[\\p{L}\\p{N}]/u.test(words) && !(head.querySelector('math') && named)) wrong.push(`"${head.textContent}" at the head of cells has no words`);
}
return wrong;
"""

# Without this text is blank until its font is decoded.
SWAPPED = """
return [...document.fonts].filter(face => face.display !== 'swap').map(face => `text waits for ${face.family}`);
"""

# What is drawn, in the colours of the reader: a line is seen on the ground, and not painted over by a picture of ours.
DRAWN = """
const wrong = [];
const probe = document.body.appendChild(document.createElement('i'));
const rgb = colour => {
    probe.style.cssText = `forced-color-adjust:none;color:${colour}`;
    const pen = document.createElement('canvas').getContext('2d', {willReadFrequently: true});
    pen.fillStyle = getComputedStyle(probe).color;
    pen.fillRect(0, 0, 1, 1);
    return [...pen.getImageData(0, 0, 1, 1).data];
};
const linear = part => (part /= 255) <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4;
const light = ([r, g, b]) => 0.2126 * linear(r) + 0.7152 * linear(g) + 0.0722 * linear(b);
const ground = light(rgb('Canvas'));
for (const svg of document.querySelectorAll('svg.drawing')) {
    if (!svg.getBoundingClientRect().width) continue;
    const inks = new Set([...svg.querySelectorAll('text, line, path, polyline, circle')]
        .filter(it => !it.matches('.paper-fill, .paper-line, .band-fill, .band-line') && !it.closest('.rim'))
        .map(it => getComputedStyle(it)[it.localName === 'text' ? 'fill' : 'stroke']).filter(ink => ink !== 'none'));
    for (const ink of inks) {
        const [low, high] = [ground, light(rgb(ink))].sort((a, b) => a - b);
        if ((high + 0.05) / (low + 0.05) < 3) wrong.push(`"${svg.textContent.slice(0, 30)}" is drawn in ${ink}`);
    }
}
probe.remove();
return wrong;
"""

LIGHT = """
const {backgroundColor, color} = getComputedStyle(document.documentElement);
return backgroundColor === 'rgb(255, 255, 255)' && color === 'rgb(17, 17, 17)' ? [] : [`${color} on ${backgroundColor}`];
"""

# How each check is made to fail: what is done to a page that is right, of narrow windows the narrowest.
SPOILED = {
    "320 pixels": [
        "document.querySelector('main p').style.width = '400px';",
        "document.querySelectorAll('.side').forEach(it => it.removeAttribute('tabindex'));",
        "document.querySelectorAll('.side').forEach(it => { it.style.background = 'none'; });",
    ],
    "dark": ["document.querySelectorAll('main p').forEach(it => { it.style.color = '#444'; });"],
    "forced colours": ["document.querySelectorAll('svg text').forEach(it => { it.style.fill = 'Canvas'; });"],
    "read aloud": [
        "document.querySelectorAll('math mn').forEach(it => it.append('m'));",
        "document.querySelectorAll('a[aria-label]').forEach(it => it.removeAttribute('aria-label'));",
        "document.querySelectorAll('.number').forEach(it => it.removeAttribute('aria-label'));",
        "document.querySelectorAll('th math').forEach(it => it.removeAttribute('aria-label'));",
    ],
    "light on paper": ["document.documentElement.style.background = '#161616';"],
    "text before its fonts": ["[...document.fonts][0].display = 'block';"],
}


def checks(browser):
    """The checks of an open page, by name."""
    found = {name: lambda size=size: in_window(browser, *size) for name, size in REFLOW.items()}
    return {
        **found,
        "dark": lambda: as_wanted(browser, CONTRAST, SCHEMES),
        "forced colours": lambda: as_wanted(browser, CONTRAST, FORCED) + as_wanted(browser, DRAWN, FORCED),
        "read aloud": lambda: browser.run(ALOUD),
        "light on paper": lambda: as_wanted(browser, LIGHT, SCHEMES, "print"),
        "text before its fonts": lambda: browser.run(SWAPPED),
    }


def in_window(browser, width, scale):
    browser.size(width, scale=scale)
    try:
        return browser.run(WIDER_THAN_THE_WINDOW, True) + browser.run(CUES)
    finally:
        browser.size(1200)


def as_wanted(browser, script, features, medium="screen"):
    browser.medium(medium, features)
    try:
        return browser.run(script)
    finally:
        browser.medium("screen")


def can_fail(browser, page):
    """Whether each check says something where the page is spoiled for it."""
    wrong = []
    for name, ways in SPOILED.items():
        for spoil in ways:
            browser.go(page)
            browser.run(spoil)
            if not checks(browser)[name]():
                wrong.append(f'the check "{name}" does not see {spoil[:70]}')
    browser.go(page)
    return wrong
