"""Measurements of the project's own speed, as ratios taken in one run."""
