"""The command on the elastic cage."""

from pathlib import Path

import click

from rollsim.cautions import CAUTION
from rollsim.cli.parts import CASE, FOLDER, JSON, results_folder, show, tell_files


@click.command("cage", epilog=CAUTION)
@CASE
@click.option(
    "--against",
    metavar="OTHER",
    type=click.Path(path_type=Path),
    help="Another case: both cages side by side under the same load.",
)
@click.option("--cover-force", type=float, metavar="N", help="Axial force a roller on the cover.")
@click.option("--bar-force", type=float, metavar="N", help="Tangential force on every bar.")
@click.option(
    "--radial-acceleration",
    type=float,
    metavar="g",
    help="Centrifugal acceleration at the middle radius of the rings, in g.",
)
@click.option(
    "--held",
    type=click.Choice(["base", "inertia"]),
    default="base",
    show_default=True,
    help="What balances the load: the base ring, or the inertia of the free cage.",
)
@click.option(
    "--modes",
    type=click.IntRange(1, 60),
    default=6,
    show_default=True,
    metavar="N",
    help="Number of free vibrations.",
)
@FOLDER
@JSON
def cage_command(case, against, output, modes, held, as_json, **loads):
    """Elastic cage: mass, free vibrations, deformation and stress under a static load.

    Without any load, 1000 N of every roller on the cover. Writes pictures and a VTK file for
    viewers of finite element results.

    \b
    Example: rollsim cage riveted.toml --against tenon.toml --cover-force 1000 -o results
    """
    from rollsim.case.read import load_case
    from rollsim.structure.cage_study import cage_load

    load = cage_load(loads["cover_force"], loads["bar_force"], loads["radial_acceleration"], held)
    cases = [load_case(path) for path in (case, against) if path is not None]
    from rollsim.report.cage_figures import draw_modes, draw_static
    from rollsim.report.cage_text import cage_dict, cage_text
    from rollsim.report.cage_vtk import write_cage_vtk
    from rollsim.structure.cage_answers import shape_differences, study_cage

    studies = [study_cage(own, load, modes) for own in cases]
    differences = shape_differences(*cases) if against else []
    folder = results_folder(case, output)
    written = [draw_static(studies, folder / "cage_static.png").path]
    for study, end in zip(studies, ("", "_against"), strict=False):
        written.append(draw_modes(study, folder / f"cage_modes{end}.png").path)
        written.append(write_cage_vtk(study, folder / f"cage{end}.vtk"))
    show(cage_dict(studies, differences), cage_text(studies, differences), as_json)
    tell_files(written, as_json)
