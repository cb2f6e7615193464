"""Print pip's constraints that hold every dependency at the lowest version pyproject.toml allows.

python .ci/minimums.py > constraints.txt
"""

import re
import tomllib
from pathlib import Path

PROJECT = Path(__file__).parents[1] / "pyproject.toml"


def minimums() -> dict[str, str]:
    """Return each dependency's lowest version; ValueError where none is declared."""
    project = tomllib.loads(PROJECT.read_text(encoding="utf-8"))["project"]
    found = {}
    for line in project["dependencies"]:
        floor = re.fullmatch(r"([\w.-]+)>=([\d.]+)", line)
        if not floor:
            raise ValueError(f'pyproject.toml: "{line}" must be a name, >= and a version')
        found[floor[1]] = floor[2]
    return found


if __name__ == "__main__":
    print("\n".join(f"{name}=={version}" for name, version in minimums().items()))
