#!/usr/bin/env -S python3 -B
"""Measures from a key to the diagnostics of the language server.

Usage: benches/language_server.py PROGRAM [--sections 1,100,1000] [--problems 1,100] [--edits 40]

The sections stand in one problem, or are shared out to several where there are at least ten for each. Prints the
medians and the slowest, in milliseconds, for a digit, a line that is being typed and on which others depend, a name
that is typed anew, and prose; then for what an editor asks after each key, with the kilobytes of the answers.
"""

import argparse
import json
import statistics
import subprocess
import sys
import time
from pathlib import Path

import worksheets

URI = "file:///sheet.md"


class Client:
    """A language server under test."""

    def __init__(self, program):
        command = [program, "language-server"]
        self.process = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE)
        self.version = 0
        self.send({"id": 0, "method": "initialize", "params": {"capabilities": {}}})
        self.receive(lambda message: message.get("id") == 0)
        self.send({"method": "initialized", "params": {}})

    def send(self, message):
        body = json.dumps({"jsonrpc": "2.0", **message}).encode()
        self.process.stdin.write(b"Content-Length: %d\r\n\r\n" % len(body) + body)
        self.process.stdin.flush()

    def receive(self, wanted):
        while True:
            length = 0
            while line := self.process.stdout.readline().strip():
                name, value = line.split(b":")
                if name.lower() == b"content-length":
                    length = int(value)
            if not length:
                sys.exit("the server ended")
            message = json.loads(self.process.stdout.read(length))
            if wanted(message):
                return message

    def diagnostics(self):
        """Waits for the diagnostics of the latest version."""
        params = lambda message: message.get("params", {})
        self.receive(
            lambda message: message.get("method") == "textDocument/publishDiagnostics"
            and params(message).get("version") == self.version
        )

    def open(self, text):
        self.version += 1
        document = {"uri": URI, "languageId": "markdown", "version": self.version, "text": text}
        self.send({"method": "textDocument/didOpen", "params": {"textDocument": document}})
        self.diagnostics()

    def edit(self, start, end, text):
        """Replaces what stands between two places (line, column); the milliseconds until its diagnostics are there."""
        self.version += 1
        place = lambda at: {"line": at[0], "character": at[1]}
        change = {"range": {"start": place(start), "end": place(end)}, "text": text}
        before = time.perf_counter()
        self.send(
            {
                "method": "textDocument/didChange",
                "params": {"textDocument": {"uri": URI, "version": self.version}, "contentChanges": [change]},
            }
        )
        self.diagnostics()
        return (time.perf_counter() - before) * 1000

    def ask(self, method, **params):
        """Asks about the document; the milliseconds until the answer is there, and its kilobytes."""
        self.asked = getattr(self, "asked", 0) + 1
        params = {"textDocument": {"uri": URI}, **params}
        before = time.perf_counter()
        self.send({"id": self.asked, "method": f"textDocument/{method}", "params": params})
        answer = self.receive(lambda message: message.get("id") == self.asked)
        took = (time.perf_counter() - before) * 1000
        return took, len(json.dumps(answer)) / 1024

    def end(self):
        self.process.kill()
        self.process.wait()


def places(text):
    """For each kind of edit: a line, a column, and what is put in there and taken out again."""
    lines = text.split("\n")
    last = lambda part: max(at for at, line in enumerate(lines) if part in line)
    datum = last(" mm  -- ")
    formula = last("N_")
    answer = next(at for at in range(formula, 0, -1) if lines[at].startswith("```work"))
    prose = last("- Check that")
    return {
        "digit": (datum, lines[datum].index(" = ") + 4, "7"),
        "broken line": (formula, lines[formula].index(" = ") + 3, "*"),
        "new name": (answer, len(lines[answer]), "\nz = 3*4"),
        "prose": (prose, 8, "x"),
    }


def questions(text):
    """What an editor asks after a key: about the lines it shows, the whole, and what may be typed."""
    lines = text.split("\n")
    formula = max(at for at, line in enumerate(lines) if "N_" in line)
    place = lambda line, column: {"line": max(line, 0), "character": column}
    shown = {"start": place(formula - 40, 0), "end": place(formula + 10, 0)}
    typed = place(formula, lines[formula].index(" = ") + 3)
    return {
        "hints": ("inlayHint", {"range": shown}),
        "colours": ("semanticTokens/range", {"range": shown}),
        "outline": ("documentSymbol", {}),
        "completion": ("completion", {"position": typed}),
    }


def sheet(sections, problems):
    """A worksheet of so many sections, shared out to so many problems."""
    part = worksheets.emit_setsquare(worksheets.make(sections // problems, 1))
    if problems == 1:
        return part
    front, body = part.split("---\n", 2)[1:]
    return "---\n" + front + "---\n" + "".join(f"\n# Problem {at}\n\n{body}\n" for at in range(1, problems + 1))


def measure(program, sections, problems, edits):
    text = sheet(sections, problems)
    client = Client(program)
    client.open(text)
    for name, (line, column, put) in places(text).items():
        took = []
        below, rest = put.count("\n"), put.split("\n")[-1]
        end = (line + below, len(rest) + (0 if below else column))
        for _ in range(edits // 2):
            took.append(client.edit((line, column), (line, column), put))
            took.append(client.edit((line, column), end, ""))
        median, slowest = statistics.median(took), max(took)
        print(f"{sections:>8} {problems:>8}  {name:<12} {median:>8.2f} {slowest:>8.2f}", flush=True)
    for name, (method, params) in questions(text).items():
        answers = [client.ask(method, **params) for _ in range(edits)]
        took, size = [took for took, _ in answers], answers[-1][1]
        median, slowest = statistics.median(took), max(took)
        print(f"{sections:>8} {problems:>8}  {name:<12} {median:>8.2f} {slowest:>8.2f} {size:>8.1f} KB", flush=True)
    client.end()


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("program")
    parser.add_argument("--sections", default="1,100,1000")
    parser.add_argument("--problems", default="1,100")
    parser.add_argument("--edits", type=int, default=40)
    arguments = parser.parse_args()
    program = str(Path(arguments.program).resolve())
    print(f"{'sections':>8} {'problems':>8}  {'edit':<12} {'median':>8} {'slowest':>8}")
    for sections in map(int, arguments.sections.split(",")):
        for problems in map(int, arguments.problems.split(",")):
            if problems == 1 or sections >= 10 * problems:
                measure(program, sections, problems, arguments.edits)


if __name__ == "__main__":
    main()
