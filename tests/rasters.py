"""A PDF's pages as a printer's own software would make dots of them: by pdfium, poppler and Ghostscript."""

import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
from label_pictures import pdf_images
from PIL import Image


def _pdfium(data: bytes, dpi: int, folder: Path) -> list[Image.Image]:
    return pdf_images(data, dpi)


def _poppler(data: bytes, dpi: int, folder: Path) -> list[Image.Image]:
    """In one bit, and in grey cut at the middle, which is how drivers ask it; both must be the same bars."""
    tool = _tool("pdftoppm", "poppler-utils")
    return _files(data, folder, [tool, "-r", str(dpi), "-mono", "label.pdf", "page"], "page-*.pbm")


def _poppler_grey(data: bytes, dpi: int, folder: Path) -> list[Image.Image]:
    tool = _tool("pdftoppm", "poppler-utils")
    return _files(data, folder, [tool, "-r", str(dpi), "-gray", "label.pdf", "page"], "page-*.pgm")


def _ghostscript(data: bytes, dpi: int, folder: Path) -> list[Image.Image]:
    options = ["-q", "-dSAFER", "-dBATCH", "-dNOPAUSE", "-sDEVICE=pbmraw", f"-r{dpi}"]
    command = [_tool("gs", "ghostscript"), *options, "-sOutputFile=page-%04d.pbm", "label.pdf"]
    return _files(data, folder, command, "page-*.pbm")


RASTERS: dict[str, Callable[[bytes, int, Path], list[Image.Image]]] = {
    "pdfium": _pdfium,
    "poppler": _poppler,
    "poppler in grey": _poppler_grey,
    "Ghostscript": _ghostscript,
}


def _tool(name: str, package: str) -> str:
    found = shutil.which(name)
    if found is None:
        pytest.skip(f"needs {name}: apt install {package}")
    return found


def _files(data: bytes, folder: Path, command: list[str], pattern: str) -> list[Image.Image]:
    (folder / "label.pdf").write_bytes(data)
    subprocess.run(command, cwd=folder, check=True, capture_output=True, timeout=300)
    pages = []
    for path in sorted(folder.glob(pattern)):
        with Image.open(path) as image:
            pages.append(image.convert("L").point(lambda value: 255 if value >= 128 else 0))
        path.unlink()
    return pages
