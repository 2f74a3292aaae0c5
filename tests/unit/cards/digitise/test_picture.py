"""Pictures opened: told by their bytes, bounded, written anew; what is none is refused with words."""

from __future__ import annotations

import io
import struct
import zlib

import numpy as np
import pytest
from PIL import Image, PngImagePlugin

from boostwright.cards.digitise import picture as module
from boostwright.cards.digitise.picture import PictureError, colours_of, open_picture


def plot(width: int = 400, height: int = 300) -> Image.Image:
    pixels = np.full((height, width, 3), 255, dtype=np.uint8)
    pixels[40:42, 40:-20] = pixels[40:-20, 40:42] = 0
    way = np.arange(20, min(height, 200))
    pixels[way, way] = (200, 30, 30)
    return Image.fromarray(pixels)


def saved(image: Image.Image, kind: str, **how: object) -> bytes:
    stream = io.BytesIO()
    image.save(stream, kind, **how)
    return stream.getvalue()


@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_pixels_are_kept(kind: str) -> None:
    how = {"lossless": True} if kind == "WEBP" else {}
    opened = open_picture(saved(plot(), kind, **how))
    assert (opened.width, opened.height, opened.scale) == (400, 300, 1.0)
    assert np.array_equal(colours_of(opened.png), np.asarray(plot()))
    assert not opened.warnings


def test_jpeg_is_close() -> None:
    opened = open_picture(saved(plot(), "JPEG", quality=95))
    assert np.mean(np.abs(colours_of(opened.png).astype(float) - np.asarray(plot()))) < 2.0


def test_nothing_but_the_pixels_is_passed_on() -> None:
    about = PngImagePlugin.PngInfo()
    about.add_text("Comment", "secret place")
    data = saved(plot(), "PNG", pnginfo=about) + b"trailing secret"
    assert b"secret" in data
    assert b"secret" not in open_picture(data).png


def test_a_photograph_that_lies_on_its_side_is_put_upright() -> None:
    exif = Image.Exif()
    exif[0x0112] = 6
    opened = open_picture(saved(plot(), "JPEG", exif=exif))
    assert (opened.width, opened.height) == (300, 400)


def test_what_is_transparent_lies_on_white() -> None:
    image = Image.new("RGBA", (200, 150), (0, 0, 0, 0))
    image.paste((0, 0, 0, 255), (20, 20, 180, 22))
    colours = colours_of(open_picture(saved(image, "PNG")).png)
    assert tuple(colours[100, 100]) == (255, 255, 255)
    assert tuple(colours[21, 100]) == (0, 0, 0)


def test_a_large_picture_is_made_smaller_and_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "LARGEST_SIDE", 200)
    opened = open_picture(saved(plot(), "PNG"))
    assert (opened.width, opened.height, opened.scale) == (200, 150, 0.5)


def bomb(width: int, height: int) -> bytes:
    """A PNG of some bytes that says it is of that size."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(b"\0" * 1000))
        + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "is empty"),
        (b"GIF89a" + b"\0" * 100, "is no picture that can be read"),
        (b"%PDF-1.7 ...", "it is a PDF"),
        (b"<svg xmlns=''></svg>", "a page or a drawing in text"),
        (b"<!DOCTYPE html><html>", "a page or a drawing in text"),
        (b"RIFF\0\0\0\0WAVEfmt ", "is no picture"),
        (b"\x89PNG\r\n\x1a\n", "damaged PNG"),
        (b"\xff\xd8\xff\xe0" + b"\0" * 50, "damaged JPEG"),
        (saved(plot(), "PNG")[:-40], "damaged PNG"),
        (saved(plot(), "JPEG")[:900], "damaged JPEG"),
        (bomb(9_000, 9_000), "would unpack to 9000 x 9000"),
        (bomb(30_000, 30_000), "would unpack to hundreds of millions"),
        (bomb(200_000, 200_000), "unpack|damaged"),
        (saved(plot(60, 50), "PNG"), "60 x 50 pixels: too few"),
    ],
)
def test_what_is_no_picture_is_refused_with_words(data: bytes, words: str) -> None:
    with pytest.raises(PictureError, match=words) as caught:
        open_picture(data, "map.png")
    assert all(fault.place == "map.png" for fault in caught.value.faults)


def test_a_huge_file_is_not_looked_into() -> None:
    with pytest.raises(PictureError, match="is 25 MB"):
        open_picture(b"\x89PNG\r\n\x1a\n" + b"\0" * 25_000_000)


def test_every_cut_of_a_file_is_refused_or_read(tmp_path: object) -> None:
    for kind in ("PNG", "JPEG", "WEBP"):
        data = saved(plot(), kind)
        for end in np.linspace(0, len(data), 40).astype(int):
            try:
                open_picture(data[:end])
            except PictureError:
                continue


def test_a_photograph_of_something_is_asked_about() -> None:
    rng = np.random.default_rng(2)
    noise = Image.fromarray(rng.integers(0, 255, (60, 80, 3), dtype=np.uint8)).resize(
        (640, 480), Image.Resampling.BICUBIC
    )
    opened = open_picture(saved(noise, "JPEG"))
    assert "does not look like a plot" in opened.warnings[0].message
    assert opened.warnings[0].severity == "warning"


def test_an_even_surface_is_asked_about() -> None:
    opened = open_picture(saved(Image.new("RGB", (300, 200), (250, 250, 250)), "PNG"))
    assert "nothing to read" in opened.warnings[0].message


def test_a_kept_picture_that_was_damaged_says_so() -> None:
    with pytest.raises(PictureError, match="the picture that was kept is damaged"):
        colours_of(b"\x89PNG\r\n\x1a\nxx")
