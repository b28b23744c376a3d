#!/usr/bin/env -S python3 -B
"""Measures from the save of a worksheet to the changed result in Chromium.

Usage: benches/live.py PROGRAM [--sections 1,100,1000] [--edits 15]

For worksheets of several lengths, and edits at their top, middle and end and of what many results depend on, it
prints the medians, in milliseconds from before the file is written, until
  told   a follower of the page has the message (with no browser beside it: what the program and the system take),
  patch  (this one from when the message came) all that changed stands in the page,
  shown  the same from the save on,
  drawn  two frames of the browser later,
and how long the message is. The worksheet is written beside its file and renamed, as most editors do.
"""

import argparse
import base64
import json
import os
import re
import socket
import statistics
import sys
import tempfile
import time
from pathlib import Path
from urllib.parse import urlsplit

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests" / "browser"))

import worksheets
from driver import Browser
from live_server import Server

PAUSE = 0.08  # seconds between edits, in which browser and server come to rest
LONGEST = 60  # seconds until an edit has to be shown

# A datum that no other section depends on, and a result that depends on it, for each kind of section.
LOCAL = {"structural": ("E", "o"), "thermo": ("x", "S")}
# A result that depends on gravity, which hundreds do.
WEIGHED = {"structural": "w", "fluid": "h"}

# Waits for the next version of the page: notes when it stands there, and when it was drawn.
ARM = """
const [id] = arguments;
const element = document.querySelector(`[id$="-${id}"]`);
element.scrollIntoView({ block: 'center' });
const before = element.textContent;
const now = () => performance.timeOrigin + performance.now();
const frame = () => new Promise(done => requestAnimationFrame(done));
window.shown = new Promise(done => {
    const observer = new MutationObserver(async () => {
        const shown = now();
        observer.disconnect();
        await frame();
        await frame();
        const drawn = now();
        const changed = document.querySelector(`[id$="-${id}"]`).textContent !== before;
        const [told, patched] = ['setsquare-told', 'setsquare-patched'].map(name => performance.getEntriesByName(name).at(-1).startTime);
        done({ shown, drawn, changed, patch: patched - told });
    });
    observer.observe(document.documentElement, { attributeFilter: ['data-version'] });
});
return frame().then(frame).then(() => true);
"""


def main():
    arguments = read_arguments()
    print(f"{'sections':>8}  {'edit':<8}{'bytes':>10}{'told':>10}{'patch':>10}{'shown':>10}{'drawn':>10}")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name).resolve()
        for sections in arguments.sections:
            document = worksheets.make(sections, 1)
            sheet = Sheet(folder / f"plant-{sections}.md", worksheets.emit_setsquare(document))
            kinds = edits(document)
            with Server(arguments.program, folder) as server:
                told = {kind: follow(server, sheet, edit, arguments.edits) for kind, edit in kinds.items()}
            with Server(arguments.program, folder) as server, Browser() as browser:
                browser.size(1200)
                browser.go(server.address(sheet.path.name))
                browser.until("return document.querySelector('.state').textContent.startsWith('read at')")
                for kind, edit in kinds.items():
                    patch, shown, drawn = watch(browser, sheet, edit, arguments.edits)
                    size, message = told[kind]
                    print(f"{sections:>8}  {kind:<8}{size:>10}{message:>10.1f}{patch:>10.1f}{shown:>10.1f}{drawn:>10.1f}", flush=True)


def read_arguments():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("program", type=lambda path: Path(path).resolve())
    parser.add_argument("--sections", type=lambda text: [int(part) for part in text.split(",")], default=[1, 100, 1000])
    parser.add_argument("--edits", type=int, default=15)
    return parser.parse_args()


