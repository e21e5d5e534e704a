"""Cage structure: section forces and stresses of closures and bars, first beam model.

`closure_section_forces(case, cover_force_per_roller, bar_force)` is the one entry that the fatigue
part relies on; how the forces are found (`cover_frame`) can change behind it.
"""
