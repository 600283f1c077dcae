"""How does a fresh machine get from a clone to a running Lotroot?

    python3 .ci/house.py VERB

Standard library only. `setup` makes .venv and puts in it exactly what requirements.lock pins, checked
by hash, then this project itself in editable form; a stamp lets the next run skip what is done. uv is
used where it is on PATH, else pip. The Makefile only calls this script, so a PC without make loses
nothing.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
BIN = VENV / ("Scripts" if os.name == "nt" else "bin")
PYTHON = BIN / ("python.exe" if os.name == "nt" else "python")
LOCK = ROOT / "requirements.lock"
OLDEST = (3, 11)
MEMORY, ROOM = Path("/dev/shm"), 4 << 30
"""What Linux keeps in memory, and the bytes free there before the tests write in it: they need one GiB."""

CHECKS = (
    ("ruff", "check", "."),
    ("ruff", "format", "--check", "."),
    ("mypy",),
    ("lint-imports", "--no-logo"),
)


class StepError(Exception):
    """A step did not work; the text says which and what to do."""


def main(words: list[str]) -> int:
    """Run one verb; the exit code is that of the tool it ends in, 2 for a verb that does not exist."""
    verb, rest = (words[0], words[1:]) if words else ("", [])
    if verb not in VERBS:
        say(usage())
        return 0 if verb in ("", "help", "--help", "-h") else 2
    try:
        if sys.version_info < OLDEST:
            raise StepError(too_old(sys.version_info))
        return VERBS[verb](rest)
    except StepError as failure:
        say(f"Stopped: {failure}")
        return 1
    except KeyboardInterrupt:
        return 130


def usage() -> str:
    """What can be asked of this script, one line a verb."""
    lines = [f"  {verb:<7}{act.__doc__}" for verb, act in VERBS.items()]
    return "\n".join(["make VERB, or python3 .ci/house.py VERB:", *lines])


def demo(rest: list[str]) -> int:
    """Set up, build the demo plant and serve it on http://127.0.0.1:8470."""
    setup([])
    return run([str(BIN / "lotroot"), "demo", *rest])


def test(rest: list[str]) -> int:
    """Set up and run all tests; words that follow go to pytest."""
    setup([])
    # One worker more than cores: some wait for a browser, a lock or a clock while others work.
    workers = str((os.cpu_count() or 1) + 1)
    with tempfile.TemporaryDirectory(prefix="lotroot-", dir=roomy(MEMORY, ROOM)) as scratch:
        place = {"TMPDIR": os.environ.get("TMPDIR", scratch)}
        # Neighbours share what a module sets up, so they stay together; who is done takes over from others.
        return run([str(PYTHON), "-m", "pytest", "-n", workers, "--dist", "worksteal", *rest], **place)


def roomy(folder: Path, room: int) -> Path | None:
    """The folder where it is there and has so many bytes free; else None, which means the usual one.

    Every test has databases of its own and commits as a plant does: the disk is a fifth of the time.
    """
    try:
        return folder if shutil.disk_usage(folder).free >= room else None
    except OSError:
        return None


def check(_rest: list[str]) -> int:
    """Set up, then ruff, mypy and the import contracts."""
    setup([])
    failed = [" ".join(tool) for tool in CHECKS if run([str(BIN / tool[0]), *tool[1:]]) != 0]
    say(f"Not clean: {', '.join(failed)}." if failed else "All checks are clean.")
    return 1 if failed else 0


def lock(_rest: list[str]) -> int:
    """Write requirements.lock anew from pyproject.toml, keeping pinned versions that still fit."""
    with tempfile.TemporaryDirectory() as scratch:
        uv = shutil.which("uv")
        if not uv:
            step("Fetching uv into a scratch folder", [sys.executable, "-m", "venv", scratch])
            folder = Path(scratch) / BIN.name
            step("", [str(folder / PYTHON.name), "-m", "pip", "install", "-q", "uv"])
            uv = str(folder / "uv")
        step("Resolving pyproject.toml", [uv, *LOCK_OPTIONS])
    return 0


LOCK_OPTIONS = (
    *("pip", "compile", "pyproject.toml", "--extra", "dev", "--universal"),
    *("--generate-hashes", "--no-annotate", "--no-header", "-q", "-o", "requirements.lock"),
)
"""Universal: one lock for every system; no header or annotation: nothing of this machine gets in."""


