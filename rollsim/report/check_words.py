"""Words and small drawings of `rollsim check`: the load zone, the warnings."""

from __future__ import annotations

from rollsim.report.plain_data import number, table, wrapped

#: Characters of the longest bar of the load zone.
_BAR = 40


def load_zone_lines(rows) -> list[str]:
    """The loaded rollers in the order of their azimuth, each with a bar as long as its load.

    Parameters
    ----------
    rows : list of dict
        roller, azimuth_deg, inner_N, outer_N.

    Returns
    -------
    list of str
        Lines; empty where the inner ring loads no roller.

    Examples
    --------
    >>> row = {"roller": 3, "azimuth_deg": -90.0, "inner_N": 5000.0, "outer_N": 5010.0}
    >>> load_zone_lines([row])[-1].split()[:4]
    ['3', '-90.0', '5000', '5010']
    """
    loaded = _along_the_zone([row for row in rows if row["inner_N"] > 0.0])
    if not loaded:
        return []
    largest = max(row["inner_N"] for row in loaded)
    cells = [
        [
            str(row["roller"]),
            f"{row['azimuth_deg']:.1f}",
            f"{row['inner_N']:.0f}",
            f"{row['outer_N']:.0f}",
        ]
        for row in loaded
    ]
    head, *lines = table(["roller", "at degrees", "inner N", "outer N"], cells)
    bars = ["#" * max(1, round(_BAR * row["inner_N"] / largest)) for row in loaded]
    return [head, *(f"{line}  {bar}" for line, bar in zip(lines, bars, strict=True))]


def _along_the_zone(rows) -> list[dict]:
    """Rows by azimuth, beginning after the widest gap, so that the zone is in one piece."""
    if not rows:
        return []
    rows = sorted(rows, key=lambda row: row["azimuth_deg"])
    following = [*rows[1:], {**rows[0], "azimuth_deg": rows[0]["azimuth_deg"] + 360.0}]
    gaps = [b["azimuth_deg"] - a["azimuth_deg"] for a, b in zip(rows, following, strict=True)]
    start = (gaps.index(max(gaps)) + 1) % len(rows)
    return rows[start:] + rows[:start]


def environment_lines(items) -> list[str]:
    """Named environments with their level, source and how sure the numbers are.

    Parameters
    ----------
    items : list of dict
        Fields of `Environment`.

    Returns
    -------
    list of str
        Lines; empty where no named environment is used.
    """
    lines = []
    for item in items:
        parts = (item["source"], item["basis"], item["note"])
        text = "; ".join(part for part in parts if part)
        lines += wrapped(f"  environment {item['name']}: {text}")
    return lines


def warning_text(item: dict) -> str:
    """One range warning as a person reads it: value, bound, what follows, what to do.

    Parameters
    ----------
    item : dict
        Fields of a `RangeWarning`.

    Returns
    -------
    str
        Sentences.
    """
    unit = f" {item['unit']}" if item["unit"] else ""
    advice = item["advice"][:1].upper() + item["advice"][1:]
    return (
        f"{item['what']} is {_figure(item['value'])}{unit}, {item['says']} "
        f"{_figure(item['bound'])}{unit}: {item['follows']}. {advice}. ({item['source']})"
    )


def _figure(value: float) -> str:
    """A number with a few digits; a whole one as it is."""
    return f"{value:.0f}" if value == int(value) else number(value)
