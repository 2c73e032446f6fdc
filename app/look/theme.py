"""Dress Qt in a palette: fonts, colours, one style sheet."""

from __future__ import annotations

from pathlib import Path

import fontpkg_atkinson_hyperlegible
from PySide6.QtCore import QDir
from PySide6.QtGui import QColor, QFont, QFontDatabase, QPalette
from PySide6.QtWidgets import QApplication

from app.look.palette import PALETTES, Palette

FONT_FAMILY = "Atkinson Hyperlegible"
_current = {"palette": PALETTES["dark"]}


def current_palette() -> Palette:
    """The palette in use."""
    return _current["palette"]


def font_files() -> tuple[Path, ...]:
    """The interface's font files."""
    folder = Path(fontpkg_atkinson_hyperlegible.__file__).parent / "files"
    return tuple(sorted(folder.glob("*.ttf")))


def mixed(colour: str, other: str, part: float) -> str:
    """A colour with a part of another in it, 0 to 1."""
    pairs = ((int(colour[i : i + 2], 16), int(other[i : i + 2], 16)) for i in (1, 3, 5))
    return "#" + "".join(f"{round(a + (b - a) * part):02x}" for a, b in pairs)


def disabled_colour(palette: Palette) -> str:
    """Words of what cannot be used now: still to be read, and plainly not the others."""
    return mixed(palette.quiet, palette.ground, 0.28)


def chosen_colour(palette: Palette) -> str:
    """Ground of the chosen row."""
    return mixed(palette.ground, palette.accent, 0.22)


def load_fonts() -> None:
    """Make the interface's font known to Qt; the system's own serves where it fails."""
    for path in font_files():
        QFontDatabase.addApplicationFont(str(path))


def dress(app: QApplication, name: str) -> Palette:
    """Apply a theme to the whole program."""
    palette = PALETTES.get(name, PALETTES["dark"])
    _current["palette"] = palette
    QDir.setSearchPaths("look", [str(Path(__file__).parent)])
    app.setStyle("Fusion")
    font = QFont(FONT_FAMILY)
    font.setPixelSize(13)
    app.setFont(font)
    app.setPalette(_qt_palette(palette))
    app.setStyleSheet(_sheet(palette))
    return palette


def _qt_palette(palette: Palette) -> QPalette:
    roles = QPalette.ColorRole
    made = QPalette()
    for role, text in (
        (roles.Window, palette.ground),
        (roles.WindowText, palette.text),
        (roles.Base, palette.sunken),
        (roles.AlternateBase, palette.raised),
        (roles.Text, palette.text),
        (roles.Button, palette.raised),
        (roles.ButtonText, palette.text),
        (roles.ToolTipBase, palette.raised),
        (roles.ToolTipText, palette.text),
        (roles.PlaceholderText, palette.quiet),
        (roles.Highlight, palette.accent),
        (roles.HighlightedText, palette.on_accent),
        (roles.Link, palette.accent),
    ):
        made.setColor(role, QColor(text))
    for role in (roles.ButtonText, roles.WindowText, roles.Text):
        made.setColor(QPalette.ColorGroup.Disabled, role, QColor(disabled_colour(palette)))
    made.setColor(QPalette.ColorGroup.Disabled, roles.Highlight, QColor(palette.line))
    return made


