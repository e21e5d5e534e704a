"""The command line: plain words, one command a job.

Exit codes: 0 done, 1 the run failed, 2 the input cannot be used.
"""

import os
import sys
from pathlib import Path

import click

from rollsim import __version__
from rollsim.cautions import CAUTION
from rollsim.cli.blackbox import blackbox_command
from rollsim.cli.cage import cage_command
from rollsim.cli.compare import compare_command
from rollsim.cli.evidence import evidence_command
from rollsim.cli.export import export_command
from rollsim.cli.fatigue import fatigue_command
from rollsim.cli.parts import (
    CASE,
    FOLDER,
    HISTORY,
    JSON,
    BadInput,
    figure_options,
    results_folder,
    say,
    show,
    tell_files,
)
from rollsim.cli.quality import quality_command
from rollsim.cli.report import report_command
from rollsim.cli.reproduce import reproduce_command
from rollsim.cli.run import run_command
from rollsim.cli.sensitivity import sensitivity_command
from rollsim.cli.status import status_command
from rollsim.cli.verify import verify_command
from rollsim.errors import RollsimError

_SETTINGS = {"help_option_names": ["-h", "--help"], "max_content_width": 100}


@click.group(context_settings=_SETTINGS, epilog=CAUTION)
@click.version_option(__version__, prog_name="rollsim")
def commands():
    """Motion, pocket forces and fatigue of roller bearing cages under vibration.

    \b
    Example:
      rollsim new screen.toml --example dewatering_screen_riveted
      rollsim run screen.toml --preview -o screen.h5
      rollsim fatigue screen.h5
    """


commands.add_command(blackbox_command)
commands.add_command(cage_command)
commands.add_command(compare_command)
commands.add_command(export_command)
commands.add_command(report_command)
commands.add_command(quality_command)
commands.add_command(reproduce_command)
commands.add_command(run_command)
commands.add_command(sensitivity_command)
commands.add_command(status_command)
commands.add_command(fatigue_command)
commands.add_command(evidence_command)
commands.add_command(verify_command)


@commands.command()
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@click.option("--example", metavar="NAME", help="Start from a shipped case; --list names them.")
@click.option(
    "--list",
    "list_examples",
    is_flag=True,
    is_eager=True,
    help="Name the examples.",
    expose_value=False,
    callback=lambda context, _, value: _list_examples(context, value),
)
@click.option("--overwrite", is_flag=True, help="Replace an existing file.")
def new(file, example, overwrite):
    """Write a commented case file.

    \b
    Example: rollsim new screen.toml --example dewatering_screen_riveted
    """
    from rollsim.case.template import example_companion, template_text

    text = template_text(example)
    if file.exists() and not overwrite:
        raise BadInput(f"{file} exists already. Choose another name, or pass --overwrite.")
    companion = example_companion(example) if example else None
    beside = file.parent / companion.name if companion else None
    if beside and beside.exists() and not overwrite:
        raise BadInput(f"{beside} exists already. Choose another folder, or pass --overwrite.")
    try:
        file.write_text(text, encoding="utf-8")
        if beside and beside.resolve() != companion.resolve():
            beside.write_bytes(companion.read_bytes())
    except OSError as problem:
        raise BadInput(f"Cannot write {problem.filename or file}: {problem.strerror}.") from problem
    if beside:
        click.echo(f"wrote {beside}, the recording of this example")
    click.echo(f"wrote {file}; next: rollsim check {file}")


def _list_examples(context, value):
    """Print the names of the shipped cases and stop."""
    if value:
        from rollsim.case.template import example_names

        click.echo("\n".join(example_names()))
        context.exit()


