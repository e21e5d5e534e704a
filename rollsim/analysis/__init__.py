"""Results taken from a history file: peaks, extremes, whirl, slip, spectra."""
