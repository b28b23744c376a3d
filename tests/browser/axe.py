"""What axe-core finds on a page: names, landmarks, heads of tables, contrast, what cannot be reached with keys.

axe-core (https://github.com/dequelabs/axe-core, MPL-2.0) is no part of the repository. It is fetched once from the
registry of npm, the version and the bytes that are named here, into target/browser/.
"""

import base64
import hashlib
import io
import tarfile
import urllib.request

VERSION = "4.14.1"
ADDRESS = f"https://registry.npmjs.org/axe-core/-/axe-core-{VERSION}.tgz"
SHA512 = "FHfa+lmNjQZfJz1q8wKqIDwC6DExcHt/pkjNQb09a3NPjCKg2rhu5qb2S4r76ASyFNNtuFooJpZe37OgudVGtQ=="

# All rules that axe-core runs by itself: those of WCAG to level AA, and of good practice.
FOUND = """
return axe.run(document, {resultTypes: ['violations']}).then(({violations}) => violations.flatMap(({id, help, nodes}) =>
    nodes.map(({target, html}) => `${id}: ${help}: ${target.join(' ')} ${html.slice(0, 80)}`)));
"""

# How rules are seen to work: what is done to a page that is right.
SPOILED = {
    "color-contrast": "document.querySelector('main p').style.color = '#888';",
    "empty-table-header": "document.querySelector('thead th').replaceChildren();",
    "html-has-lang": "document.documentElement.removeAttribute('lang');",
    "scrollable-region-focusable": "document.querySelectorAll('.side').forEach(it => it.removeAttribute('tabindex'));",
    "svg-img-alt": "document.querySelectorAll('svg > title, svg > desc').forEach(it => it.remove());",
}

# A desk and a phone.
SIZES = {"light": 1200, "dark": 1200, "light on a phone": 390, "dark on a phone": 390}


def source(folder):
    """The script itself."""
    folder.mkdir(parents=True, exist_ok=True)
    kept = folder / f"axe-core-{VERSION}.tgz"
    data = kept.read_bytes() if kept.exists() else fetched()
    digest = base64.b64encode(hashlib.sha512(data).digest()).decode()
    if digest != SHA512:
        raise SystemExit(f"{kept if kept.exists() else ADDRESS} is not axe-core {VERSION}: its hash is {digest}")
    kept.write_bytes(data)
    with tarfile.open(fileobj=io.BytesIO(data)) as archive:
        return archive.extractfile("package/axe.min.js").read().decode()


def fetched():
    try:
        with urllib.request.urlopen(ADDRESS, timeout=60) as reply:
            return reply.read()
    except OSError as error:
        raise SystemExit(f"{ADDRESS} cannot be fetched: {error}") from None


def checks(browser, script):
    """The checks of an open page, by name."""
    return {f"axe, {name}": lambda name=name, width=width: run(browser, script, name.split()[0], width) for name, width in SIZES.items()}


def run(browser, script, scheme, width):
    """What is found on the open page for readers who want it light or dark."""
    browser.size(width)
    browser.medium("screen", {"prefers-color-scheme": scheme})
    try:
        # The policy of the page allows no script; what the browser's own protocol runs is not asked.
        browser.command("Runtime.evaluate", {"expression": script})
        return browser.run(FOUND)
    finally:
        browser.medium("screen")
        browser.size(1200)


def can_fail(browser, page, script):
    """Whether each rule says something where the page is spoiled for it."""
    wrong = []
    for rule, spoil in SPOILED.items():
        browser.go(page)
        browser.run(spoil)
        if not any(fact.startswith(f"{rule}:") for fact in run(browser, script, "light", 320)):
            wrong.append(f'the rule "{rule}" does not see {spoil[:70]}')
    browser.go(page)
    return wrong
