"""A routine of ten minutes: from nothing, and again.

The bounds are 15 and 2 seconds on two idle cores. What is measured is the processor's time, shared
out over two cores as far as the work can be, so that other work on the machine does not count.
"""

import os
import subprocess
import sys
import time

import pytest

CORES = 2
COLD, AGAIN = 15.0, 2.0


def run(folder, home):
    """Make today's folder in a process of its own; return seconds of clock and of processor."""
    before, began = os.times(), time.monotonic()
    subprocess.run(
        [sys.executable, "-m", "chartkit.cli", "today", "-o", folder, "--minutes", "10"],
        env={**os.environ, "CHARTKIT_HOME": str(home)},
        capture_output=True,
        check=True,
    )
    after = os.times()
    used = after.children_user - before.children_user
    used += after.children_system - before.children_system
    return time.monotonic() - began, used


@pytest.mark.bench
def test_a_routine_of_ten_minutes(tmp_path, record_property):
    cold, cold_used = run(tmp_path / "day", tmp_path / "home")
    again, again_used = run(tmp_path / "day", tmp_path / "home")
    size = sum(path.stat().st_size for path in (tmp_path / "day").iterdir())
    for name, value in (
        ("cold", cold),
        ("cold, processor", cold_used),
        ("again", again),
        ("again, processor", again_used),
        ("megabytes", size / 1e6),
    ):
        record_property(name, round(value, 2))
    assert min(cold, cold_used) <= COLD
    assert cold_used <= COLD * CORES
    assert min(again, again_used) <= AGAIN
