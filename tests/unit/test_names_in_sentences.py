"""Does a plant's name for a thing keep the capitals that belong to it, inside a sentence?"""

import pytest
from lotroot.processes.naming import inside


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("Line wire left", "line wire left"),
        ("PVC compound", "PVC compound"),
        ("Solution CA-C", "solution CA-C"),
        ("Box", "box"),
        ("pH", "pH"),
        ("", ""),
    ],
)
def test_only_the_capitals_of_a_beginning_go(name: str, said: str) -> None:
    assert inside(name) == said
