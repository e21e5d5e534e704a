"""The command that writes a history for other programs."""

import click

from rollsim.cli.parts import FOLDER, HISTORY, JSON, results_folder, say, show


@click.command("export")
@HISTORY
@FOLDER
@click.option(
    "--to",
    "form",
    type=click.Choice(["csv", "parquet", "vtk"]),
    required=True,
    help="csv and parquet: tables history, peak, impacts, quality and metadata.json; vtk: the "
    "moving mechanism with its forces.",
)
@click.option(
    "--channels",
    metavar="A,B,...",
    help="Channels of these names only: NAME, peak/NAME (largest in the interval), impacts, "
    "quality; all when not given. Not for vtk.",
)
@click.option("--from", "start", type=float, metavar="S", help="First time, s; all when not given.")
@click.option("--until", type=float, metavar="S", help="First time no longer written, s.")
@click.option(
    "--every",
    type=click.IntRange(min=1),
    metavar="N",
    help="Samples a row or frame: motion at the last of them, forces of peak the largest; 1 when "
    "not given, with vtk as many as give 500 frames at most.",
)
@JSON
def export_command(history, output, form, channels, start, until, every, as_json):
    """Write a history, finished or not, as CSV, Parquet or VTK for other programs.

    Tables have one column a number (pocket_force_roller_03_leading), CSV with its unit in the head;
    metadata.json holds unit and meaning of each. Numbers come in all the digits of the history.
    VTK: open mechanism.pvd. Lengths are in m, forces in N; motion and forces are two parts of one
    series. Only a few thousand samples are in memory at a time.

    \b
    Example: rollsim export screen.h5 --to csv --channels cage_position,peak/pocket_force --every 10
             rollsim export screen.h5 --to parquet -o tables
             rollsim export screen.h5 --to vtk --from 1.2 --until 1.25 --every 5
    """
    from rollsim.history.reader import open_history
    from rollsim.report.export.rows import select
    from rollsim.report.export.tables import write_tables
    from rollsim.report.export.vtk_files import USUAL_FRAMES, parts_in_words, write_vtk

    if form == "vtk" and channels is not None:
        raise click.UsageError("--channels is for csv and parquet: leave it out with vtk.")
    if start is not None and until is not None and not start < until:
        raise click.UsageError(f"--from {start:g} is not before --until {until:g}.")
    wanted = None if channels is None else [part.strip() for part in channels.split(",")]
    with open_history(history) as opened:
        chosen = select(opened, wanted, start, until, every or 1)
        if form == "vtk" and every is None:
            step = -(-chosen.count // USUAL_FRAMES)
            chosen = select(opened, wanted, start, until, step)
            if step > 1:
                say(f"every {step} samples a frame; --every N chooses")
        if opened.status != "finished":
            say(f"The run is not complete (status: {opened.status}); what is there is written.")
        folder = results_folder(history, output)
        if form == "vtk":
            written = write_vtk(opened, chosen, folder)
            told = f"{chosen.count} frames; part: {parts_in_words()}"
        else:
            written = write_tables(opened, chosen, folder, form)
            told = f"{chosen.count} rows of {chosen.every} samples each"
    found = {"files": [str(path) for path in written], "rows": chosen.count, "every": chosen.every}
    show(found, "\n".join([*(f"wrote {path}" for path in written), told]), as_json)
