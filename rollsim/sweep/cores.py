"""How many runs fit side by side on this machine."""

import os
import subprocess
import sys
from pathlib import Path

_TOPOLOGY = "/sys/devices/system/cpu/cpu{}/topology"
_LIMIT = Path("/sys/fs/cgroup/cpu.max")


def cores_available():
    """Processor cores that this process may use, and what was counted.

    Two hardware threads of one core share its arithmetic, so they count once where the system
    tells them apart (Linux, macOS). A share of processor time that a container is held to counts
    too (Linux, cgroup v2).

    Returns
    -------
    count : int
        At least 1.
    counted : str
        "physical cores", or "processors" where the system does not tell cores apart.
    """
    cores = _cores_of_linux() if sys.platform.startswith("linux") else _cores_of_mac()
    if cores is None:
        return max(1, os.cpu_count() or 1), "processors"
    return max(1, min(cores, _time_limit(cores))), "physical cores"


def _cores_of_linux():
    """Physical cores among the processors that this process may run on; None when not told."""
    found = set()
    for number in os.sched_getaffinity(0):
        folder = Path(_TOPOLOGY.format(number))
        try:
            names = ("physical_package_id", "core_id")
            found.add(tuple((folder / name).read_text().strip() for name in names))
        except OSError:
            return None
    return len(found)


def _cores_of_mac():
    """Physical cores by the tool of macOS; None elsewhere."""
    if sys.platform != "darwin":
        return None
    command = ["sysctl", "-n", "hw.physicalcpu"]
    try:
        return int(subprocess.run(command, capture_output=True, text=True, check=True).stdout)
    except (OSError, ValueError, subprocess.CalledProcessError):
        return None


def _time_limit(cores):
    """Whole processors that a container is held to; `cores` where there is no limit."""
    try:
        quota, period = _LIMIT.read_text().split()
        return cores if quota == "max" else int(float(quota) / float(period))
    except (OSError, ValueError):
        return cores
