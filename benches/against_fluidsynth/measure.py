"""CPU time, wall time and memory of a command, as the system counts them."""

import os
import statistics
import subprocess
import sys
import time
from dataclasses import dataclass


@dataclass
class Cost:
    """What one process used."""

    cpu: float  # seconds, user and system, all threads
    wall: float  # seconds
    peak: float  # megabytes resident at most


def cost_of(command):
    """Runs a command to its end; it must succeed."""
    begun = time.monotonic()
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)
    said = process.stderr.read()
    _, status, used = os.wait4(process.pid, 0)
    wall = time.monotonic() - begun
    if status != 0:
        sys.exit(f"{' '.join(map(str, command))}\n{said.decode()}")
    # Linux counts the peak in kibibytes.
    return Cost(used.ru_utime + used.ru_stime, wall, used.ru_maxrss * 1024 / 1e6)


def middle(values):
    """The median, and how far the others lie apart: `0.200 (0.190-0.212)`."""
    values = list(values)
    text = f"{statistics.median(values):.3f}"
    if len(values) > 1:
        text += f" ({min(values):.3f}-{max(values):.3f})"
    return text
