"""Shared by all tests: repeatable property tests."""

from hypothesis import HealthCheck, settings

settings.register_profile(
    "house",
    derandomize=True,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
settings.load_profile("house")
