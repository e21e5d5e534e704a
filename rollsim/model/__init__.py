"""From a case to the numbers of the kernels: geometry, inertia, vibration, statics, start."""
