"""Colours, hatches and fonts: how the desk and everything it hands back look."""
