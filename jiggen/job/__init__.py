"""A job file turned into a Job: what the installer said, in mm, N, radians and K, nothing derived."""
