"""The command on the elastic cage."""

import sys
from pathlib import Path

import click

from rollsim.cautions import CAUTION
from rollsim.cli.parts import (
    CASE,
    FOLDER,
    JSON,
    BadInput,
    figure_options,
    results_folder,
    show,
    tell_files,
)


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
@click.option(
    "--detail",
    is_flag=True,
    help="Instead: one sector as a solid beside the frame, on three meshes"
    " (pip install 'rollsim[detail]').",
)
@FOLDER
@JSON
@figure_options
def cage_command(case, against, output, modes, held, detail, as_json, **loads):
    """Elastic cage: mass, free vibrations, deformation and stress under a static load.

    Without any load, 1000 N of every roller on the cover. Writes pictures and a VTK file for
    viewers of finite element results.

    With --detail the answer is about one pocket sector as a solid of hexahedra, where cover and
    bar end may part: stiffness of the cover and section forces of the closure beside those of the
    frame, stress and notch factor of the fillet beside the formula, change from mesh to mesh. It
    takes axial forces on the cover and closures on every bar; solved cages are kept, so that a
    second call takes no time.

    \b
    Example: rollsim cage riveted.toml --against tenon.toml --cover-force 1000 -o results
             rollsim cage riveted.toml --detail
    """
    from rollsim.case.read import load_case
    from rollsim.structure.cage_study import cage_load

    load = cage_load(loads["cover_force"], loads["bar_force"], loads["radial_acceleration"], held)
    cases = [load_case(path) for path in (case, against) if path is not None]
    if detail:
        _show_detail(cases, load, results_folder(case, output), as_json)
        return
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


def _show_detail(cases, load, folder, as_json):
    """Sector of every case as a solid beside the frame: words or JSON, and a picture."""
    if load.bar or load.radial_acceleration or not load.cover:
        raise BadInput(
            "--detail takes the axial force of the rollers on the cover alone (--cover-force N):"
            " leave --bar-force and --radial-acceleration out."
        )
    from rollsim.report.sector_figures import draw_sector
    from rollsim.report.sector_text import sector_dict, sector_text
    from rollsim.structure.sector_compare import compare_sector

    found = []
    for case in cases:
        found.append(compare_sector(case, load.cover, load.held, tell=_mesh_progress))
        _clear_progress()
    names = ("cage_sector.png", "cage_sector_against.png")
    written = [
        draw_sector(own, folder / name).path for own, name in zip(found, names, strict=False)
    ]
    content = sector_dict(found[0])
    if len(found) > 1:
        content["against"] = sector_dict(found[1])
    show(content, "\n\n".join(sector_text(own) for own in found), as_json)
    tell_files(written, as_json)


def _mesh_progress(number, count, unknowns):
    """Tell a person at a terminal which mesh is being solved."""
    if sys.stderr.isatty():
        size = f" ({unknowns} unknowns before)" if unknowns else ""
        click.echo(f"\rSolid sector: mesh {number} of {count}{size} ... ", err=True, nl=False)


def _clear_progress():
    """Leave a clean line on a terminal."""
    if sys.stderr.isatty():
        click.echo("\r" + " " * 60 + "\r", err=True, nl=False)
