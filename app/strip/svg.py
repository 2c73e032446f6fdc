"""A strip as an SVG document, for notes and pictures on pages."""

from __future__ import annotations

from collections.abc import Sequence
from xml.sax.saxutils import escape, quoteattr

from app.strip.shapes import HALO_PX, Box, Line, Polygon, Shape, Words


def svg_text(
    shapes: Sequence[Shape], width: float, height: float, *, title: str, ground: str = ""
) -> str:
    """Write shapes as one self-contained SVG element.

    Parameters
    ----------
    title : str
        Read aloud in place of the picture.
    ground : str
        Colour behind the shapes; none where empty.
    """
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}" '
        f'role="img" aria-label={quoteattr(title)}>',
        f"<title>{escape(title)}</title>",
    ]
    if ground:
        parts.append(f'<rect width="{width:g}" height="{height:g}" fill={quoteattr(ground)}/>')
    parts.extend(_element(shape) for shape in shapes)
    parts.append("</svg>")
    return "\n".join(parts)


def _element(shape: Shape) -> str:
    match shape:
        case Box():
            return (
                f'<rect x="{shape.x:.2f}" y="{shape.y:.2f}" width="{shape.width:.2f}" '
                f'height="{shape.height:.2f}"{_fill(shape.fill, shape.opacity)}/>'
            )
        case Line():
            dash = ' stroke-dasharray="2 3"' if shape.is_dotted else ""
            return (
                f'<line x1="{shape.x1:.2f}" y1="{shape.y1:.2f}" x2="{shape.x2:.2f}" '
                f'y2="{shape.y2:.2f}" stroke={quoteattr(shape.colour)} '
                f'stroke-width="{shape.width:g}"{dash}{_opacity(shape.opacity)}/>'
            )
        case Polygon():
            points = " ".join(f"{x:.2f},{y:.2f}" for x, y in shape.points)
            return f'<polygon points="{points}"{_fill(shape.fill, shape.opacity)}/>'
        case Words():
            weight = ' font-weight="bold"' if shape.is_bold else ""
            halo = (
                f' stroke={quoteattr(shape.halo)} stroke-width="{2 * HALO_PX:g}" '
                'stroke-linejoin="round" paint-order="stroke"'
                if shape.halo
                else ""
            )
            return (
                f'<text x="{shape.x:.2f}" y="{shape.y:.2f}" font-size="{shape.size:g}" '
                f'font-family="Atkinson Hyperlegible, sans-serif" text-anchor="{shape.anchor}" '
                f"fill={quoteattr(shape.colour)}{weight}{halo}>{escape(shape.text)}</text>"
            )


def _fill(colour: str, opacity: float) -> str:
    return f" fill={quoteattr(colour)}{_opacity(opacity)}"


def _opacity(value: float) -> str:
    return "" if value >= 1 else f' opacity="{value:g}"'
