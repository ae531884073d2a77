#!/usr/bin/env python3
"""Makes the fonts in assets/fonts/ from two npm packages.

    python3 -m venv target/fonts-venv
    target/fonts-venv/bin/pip install fonttools brotli
    target/fonts-venv/bin/python tools/make_fonts.py

Source Serif 4 carries the reserved font name "Source", so its outlines are shipped as they came: the TTF is a copy, the
woff2 is the same file, compressed without loss. Atkinson Hyperlegible Next reserves no name; its digits are made tabular
by default (the PDF writer has no switch for them), and the signs that the family lacks are drawn here from strokes of the
weight of its minus sign.
"""

import hashlib
import math
import pathlib
import shutil
import subprocess
import sys
import tempfile

from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.pens.transformPen import TransformPen
from fontTools.ttLib import TTFont

OUT = pathlib.Path(__file__).resolve().parent.parent / "assets" / "fonts"
PACKAGES = ["@expo-google-fonts/atkinson-hyperlegible-next@0.4.1", "@expo-google-fonts/source-serif-4@0.4.1"]
# what is taken, what it becomes, and the SHA-256 of what was taken
FACES = [
    ("atkinson-hyperlegible-next/400Regular/AtkinsonHyperlegibleNext_400Regular.ttf", "AtkinsonHyperlegibleNext-Regular"),
    ("atkinson-hyperlegible-next/600SemiBold/AtkinsonHyperlegibleNext_600SemiBold.ttf", "AtkinsonHyperlegibleNext-SemiBold"),
    ("atkinson-hyperlegible-next/400Regular_Italic/AtkinsonHyperlegibleNext_400Regular_Italic.ttf", "AtkinsonHyperlegibleNext-Italic"),
    ("source-serif-4/400Regular/SourceSerif4_400Regular.ttf", "SourceSerif4-Regular"),
    ("source-serif-4/600SemiBold/SourceSerif4_600SemiBold.ttf", "SourceSerif4-SemiBold"),
    ("source-serif-4/400Regular_Italic/SourceSerif4_400Regular_Italic.ttf", "SourceSerif4-Italic"),
]
WANTED = "λ≤≥≈≠→←↑↓✓✕·±−°²³×÷√∫∂ΔμπΣσωρηθαβ½¼¾–—…‘’“”‰′″₀₁₂₃₄▲△▼▽◆◇●○◐▸▾"


