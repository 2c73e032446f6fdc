"""Where the program keeps things on this machine."""

from __future__ import annotations

from pathlib import Path

import platformdirs

from annotate.folders import is_folder

_NAME = "scrubline"


def data_folder() -> Path:
    """Folder of the store; the patients' data stay in it."""
    return Path(platformdirs.user_data_path(_NAME, appauthor=False))


def default_store() -> Path:
    """The store that is opened when none is named."""
    return data_folder() / "desk.sqlite"


def demo_store() -> Path:
    """The demo's own store, apart from real cases."""
    return data_folder() / "demo" / "demo.sqlite"


def settings_file() -> Path:
    """The user's settings."""
    return Path(platformdirs.user_config_path(_NAME, appauthor=False)) / "settings.toml"


def report_folder() -> Path:
    """Folder for reports of the program's own faults."""
    return Path(platformdirs.user_log_path(_NAME, appauthor=False))


def looks_folder() -> Path:
    """How each case is looked at on this desk: one small file a case."""
    return data_folder() / "looks"


def vocabularies_folder() -> Path:
    """Vocabularies that were changed or made on this desk: one file each, by name."""
    return data_folder() / "vocabularies"


def documents_folder() -> Path:
    """Where files that the user asked for begin to be looked for: documents, else home."""
    documents = Path(platformdirs.user_documents_path())
    return documents if is_folder(documents) else Path.home()
