"""What holds for every test."""

from examples import load_profile

load_profile()
