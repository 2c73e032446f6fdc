"""Rendered sample clips with known truth, and the program that renders them. The scenario is invented."""
