from __future__ import annotations

from annotate.tags import Leaning
from app.demo.remarks import review_plans

MOST_WORDS = 60


def test_remarks_are_short_and_each_is_said_once() -> None:
    texts = [remark.text for plan in review_plans() for remark in plan.remarks]
    assert len(texts) == len(set(texts))
    assert all(3 <= len(text.split()) <= MOST_WORDS for text in texts)


def test_every_review_says_something_good() -> None:
    for plan in review_plans():
        assert Leaning.COMMEND in {remark.leaning for remark in plan.remarks}
