"""The review screen: player, timeline, tag pad, comments, figures."""
