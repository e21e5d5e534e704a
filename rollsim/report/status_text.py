"""Progress of a run in words."""

from __future__ import annotations


def status_text(found: dict) -> str:
    """Progress of a run in words.

    Parameters
    ----------
    found : dict
        Result of `rollsim.history.status_summary`.

    Returns
    -------
    str
    """
    lines = [f"status: {found['status']}"]
    note = found["process"]
    if note and found["status"].startswith("running"):
        host, start = note.get("host"), note.get("started")
        lines.append(f"process: {note.get('pid')} on {host}, since {start}")
    if found["message"]:
        lines.append(f"last said: {found['message']}")
    if not found["blocks"]:
        return "\n".join([*lines, "no block is finished yet"])
    left = found["time_left_s"]
    lines += [
        f"simulated: {_reached(found)}",
        f"computing time: {found['wall_time_s']:.1f} s"
        + (f", about {left:.0f} s left" if left else "")
        + (f", {found['speed']:.3g} s simulated a second" if found["speed"] else ""),
        f"peak pocket force after settling: {found['peak_pocket_force_N']:.0f} N",
    ]
    if found["steps"] is not None:
        lines.append(f"steps: {found['steps']} taken, {found['rejected'] or 0} refused")
    if found["energy_unexplained_share"] is not None:
        share = 100.0 * found["energy_unexplained_share"]
        lines.append(f"energy balance: {share:.2g} % of the heat is not accounted for")
    lines.append(f"last write: {found['last_write']}")
    if found["status"].startswith("interrupted"):
        lines.append("The command that started it goes on from there.")
    lines += [
        f"from {change['from_s']:.4g} s on computed with another {change['differing']}"
        for change in found["machine_changes"]
    ]
    if found["black_box"]:
        lines.append(f"black box, its last internal steps: {found['black_box']}")
        lines.append("rollsim blackbox with the same file shows it")
    return "\n".join(lines)


def _reached(found: dict) -> str:
    """Simulated time, of how much where that is known."""
    if not found["duration_s"] or found["share_done"] is None:
        return f"{found['simulated_s']:.4g} s"
    share = 100 * found["share_done"]
    return f"{found['simulated_s']:.4g} of {found['duration_s']:.4g} s ({share:.0f} %)"


def set_status_text(found: dict) -> str:
    """Progress of a set of replicates in words.

    Parameters
    ----------
    found : dict
        Result of `rollsim.history.replicate_set.set_status`.

    Returns
    -------
    str
    """
    rows = found["replicates"]
    finished = sum(row["status"] == "finished" for row in rows)
    lines = [f"{found['case_name']}: {finished} of {len(rows)} replicates finished"]
    for row in rows:
        reached = f"{row['simulated_s']:.4g} of {row['duration_s']:.4g} s"
        lines.append(f"  {row['file']}: {row['status']}, {reached}")
    return "\n".join(lines)