def edits(document):
    """Which datum is edited, and a result that changes with it."""
    sections = document["sections"]
    numbers = {"top": 0, "middle": len(sections) // 2, "end": len(sections) - 1}
    # The nearest section that has a datum of its own.
    local = [at for at, section in enumerate(sections) if section["flavour"] in LOCAL]
    found = {}
    for kind, wanted in numbers.items():
        at = min(local, key=lambda at: abs(at - wanted))
        datum, result = LOCAL[sections[at]["flavour"]]
        found[kind] = (f"{datum}_{at + 1}", f"{result}_{at + 1}")
    if len(sections) == 1:
        found = {"local": found["top"]}
    heavy = [at for at, section in enumerate(sections) if section["flavour"] in WEIGHED]
    if heavy:
        found["wide"] = ("g_0", f"{WEIGHED[sections[heavy[-1]]['flavour']]}_{heavy[-1] + 1}")
    # All sections below depend on it, but its share soon is too small to be printed.
    return {**found, "chain": ("P_0", "k_1")}


class Sheet:
    """A worksheet on disk in which data are edited."""

    def __init__(self, path, text):
        self.path, self.text = path, text
        self.save()

    def save(self):
        """Writes it; when that began."""
        beside = self.path.with_name("beside~")
        begin = time.time()
        beside.write_text(self.text, encoding="utf-8")
        os.replace(beside, self.path)
        return begin

    def edit(self, datum):
        """Makes a datum a little more; when that began."""
        change = lambda line: f"{line[1]}{float(line[2]) * 1.02:.6g}{line[3]}"
        self.text, count = re.subn(rf"(?m)^({datum} = )([-+.e\d]+)( |$)", change, self.text)
        assert count == 1, datum
        return self.save()


def watch(browser, sheet, edit, count):
    """Medians of the time to put it in place, and until a result is shown and drawn."""
    datum, result = edit
    times = []
    for number in range(count + 1):
        time.sleep(PAUSE)
        browser.run(ARM, result)
        begin = sheet.edit(datum)
        seen = browser.run("return window.shown")
        assert seen["changed"], f"{result} did not change with {datum}"
        if number > 0:  # the first warms up
            times.append([seen["patch"], seen["shown"] - 1000 * begin, seen["drawn"] - 1000 * begin])
    return [statistics.median(column) for column in zip(*times)]


def follow(server, sheet, edit, count):
    """Medians of the length of a message, and of the time until a follower has it."""
    follower = Follower(server.address(f"-/follow/{sheet.path.name}"))
    follower.until({"whole"})
    sizes, times = [], []
    for number in range(count + 1):
        time.sleep(PAUSE)
        begin = sheet.edit(edit[0])
        message = follower.until({"parts", "whole"})
        if number > 0:
            sizes.append(len(message))
            times.append(1000 * (time.time() - begin))
    follower.close()
    return int(statistics.median(sizes)), statistics.median(times)


class Follower:
    """One who follows a page without a browser: as much of WebSocket as that takes."""

    def __init__(self, address):
        parts = urlsplit(address)
        self.connection = socket.create_connection((parts.hostname, parts.port), timeout=LONGEST)
        self.waiting = self.connection.makefile("rb")
        key = base64.b64encode(os.urandom(16)).decode()
        lines = [
            f"GET {parts.path}?run=none&version=0 HTTP/1.1",
            f"Host: {parts.netloc}",
            f"Origin: http://{parts.netloc}",
            "Connection: Upgrade",
            "Upgrade: websocket",
            "Sec-WebSocket-Version: 13",
            f"Sec-WebSocket-Key: {key}",
        ]
        self.connection.sendall("".join(f"{line}\r\n" for line in [*lines, ""]).encode())
        status = self.waiting.readline()
        if b" 101 " not in status:
            raise OSError(f"the server answers {status!r}")
        while self.waiting.readline().strip():
            pass

    def message(self):
        """The next message, which is one frame of text."""
        kind, length = self.waiting.read(2)
        if length == 126:
            length = int.from_bytes(self.waiting.read(2), "big")
        elif length == 127:
            length = int.from_bytes(self.waiting.read(8), "big")
        text = self.waiting.read(length)
        return text if kind == 0x81 else b'{"kind":"control"}'

    def until(self, kinds):
        """The next message of one of these kinds."""
        while True:
            message = self.message()
            if any(message.startswith(json.dumps({"kind": kind}, separators=(",", ":")).encode()[:-1]) for kind in kinds):
                return message

    def close(self):
        self.connection.close()


if __name__ == "__main__":
    main()
