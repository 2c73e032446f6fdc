"""What a case strip says at a moment, in words."""

from __future__ import annotations

from collections.abc import Mapping

from annotate.clock import short_time, shown
from annotate.markup import Markup
from annotate.tags import Comment, Tag, TagKind

_LONGEST_REMARK = 90


def words_at(markup: Markup, labels: Mapping[str, str], time_us: int, slack_us: int) -> str:
    """Say the time, what is tagged then, and what is within `slack_us` of it, a line each.

    Parameters
    ----------
    time_us, slack_us : int
        The moment, and how near an instant counts as there, microseconds.
    """
    lines = [short_time(time_us)]
    spans = [tag for tag in markup.tags if _holds(tag, time_us)]
    if not any(tag.kind is TagKind.PHASE for tag in spans):
        lines[0] += "  nothing tagged"
    lines += [_span_words(tag, labels) for tag in spans]
    near = [tag for tag in markup.tags if tag.kind is TagKind.EVENT]
    lines += [
        f"{labels.get(tag.code, tag.code)}, at {short_time(tag.start_us)}"
        for tag in near
        if abs(tag.start_us - time_us) <= slack_us
    ]
    lines += [
        _remark_words(comment)
        for comment in markup.comments
        if abs(comment.start_us - time_us) <= slack_us
    ]
    return "\n".join(lines)


def _holds(tag: Tag, time_us: int) -> bool:
    if tag.kind is TagKind.EVENT or tag.end_us is None:
        return False
    return tag.start_us <= time_us < tag.end_us


def _span_words(tag: Tag, labels: Mapping[str, str]) -> str:
    until = short_time(tag.end_us or tag.start_us)
    what = {
        TagKind.PHASE: labels.get(tag.code, tag.code),
        TagKind.IDLE: f"idle: {labels.get(tag.code, tag.code)}",
        TagKind.HAND_OVER: f"{tag.code} operates",
    }[tag.kind]
    return f"{what}, {short_time(tag.start_us)} to {until}"


def _remark_words(comment: Comment) -> str:
    return f"“{shown(comment.text, _LONGEST_REMARK)}”"
