"""The page as people start it: a program of its own, asked over the loopback."""

import json
import os
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from dataclasses import dataclass
from pathlib import Path

from tests.ui.server.kit import ROOT

PATIENCE_S = 60.0


@dataclass(frozen=True, slots=True)
class Answer:
    """What a request was answered."""

    status: int
    headers: dict[str, str]
    text: str

    def json(self):
        return json.loads(self.text)


class Page:
    """A running page with a home of its own."""

    def __init__(self, home: Path, *arguments: str) -> None:
        self.port = _free_port()
        self.home = home
        self.base = f"http://127.0.0.1:{self.port}"
        self._command = [
            *(sys.executable, "-m", "photomeasure.cli", "serve"),
            *("--port", str(self.port), *arguments),
        ]
        self._environment = {
            **os.environ,
            "PHOTOMEASURE_HOME": str(home),
            "PYTHONPATH": str(ROOT),
        }
        self.start()

    def start(self) -> None:
        """Start it and wait until it answers."""
        self._process = subprocess.Popen(  # noqa: S603
            self._command,
            cwd=ROOT,
            env=self._environment,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        end = time.monotonic() + PATIENCE_S
        while time.monotonic() < end:
            try:
                self.ask("/page.json")
            except (urllib.error.URLError, ConnectionError):
                time.sleep(0.1)
            else:
                return
        raise TimeoutError

    def kill(self) -> None:
        """End it as a power cut does."""
        self._process.send_signal(signal.SIGKILL)
        self._process.wait()

    def ask(self, path, body=None, method=None, headers=None) -> Answer:
        """Send a request as the page's own scripts do."""
        data = None if body is None else json.dumps(body).encode()
        request = urllib.request.Request(  # noqa: S310 - the loopback
            self.base + path,
            data=data,
            method=method,
            headers={"content-type": "application/json", **(headers or {})},
        )
        try:
            with urllib.request.urlopen(request, timeout=PATIENCE_S) as answer:  # noqa: S310
                return Answer(answer.status, dict(answer.headers), answer.read().decode())
        except urllib.error.HTTPError as error:
            with error:
                return Answer(error.code, dict(error.headers), error.read().decode())

    def event(self, target: str, query: str, data: list) -> list:
        """Run an event of the page as a browser does; return what it answered."""
        config = self.ask("/config").json()
        chosen = next(
            one
            for one in config["dependencies"]
            if target in [t[1] for t in one["targets"]]
        )
        body = {"data": data, "fn_index": chosen["id"], "session_hash": "s"}
        assert self.ask(f"/gradio_api/queue/join{query}", body).status == 200
        url = f"{self.base}/gradio_api/queue/data?session_hash=s"
        with urllib.request.urlopen(url, timeout=PATIENCE_S) as stream:  # noqa: S310
            for line in stream:
                if b"process_completed" in line:
                    told = json.loads(line.removeprefix(b"data:"))
                    return told["output"]["data"]
        raise AssertionError


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])
