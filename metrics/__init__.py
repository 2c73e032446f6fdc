"""Figures from tags, tracks and points: pure functions, no files, no SQL, no Qt."""
