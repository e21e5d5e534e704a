"""Texts, JSON data and pictures made from results.

| command | text and JSON | pictures |
| --- | --- | --- |
| `rollsim check` | `check_text` | none |
| `rollsim cage` | `cage_text` | `cage_figures`: cage_static.png, cage_modes.png; `cage_vtk` |
| `rollsim peaks` | `peaks_text` | `peaks_figures`: exceedance.png, pocket_map.png |
| `rollsim whirl` | `whirl_text` | `whirl_figures`: whirl.png, whirl_coherence.png and others |
| `rollsim whirl --measured` | `measured` | `measured`: measured.png |
| `rollsim evidence` | `inquiry_text` | `inquiry_figures`: evidence_table.png, cage_map_A.png ... |
| `rollsim fatigue` | `fatigue_table` | `fatigue_figures`: fatigue.png (S-N line, utilisation) |
| `rollsim report` | `document` | all of them, in one file |

`paper` writes pictures at a width in mm.

`style` holds the look of every picture (colours, sizes, caption, saving) and `plain_data` what the
texts share (rounding, tables, JSON-ready values). The table of impacts, impacts.csv, is written by
`rollsim.analysis.impact_table`.

Nothing is imported here: matplotlib is loaded only by the modules that draw.
"""
