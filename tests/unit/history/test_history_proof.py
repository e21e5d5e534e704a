"""The proof of the storage, shortened: scripts/prove_storage.py kills 50 times in full."""

import subprocess
import sys

import pytest


@pytest.mark.long
@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="kills by fork and SIGKILL")
def test_runs_killed_at_random_and_at_every_call_of_a_commit_lose_nothing(repository):
    script = repository / "scripts" / "prove_storage.py"
    command = [sys.executable, str(script), "--kills", "5", "--part", "random", "--part", "commit"]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "kills: 0 unreadable, 0 finished blocks lost" in done.stdout
    assert "all bit-identical" in done.stdout
