"""What must be true of the index of a folder, and of the ways between its worksheets."""

WORDS = "return document.querySelector('main').textContent.replace(/\\s+/g, ' ')"


class Checks:
    """A folder that is served."""

    def __init__(self, browser, server, folder):
        self.browser, self.server, self.folder = browser, server, folder

    def all(self):
        checks = [name for name in dir(self) if name.startswith("check_")]
        return {name.removeprefix("check_").replace("_", " "): getattr(self, name) for name in checks}

    def write(self, name, text):
        path = self.folder / name
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")

    def shows(self, *words):
        script = "const text = document.querySelector('main').textContent; return arguments[0].every(word => text.includes(word))"
        self.browser.until(script, list(words))

    def check_the_index_lists_the_worksheets_with_their_state_and_follows(self):
        self.write("valve.md", "# Valve\n\n```work\nx = 2 = ? kg\n```\n")
        self.write("sub/tank.md", "# Tank\n\nWords.\n")
        self.browser.go(self.server.address())
        self.shows("valve.md", "tank.md", "1 line refused")
        self.browser.run("window.loaded = true")
        self.write("valve.md", "# Valve\n\n```work\nx = 2 = ?\n```\n")
        self.browser.until("return !document.querySelector('main').textContent.includes('1 line refused')")
        self.write("new.md", "# New\n\n```work\ny = 2 = ? kg\n```\n\n```work\nz = 2 = ? kg\n```\n")
        self.shows("new.md", "2 lines refused")
        (self.folder / "new.md").unlink()
        self.browser.until("return !document.querySelector('main').textContent.includes('new.md')")
        return [] if self.browser.run("return window.loaded") else ["the index was loaded again"]

    def check_links_lead_from_the_index_to_a_worksheet_and_on_to_another(self):
        self.write("first.md", "# First\n\nSee [the second](sub/second.md#h-second).\n")
        self.write("sub/second.md", "# Second\n\nBack to [the first](../first.md).\n")
        self.browser.go(self.server.address())
        self.shows("first.md")
        wrong = []
        for link, title in [("a[href*='first.md']", "First"), ("main p a", "Second"), ("main p a", "First")]:
            self.browser.run("document.querySelector(arguments[0]).click()", link)
            self.browser.until("return document.title === arguments[0] && document.readyState === 'complete'", title)
        self.browser.run("document.querySelector('main p a').click()")
        self.browser.until("return document.title === 'Second'")
        self.write("sub/second.md", "# Second\n\nBack to [the first](../first.md), changed.\n")
        self.shows("changed")
        return wrong

    def check_a_worksheet_that_is_gone_says_so_and_comes_back(self):
        self.write("gone.md", "# Gone\n\nWords.\n")
        self.browser.go(self.server.address("gone.md"))
        self.shows("Words.")
        (self.folder / "gone.md").unlink()
        self.browser.until("return document.querySelector('.state').textContent.includes('gone.md')")
        wrong = [] if "Words." in self.browser.run(WORDS) else ["the page is gone with its file"]
        self.write("gone.md", "# Gone\n\nOther words.\n")
        self.shows("Other words.")
        self.browser.until("return !document.querySelector('.state').textContent.includes('gone.md')")
        return wrong
