"""The live page looks as the finished one, on the screen and on paper."""

import shutil
import subprocess

import checks as page_checks

# What the worksheets do not have: parts without anything at the end of a section, a list that a block divides, lines
# that are refused, checks that fail, a footnote, problems below a title.
MIXED = """\
---
title: All kinds
author: the office
---

# One

```given
a = 1 m
b = 2 m kg s -- no unit
```

```check
a < 0.5 m
a > 0 m
c > 1
sensitivity of a
```

```work
```

## Two

- item

  ```work
  d = 2 a = ? m
  e = 2 a = ? kg  -- refused
  f = 3 e = ? m
  ```

  more[^1] with `e = ?`

> a quote

# Three

```work
```

[^1]: note
"""

# Places and sizes of everything that is seen.
BOXES = """
return document.fonts.ready.then(() => {
    const boxes = [];
    for (const element of document.querySelectorAll('main, main *:not(.part), footer')) {
        const { x, y, width, height } = element.getBoundingClientRect();
        boxes.push(`${element.localName}#${element.id} ${[x, y, width, height].map(size => size.toFixed(2)).join(' ')}`);
    }
    return boxes;
});
"""

# The status line is out of sight, and sections stand as they do in sight, wherever they are.
PLAIN = """
for (const { style } of document.querySelectorAll('section')) {
    [style.contentVisibility, style.contain] = arguments[0] ? ['visible', 'layout style paint'] : ['', ''];
}
const state = document.querySelector('.state');
if (state) state.style.visibility = 'hidden';
"""


def difference(browser, server, folder, program, worksheet):
    """Where the live page of one worksheet differs from its finished page."""
    if worksheet.parent != folder:
        shutil.copy(worksheet, folder / worksheet.name)
    finished = folder / "finished" / f"{worksheet.stem}.html"
    command = [program, "page", "--with-errors", worksheet, "-o", finished]
    finished.parent.mkdir(exist_ok=True)
    subprocess.run(command, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, timeout=300)
    seen = []
    for address in (finished.as_uri(), server.address(worksheet.name)):
        browser.go(address)
        browser.command("Emulation.setScrollbarsHidden", {"hidden": True})
        browser.run(PLAIN, True)
        looks = {}
        for width in page_checks.WIDTHS:
            browser.size(width)
            browser.size(width)
            looks[f"boxes at {width}"] = browser.run(BOXES)
            looks[f"picture at {width}"] = browser.screenshot(width)
        browser.size(1200)
        browser.medium("print")
        browser.run(PLAIN, False)
        looks["boxes on paper"] = browser.run(BOXES)
        looks["status line on paper"] = browser.run(
            "const state = document.querySelector('.state'); return !state || getComputedStyle(state).display === 'none'"
        )
        browser.medium("screen")
        browser.command("Emulation.setScrollbarsHidden", {"hidden": False})
        seen.append(looks)
    wrong = []
    for look, expected in seen[0].items():
        found = seen[1][look]
        if found == expected:
            continue
        if isinstance(expected, list):
            pairs = [pair for pair in zip(expected, found) if pair[0] != pair[1]] or [(len(expected), len(found))]
            wrong.append(f"{look}: {pairs[0][1]} should be {pairs[0][0]}")
        else:
            wrong.append(f"{look} differs")
    return wrong


def checks(browser, server, folder, program, worksheets):
    mixed = folder / "mixed.md"
    mixed.write_text(MIXED, encoding="utf-8")

    def check(worksheet):
        return lambda: difference(browser, server, folder, program, worksheet)

    return {f"{worksheet.stem} looks as its finished page": check(worksheet) for worksheet in [*worksheets, mixed]}
