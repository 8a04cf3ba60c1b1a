# SPDX-License-Identifier: Apache-2.0
"""A browser for the page tests: headless Chromium, driven through chromedriver by the W3C WebDriver protocol.

Needs the Debian packages chromium and chromium-driver, and only the standard library of Python. If the browser does
not start, the test fails with the message of the driver; it is never skipped.
"""
import base64
import json
import os
import re
import shutil
import subprocess
import tempfile
import urllib.error
import urllib.request


class Browser:
    def __init__(self):
        driver = shutil.which("chromedriver")
        if driver is None:
            raise RuntimeError("chromedriver not found; install the Debian packages chromium and chromium-driver")
        self._folder = tempfile.TemporaryDirectory(prefix="leanside-page-", ignore_cleanup_errors=True)
        self._log = open(os.path.join(self._folder.name, "driver.log"), "w+")
        self._process = subprocess.Popen(
            [driver, "--port=0"], stdout=subprocess.PIPE, stderr=self._log, text=True,
            env={**os.environ, "HOME": self._folder.name})
        self._session = None
        self._direct = urllib.request.build_opener(urllib.request.ProxyHandler({}))
        try:
            self._root = "http://127.0.0.1:%d" % self._port()
            self._start()
        except Exception:
            self.close()
            raise

    def _port(self):
        said = ""
        for line in self._process.stdout:
            said += line
            found = re.search(r"successfully on port (\d+)", line)
            if found:
                return int(found.group(1))
        raise RuntimeError("chromedriver did not start: " + said)

    def _start(self):
        arguments = ["--headless=new", "--disable-gpu", "--disable-dev-shm-usage", "--hide-scrollbars",
                     "--window-size=1280,900", "--force-device-scale-factor=1",
                     "--user-data-dir=" + os.path.join(self._folder.name, "profile")]
        # Chromium does not run its sandbox as root, and many containers do not allow it at all.
        if os.geteuid() == 0 or os.environ.get("LEANSIDE_NO_SANDBOX"):
            arguments.append("--no-sandbox")
        answer = self._call("POST", "/session", {"capabilities": {"alwaysMatch": {
            "browserName": "chrome", "goog:chromeOptions": {"args": arguments},
            "goog:loggingPrefs": {"browser": "ALL"}}}})
        self._session = answer["sessionId"]

    def _call(self, method, path, body=None):
        data = None if body is None else json.dumps(body).encode()
        request = urllib.request.Request(self._root + path, data=data, method=method,
                                         headers={"Content-Type": "application/json"})
        try:
            with self._direct.open(request, timeout=120) as answer:
                return json.load(answer)["value"]
        except urllib.error.HTTPError as error:
            raise RuntimeError("the browser refused %s: %s" % (path, error.read().decode()[:2000])) from None

    def command(self, method, path, body=None):
        return self._call(method, "/session/%s%s" % (self._session, path), body)

    def cdp(self, name, **parameters):
        return self.command("POST", "/goog/cdp/execute", {"cmd": name, "params": parameters})

    def open(self, path):
        self.command("POST", "/url", {"url": "file://" + path})

    def run(self, script, *arguments):
        return self.command("POST", "/execute/sync", {"script": script, "args": list(arguments)})

    def size(self, width, height, phone=False):
        self.cdp("Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=1, mobile=phone)

    def media(self, name):
        """Emulates a medium: "print" or "screen"; "" is that of the moment, which a PDF needs."""
        self.cdp("Emulation.setEmulatedMedia", media=name)

    def scheme(self, name):
        """Emulates the wish for "light" or "dark" colours on a screen."""
        self.cdp("Emulation.setEmulatedMedia", media="screen",
                 features=[{"name": "prefers-color-scheme", "value": name}])

    def console(self):
        """Console messages of the page since the last call."""
        return self.command("POST", "/se/log", {"type": "browser"})

    def keys(self, text):
        actions = []
        for key in text:
            actions += [{"type": "keyDown", "value": key}, {"type": "keyUp", "value": key}]
        self.command("POST", "/actions", {"actions": [{"type": "key", "id": "keyboard", "actions": actions}]})

    def click(self, selector):
        element = self.command("POST", "/element", {"using": "css selector", "value": selector})
        self.command("POST", "/element/%s/click" % next(iter(element.values())), {})

    def pdf(self):
        """The page on A4 as a PDF, in bytes."""
        return base64.b64decode(self.cdp("Page.printToPDF", printBackground=True, preferCSSPageSize=True)["data"])

    def picture(self, path):
        with open(path, "wb") as out:
            out.write(base64.b64decode(self.command("GET", "/screenshot")))

    def close(self):
        if self._session is not None:
            try:
                self._call("DELETE", "/session/" + self._session)
            except Exception:  # the process is terminated below in any case
                pass
        self._process.terminate()
        try:
            self._process.wait(20)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()
        self._process.stdout.close()
        self._log.close()
        self._folder.cleanup()