def _sheet(p: Palette) -> str:
    disabled, chosen = disabled_colour(p), chosen_colour(p)
    return f"""
    QWidget {{ color: {p.text}; }}
    QDialogButtonBox {{ dialogbuttonbox-buttons-have-icons: 0; }}
    QMainWindow, QDialog {{ background: {p.ground}; }}
    QMenuBar {{ background: {p.ground}; border-bottom: 1px solid {p.line}; }}
    QMenuBar::item {{ padding: 4px 10px; background: transparent; }}
    QMenuBar::item:selected {{ background: {p.raised}; }}
    QMenu {{ background: {p.raised}; border: 1px solid {p.line}; padding: 4px; }}
    QMenu::item {{ padding: 5px 24px 5px 14px; }}
    QMenu::item:selected {{ background: {p.accent}; color: {p.on_accent}; }}
    QMenu::item:disabled {{ color: {disabled}; background: transparent; }}
    QMenu::separator {{ height: 1px; background: {p.line}; margin: 4px 8px; }}
    QToolTip {{ background: {p.raised}; color: {p.text}; padding: 3px;
        border: 1px solid {p.line}; }}
    QPushButton, QToolButton {{ background: {p.raised}; border: 1px solid {p.line};
        border-radius: 4px; padding: 4px 10px; }}
    QPushButton:hover, QToolButton:hover {{ border-color: {p.quiet}; }}
    QPushButton:focus, QToolButton:focus {{ border: 2px solid {p.accent}; padding: 3px 9px; }}
    QPushButton[small="true"], QToolButton[small="true"] {{ padding: 2px 6px; }}
    QPushButton[small="true"]:focus, QToolButton[small="true"]:focus {{ padding: 1px 5px; }}
    QPushButton[dim="true"], QToolButton[dim="true"] {{ background: {p.ground}; color: {p.quiet}; }}
    QPushButton[dim="true"]:checked, QToolButton[dim="true"]:checked {{ background: {p.ground};
        color: {p.text}; border-color: {p.quiet}; }}
    QPushButton:default {{ background: {p.accent}; color: {p.on_accent};
        border-color: {p.accent}; }}
    QPushButton:default:focus {{ border: 3px double {p.on_accent}; padding: 2px 8px; }}
    QPushButton:disabled, QToolButton:disabled {{ color: {disabled}; background: {p.ground};
        border: 1px solid {p.line}; padding: 4px 10px; }}
    QPushButton:checked, QToolButton:checked {{ background: {p.accent}; color: {p.on_accent}; }}
    QPushButton:checked:focus, QToolButton:checked:focus {{ border: 3px double {p.on_accent};
        padding: 2px 8px; }}
    QSlider {{ border: 2px solid transparent; border-radius: 4px; }}
    QSlider:focus {{ border: 2px solid {p.accent}; }}
    QCheckBox, QRadioButton {{ border: 2px solid transparent; border-radius: 4px;
        padding: 1px 4px 1px 2px; }}
    QCheckBox:focus, QRadioButton:focus {{ border: 2px solid {p.accent}; }}
    QCheckBox::indicator {{ width: 13px; height: 13px; border: 1px solid {p.idle};
        border-radius: 3px; background: {p.sunken}; }}
    QCheckBox::indicator:checked {{ background: {p.accent}; border-color: {p.accent};
        image: url(look:tick-{p.name}.svg); }}
    QLineEdit, QPlainTextEdit, QComboBox, QListView, QTreeView {{ background: {p.sunken};
        border: 1px solid {p.line}; border-radius: 4px; padding: 4px 6px;
        selection-background-color: {p.accent}; selection-color: {p.on_accent}; }}
    QLineEdit, QPlainTextEdit {{ placeholder-text-color: {p.quiet}; }}
    QLineEdit:focus, QPlainTextEdit:focus, QComboBox:focus, QListView:focus,
    QTreeView:focus {{
        border: 2px solid {p.accent}; padding: 3px 5px; }}
    QLineEdit:disabled, QPlainTextEdit:disabled, QComboBox:disabled, QListView:disabled,
    QLabel:disabled {{ color: {disabled}; }}
    QComboBox {{ padding-right: 22px; }}
    QComboBox::drop-down {{ subcontrol-origin: padding; subcontrol-position: center right;
        width: 20px; border: none; background: transparent; }}
    QComboBox::down-arrow {{ image: url(look:arrow-{p.name}.svg); width: 10px; height: 10px; }}
    QComboBox QAbstractItemView {{ background: {p.raised}; border: 1px solid {p.line};
        selection-background-color: {p.accent}; selection-color: {p.on_accent};
        padding: 2px; outline: 0; }}
    QScrollArea, QScrollArea > QWidget > QWidget {{ background: transparent; }}
    QAbstractScrollArea::corner {{ background: transparent; border: none; }}
    QListView::item:selected, QTreeView::item:selected {{
        background: {chosen}; color: {p.text}; }}
    QTabWidget::pane {{ border: none; border-top: 1px solid {p.line}; }}
    QTabBar::tab {{ background: {p.ground}; color: {p.quiet}; padding: 4px 12px;
        border: 2px solid {p.ground}; border-radius: 4px; }}
    QTabBar::tab:selected {{ background: {p.raised}; color: {p.text}; }}
    QTabBar::tab:selected:focus {{ border: 2px solid {p.accent}; }}
    QTableView {{ background: {p.ground}; border: 2px solid {p.ground};
        alternate-background-color: {p.ground}; selection-background-color: {chosen};
        selection-color: {p.text}; outline: 0; }}
    QTableView:focus {{ border: 2px solid {p.accent}; }}
    QHeaderView::section {{ background: {p.ground}; color: {p.quiet}; border: none;
        border-bottom: 1px solid {p.line}; padding: 5px 8px; text-align: left; }}
    QScrollBar:vertical {{ background: {p.ground}; width: 11px; }}
    QScrollBar:horizontal {{ background: {p.ground}; height: 11px; }}
    QScrollBar::handle {{ background: {p.idle}; border-radius: 4px; min-height: 24px;
        margin: 2px; }}
    QScrollBar::add-line, QScrollBar::sub-line {{ width: 0; height: 0; }}
    QProgressBar {{ background: {p.sunken}; border: 1px solid {p.line}; border-radius: 4px;
        text-align: center; }}
    QProgressBar::chunk {{ background: {p.accent}; border-radius: 3px; }}
    QLabel[quiet="true"] {{ color: {p.quiet}; }}
    QLabel[trouble="true"] {{ color: {p.warning}; }}
    QLabel[heading="true"] {{ color: {p.quiet}; font-size: 12px; }}
    QFrame[chosen="true"] {{ background: {chosen}; border: none; border-radius: 4px; }}
    QFrame[panel="true"] {{ background: {p.raised}; border: 1px solid {p.line};
        border-radius: 6px; }}
    """
