"""A small client of ChromeDriver: WebDriver's JSON over HTTP, with nothing but the standard library."""

import base64
import json
import os
import re
import shutil
import subprocess
import tempfile
import threading
import time
import urllib.error
import urllib.request

SECONDS = 120  # the longest that one command may take

CHROMIUM_FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


class Browser:
    """Chromium with a profile of its own; to be used in a `with` statement."""

    def __enter__(self):
        self.profile = tempfile.mkdtemp(prefix="setsquare-browser-")
        self.driver = subprocess.Popen(
            ["chromedriver", "--port=0"],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            env={**os.environ, "HOME": self.profile},
        )
        try:
            self.session = f"http://127.0.0.1:{self._port()}/session"
            self.session += "/" + self._start()["sessionId"]
        except BaseException:
            self.__exit__()
            raise
        return self

    def __exit__(self, *_):
        if "/session/" in getattr(self, "session", ""):
            try:
                self._send("DELETE", "")
            except OSError:
                pass  # it is ended below in any case
        self.driver.terminate()
        try:
            self.driver.wait(10)
        except subprocess.TimeoutExpired:
            self.driver.kill()
            self.driver.wait()
        shutil.rmtree(self.profile, ignore_errors=True)

    def go(self, address):
        """Opens an address."""
        self._send("POST", "/url", {"url": address})

    def address(self):
        """The address of the open page."""
        return self._send("GET", "/url")

    def size(self, width, height=800, scale=1):
        """Gives the page this many pixels, as a window of that size would; at a scale each is so many of the screen."""
        metrics = {"width": width, "height": height, "deviceScaleFactor": scale, "mobile": False}
        self.command("Emulation.setDeviceMetricsOverride", metrics)

    def medium(self, name, features=None):
        """Shows the page as for this medium, `print` or `screen`, and for a reader who wants these features."""
        wanted = [{"name": feature, "value": value} for feature, value in (features or {}).items()]
        self.command("Emulation.setEmulatedMedia", {"media": name, "features": wanted})

    def run(self, body, *arguments):
        """Runs the body of a function in the page and gives what it returns, or what its promise resolves to."""
        return self._send("POST", "/execute/sync", {"script": body, "args": list(arguments)})

    def until(self, body, *arguments, seconds=20):
        """Runs the body of a function in the page until it returns something true, and gives that."""
        end = time.monotonic() + seconds
        while not (found := self.run(body, *arguments)):
            if time.monotonic() > end:
                raise OSError(f"not within {seconds} seconds: {body.strip()} {list(arguments)}")
            time.sleep(0.01)
        return found

    def tab(self):
        """Opens another tab, goes to it, and gives both: the one before and the new one."""
        before = self._send("GET", "/window")
        new = self._send("POST", "/window/new", {"type": "tab"})["handle"]
        self.switch(new)
        return before, new

    def switch(self, tab):
        """Goes to a tab."""
        self._send("POST", "/window", {"handle": tab})

    def close(self, back):
        """Closes the tab, and goes back to another one."""
        self._send("DELETE", "/window")
        self.switch(back)

    def messages(self):
        """What the browser wrote on its console since the last call."""
        entries = self._send("POST", "/se/log", {"type": "browser"})
        return [entry["message"] for entry in entries]

    def screenshot(self, width):
        """The page at this width from top to bottom, as PNG."""
        # What is out of sight may not be drawn, so the window is made as high as the page, which then grows.
        for _ in range(2):
            self.size(width, self.run("return document.documentElement.scrollHeight"))
        return base64.b64decode(self._send("GET", "/screenshot"))

    def print(self):
        """The page on paper of the size that it asks for itself, as PDF."""
        options = {"preferCSSPageSize": True, "printBackground": True}
        return base64.b64decode(self.command("Page.printToPDF", options)["data"])

    def command(self, name, parameters):
        """A command of the browser's own protocol."""
        return self._send("POST", "/goog/cdp/execute", {"cmd": name, "params": parameters})

    def _port(self):
        """The port that ChromeDriver chose; it says so in its first lines."""
        late = threading.Timer(SECONDS, self.driver.kill)
        late.start()
        try:
            for line in self.driver.stdout:
                if found := re.search(r"started successfully on port (\d+)", line):
                    return int(found[1])
        finally:
            late.cancel()
        raise OSError("ChromeDriver did not start")

    def _start(self):
        options = {"args": [*CHROMIUM_FLAGS, f"--user-data-dir={self.profile}/profile"]}
        if chromium := shutil.which("chromium"):
            options["binary"] = chromium
        wanted = {"goog:chromeOptions": options, "goog:loggingPrefs": {"browser": "ALL"}}
        return self._send("POST", "", {"capabilities": {"alwaysMatch": wanted}})

    def _send(self, method, path, body=None):
        data = None if body is None else json.dumps(body).encode()
        headers = {"Content-Type": "application/json"}
        request = urllib.request.Request(self.session + path, data, headers, method=method)
        try:
            with urllib.request.urlopen(request, timeout=SECONDS) as reply:
                return json.load(reply)["value"]
        except urllib.error.HTTPError as error:
            value = json.load(error)["value"]
            raise OSError(f"{value['error']}: {value['message'].splitlines()[0]}") from None
