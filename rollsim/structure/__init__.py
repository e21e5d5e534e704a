"""The cage as an elastic structure: section forces and stresses in closures, bars and rings.

The main model is a frame of the whole floating cage, masses included:
`solve_cage(frame, pocket_loads(frame, cover=1000.0))` with `frame = build_cage_frame(case)`; for
histories `cage_recovery(case).section_forces(loads)`. A roller that touches a bar presses along it
with an even line load; a roller that touches the cover or the base ring pushes it axially midway
between two bars.

- `design`: numbers of a cage from its case; `sections`: areas and second moments; `cage_axes`.
- `beam`, `beams`, `beam_mass`: beams, stacked beams, their mass; `closed_forms`: to hold them
  against; `cage_mesh`: nodes, beams and bar sections.
- `boss`: rivets beside the bars; `faces`: springs over the end faces of bars and bosses.
- `cage_frame`: the assembled frame; `cage_contact`: its interface; `inertia_relief`: free bodies.
- `cage_solution`: load cases, section forces; `cage_modes`: free vibrations.
- `cage_influence`: section forces and compliances for one newton on every face of every pocket.
- `recovery`, `interface`: histories with the contact of the interface solved at every instant;
  `modal_recovery`: with the vibrations that a run drove on top.
- `hot_spots`: where a closure or a bar breaks, and the stress there; `notch`: notch factors.
- `sector_detail`: one cage sector as a solid (optional library scikit-fem), for section forces
  with elastic holes, stress in fillets and stiffness of the cover; `sector_plane`, `sector_mesh`:
  its mesh, `sector_solid`: hexahedra, `sector_contact`: faces that touch or part, `sector_read`.
"""
