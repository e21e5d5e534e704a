"""The command that holds rollsim against published values."""

import click

from rollsim.cautions import CAUTION
from rollsim.cli.parts import JSON, say, show
from rollsim.errors import RollsimError


@click.command("verify", epilog=CAUTION)
@click.argument("words", metavar="[WORDS]...", nargs=-1)
@click.option("--list", "list_only", is_flag=True, help="Show the checks, compute nothing.")
@JSON
def verify_command(words, list_only, as_json):
    """Run the published checks: source, expected and computed value, deviation, tolerance.

    Formulas and compiled kernels of this installation against values of textbooks, standards and
    data sheets, closed forms, and other routes to the same number. Values that come from memory
    are marked: confirm them before you rely on them.

    WORDS choose checks that answer to any of them: a key or its beginning (J02, J), or a part of
    a topic, of what is computed, of a source or of a basis ("short bearing", Shigley, memory).

    Exit status: 0 all within tolerance, 1 any is off, 2 a word that no check answers to.

    \b
    Example: rollsim verify "guiding land" rainflow
             rollsim verify J02 --json
             rollsim verify > checks.txt
    """
    from rollsim.report.verification_text import (
        list_dict,
        list_text,
        off_rows,
        verification_dict,
        verification_text,
    )
    from rollsim.verification.catalogue import chosen
    from rollsim.verification.check import outcome_of

    topics = chosen(words)
    if list_only:
        return show(list_dict(topics), list_text(topics), as_json)
    _tell_of_compiling(topics)
    found = [(topic, [outcome_of(check) for check in topic.checks]) for topic in topics]
    show(verification_dict(found), verification_text(found), as_json)
    off = off_rows(found)
    if off:
        names = ", ".join(outcome.check.key for outcome in off)
        raise RollsimError(f"Not within tolerance: {names}.")
    return None


def _tell_of_compiling(topics):
    """Say so where kernels have to be compiled first."""
    from rollsim.simulation.warm_up import compile_note
    from rollsim.verification.marches import SOLVERS, TOPIC

    marching = any(topic.name == TOPIC.name for topic in topics)
    solvers = [solver for _, solver, _ in SOLVERS] if marching else ["leapfrog"]
    notes = filter(None, map(compile_note, solvers))
    note = next(notes, None)
    if note:
        say(note)
