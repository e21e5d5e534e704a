"""The command of the verdict."""

from pathlib import Path

import click

from rollsim.cautions import CAUTION
from rollsim.cli.parts import (
    FOLDER,
    JSON,
    BadInput,
    figure_options,
    results_folder,
    say,
    show,
    tell_files,
)


@click.command("fatigue", epilog=CAUTION)
@click.argument(
    "histories",
    metavar="HIST.h5|NAME_replicates.json...",
    nargs=-1,
    required=True,
    type=click.Path(path_type=Path),
)
@FOLDER
@click.option(
    "--method",
    type=click.Choice(["quasi_static", "modal"]),
    help="How forces become stresses: as at rest at every instant, or with the vibrations of the "
    "cage (cage.elastic_modes of the case); modal where the history has them.",
)
@click.option(
    "--load-shares",
    metavar="A,B,...",
    help="Share of the service time of each duty, in the order in which their first files are "
    "given; fatigue.load_share of each case when not given.",
)
@click.option(
    "--stress-file",
    type=click.Path(dir_okay=False, path_type=Path),
    metavar="FILE",
    help="Write closure forces and hot-spot stress at every sample into this HDF5 (netCDF-4) file "
    "(one history only).",
)
@JSON
@figure_options
def fatigue_command(histories, output, method, load_shares, stress_file, as_json):
    """Verdict by mechanism: fatigue and yield of closures and bars, hammering, lands, wear.

    Each has its own demand, limit (keys of [fatigue]; assumed ones are named) and utilisation with
    interval; the one that governs comes first, "cannot tell" where its interval has 1 inside.

    Several runs of one case with seeds of their own are pooled: mean damage, intervals over the
    runs. Runs of other cases with the same cage are other duties: damage summed by their shares of
    the service time.

    What is kept of an earlier evaluation of a file is used; rollsim report --afresh works it out
    again.

    \b
    Example: rollsim fatigue screen.h5 -o results --stress-file screen_stress.h5
             rollsim fatigue screen_replicates.json
             rollsim fatigue idle.h5 full_replicates.json --load-shares 0.3,0.6
    """
    if len(histories) == 1 and histories[0].suffix != ".json" and load_shares is None:
        return _one(histories[0], output, method, stress_file, as_json)
    if stress_file:
        raise BadInput("--stress-file takes one history.")
    return _several(histories, output, method, _shares(load_shares), as_json)


def _one(history, output, method, stress_file, as_json):
    """Verdict of one history, finished or not, with the table of its places."""
    from rollsim.analysis.quality import run_quality
    from rollsim.fatigue.judged import judged_run
    from rollsim.fatigue.pooling import pooled_verdict
    from rollsim.fatigue.stress_file import write_stress_file
    from rollsim.history.kept_results import opened_with_results
    from rollsim.report.fatigue_figures import draw_fatigue
    from rollsim.report.fatigue_table import fatigue_dict, fatigue_text
    from rollsim.report.mechanisms_figures import draw_mechanisms
    from rollsim.report.mechanisms_text import mechanisms_dict, mechanisms_text
    from rollsim.report.quality_text import quality_dict, with_quality

    with opened_with_results(history) as opened:
        if opened.results.plain():
            say(f"evaluated before: {history}")
        quality = run_quality(opened)
        run = judged_run(opened, method)
        verdict = pooled_verdict([[run]])
        folder = results_folder(history, output)
        written = [
            draw_fatigue(run.result, folder / "fatigue.png").path,
            draw_mechanisms(verdict, folder / "mechanisms.png").path,
        ]
        if stress_file:
            written.append(write_stress_file(opened, run.result, stress_file))
    text = f"{mechanisms_text(verdict)}\n\n{fatigue_text(run.result)}"
    found = {**mechanisms_dict(verdict), **fatigue_dict(run.result)}
    found["quality"] = quality_dict(quality)
    show(found, with_quality(quality, text), as_json)
    tell_files(written, as_json)


def _several(histories, output, method, shares, as_json):
    """Verdict of replicates and duties."""
    from rollsim.fatigue.pooling import verdict_of_files
    from rollsim.report.mechanisms_figures import draw_mechanisms
    from rollsim.report.mechanisms_text import mechanisms_dict, mechanisms_text

    verdict = verdict_of_files(histories, method, shares)
    folder = results_folder(histories[0], output)
    written = [draw_mechanisms(verdict, folder / "mechanisms.png").path]
    show(mechanisms_dict(verdict), mechanisms_text(verdict, closing=True), as_json)
    tell_files(written, as_json)


def _shares(text):
    """Numbers of --load-shares."""
    if text is None:
        return None
    try:
        return [float(part) for part in text.split(",")]
    except ValueError:
        raise BadInput(f"--load-shares takes numbers such as 0.3,0.6, not '{text}'.") from None
