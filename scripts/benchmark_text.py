"""The figures of the benchmark in words and tables, ratios first."""


def text_of(figures):
    """All that was measured, as lines of text."""
    load = figures["load_before"], figures["load_after"]
    words = ", ".join("not told" if value is None else f"{value:.1f}" for value in load)
    lines = [
        f"{figures['case']}, {figures['solver']} at tolerance {figures['tolerance']:g}",
        f"{figures['date']}, {figures['machine']}",
        f"runnable processes a processor, before and after: {words}",
    ]
    for name, tell in _TELL.items():
        if name in figures:
            lines += tell(figures[name], figures)
    return "\n".join(lines)


def markdown_of(figures):
    """Tables for a README."""
    lines = []
    if "precision" in figures:
        lines += [
            "| method, same equations, same error of peak forces | times our processor time |",
            "| --- | --- |",
            *(f"| {name} | {words} |" for name, words in _ratios(figures["precision"])),
            "",
        ]
    if "spatial" in figures:
        lines += ["| the same in space, 11 slices, lubricated traction | |", "| --- | --- |"]
        lines += [*(f"| {name} | {words} |" for name, words in _ratios(figures["spatial"])), ""]
    if "variants" in figures:
        lines += ["| more physics, same bearing | s per simulated second |", "| --- | --- |"]
        lines += [
            f"| {name} | {row['seconds_per_simulated_second']:.2f} |"
            for name, row in figures["variants"].items()
        ]
    return "\n".join(lines) + "\n"


def _ratios(precision):
    """Method and its cost over that of our solver at the error of our solver, in words."""
    ours = precision["at_equal_error"][precision["ours"]]["seconds_per_simulated_second"]
    for name, found in precision["at_equal_error"].items():
        ratio = found["seconds_per_simulated_second"] / ours
        note = "" if found["bracketed"] else f" (nearest error measured: {found['nearest']:.1e})"
        yield name, f"{ratio:.1f}{note}"


def _precision(found, _):
    """Ratios at equal error."""
    lines = [
        "processor time over ours, at the error of peak pocket forces that the case takes "
        f"({found['error_of_ours']:.1e}; of the reference {found['error_of_reference']:.0e}):"
    ]
    return lines + [f"  {name}: {words}" for name, words in _ratios(found)]


def _spatial(found, figures):
    """The same in space."""
    return ["11 slices with lubricated traction:", *_precision(found, figures)]


def _march(found, _):
    """Cost of the march and of its parts."""
    return [
        "march with recording: "
        f"{found['seconds_per_simulated_second']:.2f} s per simulated second,",
        f"  {found['steps']} steps of {found['mean_step_us']:.1f} us, "
        f"{found['time_per_step_us']:.2f} us of computing a step",
        f"  right-hand side: {found['right_hand_side_at_start_ns']:.0f} ns at the start, "
        f"{found['right_hand_side_in_march_ns']:.0f} ns on states of the march, "
        f"{found['per_contact_ns']:.1f} ns a contact; "
        f"{found['evaluations_per_step']:.1f} of them a step",
    ]


def _writing(found, _):
    """What writing costs."""
    rate = found["rate"]
    return [
        f"a run over its bare march: {found['elapsed_ratio']:.2f} of elapsed, "
        f"{found['processor_ratio']:.2f} of processor time",
        f"  ({found['run_processor_s']:.2f} and {found['bare_processor_s']:.2f} s for "
        f"{found['simulated_s']:g} s; {found['file_MB']:.1f} MB)",
        f"  packing, writing and merging noise: {rate['MB_per_s']:.0f} MB/s of processor time, "
        f"shrinks by {rate['shrinks_by']:.2f}",
    ]


def _variants(found, figures):
    """More physics."""
    planar = figures.get("march", {}).get("seconds_per_simulated_second")
    lines = ["more physics in the same bearing:"]
    for name, row in found.items():
        cost = row["seconds_per_simulated_second"]
        ratio = f"{cost / planar:.1f} times planar, " if planar else ""
        lines.append(f"  {name}: {ratio}{cost:.2f} s per simulated second")
    return lines


def _growth(found, _):
    """Exponents."""
    powers = found["exponents"]
    return [
        f"cost grows with rollers (20 to 160) to the power of {powers['right_hand_side']:.2f} "
        f"(right-hand side), {powers['step']:.2f} (step), "
        f"{powers['simulated_second']:.2f} (simulated second)"
    ]


def _slices(found, _):
    """Cost of a slice."""
    rows = found["right_hand_side_ns"]
    return [
        "spatial right-hand side: "
        f"{min(rows.values()) / 1e3:.1f} to {max(rows.values()) / 1e3:.1f} us "
        f"with {min(rows)} to {max(rows)} slices, "
        f"{found['per_slice_of_a_contact_ns']:.2f} ns a slice of a contact"
    ]


def _cores(found, _):
    """Replicates side by side."""
    used = [found[f"jobs_{n}"]["processors_used"] for n in (1, 2)]
    return [
        f"four replicates: two processors {found['gain']:.2f} times as fast as one "
        f"(processors they got: {used[0]:.2f} and {used[1]:.2f})"
    ]


def _engine(found, figures):
    """General-purpose engine."""
    if "skipped" in found:
        return [f"general-purpose engine: {found['skipped']}"]
    lines = [f"MuJoCo {found['version']} on the planar mechanism (its own contact law, no land):"]
    planar = figures.get("march", {}).get("seconds_per_simulated_second")
    for step, row in found["steps"].items():
        cost = row["seconds_per_simulated_second"]
        ratio = f"{cost / planar:.0f} times ours, " if planar else ""
        lines.append(
            f"  step {step:g} us: {ratio}{cost:.1f} s per simulated second, "
            f"{row['contacts']} contacts"
        )
    return lines


def _rainflow(found, _):
    """Counting of cycles."""
    return [
        f"rainflow: {found['samples']:.0e} samples of white noise in {found['counting_s']:.2f} s; "
        f"with damage {found['points_ns_per_sample_and_spot']:.1f} ns a sample and point"
    ]


def _start_up(found, _):
    """Start-up and memory."""
    return [
        f"start-up: rollsim --help {found['help_s']:.2f} s elapsed; a second run without its march "
        f"{found['second_run_without_march_s']:.1f} s",
        f"memory of a planar run: {found['memory_MiB']:.0f} MiB",
    ]


_TELL = {
    "precision": _precision,
    "spatial": _spatial,
    "march": _march,
    "writing": _writing,
    "variants": _variants,
    "growth": _growth,
    "slices": _slices,
    "cores": _cores,
    "engine": _engine,
    "start_up": _start_up,
    "rainflow": _rainflow,
}
