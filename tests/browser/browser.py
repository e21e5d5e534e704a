"""A browser without a window, driven by the protocol of its developer tools."""

import base64
import json
import os
import re
import shutil
import subprocess
import time
import urllib.request

NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")
_WAIT_S = 60.0


def program():
    """Path of a browser of this machine, or None."""
    named = os.environ.get("ROLLSIM_TEST_BROWSER")
    return named or next((found for name in NAMES if (found := shutil.which(name))), None)


class Page:
    """One page in a browser of its own; a context manager."""

    def __init__(self, folder, width=1200, height=900):
        self.messages, self._number = [], 0
        command = [
            program(), "--headless=new", "--no-sandbox", "--disable-gpu", "--no-first-run",
            "--remote-debugging-port=0", "--remote-allow-origins=*", "--disable-dev-shm-usage",
            f"--user-data-dir={folder}", f"--window-size={width},{height}", "about:blank",
        ]  # fmt: skip
        self._process = subprocess.Popen(
            command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )
        port = self._port(folder)
        import websocket

        with urllib.request.urlopen(f"http://127.0.0.1:{port}/json/list", timeout=_WAIT_S) as found:
            pages = [one for one in json.load(found) if one["type"] == "page"]
        self._socket = websocket.create_connection(pages[0]["webSocketDebuggerUrl"], _WAIT_S)
        for domain in ("Page", "Runtime", "Network", "Log"):
            self.send(f"{domain}.enable")

    def _port(self, folder):
        """Port that the browser listens at."""
        file, end = folder / "DevToolsActivePort", time.monotonic() + _WAIT_S
        while time.monotonic() < end:
            if file.exists() and (text := file.read_text()).count("\n"):
                return int(text.split()[0])
            time.sleep(0.05)
        self._process.kill()
        raise RuntimeError("The browser did not start.")

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self._socket.close()
        self._process.terminate()
        try:
            self._process.wait(20)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait(20)

    def send(self, method, **parameters):
        """Ask for something and wait for the answer; events go into `messages`."""
        self._number += 1
        self._socket.send(json.dumps({"id": self._number, "method": method, "params": parameters}))
        while True:
            found = json.loads(self._socket.recv())
            if found.get("id") == self._number:
                assert "error" not in found, found
                return found["result"]
            self.messages.append(found)

    def open(self, path):
        """Load a file and wait for its player."""
        self.send("Page.navigate", url=path.as_uri())
        self.until("document.readyState === 'complete' && window.__ready__ !== false")
        self.until("document.getElementById('clock').textContent.length > 0")

    def run(self, script):
        """Value of an expression; promises are waited for."""
        found = self.send(
            "Runtime.evaluate", expression=script, returnByValue=True, awaitPromise=True
        )
        assert "exceptionDetails" not in found, found["exceptionDetails"]
        return found["result"].get("value")

    def until(self, script):
        """Wait until an expression is true."""
        end = time.monotonic() + _WAIT_S
        while time.monotonic() < end:
            if self.run(script):
                return
            time.sleep(0.05)
        raise AssertionError(f"never became true: {script}")

    def key(self, name, code=0):
        """Press a key."""
        for kind in ("keyDown", "keyUp"):
            self.send(
                "Input.dispatchKeyEvent", type=kind, key=name, code=name,
                windowsVirtualKeyCode=code,
            )  # fmt: skip

    def picture(self, path, width, height):
        """Write a picture of the page."""
        self.send(
            "Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=1,
            mobile=False,
        )  # fmt: skip
        found = self.send("Page.captureScreenshot", captureBeyondViewport=True)
        path.write_bytes(base64.b64decode(found["data"]))

    def pdf(self, path):
        """Print on A4."""
        found = self.send("Page.printToPDF", printBackground=True, preferCSSPageSize=True)
        path.write_bytes(base64.b64decode(found["data"]))

    def faults(self):
        """Errors that the page threw or wrote, and addresses that it asked for."""
        found = []
        for message in self.messages:
            method, given = message.get("method"), message.get("params", {})
            if method == "Runtime.exceptionThrown":
                found.append(given["exceptionDetails"]["text"])
            if method == "Runtime.consoleAPICalled" and given["type"] in ("error", "warning"):
                found.append(str(given["args"]))
            if method == "Log.entryAdded" and given["entry"]["level"] in ("error", "warning"):
                found.append(given["entry"]["text"])
            if method == "Network.requestWillBeSent":
                address = given["request"]["url"]
                if not re.match(r"(file|data|blob|about):", address):
                    found.append(address)
        return found
