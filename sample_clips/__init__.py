"""Rendered sample clips with known truth, and their renderer. The scenario is invented."""
