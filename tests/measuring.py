"""Processor time and memory of a piece of code, in a process of its own."""

import subprocess
import sys
from dataclasses import dataclass

import pytest

MEASURED = r"""
import re, resource, sys
from pathlib import Path
code = 0
exec(sys.argv.pop(1))
used = resource.getrusage(resource.RUSAGE_SELF)
most = used.ru_maxrss
if Path("/proc/self/status").exists():  # ru_maxrss starts at what the parent held
    most = int(re.search(r"VmHWM:\s+(\d+)", Path("/proc/self/status").read_text())[1])
print(code, used.ru_utime + used.ru_stime, most, file=sys.__stdout__)
"""


@dataclass(frozen=True)
class Measured:
    """What was left in `code`, processor time in s, most memory in MB, lines on standard error."""

    code: int
    seconds: float
    memory_mb: float
    errors: list[str]


def measured(program: str, *arguments: object) -> Measured:
    """Run a program text, to which sys.argv[1:] are the arguments."""
    pytest.importorskip("resource", reason="measured so on POSIX only")
    done = subprocess.run(
        [sys.executable, "-c", MEASURED, program, *map(str, arguments)],
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stderr
    code, seconds, memory = done.stdout.split()[-3:]
    per_mb = 1024 if sys.platform != "darwin" else 1024**2
    return Measured(int(code), float(seconds), float(memory) / per_mb, done.stderr.splitlines())
