"""Section forces and stresses in the closures and bars of a cage: a first beam model.

The base ring is rigid, the bars are built into it, the cover is a ring of beams on the closures. A
roller that touches a bar presses along it with an even line load; a roller that touches the cover
pushes it axially midway between two bars. `cover_frame` states every assumption.

- `design`: numbers of a cage from its case; `sections`: areas and second moments.
- `beam`, `cover_parts`, `cover_frame`: the beam model; `closed_forms`: to hold it against.
- `closure`: responses to unit forces, and from them the section forces of any forces:
  `closure_model(cage_design(case)).section_forces(cover_force, bar_force)`.
- `hot_spots`: where a closure or a bar breaks, and the stress there; `notch`: notch factors.
"""
