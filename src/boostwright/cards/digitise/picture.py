"""Opening the picture of a map: what it is is told from its bytes, its size is bounded, and it is written anew.

Decoding is the picture library's; what is kept is a fresh PNG of the pixels alone, so that nothing that hides in a
file (comments, positions, trailing bytes) is passed on.
"""

from __future__ import annotations

import hashlib
import io
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageOps

from boostwright.errors import Fault, FaultyInput

__all__ = [
    "LARGEST_BYTES",
    "LARGEST_SIDE",
    "MOST_PIXELS",
    "Picture",
    "PictureError",
    "colours_of",
    "open_picture",
]

LARGEST_BYTES = 24_000_000
"""A file larger than this is refused before it is looked into."""
MOST_PIXELS = 60_000_000
"""A picture of more is refused: some kilobytes can unpack to gigabytes."""
LARGEST_SIDE = 4000
"""A picture longer than this is made smaller: a pixel is then still 0.03 % of the axis."""
_SMALLEST_SIDE = 80
_BEGINNINGS = ((b"\x89PNG\r\n\x1a\n", "PNG"), (b"\xff\xd8\xff", "JPEG"), (b"RIFF", "WEBP"))
_ALLOWED = "a PNG, JPEG or WebP picture of at most 24 MB and 60 million pixels"
_FLAT_SHARE = 0.35
"""Share of the picture that the paper of a plot takes at least, in patches of one colour; own estimate."""
_PATCH = 8

Pixels = NDArray[np.uint8]


class PictureError(FaultyInput):
    """What was given cannot be read as a picture; nothing was kept and nothing was lost."""


@dataclass(frozen=True)
class Picture:
    """A picture, written anew.

    png       the file to keep
    width     [pixels]
    height    [pixels]
    sha256    of ``png``
    source    sha256 of the bytes that were given
    scale     size now over size as given; 1 unless it was made smaller
    warnings  why it may be no plot
    """

    png: bytes
    width: int
    height: int
    sha256: str
    source: str
    scale: float
    warnings: tuple[Fault, ...] = ()


def open_picture(data: bytes, place: str = "picture") -> Picture:
    """The picture in ``data``.

    place  its name, for messages
    Raises PictureError: empty, too large, of no known kind, damaged, or too small to read.
    """
    kind = _kind(data, place)
    try:
        with Image.open(io.BytesIO(data), formats=[kind]) as opened:
            if opened.width * opened.height > MOST_PIXELS:
                message = f"would unpack to {opened.width} x {opened.height} pixels."
                raise PictureError([Fault(place, "", "", message, _ALLOWED, "Save a smaller one.")])
            opened.load()
            upright = ImageOps.exif_transpose(opened)
            image = _on_white(upright)
    except PictureError:
        raise
    except Image.DecompressionBombError as error:
        message = "would unpack to hundreds of millions of pixels."
        raise PictureError([Fault(place, "", "", message, _ALLOWED, "Save a smaller one.")]) from error
    except (OSError, ValueError, SyntaxError, EOFError) as error:
        message = f"is a damaged {kind} file and cannot be read to its end."
        remedy = "Save or copy the picture again. Nothing was changed."
        raise PictureError([Fault(place, "", "", message, _ALLOWED, remedy)]) from error
    if min(image.size) < _SMALLEST_SIDE:
        message = f"has {image.width} x {image.height} pixels: too few to read values from."
        allowed = f"at least {_SMALLEST_SIDE} on each side; 1000 across are comfortable"
        raise PictureError([Fault(place, "", "", message, allowed, "Take a larger copy of it.")])
    scale = min(1.0, LARGEST_SIDE / max(image.size))
    if scale < 1.0:
        size = (round(image.width * scale), round(image.height * scale))
        image = image.resize(size, Image.Resampling.LANCZOS)
    stream = io.BytesIO()
    image.save(stream, "PNG", compress_level=4)
    png = stream.getvalue()
    return Picture(
        png,
        image.width,
        image.height,
        hashlib.sha256(png).hexdigest(),
        hashlib.sha256(data).hexdigest(),
        scale,
        tuple(_doubts(np.asarray(image), place)),
    )


def colours_of(png: bytes) -> Pixels:
    """Colours (height, width, 3) of a picture that was kept, 0 to 255. Raises PictureError when it is damaged."""
    try:
        with Image.open(io.BytesIO(png), formats=["PNG"]) as opened:
            return np.array(opened.convert("RGB"))
    except (OSError, ValueError, SyntaxError, EOFError, Image.DecompressionBombError) as error:
        message = "the picture that was kept is damaged."
        raise PictureError([Fault("picture", "", "", message, "", "Give the picture again.")]) from error


def _kind(data: bytes, place: str) -> str:
    """Name of the format, from the first bytes."""
    if not data:
        raise PictureError([Fault(place, "", "", "is empty.", _ALLOWED)])
    if len(data) > LARGEST_BYTES:
        message = f"is {len(data) / 1e6:.0f} MB."
        raise PictureError([Fault(place, "", "", message, _ALLOWED, "Save it smaller, or cut out the map.")])
    for beginning, kind in _BEGINNINGS:
        if data.startswith(beginning) and (kind != "WEBP" or data[8:12] == b"WEBP"):
            return kind
    what = "a PDF; open it and save the page or the map as a picture" if data.startswith(b"%PDF") else ""
    if data[:256].lstrip().lower().startswith((b"<svg", b"<?xml", b"<!doctype", b"<html")):
        what = "a page or a drawing in text; open it and save what you see as a picture"
    message = "is no picture that can be read" + (f": it is {what.split(';')[0]}." if what else ".")
    remedy = (
        (what.partition(";")[2].strip().capitalize() + ".") if what else "A screenshot of the map will do."
    )
    raise PictureError([Fault(place, "", "", message, _ALLOWED, remedy)])


def _on_white(image: Image.Image) -> Image.Image:
    """The picture in three colours; what is transparent lies on white paper."""
    if image.mode in ("RGBA", "LA", "PA") or "transparency" in image.info:
        whole = image.convert("RGBA")
        paper = Image.new("RGBA", whole.size, (255, 255, 255, 255))
        return Image.alpha_composite(paper, whole).convert("RGB")
    if image.mode in ("I;16", "I", "F"):
        values = np.asarray(image, dtype=float)
        values = 255.0 * (values - values.min()) / max(float(np.ptp(values)), 1e-9)
        return Image.fromarray(values.astype(np.uint8)).convert("RGB")
    return image.convert("RGB")


def _doubts(colours: Pixels, place: str) -> list[Fault]:
    """Why this may be no plot: nothing in it, or no even paper behind it."""
    grey = colours.astype(np.float32).mean(axis=2)
    if float(np.ptp(grey)) < 12.0:
        return [Fault(place, "", "", "shows one even surface: there is nothing to read.", severity="warning")]
    rows, columns = (n // _PATCH * _PATCH for n in grey.shape)
    patches = grey[:rows, :columns].reshape(rows // _PATCH, _PATCH, columns // _PATCH, _PATCH)
    spread = patches.std(axis=(1, 3))
    if float(np.mean(spread < 4.0)) < _FLAT_SHARE:
        message = "does not look like a plot: there is hardly any even paper in it."
        remedy = "Go on if it is one after all, or give another picture."
        return [Fault(place, "", "", message, "", remedy, severity="warning")]
    return []
