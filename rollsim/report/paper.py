"""Figures for papers: a width in mm, type that stays readable, the caption beside them.

A picture of rollsim is laid out with type of 11 points. For a column of a paper it is laid out
narrower with the same type and then made smaller as a whole, lines and marks included, so that type
keeps between 7.5 and 9 points and nothing has to be drawn twice.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

MM_PER_INCH = 25.4
NARROWEST_MM, WIDEST_MM = 60.0, 400.0
PAPER_DOTS_PER_INCH = 600
# Type of the pictures in points, and the smallest and largest on paper (our own choice).
_TYPE, _LEAST_TYPE, _MOST_TYPE = 11.0, 7.5, 9.0
_PDF_IMAGE_DOTS = 300


@dataclass
class Page:
    """How pictures are written within `on_page`.

    Attributes
    ----------
    width_mm : float or None
        Width on paper; None keeps the size of the screen picture.
    suffix : str
        Suffix of the files, "" for what each call asks for.
    tables : bool
        Write what every figure shows as CSV beside it.
    beside : list of Path
        Files that were written beside the pictures: captions and numbers.
    """

    width_mm: float | None = None
    suffix: str = ""
    tables: bool = False
    beside: list[Path] = field(default_factory=list)

    def scale_of(self, wanted: float) -> float:
        """Factor by which a picture is made smaller.

        Parameters
        ----------
        wanted : float, in
            Width for which the picture was designed.

        Returns
        -------
        float
            1 without a width on paper.
        """
        if self.width_mm is None:
            return 1.0
        free = self.width_mm / MM_PER_INCH / wanted
        return min(max(free, _LEAST_TYPE / _TYPE), _MOST_TYPE / _TYPE)

    def layout(self, width: float, height: float) -> tuple[float, float]:
        """Size in inches in which a picture is laid out before it is made smaller.

        Parameters
        ----------
        width, height : float, in
            Size for which it was designed.

        Returns
        -------
        tuple of float
        """
        if self.width_mm is None:
            return width, height
        return self.width_mm / MM_PER_INCH / self.scale_of(width), height


_PAGE: ContextVar[Page] = ContextVar("page", default=Page())  # noqa: B039 - never written to


@contextmanager
def on_page(width_mm: float | None, suffix: str = "", tables: bool = False) -> Iterator[Page]:
    """Write every picture inside the `with` block for paper.

    Parameters
    ----------
    width_mm : float or None, mm
        Width on paper; None keeps the size of the screen picture.
    suffix : str
        .png, .svg or .pdf for all; "" keeps what each picture asks for.
    tables : bool
        Write what every figure shows as CSV beside it.
    """
    page = Page(width_mm, suffix, tables)
    token = _PAGE.set(page)
    try:
        yield page
    finally:
        _PAGE.reset(token)


def page() -> Page:
    """Return how pictures are written at the moment.

    Returns
    -------
    Page
    """
    return _PAGE.get()


def write_scaled(figure: Any, path: Path, kind: str, scale: float, metadata: dict) -> None:
    """Write a figure, made smaller as a whole.

    Parameters
    ----------
    figure : Figure
        Laid out by `Page.layout`.
    path : Path
        File.
    kind : str
        png, svg or pdf.
    scale : float
        From `Page.scale_of`.
    metadata : dict
        As matplotlib takes it.
    """
    if kind == "pdf":
        _write_pdf(figure, path, scale, metadata)
        return
    more = {"pil_kwargs": {"dpi": (PAPER_DOTS_PER_INCH,) * 2}} if kind == "png" else {}
    dots = PAPER_DOTS_PER_INCH * scale
    figure.savefig(path, format=kind, dpi=dots, metadata=metadata, **more)
    if kind == "svg":
        size = [MM_PER_INCH * scale * inches for inches in figure.get_size_inches()]
        text = path.read_text(encoding="utf-8")
        path.write_text(_sized(text, *size), encoding="utf-8")


def _sized(svg: str, width: float, height: float) -> str:
    """The drawing with another size on paper, mm; what is inside stays as it is."""
    head, mark, rest = svg.partition("viewBox")
    head = re.sub(r'width="[^"]*"', f'width="{width:.3f}mm"', head)
    head = re.sub(r'height="[^"]*"', f'height="{height:.3f}mm"', head)
    # The size may stand behind the view box.
    tag, end, inside = rest.partition(">")
    tag = re.sub(r'\bwidth="[^"]*"', f'width="{width:.3f}mm"', tag)
    tag = re.sub(r'\bheight="[^"]*"', f'height="{height:.3f}mm"', tag)
    return head + mark + tag + end + inside


def _write_pdf(figure: Any, path: Path, scale: float, metadata: dict) -> None:
    """Write a page of the final size whose first instruction makes everything smaller.

    Text stays text and can be selected.
    """
    from matplotlib.backends.backend_mixed import MixedModeRenderer
    from matplotlib.backends.backend_pdf import Op, PdfFile, RendererPdf

    kept = figure.dpi
    figure.dpi = 72
    width, height = figure.get_size_inches()
    file = PdfFile(path, metadata=metadata)
    try:
        file.newPage(scale * width, scale * height)
        # Paths that leave the page are cut off by this size, in units before the scaling.
        file.width, file.height = width, height
        file.output(scale, 0, 0, scale, 0, 0, Op.concat_matrix)
        renderer = MixedModeRenderer(
            figure,
            width,
            height,
            _PDF_IMAGE_DOTS,
            RendererPdf(file, _PDF_IMAGE_DOTS, height, width),
            bbox_inches_restore=None,
        )
        figure.draw(renderer)
        renderer.finalize()
        file.finalize()
    finally:
        file.close()
        figure.dpi = kept
