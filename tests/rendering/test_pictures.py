"""The picture of twelve weeks."""

from __future__ import annotations

import io
import zlib
from collections.abc import Iterator
from dataclasses import replace

import pytest
from PIL import Image

from nudgebot.domain.messages.plan.plan_pages import NOTHING_YET
from nudgebot.domain.overview.progress import Progress, progress
from nudgebot.rendering.pictures import draw, forget, size_of
from nudgebot.rendering.plot_style import DARK, LIGHT, Look
from nudgebot.rendering.weeks import HEIGHT, WIDTH
from tests.rendering.books import DAY, TODAY, empty_book, full_book, run
from tests.talking import joined


def drawn(shown: Progress) -> bytes:
    picture = draw(shown)
    assert picture is not None
    return picture


def chunks(png: bytes) -> Iterator[tuple[bytes, bytes]]:
    """Kind and content of each chunk, its checksum held: ISO/IEC 15948, clause 5."""
    assert png[:8] == b"\x89PNG\r\n\x1a\n"
    at = 8
    while at < len(png):
        length = int.from_bytes(png[at : at + 4], "big")
        kind, content = png[at + 4 : at + 8], png[at + 8 : at + 8 + length]
        assert int.from_bytes(png[at + 8 + length : at + 12 + length], "big") == zlib.crc32(kind + content)
        yield kind, content
        at += 12 + length


def test_the_picture_is_a_png_of_the_size_it_says() -> None:
    picture = drawn(progress(full_book(), TODAY))
    parts = list(chunks(picture))
    header = parts[0][1]
    assert parts[0][0] == b"IHDR"
    assert (int.from_bytes(header[:4], "big"), int.from_bytes(header[4:8], "big")) == (WIDTH, HEIGHT)
    assert size_of(picture) == (WIDTH, HEIGHT)
    assert (header[8], header[9]) == (8, 6)  # eight bits a channel, red, green, blue and alpha
    rows = zlib.decompress(b"".join(content for kind, content in parts if kind == b"IDAT"))
    assert len(rows) == HEIGHT * (1 + 4 * WIDTH)
    assert parts[-1] == (b"IEND", b"")


def test_the_same_values_are_the_same_bytes_and_other_values_are_others() -> None:
    book = full_book()
    first = drawn(progress(book, TODAY))
    assert drawn(progress(full_book(), TODAY)) == first
    more = replace(book, log=(*book.log, run(TODAY, 30)))
    assert drawn(progress(more, TODAY)) != first
    assert drawn(progress(replace(book, limits=()), TODAY)) != first
    assert drawn(progress(book, TODAY + 7 * DAY)) != first


def test_a_picture_is_drawn_once_while_its_values_stay_and_anew_once_forgotten() -> None:
    first = drawn(progress(full_book(), TODAY))
    assert drawn(progress(full_book(), TODAY)) is first
    forget()
    again = drawn(progress(full_book(), TODAY))
    assert again is not first
    assert again == first


def test_a_decoder_of_others_reads_it_and_finds_the_colours_of_the_marks() -> None:
    with Image.open(io.BytesIO(drawn(progress(full_book(), TODAY)))) as image:
        assert (image.format, image.size) == ("PNG", (WIDTH, HEIGHT))
        rgb = image.convert("RGB").tobytes()
    found = {f"#{rgb[n : n + 3].hex()}" for n in range(0, len(rgb), 3)}
    assert {DARK.ground, DARK.runs, DARK.long, DARK.gaps} <= found


def test_an_empty_book_can_be_drawn() -> None:
    assert size_of(drawn(progress(empty_book(), TODAY))) == (WIDTH, HEIGHT)


@pytest.mark.parametrize("colours", [DARK, LIGHT], ids=["dark", "light"])
@pytest.mark.parametrize("mark", ["runs", "long", "gaps", "dose", "ink", "faint"])
def test_every_mark_stands_out_from_the_ground(mark: str, colours: Look) -> None:
    """At least 3 to 1 for graphical objects: WCAG 2.2, success criterion 1.4.11; the formula is its own."""

    def luminance(shade: str) -> float:
        parts = [int(shade[n : n + 2], 16) / 255 for n in (1, 3, 5)]
        red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue

    both = [luminance(getattr(colours, mark)), luminance(colours.ground)]
    assert (max(both) + 0.05) / (min(both) + 0.05) >= 3


def test_progress_prints_the_size_before_the_caption() -> None:
    said = joined("@ 2027-01-04 19:00\n20 easy\n/progress", as_json=False).out
    assert f"< [2027-01-04 19:00] Marta: [picture {WIDTH} x {HEIGHT}]\n  Minutes a week" in said


def test_json_has_a_picture_where_there_is_one() -> None:
    *_, logged, shown = joined("@ 2027-01-04 19:00\n20 easy\n/progress").messages
    assert shown["picture"] == {"width": WIDTH, "height": HEIGHT}
    assert "This week so far: 20." in shown["text"]
    assert "picture" not in logged


def test_before_the_first_run_there_are_words_alone() -> None:
    shown = joined("@ 2027-01-04 19:00\n/progress").messages[-1]
    assert shown["text"] == NOTHING_YET
    assert "picture" not in shown
