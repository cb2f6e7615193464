"""Change one constant or formula at a time in a copy of the package and see a test catch it.

``python tests/mutation/mutate.py`` goes through the catalogue and lists the survivors, in
half an hour; with words it takes only the faults whose name holds one of them.  Not part of
the test run, but for a handful (`test_mutate.py`).
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from catalogue import FAULTS, Fault

ROOT = Path(__file__).parents[2]


def caught(fault: Fault) -> bool:
    """Plant a fault in a copy and say whether its tests fail; an unharmed copy must pass."""
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder)
        for part in ("sheetkit", "tests", "data"):
            shutil.copytree(ROOT / part, copy / part, ignore=shutil.ignore_patterns("__pycache__"))
        shutil.copy(ROOT / "pyproject.toml", copy)
        file = copy / "sheetkit" / fault.file
        file.write_text(fault.change(file.read_text(encoding="utf-8")), encoding="utf-8")
        command = [
            sys.executable, "-m", "pytest", "-q", "-x", "-p", "no:nbval", "-p", "no:cacheprovider",
            "--override-ini", "addopts=--benchmark-skip", *(f"tests/{one}" for one in fault.tests),
        ]  # fmt: skip
        done = subprocess.run(
            command,
            cwd=copy,
            capture_output=True,
            text=True,
            env=os.environ | {"PYTHONPATH": str(copy), "PYTHONDONTWRITEBYTECODE": "1"},
        )
    if done.returncode not in (0, 1):  # neither passed nor failed: no test ran
        raise RuntimeError(f"{fault.name}: {done.stdout[-2000:]}{done.stderr[-2000:]}")
    return done.returncode == 1


def main(words: list[str]) -> int:
    """Go through the faults and print each as it is caught or survives."""
    chosen = [f for f in FAULTS if not words or any(word in f.name for word in words)]
    survivors = []
    with ThreadPoolExecutor(2) as pool:
        for fault, found in zip(chosen, pool.map(caught, chosen), strict=True):
            print(f"{'caught  ' if found else 'SURVIVED'}  {fault.name}", flush=True)
            if not found:
                survivors.append(fault.name)
    print(f"{len(chosen) - len(survivors)} of {len(chosen)} caught; survivors: {survivors}")
    return bool(survivors)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