@commands.command()
@CASE
@JSON
@click.option("--no-trial", is_flag=True, help="Skip the trial steps that tell the run time.")
@click.option(
    "-o",
    "--output",
    type=click.Path(path_type=Path, file_okay=False),
    metavar="DIRECTORY",
    help="Draw the imposed vibration into this folder: spectrum asked and applied, histogram,"
    " shock response. No figures when not given.",
)
@figure_options
def check(case, as_json, no_trial, output):
    """Validate a case; print what follows from it and every assumption.

    \b
    Example: rollsim check screen.toml
             rollsim check screen.toml -o figures
    """
    from rollsim.case.read import load_case

    loaded = load_case(case)
    from rollsim.report.check_text import check_case, check_text
    from rollsim.simulation.warm_up import compile_note

    note = compile_note(loaded.solver.name)
    if note and not no_trial:
        say(note)
    written = []

    def draw(look):
        from rollsim.report.look_figures import draw_look

        written.extend(draw_look(look, results_folder(case, output)))

    found = check_case(loaded, trial=not no_trial, draw=draw if output else None)
    show(found, check_text(found), as_json)
    tell_files(written, as_json)


@commands.command()
@HISTORY
@FOLDER
@click.option(
    "--threshold",
    type=click.FloatRange(min=0.0),
    help="Threshold of the tail fit in N; the rule chooses it without this.",
)
@JSON
@figure_options
def peaks(history, output, threshold, as_json):
    """Peak pocket forces per roller and face, impact table, exceedance, return level.

    The return level rests on independent peaks above a threshold. The output names the rule that
    chose it, says whether the fit holds, and shows what other thresholds would give.

    \b
    Example: rollsim peaks screen.h5 -o results
    """
    from rollsim.analysis.impact_table import write_impacts_csv
    from rollsim.analysis.peaks import peaks as find_peaks
    from rollsim.analysis.quality import run_quality
    from rollsim.history.reader import open_history
    from rollsim.report.peaks_figures import draw_exceedance, draw_pocket_map
    from rollsim.report.peaks_text import peaks_dict, peaks_text
    from rollsim.report.quality_text import quality_dict, with_quality
    from rollsim.report.threshold_figures import draw_thresholds

    with open_history(history) as opened:
        result = find_peaks(opened, threshold=threshold)
        quality = run_quality(opened)
        folder = results_folder(history, output)
        written = [
            write_impacts_csv(opened, folder / "impacts.csv"),
            draw_exceedance(result, folder / "exceedance.png").path,
            draw_thresholds(result, folder / "thresholds.png").path,
            draw_pocket_map(opened, folder / "pocket_map.png").path,
        ]
    found = {**peaks_dict(result), "quality": quality_dict(quality)}
    show(found, with_quality(quality, peaks_text(result)), as_json)
    tell_files(written, as_json)


@commands.command()
@HISTORY
@FOLDER
@JSON
@click.option(
    "--measured",
    metavar="CASE",
    type=click.Path(path_type=Path),
    help="Case file whose [[vibration]] of kind recording is the measurement: laid over the"
    " history as spectra with known lines and, with two axes, orbits of the housing.",
)
@figure_options
def whirl(history, output, measured, as_json):
    """Whirl of the cage: measures, class, orbit in frames at rest and of the cage, spectrum.

    The class (seated, forced, regular circular, disordered or undecided) comes with its rule. A
    record over which the orbit changes is undecided as a whole and named by parts. Figures: orbit,
    eccentricity and two-sided spectrum; coherence with the imposed vibration; a waterfall where the
    duty changes the speed or the orbit changes.

    \b
    Example: rollsim whirl screen.h5 -o results
             rollsim whirl screen.h5 -o paper --format pdf --width-mm 85 --csv
    """
    from rollsim.analysis.whirl import whirl as find_whirl
    from rollsim.history.reader import open_history
    from rollsim.report.whirl_figures import draw_coherence, draw_orbit, draw_waterfall
    from rollsim.report.whirl_text import whirl_dict, whirl_text

    recorded = _recorded(measured)
    with open_history(history) as opened:
        result = find_whirl(opened)
        folder = results_folder(history, output)
        drawn = [
            draw_orbit(opened, result, folder / "whirl.png"),
            draw_coherence(result, folder / "whirl_coherence.png"),
            draw_waterfall(result, folder / "whirl_waterfall.png"),
        ]
        content, words = whirl_dict(result), whirl_text(result)
        if recorded:
            from rollsim.report.measured import draw_measured, measured_lines, measured_text

            drawn.append(draw_measured(opened, result, recorded, folder / "measured.png"))
            words = f"{words}\n\n{measured_text(recorded, result)}"
            content["measured_lines"] = [
                {"axis": axis, "frequency_Hz": tone, "known_lines": names}
                for axis, tone, names in measured_lines(recorded, result)
            ]
    show(content, words, as_json)
    tell_files([picture.path for picture in drawn if picture], as_json)


