"""Shared by all tests: repeatable property tests, and one thread a process for small matrices."""

import os

# Before numpy is first imported: threads that spin over 100 x 100 matrices only get in each
# other's way when several tests run at once.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from hypothesis import HealthCheck, settings

settings.register_profile(
    "house",
    derandomize=True,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
settings.load_profile("house")

collect_ignore_glob = ["*conftest.py"]
"""Not searched for doctests: two modules of one name in one process would refuse each other."""
