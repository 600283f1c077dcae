"""How does this plant work? Its text, read into values (DESIGN.md section 7).

`resolve` writes a plant.toml in full, `parse` reads the full text into a `Plant`, `catalogue` names the
processes a plant can take over.
"""

from lotroot.processes.adoption import catalogue, resolve
from lotroot.processes.definition import Plant
from lotroot.processes.reading import parse

__all__ = ["Plant", "catalogue", "parse", "resolve"]
