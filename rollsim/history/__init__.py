"""History files: what a run computed, block by block, safe against sudden death of the process."""

from rollsim.history.block import Block
from rollsim.history.layout import CHANNELS, FORMAT, FORMAT_VERSION, Channel
from rollsim.history.progress import status_summary
from rollsim.history.reader import History, open_history
from rollsim.history.resume import ResumePoint, resume_point
from rollsim.history.writer import SegmentWriter

__all__ = [
    "CHANNELS",
    "FORMAT",
    "FORMAT_VERSION",
    "Block",
    "Channel",
    "History",
    "ResumePoint",
    "SegmentWriter",
    "open_history",
    "resume_point",
    "status_summary",
]
