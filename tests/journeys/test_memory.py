"""Does the server stay small: at most 150 MB resident under the demo plant after ten sign-ins?"""

import re
import subprocess
import sys
from pathlib import Path

import pytest
from lotroot.database import Database
from lotroot.demo.practice import people
from wire import Wire

MOST_MB = 150
PAGES = ("/station", "/morning", "/holds", "/complaints", "/tray", "/people", "/plant", "/practice")


def resident_mb(process: int) -> float:
    status = Path(f"/proc/{process}/status").read_text(encoding="utf-8")
    return int(re.findall(r"VmRSS:\s+(\d+) kB", status)[0]) / 1024


@pytest.mark.in_ci
@pytest.mark.skipif(sys.platform != "linux", reason="resident memory is read from /proc, which Linux has")
def test_ten_sign_ins_and_every_page_stay_within_150_mb(demo_database: Database) -> None:
    words = ["-m", "lotroot.cli", "serve", "--database", demo_database.url, "--port", "0"]
    with subprocess.Popen([sys.executable, *words], stdout=subprocess.PIPE, text=True) as server:
        try:
            assert server.stdout is not None
            address = re.findall(r"http://[\w.]+:\d+", server.stdout.readline())[0]
            for one in people()[:10]:
                office(address, one.badge, one.pin)
            held = resident_mb(server.pid)
        finally:
            server.terminate()
    print(f"resident after ten sign-ins: {held:.0f} MB")
    assert held <= MOST_MB


def office(address: str, badge: str, pin: str) -> None:
    """Sign in as an office with badge and PIN, and open every page."""
    wire = Wire(address)
    token = re.findall(r'name="csrf-token" content="(\w+)"', wire.get("/signin").text)[0]
    answer = wire.post("/signin/badge", data={"csrf_token": token, "badge": badge, "pin": pin})
    assert answer.status_code == 303, answer.text
    for page in PAGES:
        assert wire.get(page).status_code in (200, 303), page
