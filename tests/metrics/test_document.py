from __future__ import annotations

import json
from typing import Any

from hypothesis import given
from tag_rows import WORDS, session_tags, tag

from annotate.tags import Tag
from metrics.document import figures_document
from metrics.from_tags import figures

KEYS: dict[str, set[str]] = {
    "": {
        "observed_s",
        "phases",
        "idle",
        "transitions",
        "order",
        "events",
        "conflicts",
        "operator_only",
    },
    "phases": {
        "code",
        "label",
        "visits",
        "visit_s",
        "total_s",
        "active_s",
        "share",
        "first_start_s",
        "last_end_s",
    },
    "idle": {
        "total_s",
        "share",
        "untagged_s",
        "tagged_s",
        "by_reason",
        "longest_s",
        "longest_at_s",
    },
    "transitions": {"from", "to", "count"},
    "order": {"observed", "distance", "missing", "repeated", "out_of_order"},
    "events": {"total", "by_code", "by_leaning", "by_weight", "per_minute"},
    "conflicts": {"first", "second", "start_s", "end_s"},
}


def check_keys(document: dict[str, Any]) -> None:
    assert set(document) == KEYS[""]
    for name, keys in KEYS.items():
        if not name:
            continue
        parts = document[name] if isinstance(document[name], list) else [document[name]]
        assert all(set(part) == keys for part in parts)


@given(session_tags())
def test_the_document_is_json_with_the_agreed_keys(tags: list[Tag]) -> None:
    document = figures_document(figures(tags, WORDS))
    assert json.loads(json.dumps(document, allow_nan=False)) == document
    check_keys(document)
    if document["operator_only"] is not None:
        check_keys(document["operator_only"])
        assert document["operator_only"]["operator_only"] is None


def test_a_worked_document() -> None:
    tags = [
        tag("phase", "cortex", 1.5, 11.5),
        tag("phase", "polish", 10.5, 21.5),
        tag("idle", "wait", 2, 4.25),
        tag("event", "good-move", 3),
        tag("hand-over", "attending", 11.5, 30),
    ]
    document = figures_document(figures(tags, WORDS))
    assert document["observed_s"] == 20.0
    assert document["phases"][0] == {
        "code": "cortex",
        "label": "Cortex removal",
        "visits": 1,
        "visit_s": [10.0],
        "total_s": 10.0,
        "active_s": 7.75,
        "share": 0.5,
        "first_start_s": 1.5,
        "last_end_s": 11.5,
    }
    assert document["idle"]["by_reason"] == {"wait": 2.25}
    assert document["idle"]["longest_at_s"] == 2.0
    assert document["transitions"] == [{"from": "cortex", "to": "polish", "count": 1}]
    assert document["events"]["by_leaning"] == {"commend": 1}
    assert document["events"]["by_weight"] == {"1": 1}
    assert document["events"]["per_minute"] == 3.0
    assert document["conflicts"] == [
        {"first": "cortex", "second": "polish", "start_s": 10.5, "end_s": 11.5}
    ]
    assert document["operator_only"]["observed_s"] == 10.0
    assert document["operator_only"]["phases"][1]["visit_s"] == [1.0]
