"""Where does the program find the files it came with?"""

from pathlib import Path

from lotroot.errors import Unavailable

_PACKAGE = Path(__file__).resolve().parent


def data_folder(name: str) -> Path:
    """The folder of templates, migrations, demo_seed or shared: inside an installed wheel, else beside
    the sources. Raises `Unavailable` where neither has it.
    """
    for folder in (_PACKAGE / "_data" / name, _PACKAGE.parents[1] / name):
        if folder.is_dir():
            return folder
    raise Unavailable(
        f"The program's folder {name} is not there.",
        value=name,
        expected=f"Expected it in {_PACKAGE / '_data'} or {_PACKAGE.parents[1]}.",
        next_step="Install the program again, or start it from its checkout.",
    )