def _recorded(measured):
    """The recording of --measured; None without it."""
    if measured is None:
        return None
    from rollsim.report.measured import read_measured

    return read_measured(measured)


@commands.command()
@HISTORY
@FOLDER
@JSON
@figure_options
def slip(history, output, as_json):
    """Slip of cage and rollers, smearing measure, impulse and friction work that wear goes with.

    \b
    Example: rollsim slip screen.h5 -o results
    """
    from rollsim.analysis.slip import slip as find_slip
    from rollsim.analysis.wear import has_sums
    from rollsim.analysis.wear import wear as find_wear
    from rollsim.history.reader import open_history
    from rollsim.report.slip_figures import draw_slip, draw_smearing, draw_wear
    from rollsim.report.slip_text import slip_dict, slip_text

    with open_history(history) as opened:
        result = find_slip(opened)
        wear = find_wear(opened) if has_sums(opened) else None
        folder = results_folder(history, output)
        written = [draw_slip(opened, result, folder / "slip.png").path]
        if result.smearing:
            written.append(draw_smearing(result, folder / "smearing.png").path)
        if wear:
            written.append(draw_wear(wear, folder / "wear.png").path)
    show(slip_dict(result, wear), slip_text(result, wear), as_json)
    tell_files(written, as_json)


@commands.command()
@click.argument("target", metavar="CASE|HIST.h5|ENVIRONMENT", required=False)
@FOLDER
@click.option("--duration", type=click.FloatRange(0, min_open=True), help="Time to look at, s.")
@click.option(
    "--environments", type=click.Path(path_type=Path), help="File with environments of your own."
)
@click.option("--list", "list_all", is_flag=True, help="Name the environments.")
@JSON
@figure_options
def vibration(target, output, duration, environments, list_all, as_json):
    """Imposed vibration, asked against applied, without a run or from a history.

    \b
    Example: rollsim vibration screen.toml -o results
    """
    from rollsim.report.look_target import environment_list, look_at

    if list_all or target is None:
        return show(*reversed(environment_list(environments)), as_json)
    look = look_at(target, duration, environments)
    from rollsim.report.look_figures import draw_look
    from rollsim.report.look_text import look_dict, look_text

    written = draw_look(look, results_folder(Path(target), output))
    show(look_dict(look), look_text(look), as_json)
    return tell_files(written, as_json)


def main():
    """Run the command line; errors end in plain words and an exit code."""
    for stream in (sys.stdout, sys.stderr):
        # A console of another encoding must not end a run for want of a letter.
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    try:
        commands.main(standalone_mode=False)
    except click.exceptions.Abort:
        say("Stopped by the user.")
        sys.exit(1)
    except click.ClickException as problem:
        problem.show()
        sys.exit(2)
    except RollsimError as problem:
        say(str(problem))
        sys.exit(problem.exit_code)
    except OSError as problem:
        # Whatever the disk refuses while results are written.
        where = f" {problem.filename}" if problem.filename else ""
        say(f"Cannot read or write{where}: {problem.strerror or problem}.")
        sys.exit(1)
    except MemoryError:
        say("There is not enough memory for this. Close other programs, or ask for less.")
        sys.exit(1)
    except Exception as problem:
        if os.environ.get("ROLLSIM_TRACEBACK"):
            raise
        what = str(problem).splitlines() or [""]
        say(
            f"An error of rollsim itself, not of yours: {type(problem).__name__}: {what[0][:300]}. "
            "Please report it with the output of the same command under ROLLSIM_TRACEBACK=1."
        )
        sys.exit(1)
