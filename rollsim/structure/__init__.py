"""Section forces and stresses in the closures and bars of a cage: a first beam model.

The base ring is rigid, the bars are built into it, the cover is a ring of beams on the closures. A
roller that touches a bar presses along it with an even line load; a roller that touches the cover
pushes it axially midway between two bars. `cover_frame` states every assumption.

- `design`: numbers of a cage from its case; `sections`: areas and second moments.
- `beam`, `cover_parts`, `cover_frame`: the beam model; `closed_forms`: to hold it against.
- `closure`: responses to unit forces, and from them the section forces of any forces:
  `closure_model(cage_design(case)).section_forces(cover_force, bar_force)`.
- `sector_detail`: the same cage sector as a solid (optional library scikit-fem), for section forces
  with elastic holes, stress in fillets and stiffness of the cover; `sector_plane`, `sector_mesh`:
  its mesh, `sector_solid`: hexahedra, `sector_contact`: faces that touch or part, `sector_read`.
- `hot_spots`: where a closure or a bar breaks, and the stress there; `notch`: notch factors.

A second, fuller model is a frame of the whole floating cage, base ring and masses included:
`solve_cage(frame, pocket_loads(frame, cover=1000.0))` with `frame = build_cage_frame(case)`.

- `beams`, `beam_mass`: stacked beams, their mass; `cage_mesh`: nodes, beams and bar sections.
- `boss`: rivets beside the bars; `faces`: springs over the end faces of bars and bosses.
- `cage_frame`: the assembled frame; `cage_contact`: its interface; `inertia_relief`: free bodies.
- `cage_solution`: load cases, section forces; `cage_modes`: free vibrations.
- `cage_influence`: section forces and compliances for one newton on every face of every pocket;
  `cage_history`: histories of section forces, quasi-static or with vibrations.
"""
