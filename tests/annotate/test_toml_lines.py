from __future__ import annotations

from annotate.toml_lines import TomlLines

TEXT = """\
name = "x"
# [[phase]] in a comment

[[phase]]
code = "a"
good = \"\"\"
[[phase]]
code = "not one"
\"\"\"
[[phase.limit]]
unit = "mm"

[[phase]]
"code" = "b"
  [[ phase . limit ]]
  unit = "kg"
  [[phase.limit]]
  unit = "s"
[other]
code = 1
"""


def test_keys_and_tables_are_found_on_their_lines() -> None:
    lines = TomlLines(TEXT)
    assert lines.of("name") == 1
    assert lines.of("phase", 0) == 4
    assert lines.of("phase", 0, "code") == 5
    assert lines.of("phase", 0, "limit", 0, "unit") == 11
    assert lines.of("phase", 1, "code") == 14
    assert lines.of("phase", 1, "limit", 0, "unit") == 16
    assert lines.of("phase", 1, "limit", 1, "unit") == 18
    assert lines.of("other", "code") == 20


def test_an_unknown_place_falls_back_to_what_is_around_it() -> None:
    lines = TomlLines(TEXT)
    assert lines.of("phase", 1, "label") == 13
    assert lines.of("phase", 1, "limit", 1, "source") == 17
    assert lines.of("nothing") == 1
