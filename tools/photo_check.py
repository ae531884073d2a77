#!/usr/bin/env python3
"""Writes validation/photos: small invented pictures with what a camera writes beside them, and what Pillow reads from them.

    python3 -m venv env && env/bin/pip install -r tools/photo_requirements.txt && env/bin/python tools/photo_check.py

The pictures are drawn here: a slope of grey with one coloured patch in each corner. Encoders and the values in
expected.csv are those of Pillow and pillow-heif; the Rust code uses neither.
"""

import csv
import io
from pathlib import Path

import numpy as np
import pillow_heif
from PIL import Image, ImageOps

pillow_heif.register_heif_opener()
OUT = Path(__file__).resolve().parent.parent / "validation" / "photos"
WIDTH, HEIGHT, PATCH = 96, 64, 16
CORNERS = {"upper_left": (255, 0, 0), "upper_right": (0, 200, 0), "lower_left": (0, 0, 255), "lower_right": (230, 200, 0)}


def drawn() -> Image.Image:
    grey = np.linspace(60, 200, WIDTH, dtype=np.uint8)
    picture = np.repeat(np.repeat(grey[None, :, None], HEIGHT, 0), 3, 2).copy()
    for name, colour in CORNERS.items():
        rows = slice(0, PATCH) if name.startswith("upper") else slice(HEIGHT - PATCH, HEIGHT)
        columns = slice(0, PATCH) if name.endswith("left") else slice(WIDTH - PATCH, WIDTH)
        picture[rows, columns] = colour
    return Image.fromarray(picture)


def block(orientation=1, time="2026:03:06 10:12:44", offset=None, place=False) -> bytes:
    exif = Image.Exif()
    exif[0x0112] = orientation
    inner = exif.get_ifd(0x8769)
    if time:
        inner[0x9003] = time
    if offset:
        inner[0x9011] = offset
    if place:
        gps = exif.get_ifd(0x8825)
        gps.update({1: "N", 2: (46.0, 30.0, 0.0), 3: "E", 4: (7.0, 15.0, 0.0)})
    return exif.tobytes()


def corners(picture: Image.Image) -> list[str]:
    width, height = picture.size
    half = PATCH // 2
    places = [(half, half), (width - half, half), (half, height - half), (width - half, height - half)]
    return [" ".join(str(c) for c in picture.getpixel(place)) for place in places]


def main() -> None:
    OUT.mkdir(parents=True, exist_ok=True)
    picture = drawn()
    rows = []

    def write(name, kind, save, **said):
        data = io.BytesIO()
        save(data, block(**said) if said is not None else None)
        (OUT / name).write_bytes(data.getvalue())
        opened = Image.open(io.BytesIO(data.getvalue()))
        upright = ImageOps.exif_transpose(opened).convert("RGB")
        exif = opened.getexif()
        inner = exif.get_ifd(0x8769)
        rows.append(
            [name, kind, *upright.size, inner.get(0x9003, ""), inner.get(0x9011, ""), int(bool(exif.get_ifd(0x8825)))]
            + corners(upright)
        )

    jpeg = lambda data, exif: picture.save(data, "JPEG", quality=92, exif=exif)
    for orientation in range(1, 9):
        write(f"jpeg_{orientation}.jpg", "JPEG", jpeg, orientation=orientation)
    write("jpeg_place.jpg", "JPEG", jpeg, offset="+01:00", place=True)
    write("jpeg_clock_not_set.jpg", "JPEG", jpeg, time="0000:00:00 00:00:00")
    write("png_6.png", "PNG", lambda d, e: picture.save(d, "PNG", exif=e), orientation=6, place=True)
    write("webp_8.webp", "WebP", lambda d, e: picture.save(d, "WEBP", quality=92, exif=e), orientation=8, place=True)
    # Orientation in a HEIC photo stands in the container.
    heic = lambda data, exif: picture.save(data, "HEIF", quality=92, exif=exif)
    write("heic_1.heic", "HEIC", heic, offset="-05:00", place=True)
    write("heic_6.heic", "HEIC", heic, orientation=6)
    with open(OUT / "expected.csv", "w", newline="") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(["file", "kind", "width", "height", "taken", "offset", "place", *CORNERS])
        out.writerows(rows)


main()
