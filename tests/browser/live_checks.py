"""What must be true of one page while its worksheet is edited. Each check gives the list of what is wrong."""

import random
import re

from live_server import png

SHEET = """\
# Pump

A first word on the pump, and [the other sheet](other.md).

```given
Q = 12 L/s   -- flow
A = 300 cm^2 -- section
```

## Speed

```work
V = Q/A = ? m/s     -- velocity
W = 2 V = ? m/s
X = 3 A = ? cm^2    -- not touched
```

```check
V < 50 m/s
X > 1 cm^2
```

The speed is `V = ? m/s`, as [any link](#h-pump) shows, in the pipe.

## Section

```work
Y = 4 A = ? cm^2
```

The last word.
"""

# The sheet with a sketch in it.
SKETCHED = SHEET.replace("## Speed", """\
```sketch
box: particle -- the box
force F right
force G at b above left
force H down
```

Words behind the figure.

## Speed""")

FILLER = "\n".join(f"\n## Part {number}\n\nA paragraph of words number {number}, which only fills the page.\n" for number in range(60))

SEEN = """
const all = [...document.querySelectorAll(arguments[0])];
return [all.filter(element => getComputedStyle(element).visibility === 'visible').length, all.length];
"""

# Marks every node below `main`, so that new ones can be told.
MARK = """
window.before = [];
const walker = document.createTreeWalker(document.querySelector('main'));
while (walker.nextNode()) { walker.currentNode.marked = true; window.before.push(walker.currentNode); }
window.loaded ??= Math.random();
return window.before.length;
"""

# The nodes that are new, by the element with an id that they are in, and how many are gone.
CHANGED = """
const fresh = [];
const walker = document.createTreeWalker(document.querySelector('main'));
while (walker.nextNode()) {
    const node = walker.currentNode;
    if (node.marked || (node.nodeType === Node.TEXT_NODE && !node.data.trim())) continue;
    const holder = (node.nodeType === Node.ELEMENT_NODE ? node : node.parentElement).closest('[id]');
    fresh.push(holder.id);
}
const gone = window.before.filter(node => !node.isConnected && !(node.nodeType === Node.TEXT_NODE && !node.data.trim()));
return { fresh: [...new Set(fresh)], gone: gone.map(node => node.textContent.slice(0, 40)) };
"""

TEXT = "return document.getElementById(arguments[0])?.textContent.replace(/\\s+/g, ' ')"
STATE = "return document.querySelector('.state').textContent"

# The page as it stands, without what is no difference to see: text of nothing but space between the parts.
CONTENT = """
const copy = document.querySelector('main').cloneNode(true);
for (const holder of [copy, ...copy.querySelectorAll('section')]) {
    for (const node of [...holder.childNodes]) if (node.nodeType === Node.TEXT_NODE && !node.data.trim()) node.remove();
}
return [document.title, copy.innerHTML];
"""

SELECT = """
const [from, start, to, end] = arguments;
const find = (path, text) => {
    const walker = document.createTreeWalker(document.querySelector(path), NodeFilter.SHOW_TEXT);
    while (walker.nextNode()) {
        const at = walker.currentNode.data.indexOf(text);
        if (at >= 0) return [walker.currentNode, at];
    }
    throw new Error(`there is no ${text} in ${path}`);
};
const [node, at] = find(from, start);
const [last, before] = find(to, end);
getSelection().setBaseAndExtent(node, at, last, before + end.length);
return getSelection().toString();
"""