def setup(_rest: list[str]) -> int:
    """Make .venv and install what requirements.lock pins; nothing is done twice."""
    begun = time.monotonic()
    uv = shutil.which("uv")
    packages, project = VENV / "packages.stamp", VENV / "project.stamp"
    wanted = stamp(LOCK, extra=f"{sys.version} {ROOT}")
    if not said(packages, wanted):
        if not usable(uv):
            step(f"Making {VENV.name} with Python {sys.version.split()[0]}", venv_command(uv))
        step(f"Installing {count(LOCK)} pinned packages, each checked by its hash", install_locked(uv))
        project.unlink(missing_ok=True)
        packages.write_text(wanted)
    wanted = stamp(ROOT / "pyproject.toml")
    if not said(project, wanted):
        step("Installing Lotroot itself, in place", install_project(uv))
        project.write_text(wanted)
        say(f"Set up in {time.monotonic() - begun:.0f} s.")
    return 0


def venv_command(uv: str | None) -> list[str]:
    """Make the virtual environment anew; uv brings its own installer and needs no pip inside."""
    bare = ["--without-pip"] if uv else []
    return [sys.executable, "-m", "venv", "--clear", *bare, str(VENV)]


def install_locked(uv: str | None) -> list[str]:
    """Install the lock file and nothing else.

    Without looking for dependencies: the lock names them all, and pip of 2023 takes `coverage[toml]` in
    another package's list for a package of its own, finds its newest release and misses that one's hash.
    """
    return [*installer(uv), "--no-deps", "--require-hashes", "-r", str(LOCK)]


def install_project(uv: str | None) -> list[str]:
    """Install the project in place with the build backend of the lock file: no network."""
    return [*installer(uv), "--no-deps", "--no-index", "--no-build-isolation", "-e", str(ROOT)]


def installer(uv: str | None) -> list[str]:
    """The front part of an install command, with uv or with pip."""
    if uv:
        return [uv, "pip", "install", "--python", str(PYTHON), "-q"]
    # Not compiled: Python does that on first use for the few modules in use, and 5 s are saved here.
    return [str(PYTHON), "-m", "pip", "install", "--disable-pip-version-check", "--no-compile", "-q"]


def usable(uv: str | None) -> bool:
    """Whether .venv has this very Python and, where uv is missing, pip."""
    if not PYTHON.exists():
        return False
    program = "import sys; print(sys.version)" + ("" if uv else "; import pip")
    answer = subprocess.run([str(PYTHON), "-c", program], capture_output=True, text=True, check=False)
    return answer.returncode == 0 and answer.stdout.strip() == sys.version.strip()


def stamp(file: Path, extra: str = "") -> str:
    """What must be unchanged for a finished step to count."""
    return hashlib.sha256(file.read_bytes() + extra.encode()).hexdigest()


def said(file: Path, wanted: str) -> bool:
    """Whether the stamp file says what is wanted."""
    return file.exists() and file.read_text() == wanted


def count(file: Path) -> int:
    """How many packages a lock file pins."""
    return sum("==" in line for line in file.read_text(encoding="utf-8").splitlines())


def step(words: str, command: list[str]) -> None:
    """Say what is done, do it, and say how long it took; quiet unless it fails."""
    begun = time.monotonic()
    if words:
        say(f"{words} ...")
    if run(command) != 0:
        raise StepError(f"{' '.join(command)}\nThe lines above say why. {hint(command)}")
    if words:
        say(f"  done in {time.monotonic() - begun:.1f} s")


def hint(command: list[str]) -> str:
    """What to do about the likeliest cause of a failed step."""
    if "venv" in command:
        return "On Debian and Ubuntu: apt-get install python3-venv"
    if "--require-hashes" in command:
        return "Check the network and the free disk space (about 800 MB), then run the same command again."
    return "Mend that, then run the same command again."


def too_old(version: tuple) -> str:
    """What to tell someone whose Python is older than the project can use."""
    found, oldest = ".".join(map(str, version[:3])), ".".join(map(str, OLDEST))
    return f"this is Python {found}, Lotroot needs {oldest} or newer. Try: make demo PYTHON=python{oldest}"


def run(command: list[str], **environment: str) -> int:
    """Run a command in the project's folder, with more in its environment; returns its exit code."""
    return subprocess.run(command, cwd=ROOT, check=False, env=os.environ | environment).returncode


def say(words: str) -> None:
    """One message to the person at the keyboard, at once."""
    sys.stdout.write(words + "\n")
    sys.stdout.flush()


VERBS = {"demo": demo, "test": test, "check": check, "setup": setup, "lock": lock}

if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