def stroke(pen, a, b, w):
    """A straight stroke with square ends, clockwise."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    n = math.hypot(dx, dy)
    ox, oy = -dy / n * w / 2, dx / n * w / 2
    polygon(pen, [(a[0] + ox, a[1] + oy), (b[0] + ox, b[1] + oy), (b[0] - ox, b[1] - oy), (a[0] - ox, a[1] - oy)])


def leaning(pen, top, bottom, w):
    """A leaning stroke cut off level at both ends."""
    dx, dy = top[0] - bottom[0], top[1] - bottom[1]
    h = w / 2 * math.hypot(dx, dy) / dy
    polygon(pen, [(top[0] - h, top[1]), (top[0] + h, top[1]), (bottom[0] + h, bottom[1]), (bottom[0] - h, bottom[1])])


def polygon(pen, points, hole=False):
    """A closed polygon: clockwise when it is ink, counter-clockwise when it is a hole."""
    area = sum(p[0] * q[1] - q[0] * p[1] for p, q in zip(points, points[1:] + points[:1]))
    if (area > 0) != hole:
        points = points[::-1]
    points = [(round(x), round(y)) for x, y in points]
    pen.moveTo(points[0])
    for p in points[1:]:
        pen.lineTo(p)
    pen.closePath()


def around(c, r, n=48, start=0.0, turn=2 * math.pi):
    """Points on a circle: a polygon of 48 sides stays within 0.3 % of the radius."""
    return [(c[0] + r * math.cos(start + turn * i / n), c[1] + r * math.sin(start + turn * i / n)) for i in range(n + (turn < 6))]


def inset(points, by):
    """The same triangle or diamond, its sides moved in by a distance."""
    c = (sum(p[0] for p in points) / len(points), sum(p[1] for p in points) / len(points))
    a, b = points[0], points[1]
    d = abs((b[0] - a[0]) * (a[1] - c[1]) - (a[0] - c[0]) * (b[1] - a[1])) / math.hypot(b[0] - a[0], b[1] - a[1])
    k = (d - by) / d
    return [(c[0] + (x - c[0]) * k, c[1] + (y - c[1]) * k) for x, y in points]


def signs(w, y0):
    """The drawn signs: code point -> (name, advance, drawing). `w` is the stroke, `y0` the height of the minus sign."""

    def arrow(turn):
        def draw(pen):
            def at(x, y):
                c, s = round(math.cos(turn)), round(math.sin(turn))
                return (350 + x * c - y * s, y0 + x * s + y * c)

            stroke(pen, at(-290, 0), at(270, 0), w)
            for side in (1, -1):
                polygon(pen, [at(290 + w * 0.2, 0), at(290 - 205, side * 205), at(290 - 205 - w * 0.72, side * (205 - w * 0.72)), at(290 - w * 1.22, 0)])

        return draw

    def shape(points, hollow):
        def draw(pen):
            polygon(pen, points)
            if hollow:
                polygon(pen, inset(points, w * 0.8), hole=True)

        return draw

    def ring(pen):
        polygon(pen, around((330, y0), 270))
        polygon(pen, around((330, y0), 270 - w * 0.8), hole=True)

    def half(pen):
        ring(pen)
        polygon(pen, around((330, y0), 270 - w * 0.4, 24, math.pi / 2, math.pi))

    def check(pen):
        elbow = (240, 60)
        stroke(pen, (60, 250), (240 + w * 0.35, 60 - w * 0.35), w)
        stroke(pen, elbow, (560, 600), w)

    def cross(pen):
        stroke(pen, (70, y0 - 230), (530, y0 + 230), w)
        stroke(pen, (70, y0 + 230), (530, y0 - 230), w)

    def lam(pen):
        leaning(pen, (95 + w / 2, 708), (455, 0), w * 1.02)
        leaning(pen, (280, 400), (30 + w / 2, 0), w * 0.98)

    def prime(n):
        def draw(pen):
            for i in range(n):
                leaning(pen, (150 + i * (w + 80), 708), (100 + i * (w + 80), 470), w * 0.9)

        return draw

    up = [(330, y0 + 290), (650, y0 - 260), (10, y0 - 260)]
    down = [(330, y0 - 290), (10, y0 + 260), (650, y0 + 260)]
    diamond = [(330, y0 + 310), (640, y0), (330, y0 - 310), (20, y0)]
    return {
        0x2192: ("arrowright", 700, arrow(0)),
        0x2191: ("arrowup", 700, arrow(math.pi / 2)),
        0x2190: ("arrowleft", 700, arrow(math.pi)),
        0x2193: ("arrowdown", 700, arrow(-math.pi / 2)),
        0x2713: ("checkmark", 620, check),
        0x2715: ("cross", 600, cross),
        0x03BB: ("lambda", 510, lam),
        0x2032: ("prime", 260, prime(1)),
        0x2033: ("primeprime", 340 + w, prime(2)),
        0x25B2: ("triangleup", 660, shape(up, False)),
        0x25B3: ("triangleuphollow", 660, shape(up, True)),
        0x25BC: ("triangledown", 660, shape(down, False)),
        0x25BD: ("triangledownhollow", 660, shape(down, True)),
        0x25C6: ("diamondsolid", 660, shape(diamond, False)),
        0x25C7: ("diamondhollow", 660, shape(diamond, True)),
        0x25CF: ("disc", 660, lambda pen: polygon(pen, around((330, y0), 270))),
        0x25CB: ("ring", 660, ring),
        0x25D0: ("halfdisc", 660, half),
        0x25B8: ("smalltriangleright", 460, lambda pen: polygon(pen, [(60, y0 + 200), (400, y0), (60, y0 - 200)])),
        0x25BE: ("smalltriangledown", 520, lambda pen: polygon(pen, [(60, y0 + 170), (460, y0 + 170), (260, y0 - 170)])),
    }


def put(font, code, name, advance, glyph):
    font["glyf"][name] = glyph
    glyph.recalcBounds(font["glyf"])
    font["hmtx"][name] = (advance, getattr(glyph, "xMin", 0))
    for table in font["cmap"].tables:
        if table.isUnicode():
            table.cmap[code] = name


def complete(font):
    """Tabular digits by default, and the missing signs."""
    cmap, glyf = font.getBestCmap(), font["glyf"]
    minus = glyf[cmap[0x2212]]
    w, y0 = minus.yMax - minus.yMin, (minus.yMax + minus.yMin) / 2
    for code, (name, advance, draw) in signs(w, y0).items():
        if code not in cmap:
            pen = TTGlyphPen(None)
            draw(pen)
            put(font, code, "plateau." + name, advance, pen.glyph())
    # subscript figures: the digits at 62 %, dropped below the line
    glyphs = font.getGlyphSet()
    for digit in range(10):
        code, source = 0x2080 + digit, cmap[0x30 + digit]
        if code not in cmap:
            pen = TTGlyphPen(None)
            glyphs[source].draw(TransformPen(pen, (0.62, 0, 0, 0.62, 0, -130)))
            put(font, code, f"plateau.sub{digit}", round(font["hmtx"][source][0] * 0.62), pen.glyph())
    tabular = {}
    gsub = font["GSUB"].table
    for record in gsub.FeatureList.FeatureRecord:
        if record.FeatureTag == "tnum":
            for index in record.Feature.LookupListIndex:
                for sub in gsub.LookupList.Lookup[index].SubTable:
                    tabular.update(getattr(sub, "ExtSubTable", sub).mapping)
    digits = [tabular[cmap[0x30 + d]] for d in range(10)]
    widths = {font["hmtx"][g][0] for g in digits}
    assert len(widths) == 1, f"tabular figures of one width expected, found {widths}"
    for table in font["cmap"].tables:
        if table.isUnicode():
            for d, glyph in enumerate(digits):
                table.cmap[0x30 + d] = glyph


def main():
    OUT.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run(["npm", "install", "--prefix", folder, "--ignore-scripts", "--no-audit", "--no-fund", *PACKAGES], check=True, stdout=sys.stderr)
        source = pathlib.Path(folder) / "node_modules" / "@expo-google-fonts"
        rows, missing = [], {}
        for path, name in FACES:
            taken = source / path
            font = TTFont(taken)
            if "atkinson" in path:
                complete(font)
                font["head"].modified = font["head"].created
                font.recalcTimestamp = False
                font.save(OUT / f"{name}.ttf")
            else:
                shutil.copyfile(taken, OUT / f"{name}.ttf")
            packed = TTFont(OUT / f"{name}.ttf", recalcTimestamp=False)
            missing.setdefault(name.split("-")[0], [c for c in WANTED if ord(c) not in packed.getBestCmap()])
            names = packed["name"]
            family = names.getDebugName(16) or names.getDebugName(1)
            packed.flavor = "woff2"
            packed.save(OUT / f"{name}.woff2")
            rows.append((name, family, packed["OS/2"].usWeightClass, hashlib.sha256(taken.read_bytes()).hexdigest()[:16]))
        for package, text in (("atkinson-hyperlegible-next", "OFL-AtkinsonHyperlegibleNext.txt"), ("source-serif-4", "OFL-SourceSerif4.txt")):
            shutil.copyfile(source / package / "LICENSE_FONT", OUT / text)
    for row in rows:
        print("| " + " | ".join(str(x) for x in row) + " |")
    for family, signs_missing in missing.items():
        print(family, "lacks", " ".join(signs_missing) or "nothing asked for")


if __name__ == "__main__":
    main()