class Checks:
    """A worksheet that is open in a browser."""

    def __init__(self, browser, server, sheet):
        self.browser, self.server, self.sheet = browser, server, sheet

    def all(self):
        checks = [name for name in dir(self) if name.startswith("check_")]
        return {name.removeprefix("check_").replace("_", " "): getattr(self, name) for name in checks}

    def open(self, text, anchor=""):
        self.sheet.write(text)
        self.browser.go("about:blank")
        self.browser.go(self.server.address(self.sheet.path.name + anchor))
        self.browser.until("return document.querySelector('.state').textContent.startsWith('read at')")
        # What was saved before the page was opened may be told afterwards.
        self.browser.until(TEXT_IS_THERE, text.strip().splitlines()[-1].strip("#*`. "))

    def text(self, id):
        return self.browser.run(TEXT, id)

    def press(self, key):
        self.browser.run("dispatchEvent(new KeyboardEvent('keydown', {key: arguments[0], cancelable: true}))", key)

    def seen(self, selector):
        """How many of the elements can be seen, and of how many."""
        return self.browser.run(SEEN, selector)

    def changed(self, allowed):
        """What is wrong when only the elements with these ids may hold new nodes."""
        changed = self.browser.run(CHANGED)
        return [f"there are new nodes in {id}" for id in changed["fresh"] if id not in allowed]

    def stays(self, allowed=()):
        """What is wrong when no node may be gone, and only elements with these ids may hold new ones."""
        gone = [f"{text!r} is no longer the same node" for text in self.browser.run(CHANGED)["gone"]]
        return gone + self.changed(allowed)

    def fresh(self):
        """What is wrong when the page is not what a browser that opens it now would see."""
        shown = self.browser.run(CONTENT)
        before, _ = self.browser.tab()
        self.browser.go(self.browser_address(before))
        expected = self.browser.run(CONTENT)
        self.browser.close(before)
        return [] if shown == expected else [f"the page is {first_difference(*map(str, (shown, expected)))}"]

    def browser_address(self, _):
        return self.server.address(self.sheet.path.name)

    def check_an_edited_number_appears_and_all_nodes_stay(self):
        self.open(SHEET)
        self.browser.run(MARK)
        self.sheet.edit("12 L/s", "15 L/s")
        wrong = [] if "0.5" in self.text("q1-V") else [f"V is shown as {self.text('q1-V')}"]
        return wrong + self.stays() + self.fresh()

    def check_a_page_that_something_else_changed_is_set_right(self):
        self.open(SHEET)
        # As a translation does it.
        self.browser.run("document.querySelector('#q1-V .about').firstChild.data = 'vitesse'")
        self.browser.run("document.querySelector('#q1-W').prepend('x')")
        self.sheet.edit("12 L/s", "15 L/s")
        self.sheet.edit("-- velocity", "-- its velocity")
        self.browser.messages()
        return self.fresh()

    def check_a_file_that_is_written_in_place_is_followed(self):
        self.open(SHEET)
        version = self.browser.run("return document.documentElement.dataset.version")
        self.sheet.text = SHEET.replace("12 L/s", "18 L/s")
        self.sheet.path.write_text(self.sheet.text, encoding="utf-8")
        self.browser.until("return document.documentElement.dataset.version !== arguments[0]", version)
        return [] if "0.60" in self.text("q1-V") else [f"V is shown as {self.text('q1-V')}"]

    def check_an_error_is_shown_in_place_and_cleared(self):
        self.open(SHEET)
        self.browser.run(MARK)
        self.sheet.edit("W = 2 V = ? m/s", "W = 2 V = ? kg")
        wrong = [] if "Refused" in self.text("q1-W") else ["the refused line does not say so"]
        wrong += [] if "1 line refused" in self.browser.run(STATE) else [f"the status line is {self.browser.run(STATE)!r}"]
        wrong += self.changed(["q1-W", "part/summary"]) + self.fresh()
        self.sheet.edit("W = 2 V = ? kg", "W = 2 V = ? m/s")
        wrong += [] if "Refused" not in self.text("q1-W") else ["the corrected line is still refused"]
        wrong += [] if "refused" not in self.browser.run(STATE) else [f"the status line is {self.browser.run(STATE)!r}"]
        return wrong + self.changed(["q1-W", "part/summary"]) + self.fresh()

    def check_a_line_half_typed_leaves_all_else_as_it_is(self):
        self.open(SHEET)
        self.browser.run(MARK)
        self.sheet.edit("X = 3 A = ? cm^2 ", "X = 3 A = ( ")
        wrong = self.changed(["q1-X", "part/summary"])
        # The check of X cannot be evaluated any more; all of it may change but what V gives.
        wrong = [fact for fact in wrong if "q1-check-2" not in fact and "part/q1-V" not in fact and "q1-line" not in fact]
        wrong += [] if "0.40" in self.text("q1-V") else [f"V is shown as {self.text('q1-V')}"]
        return wrong + self.fresh()

    def check_the_scroll_position_is_kept(self):
        self.open(SHEET + FILLER)
        self.press("k")
        wrong = []
        for edit in [
            ("A first word", "Many more words to begin with. " * 60 + "A first word"),
            ("W = 2 V = ? m/s\n", "W = 2 V = ? kg\n"),
            ("## Speed", "Another paragraph.\n\n## Between\n\nYet another.\n\n## Speed"),
            ("W = 2 V = ? kg\n", "W = 2 V = ? m/s\n"),
            ("number 59,", "number 59 of all of them,"),
        ]:
            self.browser.run("document.getElementById('h-part-30').scrollIntoView()")
            self.browser.run("scrollBy(0, -100); return new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))")
            place = "return document.getElementById('h-part-30').getBoundingClientRect().top"
            before = self.browser.run(place)
            self.sheet.edit(*edit)
            self.browser.run("return new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))")
            after = self.browser.run(place)
            if abs(after - before) > 1:
                wrong.append(f"what is in view moved from {before} to {after} with {edit[1][-20:]!r}")
        return wrong + self.fresh()

    def check_the_place_of_an_edit_comes_into_view_and_is_marked(self):
        self.open(SHEET + FILLER)
        self.browser.run("scrollTo(0, document.documentElement.scrollHeight)")
        self.sheet.edit("Y = 4 A", "Y = 5 A")
        box = self.browser.run("const box = document.getElementById('q1-Y').getBoundingClientRect(); return [box.top, box.bottom, innerHeight]")
        wrong = [] if 0 <= box[0] and box[1] <= box[2] else [f"the changed line is at {box}"]
        marked = self.browser.run("return document.getAnimations().map(it => it.effect.target.id)")
        wrong += [] if marked == ["q1-Y"] else [f"marked are {marked}"]
        self.press("k")
        # What comes into sight is laid out, and the page has its height then.
        before = self.browser.run("scrollTo(0, document.documentElement.scrollHeight); return new Promise(done => setTimeout(() => done(scrollY), 300))")
        self.sheet.edit("Y = 5 A", "Y = 6 A")
        after = self.browser.run("return scrollY")
        return wrong + ([] if before == after else [f"the view that is kept still went from {before} to {after}"]) + self.fresh()

    def check_refused_lines_are_links_in_the_status_line(self):
        self.open(SHEET)
        self.sheet.edit("W = 2 V = ? m/s", "W = 2 V = ? kg")
        links = self.browser.run("return [...document.querySelectorAll('.state a')].map(it => [it.getAttribute('href'), it.textContent])")
        wrong = [] if links == [["#q1-W", "line 14"]] else [f"the links are {links}"]
        state = self.browser.run(STATE)
        return wrong + ([] if re.search(r"read at \d\d:\d\d:\d\d", state) else [f"the status line is {state!r}"])

    def check_a_solution_is_shown_step_by_step_and_keeps_its_place(self):
        self.open(SHEET)
        height = self.browser.run("return document.documentElement.scrollHeight")
        steps = ".lines > .line, .check tbody tr"
        self.press("s")
        wrong = [] if self.seen(steps)[0] == 0 else [f"at first {self.seen(steps)} are seen"]
        for count in 1, 2:
            self.press("ArrowRight")
            wrong += [] if self.seen(steps)[0] == count else [f"after {count} steps {self.seen(steps)} are seen"]
        self.sheet.edit("12 L/s", "15 L/s")
        wrong += [] if self.seen(steps)[0] == 2 else [f"after an edit {self.seen(steps)} are seen"]
        self.press("ArrowLeft")
        wrong += [] if self.seen(steps)[0] == 1 else [f"one step back {self.seen(steps)} are seen"]
        now = self.browser.run("return document.documentElement.scrollHeight")
        wrong += [] if now == height else [f"the page is {now} pixels high for {height}"]
        self.press("Escape")
        seen, all_of = self.seen(steps)
        return wrong + ([] if seen == all_of > 2 else [f"at last {seen} of {all_of} are seen"]) + self.fresh()

    def check_answers_type_and_paper_are_a_key_away(self):
        self.open(SHEET.replace("The last word.", "```answer\nV = ? m/s\n```\n\nThe last word."))
        look = "const style = getComputedStyle(document.body); return [style.fontSize, style.maxWidth, getComputedStyle(document.querySelector('.state')).display]"
        before, wrong = self.browser.run(look), []
        self.press("a")
        wrong += [] if self.seen(".answer > div") == [0, 1] else [f"hidden answers: {self.seen('.answer > div')}"]
        self.press("l")
        size = self.browser.run(look)[0]
        wrong += [] if float(size[:-2]) > 1.4 * float(before[0][:-2]) else [f"large type is {size} for {before[0]}"]
        self.press("Escape")
        self.press("p")
        paper = self.browser.run(look)
        wrong += [] if paper[2] == "none" and paper[0] != before[0] else [f"as on paper the look is {paper}"]
        self.press("Escape")
        after = self.browser.run(look)
        return wrong + ([] if after == before else [f"the look is {after}, not {before}"])

    def check_a_double_click_names_the_line(self):
        self.open(SHEET)
        self.browser.run("document.querySelector('#q1-W math').dispatchEvent(new MouseEvent('dblclick', {bubbles: true}))")
        self.browser.until("return document.querySelector('.state').textContent.includes('line 14 of pump.md')")
        self.sheet.edit("A first word", "A line.\n\nA first word")
        self.browser.run("document.querySelector('#q1-W math').dispatchEvent(new MouseEvent('dblclick', {bubbles: true}))")
        self.browser.until("return document.querySelector('.state').textContent.includes('line 16 of pump.md')")
        return []

    def check_a_selection_is_kept(self):
        wrong = []
        speed, line, data = "[id='part/q1-check-1/text-1']", "#q1-V .about", "[id='part/text-1']"
        for start, end in [
            ((speed, "as "), (speed, "pipe")),  # behind a number that changes
            ((speed, "The speed"), (speed, "speed is")),  # before it
            ((line, "velo"), (line, "city")),  # in a line that changes
            ((data, "first"), (data, "pump")),  # above all changes
        ]:
            self.open(SHEET)
            selected = self.browser.run(SELECT, *start, *end)
            for new in ["1200 L/s", "5 L/s"]:
                self.sheet.sub(r"Q = .* L/s", f"Q = {new}")
                now = self.browser.run("return getSelection().toString()")
                if now != selected:
                    wrong.append(f"{now!r} is selected, and was {selected!r}")
        return wrong

    def check_a_selection_is_kept_where_its_nodes_are_others(self):
        self.open(SHEET)
        selected = self.browser.run(SELECT, "[id='part/q1-check-1/text-1']", "as ", "[id='part/q1-check-1/text-1']", "the pi")
        wrong = []
        for edit in [
            ("The speed is", "- The speed is"),
            ("- The speed is", "Now and then, the speed is"),
            ("Now and then, the speed is `V = ? m/s`,", "The speed is so,"),
            ("# Pump", "---\ntitle: Works\n---\n\n# Pump"),
        ]:
            self.sheet.edit(*edit)
            now = self.browser.run("return getSelection().toString()")
            if now != selected:
                wrong.append(f"{now!r} is selected with {edit[1]!r}, and was {selected!r}")
        return wrong + self.fresh()

    def check_a_selection_whose_text_changed_is_none(self):
        self.open(SHEET)
        self.browser.run(SELECT, "[id='part/q1-check-1/text-1']", "The speed", "[id='part/q1-check-1/text-1']", "pipe")
        self.sheet.edit("12 L/s", "1200 L/s")
        now = self.browser.run("return getSelection().toString()")
        return [f"{now!r} is selected"] if now else []

    def check_opened_details_stay_open(self):
        self.open(SHEET)
        details = "const it = document.createElement('details'); it.innerHTML = '<summary>more</summary>'; "
        self.browser.run(details + "it.open = true; document.querySelector('[id=\"part/text-1\"] p').append(it)")
        self.sheet.edit("12 L/s", "15 L/s")
        return [] if self.browser.run("return document.querySelector('details')?.open") else ["the details are closed"]

    def check_the_focus_is_kept(self):
        self.open(SHEET)
        self.browser.run("document.querySelector('a[href=\"#h-pump\"]').focus()")
        self.sheet.edit("12 L/s", "15 L/s")
        self.sheet.edit("The speed is", "- Two words: the speed is")
        focused = self.browser.run("return document.activeElement.textContent")
        return [] if focused == "any link" else [f"{focused!r} has the focus"]

    def check_a_sketch_is_drawn_again_and_all_else_stays(self):
        self.open(SKETCHED)
        self.browser.run(MARK)
        self.browser.run("document.querySelector('a[href=\"#h-pump\"]').focus()")
        selected = self.browser.run(SELECT, "main", "Words behind", "main", "the figure")
        figure = self.browser.run("return document.querySelector('figure').id")
        wrong = []
        for edit in [
            ("above left", "below left"),  # another drawing
            ("force H down", "force H down\nforce K up"),  # with more in it
            ("force K up", "force K upp"),  # a line that is refused
            ("force K upp\n", ""),
            ("-- the box", "-- a box"),  # the caption alone
        ]:
            before = self.browser.run("return document.querySelector('figure').outerHTML")
            self.sheet.edit(*edit)
            after = self.browser.run("return document.querySelector('figure').outerHTML")
            if before == after:
                wrong.append(f"the figure is the same after {edit[1]!r}")
            now = self.browser.run("return getSelection().toString()")
            if now != selected:
                wrong.append(f"{now!r} is selected after {edit[1]!r}, and was {selected!r}")
            focused = self.browser.run("return document.activeElement.textContent")
            if focused != "any link":
                wrong.append(f"{focused!r} has the focus after {edit[1]!r}")
            wrong += self.fresh()
        return wrong + self.changed([figure, f"part/{figure}", "part/summary"])

    def check_the_target_of_the_address_is_kept(self):
        self.open(SHEET, "#q1-V")
        self.sheet.edit("12 L/s", "15 L/s")
        self.sheet.edit("V = Q/A = ? m/s", "V = Q/A = ? kg")
        target = self.browser.run("return document.querySelector(':target')?.id")
        return [] if target == "q1-V" else [f"the target is {target}"]

    def check_paragraphs_blocks_and_sections_come_and_go(self):
        self.open(SHEET)
        self.browser.run(MARK)
        wrong = []
        new = "A new paragraph.\n\n## A new section\n\n```work\nZ = 7 A = ? cm^2\n```\n\n## Speed"
        self.sheet.edit("## Speed", new)
        wrong += self.fresh()
        self.sheet.edit(new, "## Speed")
        wrong += self.stays() + self.fresh()
        self.sheet.edit("The speed is", "## Between\n\nThe speed is")
        wrong += self.fresh()
        self.sheet.edit("## Between\n\nThe speed is", "The speed is")
        wrong += self.stays() + self.fresh()
        self.sheet.edit("X = 3 A = ? cm^2", "U = 9 A = ? cm^2\nX = 3 A = ? cm^2")
        wrong += self.changed(["q1-U", "part/q1-V"]) + self.fresh()
        self.sheet.edit("The last word.", "")
        self.sheet.edit("# Pump\n", "")
        return wrong + self.fresh()

    def check_a_title_comes_and_the_rest_stays(self):
        self.open(SHEET)
        self.browser.run(MARK)
        self.sheet.save("---\ntitle: Works\nauthor: the office\n---\n\n" + SHEET)
        wrong = [] if self.browser.run("return document.title") == "Works" else ["the title is not the new one"]
        lost = self.browser.run("return window.before.filter(node => node.localName === 'p' && !node.isConnected).length")
        return wrong + ([f"{lost} paragraphs are other nodes"] if lost else []) + self.fresh()

    def check_another_paper_is_used_on_paper(self):
        self.open(SHEET)
        self.sheet.write("---\npaper: letter\n---\n\n" + SHEET)
        self.browser.until("return document.documentElement.dataset.paper === 'letter'")
        return self.fresh()

    def check_after_any_edits_the_page_is_the_page_of_the_text(self):
        self.open(SHEET)
        chance = random.Random(4)
        wrong = []
        for _ in range(25):
            blocks = SHEET.split("\n\n")
            for _ in range(chance.randrange(1, 4)):
                at = chance.randrange(len(blocks))
                new = chance.choice(["New words.", "## New", "- a\n- b", "```work\nT = 2 A = ? cm^2\n```", "`V = ? m/s`", ""])
                blocks[at : at + chance.randrange(2)] = [new]
            text = "\n\n".join(blocks) + "\n"
            if text != self.sheet.text:
                self.sheet.save(text)
                wrong += self.fresh()
        return wrong

    def check_a_changed_picture_is_shown(self):
        picture = self.sheet.path.with_name("photo.png")
        picture.write_bytes(png(30, 20))
        self.open(SHEET + "\n![photo](photo.png)\n\nThe end.\n")
        width = "return document.querySelector('img')?.naturalWidth === arguments[0]"
        self.browser.until(width, 30)
        picture.write_bytes(png(50, 20))
        self.browser.until(width, 50)
        self.sheet.edit("![photo](photo.png)", "![photo](photo.png) and words")
        self.browser.until("return document.querySelector('img').complete")
        return [] if self.browser.run(width, 50) else ["an edit brought the old picture back"]

    def check_two_browsers_follow_at_once(self):
        self.open(SHEET)
        before, other = self.browser.tab()
        self.browser.go(self.server.address(self.sheet.path.name))
        self.browser.until("return document.querySelector('.state').textContent.startsWith('read at')")
        wrong = []
        self.sheet.edit("12 L/s", "15 L/s")
        for tab in (other, before):
            self.browser.switch(tab)
            self.browser.until("return document.getElementById('q1-V').textContent.includes('0.5')")
        self.browser.switch(other)
        self.browser.close(before)
        return wrong

    def check_the_page_recovers_when_the_server_is_started_again(self):
        self.open(SHEET)
        self.browser.run(MARK)
        self.server.stop()
        self.browser.until("return document.querySelector('.state').textContent.includes('not connected')")
        self.sheet.write(SHEET.replace("12 L/s", "15 L/s"))
        self.server.start()
        self.browser.until("return document.getElementById('q1-V').textContent.includes('0.5')")
        wrong = [] if self.browser.run("return Boolean(window.loaded)") else ["the page was loaded again"]
        wrong += self.changed(["q1-V", "q1-W", "q1-Q", "q1-check-1", "part/q1-check-1/text-1"])
        self.sheet.edit("15 L/s", "18 L/s")
        wrong += [] if "0.60" in self.text("q1-V") else [f"V is shown as {self.text('q1-V')}"]
        state = self.browser.run(STATE)
        return wrong + ([] if state.startswith("read at") else [f"the status line is {state!r}"]) + self.fresh()

    def check_the_console_is_silent(self):
        self.browser.messages()
        self.open(SHEET)
        self.sheet.edit("12 L/s", "15 L/s")
        return self.browser.messages()


TEXT_IS_THERE = "return document.querySelector('main').textContent.includes(arguments[0])"



def first_difference(shown, expected):
    at = next((at for at, (a, b) in enumerate(zip(shown, expected)) if a != b), min(len(shown), len(expected)))
    start = max(0, at - 60)
    return f"{shown[start : at + 60]!r} and should be {expected[start : at + 60]!r}"
