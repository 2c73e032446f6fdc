"""Rendered sample clips with known truth, and the program that renders them.

The scenario is invented: codes only, nobody's operation, and shown shortened in time. `render`
makes the clips, `catalogue` lists them as cases, `truth` says what a truth file holds.
"""
