"""Running a case: integrators, balances, blocks, checkpoints, progress."""
