"""Where pictures come from."""

from app.playing.feed import PictureFeed
from app.playing.shown import Shown

__all__ = ["PictureFeed", "Shown"]
