"""Whether a long page, of which the browser lays out what is in sight, is as good as one that is laid out: its height, its end, what is found, what is printed."""

import rows

# How far the height of the page may be from the true one.
SHARE = 0.2

HEIGHTS = """
const known = document.documentElement.scrollHeight;
const far = document.querySelectorAll('.far');
far.forEach(section => { section.style.contentVisibility = 'visible'; });
const whole = document.documentElement.scrollHeight;
far.forEach(section => { section.style.contentVisibility = ''; });
return [far.length, known, whole];
"""

END = """
return new Promise(done => setTimeout(() => {
    const {scrollHeight} = document.documentElement;
    done([scrollHeight - innerHeight - scrollY, document.querySelector('footer').getBoundingClientRect().bottom - innerHeight]);
}, 500));
"""

# Words that stand once, in the last section that is not laid out.
WORDS = """
const far = [...document.querySelectorAll('.far :is(h1, h2, h3)')].map(heading => heading.textContent.trim());
const text = document.body.textContent;
return far.filter(words => text.split(words).length === 2).at(-1);
"""

FOUND = """
getSelection().removeAllRanges();
scrollTo(0, 0);
if (!find(arguments[0], true)) return ['it is not found'];
const box = getSelection().getRangeAt(0).getBoundingClientRect();
return box.height > 0 && box.top >= 0 && box.bottom <= innerHeight ? [] : [`it is found at ${box.top}, out of sight`];
"""

SPOILED = """
const sheet = new CSSStyleSheet();
sheet.replaceSync('.far{contain-intrinsic-height:60px!important}');
document.adoptedStyleSheets = [sheet];
"""


def checks(browser, page):
    """The checks of a long page, by name."""
    return {
        "height": lambda: height(browser, page, 1200),
        "height on a phone": lambda: height(browser, page, 390),
        "the key End": lambda: end(browser, page),
        "found": lambda: browser.run(FOUND, browser.run(WORDS)),
        "printed to its end": lambda: printed(browser),
        "what can fail": lambda: can_fail(browser, page),
    }


def fresh(browser, page, width):
    """A browser knows the height of what it has shown, so the page is opened anew."""
    browser.size(width)
    browser.go("about:blank")
    browser.go(page)


def height(browser, page, width, spoil=""):
    fresh(browser, page, width)
    browser.run(spoil)
    sections, known, whole = browser.run(HEIGHTS)
    if not sections:
        return ["all of it is laid out"]
    wrong = abs(known / whole - 1) > SHARE
    return [f"its {sections} sections are taken to be {known} pixels high, and are {whole}"] if wrong else []


def end(browser, page):
    fresh(browser, page, 1200)
    key = {"key": "End", "code": "End", "windowsVirtualKeyCode": 35}
    for kind in "keyDown", "keyUp":
        browser.command("Input.dispatchKeyEvent", {"type": kind, **key})
    short, below = browser.run(END)
    return [f"the end is {short} pixels further down, the foot {below} below the window"] if abs(short) > 1 or below > 1 else []


def printed(browser):
    words = browser.run(WORDS)
    sheets = [" ".join(lines) for lines in rows.text_of_sheets(browser.print())]
    return [] if any(words in sheet for sheet in sheets) else [f'"{words}" is on none of {len(sheets)} sheets']


def can_fail(browser, page):
    return [] if height(browser, page, 1200, SPOILED) else ["the check of heights does not see that all are wrong"]
