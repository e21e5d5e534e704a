"""The figure of the benchmark: work against precision, and growth of cost."""

from rollsim.report.style import (
    CYCLE,
    add_caption,
    caption_text,
    drawing,
    new_figure,
    picture_path,
)

_MARKS = "osD^v<>p"


def draw(figures, path):
    """Draw work against precision, and the right-hand side over rollers and slices."""
    path = picture_path(path)
    with drawing():
        figure = new_figure((6.4, 9.0))
        upper, lower = figure.subplots(2, 1, height_ratios=(1.5, 1.0))
        _work(upper, figures["precision"])
        _growth(lower, figures)
        add_caption(
            figure,
            caption_text(
                figures["case"],
                "Above: processor time against error of the peak pocket forces, one point a "
                "tolerance, mean of short times from a state in motion; the ring is what a run of "
                "the case takes; scipy's methods call the same compiled equations from Python",
                "Below: one evaluation of the equations, states of a march, with rollers (planar) "
                "and with slices of a roller (spatial, "
                f"{figures['rollers']} rollers)",
                f"{figures['date']}, {figures['machine']}",
            ),
        )
        figure.savefig(path)


def _work(axes, precision):
    """Cost over error, one line a method."""
    table = precision["tolerance_factors"]
    for index, (name, rows) in enumerate(table.items()):
        points = sorted(
            (row["error"], row["seconds_per_simulated_second"]) for row in rows.values()
        )
        axes.loglog(
            *zip(*points, strict=True),
            color=CYCLE[index % len(CYCLE)],
            marker=_MARKS[index % len(_MARKS)],
            markersize=5,
            linestyle="-" if name.startswith("rollsim") else "--",
            label=name,
        )
    ours = table[precision["ours"]][1]
    axes.plot(
        ours["error"], ours["seconds_per_simulated_second"], "o", ms=14, mfc="none", mec="#333333"
    )
    axes.set_xlabel("error of peak pocket forces (share of their rms)")
    axes.set_ylabel("processor time per\nsimulated second (s)")
    # Above the panel: lines may run anywhere inside it.
    axes.legend(ncols=3, loc="lower center", bbox_to_anchor=(0.45, 1.02), frameon=False)


def _growth(axes, figures):
    """Right-hand side over rollers and slices."""
    rollers = figures["growth"]["rows"]
    slices = figures["slices"]["right_hand_side_ns"]
    axes.loglog(
        list(rollers),
        [row["right_hand_side_ns"] / 1e3 for row in rollers.values()],
        color=CYCLE[0],
        marker="o",
        label="planar, over number of rollers",
    )
    axes.loglog(
        list(slices),
        [value / 1e3 for value in slices.values()],
        color=CYCLE[1],
        marker="s",
        label="spatial, over slices of a roller",
    )
    axes.set_xlabel("rollers or slices (number)")
    axes.set_ylabel("one evaluation (µs)")
    axes.legend(loc="best")
