"""Results taken from a history file.

- `peaks`: pocket and land forces, from `contacts` (statistics of episodes), `force_scan` (rms and
  maxima), `declustering` (independent peaks, exceedance), `extremes` (tail fit, return level; from
  `pareto`, `tail_posterior` and `thresholds`) and `extrapolation` (whether a run carries a level);
  `impact_table`: episodes as a CSV file.
- `whirl`: motion of the cage, from `orbit`, `orbit_measures`, `spectra` (full spectrum, kinematic
  lines), `imposed_lines` (exciters and sines), `slip` and `whirl_class` (the word for it).
- `pooling`: one tail from several runs; `intervals`: any statistic over replicates, and the ratio
  of two sets with the odds that one is the smaller.
- `settled`: the part of a history that counts; `reduction`: extremes of blocks.
"""
