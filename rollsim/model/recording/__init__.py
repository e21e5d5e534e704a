"""Recordings of acceleration: reading, diagnosis, and the table of samples that a run replays."""
