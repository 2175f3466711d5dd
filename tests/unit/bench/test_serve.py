"""The server as a process: how it ends."""

from __future__ import annotations

import http.client
import signal
import subprocess
import sys
from pathlib import Path
from urllib.parse import urlsplit

_PATIENCE_S = 60


def test_ctrl_c_with_a_page_open_ends_it_without_a_traceback(tmp_path: Path) -> None:
    """A page listens as long as it is open: it is let go, not cut off."""
    asked = [sys.executable, "-m", "nestcut", "bench", "--no-browser", "--port", "0", str(tmp_path)]
    # tests that run in the background ignore Ctrl-C, and what they start would inherit that
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        process = subprocess.Popen(asked, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    finally:
        signal.signal(signal.SIGINT, before)
    try:
        assert process.stdout is not None
        address = urlsplit(process.stdout.readline().strip())
        assert address.hostname is not None
        page = http.client.HTTPConnection(address.hostname, address.port, timeout=_PATIENCE_S)
        page.request("GET", f"/?{address.query}")
        answer = page.getresponse()
        cookie = str(answer.getheader("set-cookie")).split(";")[0]
        answer.read()
        page.request("GET", "/events", headers={"cookie": cookie})
        listened = page.getresponse()
        assert listened.status == 200
        assert listened.readline().startswith(b"data: ")
        process.send_signal(signal.SIGINT)
        _, told = process.communicate(timeout=_PATIENCE_S)
        page.close()
    finally:
        process.kill()
    assert "Traceback" not in told
    assert "ERROR" not in told
    assert process.returncode == 130
