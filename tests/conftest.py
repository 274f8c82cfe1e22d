"""What every test shares: repeatable searches, and figures drawn without a screen."""

import os

from hypothesis import settings

# Before anything imports matplotlib: no window system is asked for.
os.environ["MPLBACKEND"] = "Agg"

# No deadline: a slow machine is not a fault. CI searches the same examples every time, so that a red run is
# about the change it judges; at the desk each run searches anew.
settings.register_profile("desk", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True, print_blob=True)
settings.load_profile("ci" if os.environ.get("CI") else "desk")
