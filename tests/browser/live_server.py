"""A folder of worksheets, and `setsquare live` that serves it."""

import os
import re
import socket
import struct
import subprocess
import time
import zlib

SECONDS = 60  # the longest that the server may take to answer


def free_port():
    with socket.socket() as it:
        it.bind(("127.0.0.1", 0))
        return it.getsockname()[1]


class Server:
    """`setsquare live FOLDER`, to be used in a `with` statement; it can be stopped and started again."""

    def __init__(self, program, folder):
        self.program, self.folder, self.port = program, folder, free_port()
        self.process = None

    def __enter__(self):
        self.start()
        return self

    def __exit__(self, *_):
        self.stop()

    def start(self):
        command = [self.program, "live", self.folder, "--port", str(self.port), "--no-open"]
        self.process = subprocess.Popen(
            command, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )
        end = time.monotonic() + SECONDS
        while True:
            try:
                socket.create_connection(("127.0.0.1", self.port), timeout=1).close()
                return
            except OSError:
                if self.process.poll() is not None:
                    raise OSError(f"setsquare live ended with status {self.process.returncode}") from None
                if time.monotonic() > end:
                    raise
                time.sleep(0.01)

    def stop(self):
        if self.process and self.process.poll() is None:
            self.process.kill()
        if self.process:
            self.process.wait()

    def address(self, path=""):
        return f"http://127.0.0.1:{self.port}/{path}"


class Sheet:
    """A worksheet on disk that is edited while a browser shows it."""

    def __init__(self, browser, path, text):
        self.browser, self.path = browser, path
        self.write(text)

    def write(self, text):
        """Saves as most editors do: beside it, and renamed into its place."""
        self.text = text
        beside = self.path.with_name(self.path.name + "~")
        beside.write_text(text, encoding="utf-8")
        os.replace(beside, self.path)

    def edit(self, old, new):
        """Puts one text in the place of another, saves, and waits until the page shows it."""
        if old not in self.text:
            raise OSError(f"the worksheet has no {old!r}")
        self.save(self.text.replace(old, new))

    def save(self, text):
        """Saves, and waits until the page shows it."""
        before = self.browser.run("return document.documentElement.dataset.version")
        self.write(text)
        self.browser.until("return document.documentElement.dataset.version !== arguments[0]", before)

    def sub(self, pattern, new):
        self.save(re.sub(pattern, new, self.text))


def png(width, height):
    """A grey picture of this size."""

    def piece(kind, data):
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    rows = (b"\0" + b"\x99" * width) * height
    return b"\x89PNG\r\n\x1a\n" + piece(b"IHDR", head) + piece(b"IDAT", zlib.compress(rows)) + piece(b"IEND", b"")
