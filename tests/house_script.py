"""The set-up script as a module: how do tests reach .ci/house.py, which no package holds?"""

import importlib.util
from types import ModuleType

from source_tree import ROOT


def _load() -> ModuleType:
    spec = importlib.util.spec_from_file_location("house", ROOT / ".ci" / "house.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


house = _load()
