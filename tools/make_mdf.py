"""Make the MDF 4 files of validation/mdf, and beside each the values that asammdf reads from it.

    python3 -m venv venv && venv/bin/pip install -r tools/make_mdf_requirements.txt
    venv/bin/python tools/make_mdf.py validation/mdf

What asammdf can write, asammdf writes. What it does not write (unsorted records, bit fields, bytes in the
other order, lists with offsets, files left unfinished) is put together here block by block. Either way the
CSV beside a file holds asammdf's reading of it, never ours. The signals are invented.

The CSV has one line per channel: group, kind ("time", "value", or "rule", see RULES), name, unit, number of rows, then the values
as Python prints them (the shortest text that gives the same number again); "nan" where a value is not valid.
"""

import shutil
import struct
import sys
import tempfile
import zlib
from pathlib import Path

import asammdf
import numpy as np
from asammdf import MDF, Signal
from asammdf.blocks import v4_constants as v4c
from asammdf.blocks.conversion_utils import from_dict

START_NS = 1_775_637_000_000_000_000  # an invented April morning


# ---------------------------------------------------------------- signals, invented

def pull(rows, rate_hz):
    t = np.arange(rows) / rate_hz
    share = np.linspace(0, 1, rows)
    speed = 2500 + 3500 * share + 12 * np.sin(9 * t)
    torque = 420 + 90 * np.sin(np.pi * share) + 2 * np.sin(31 * t)
    return t, speed, torque


# ---------------------------------------------------------------- written by asammdf

def plain_signals(rows=160):
    t, speed, torque = pull(rows, 50)
    return [
        Signal(speed, t, name="Engine speed", unit="rpm"),
        Signal(torque.astype("<f4"), t, name="Torque", unit="N·m"),
        Signal((90 + 20 * np.linspace(0, 1, rows)).astype("<i2"), t, name="Coolant out", unit="°C"),
        Signal((np.arange(rows) % 251).astype("<u1"), t, name="Counter", unit=""),
        Signal((np.arange(rows) - 80).astype("<i8") * 1000003, t, name="Long count", unit=""),
    ]


def save(path, groups, version="4.10", compression=0, fragment=None):
    mdf = MDF(version=version)
    if fragment:
        mdf.configure(write_fragment_size=fragment)
    for signals, comment in groups:
        mdf.append(signals, acq_name=comment, comment=comment, common_timebase=True)
    saved = mdf.save(path, overwrite=True, compression=compression)
    mdf.close()
    assert Path(saved) == Path(path), saved


def conversions(path):
    rows = 60
    t = np.arange(rows) / 20
    raw = np.arange(rows).astype("<i2")
    real = np.linspace(-2, 9, rows)

    def signal(name, samples, unit, **conversion):
        return Signal(samples, t, name=name, unit=unit, conversion=from_dict(conversion))

    interp = {f"raw_{i}": float(r) for i, r in enumerate([0, 10, 30, 50])}
    interp |= {f"phys_{i}": float(p) for i, p in enumerate([-40, 0, 85.5, 130.25])}
    ranges = {"lower_0": 0.0, "upper_0": 9.0, "phys_0": 1.5, "lower_1": 10.0, "upper_1": 29.0, "phys_1": 2.5,
              "default": -1.0}
    words = {f"val_{i}": i for i in range(3)} | {f"text_{i}": w for i, w in enumerate(["off", "ready", "run"])}
    words |= {"default": b"unknown"}
    save(path, [([
        signal("Linear whole", raw, "kPa", a=0.25, b=-12.5),
        signal("Linear real", real, "°C", a=1.8, b=32.0),
        signal("Rational", real, "bar", P1=0.5, P2=2.0, P3=1.0, P4=0.0, P5=0.125, P6=4.0),
        signal("Table straight", raw, "°C", **interp, interpolation=True),
        signal("Table nearest", raw, "°C", **interp, interpolation=False),
        signal("Table real", real, "V", **interp, interpolation=True),
        signal("Ranges", raw, "", **ranges),
        signal("Ranges real", real, "", **ranges),
        signal("State", (np.arange(rows) % 4).astype("<u1"), "", **words),
    ], "conversions")])


def invalid(path):
    rows = 80
    t, speed, torque = pull(rows, 20)
    save(path, [([
        Signal(speed, t, name="Engine speed", unit="rpm"),
        Signal(torque, t, name="Torque", unit="N·m", invalidation_bits=(np.arange(rows) % 7 == 3)),
        Signal(np.full(rows, 0.87), t, name="Lambda", unit="", invalidation_bits=(np.arange(rows) > 70)),
    ], "with gaps")])


def two_rates(path, version="4.10"):
    fast, slow = pull(120, 100), pull(24, 20)
    save(path, [
        ([Signal(fast[1], fast[0], name="Engine speed", unit="rpm"),
          Signal(fast[2], fast[0], name="Torque", unit="N·m")], "fast"),
        ([Signal(20 + slow[0], slow[0], name="Intake air", unit="°C"),
          Signal(slow[2], slow[0], name="Torque", unit="N·m")], "slow"),
    ], version=version)


# ---------------------------------------------------------------- put together here

class Writer:
    """Blocks one after the other, 8-byte aligned; links are set once all offsets are known."""

    def __init__(self, version=410, undone=0):
        mark = b"UnFinMF " if undone else b"MDF     "
        text = f"{version // 100}.{version % 100:02}".encode().ljust(8)
        self.out = bytearray(mark + text + b"invented" + bytes(4) + struct.pack("<H", version) + bytes(30)
                             + struct.pack("<HH", undone, 0))
        assert len(self.out) == 64
        self.header = self.block(b"HD", [0] * 6, struct.pack("<QhhBBBBdd", START_NS, 0, 0, 0, 0, 0, 0, 0, 0))
        assert self.header == 64

    def block(self, mark, links, body, length=None):
        self.out += bytes(-len(self.out) % 8)
        at = len(self.out)
        whole = 24 + 8 * len(links) + len(body)
        self.out += b"##" + mark + bytes(4) + struct.pack("<QQ", whole if length is None else length, len(links))
        self.out += struct.pack(f"<{len(links)}Q", *links) + body
        return at

    def link(self, at, index, to):
        struct.pack_into("<Q", self.out, at + 24 + 8 * index, to)

    def text(self, words):
        return self.block(b"TX", [], words.encode() + bytes(8 - len(words.encode()) % 8)) if words else 0

    def channel(self, name, data_type, byte, bits, bit=0, unit="", kind=0, sync=0, flags=0, validity=0, data=0):
        links = [0, 0, self.text(name), 0, 0, data, self.text(unit), 0]
        body = struct.pack("<4B4IBBH6d", kind, sync, data_type, bit, byte, bits, flags, validity, 0, 0, 0, *[0.0] * 6)
        return self.block(b"CN", links, body)

    def group(self, channels, rows, data_bytes, record_id=0, validity_bytes=0, flags=0, name=""):
        for one, after in zip(channels, channels[1:]):
            self.link(one, 0, after)
        links = [0, channels[0] if channels else 0, self.text(name), 0, 0, 0]
        return self.block(b"CG", links, struct.pack("<QQHHIII", record_id, rows, flags, 0, 0, data_bytes, validity_bytes))

    def finish(self, path, data_groups):
        """data_groups: (bytes of the record id, channel groups, link to the data)."""
        previous = None
        for id_bytes, groups, data in data_groups:
            for one, after in zip(groups, groups[1:]):
                self.link(one, 0, after)
            at = self.block(b"DG", [0, groups[0], data, 0], bytes([id_bytes]) + bytes(7))
            if previous is None:
                self.link(self.header, 0, at)
            else:
                self.link(previous, 0, at)
            previous = at
        Path(path).write_bytes(self.out)

    def save_with_data_last(self, path, id_bytes, groups, data, length):
        """As a recorder does that writes as it goes: the data block is the last thing in the file."""
        for one, after in zip(groups, groups[1:]):
            self.link(one, 0, after)
        at = self.block(b"DG", [0, groups[0], 0, 0], bytes([id_bytes]) + bytes(7))
        self.link(self.header, 0, at)
        self.link(at, 2, self.block(b"DT", [], data, length))
        Path(path).write_bytes(self.out)


UINT, UINT_BE, INT, INT_BE, REAL, REAL_BE, TEXT = 0, 1, 2, 3, 4, 5, 7
TIME = {"kind": 2, "sync": 1, "unit": "s"}


def unsorted(path, id_bytes, with_text=False):
    w = Writer()
    fast_t, fast_speed, fast_torque = pull(90, 100)
    slow_t, slow_speed, _ = pull(18, 20)
    head = {1: "<B", 2: "<H", 4: "<I", 8: "<Q"}[id_bytes]
    events = [(t, 0, struct.pack("<ddf", t, s, q)) for t, s, q in zip(fast_t, fast_speed, fast_torque)]
    events += [(t, 1, struct.pack("<dh", t, int(s / 10))) for t, s in zip(slow_t, slow_speed)]
    texts = [f"mark {i}".encode() for i in range(3)] if with_text else []
    events += [(0.3 * i, 2, struct.pack("<I", len(x)) + x) for i, x in enumerate(texts)]
    events.sort(key=lambda e: (e[0], e[1]))
    ids = [3, 200, 77]
    data = b"".join(struct.pack(head, ids[which]) + record for _, which, record in events)
    fast = w.group([w.channel("t", REAL, 0, 64, **TIME), w.channel("Engine speed", REAL, 8, 64, unit="rpm"),
                    w.channel("Torque", REAL, 16, 32, unit="N·m")], 90, 20, record_id=ids[0], name="fast")
    slow = w.group([w.channel("t", REAL, 0, 64, **TIME), w.channel("Speed, tens", INT, 8, 16, unit="rpm")],
                   18, 10, record_id=ids[1], name="slow")
    groups = [fast, slow]
    if with_text:
        groups.append(w.block(b"CG", [0] * 6, struct.pack("<QQHHIII", ids[2], 3, 1, 0, 0, sum(map(len, texts)), 0)))
    w.finish(path, [(id_bytes, groups, w.block(b"DT", [], data))])


def big_endian(path):
    w = Writer()
    t, speed, torque = pull(70, 50)
    data = b"".join(struct.pack(">dfhIQ", a, b, int(c) - 480, i * 60_000_000, i * 12345678901)
                    for i, (a, b, c) in enumerate(zip(t, speed, torque)))
    channels = [w.channel("t", REAL_BE, 0, 64, **TIME), w.channel("Engine speed", REAL_BE, 8, 32, unit="rpm"),
                w.channel("Torque less 480", INT_BE, 12, 16, unit="N·m"), w.channel("Ticks", UINT_BE, 14, 32),
                w.channel("Long ticks", UINT_BE, 18, 64)]
    w.finish(path, [(0, [w.group(channels, 70, 26)], w.block(b"DT", [], data))])


def bit_fields(path):
    w = Writer()
    rows = 64
    data = b""
    for i in range(rows):
        word = (i & 1) | ((i >> 1 & 1) << 1) | ((i % 13 & 0xF) << 2) | ((i * 37 & 0xFFF) << 6) | (((i - 32) & 0x3F) << 18)
        data += struct.pack("<dI", i / 10, word) + struct.pack("<e", 0.8 + i / 512)
    channels = [w.channel("t", REAL, 0, 64, **TIME), w.channel("Switch", UINT, 8, 1), w.channel("Pump", UINT, 8, 1, bit=1),
                w.channel("Gear", UINT, 8, 4, bit=2), w.channel("Count", UINT, 8, 12, bit=6),
                w.channel("Trim", INT, 10, 6, bit=2), w.channel("Lambda", REAL, 12, 16)]
    w.finish(path, [(0, [w.group(channels, rows, 14)], w.block(b"DT", [], data))])


def offset_list(path):
    """Blocks of unequal length, cut through records, plain and compressed, in two lists."""
    w = Writer()
    t, speed, torque = pull(150, 50)
    data = b"".join(struct.pack("<ddd", *row) for row in zip(t, speed, torque))
    cuts = [0, 100, 1300, 1301, 2500, len(data)]
    pieces = [data[a:b] for a, b in zip(cuts, cuts[1:])]

    def packed(piece, turn):
        body = piece
        if turn:
            rows = len(piece) // turn
            body = bytes(piece[r * turn + c] for c in range(turn) for r in range(rows)) + piece[rows * turn:]
        z = zlib.compress(body)
        return w.block(b"DZ", [], b"DT" + bytes([1 if turn else 0, 0]) + struct.pack("<IQQ", turn, len(piece), len(z)) + z)

    blocks = [w.block(b"DT", [], pieces[0]), packed(pieces[1], 0), w.block(b"DT", [], pieces[2]),
              packed(pieces[3], 24), packed(pieces[4], 24)]
    second = w.block(b"DL", [0, *blocks[3:]], struct.pack("<B3xI2Q", 0, 2, *cuts[3:5]))
    first = w.block(b"DL", [second, *blocks[:3]], struct.pack("<B3xI3Q", 0, 3, *cuts[:3]))
    hl = w.block(b"HL", [first], struct.pack("<HB5x", 0, 1))
    channels = [w.channel("t", REAL, 0, 64, **TIME), w.channel("Engine speed", REAL, 8, 64, unit="rpm"),
                w.channel("Torque", REAL, 16, 64, unit="N·m")]
    w.finish(path, [(0, [w.group(channels, 150, 24)], hl)])


def unfinished(path):
    """The writer stopped in the middle of a row; row count and length of the data block were never written."""
    w = Writer(undone=0b101)
    t, speed, torque = pull(75, 50)
    data = b"".join(struct.pack("<ddf", *row) for row in zip(t, speed, torque))
    channels = [w.channel("t", REAL, 0, 64, **TIME), w.channel("Engine speed", REAL, 8, 64, unit="rpm"),
                w.channel("Torque", REAL, 16, 32, unit="N·m")]
    w.save_with_data_last(path, 0, [w.group(channels, 0, 20)], data + data[:7], 24)


def columns(path, listed=False):
    """Version 4.20 by columns: a channel group per channel, which names the group that keeps its time.

    asammdf 8.8.28 cannot read LD lists (it ends in an AttributeError), so the values of the listed file are
    given back from here; its lines are of kind "rule".
    """
    w = Writer(version=420)
    rows = 60
    t, speed, torque = pull(rows, 50)
    pack = lambda values, code: struct.pack(f"<{len(values)}{code}", *values)
    time = w.group([w.channel("t", REAL, 0, 64, **TIME)], rows, 8, name="columns")

    def shared(channel, width):
        body = struct.pack("<QQHHIII", 0, rows, 8, 0, 0, width, 0)
        return w.block(b"CG", [0, channel, 0, 0, 0, 0, time], body)

    fast = shared(w.channel("Engine speed", REAL, 0, 64, unit="rpm"), 8)
    slow = shared(w.channel("Torque", REAL, 0, 32, unit="N·m"), 4)
    slow_data = w.block(b"DV", [], pack(torque, "f"))
    if listed:
        halves = [w.block(b"DV", [], pack(torque[:40], "f")), w.block(b"DV", [], pack(torque[40:], "f"))]
        slow_data = w.block(b"LD", [0, *halves], struct.pack("<B3xIQ", 1, 2, 160))
    w.finish(path, [(0, [time], w.block(b"DV", [], pack(t, "d"))), (0, [fast], w.block(b"DV", [], pack(speed, "d"))),
                    (0, [slow], slow_data)])
    written = [("t", "s", t), ("Engine speed", "rpm", speed), ("Torque", "N·m", torque.astype("<f4"))]
    return "".join(f"{g},rule,{name},{unit},{rows}," + ",".join(repr(float(v)) for v in values) + "\n"
                   for g, (name, unit, values) in enumerate(written))


def empty_group(path):
    w = Writer()
    t, speed, _ = pull(40, 20)
    full = w.group([w.channel("t", REAL, 0, 64, **TIME), w.channel("Engine speed", REAL, 8, 64, unit="rpm")], 40, 16)
    empty = w.group([w.channel("t", REAL, 0, 64, **TIME), w.channel("Torque", REAL, 8, 64, unit="N·m")], 0, 16)
    data = w.block(b"DT", [], b"".join(struct.pack("<dd", *row) for row in zip(t, speed)))
    w.finish(path, [(0, [empty], 0), (0, [full], data)])


def virtual_time(path):
    """Time that is not stored: row number times 0.02 s. A text channel stands beside the numbers."""
    w = Writer()
    _, speed, _ = pull(50, 50)
    time = w.channel("t", UINT, 0, 0, kind=3, sync=1, unit="s")
    linear = w.block(b"CC", [0] * 4, struct.pack("<BBHHHdd2d", 1, 0, 0, 0, 2, 0, 0, 0.0, 0.02))
    w.link(time, 4, linear)
    channels = [time, w.channel("Engine speed", REAL, 0, 32, unit="rpm"), w.channel("Remark", TEXT, 4, 32)]
    data = b"".join(struct.pack("<f4s", s, b"ok") for s in speed)
    w.finish(path, [(0, [w.group(channels, 50, 8)], w.block(b"DT", [], data))])


# ---------------------------------------------------------------- asammdf's reading

# Channels that asammdf 8.8.28 reads in another way than the standard says (from memory): for a table of ranges
# over whole numbers it asks for "not below the upper end". Their lines are of kind "rule" and hold
# the rule worked out here: from <= raw <= to, first hit, else the default.
RULES = {
    ("conversions", "Ranges"): lambda raw: [1.5 if 0 <= r <= 9 else 2.5 if 10 <= r <= 29 else -1.0 for r in raw],
}
WORDS = {v4c.CONVERSION_TYPE_TABX, v4c.CONVERSION_TYPE_RTABX}


def reading(path):
    lines = []
    with tempfile.TemporaryDirectory() as folder:
        copy = shutil.copy(path, Path(folder) / Path(path).name)  # asammdf finishes unfinished files in place
        with MDF(copy) as mdf:
            for g, group in enumerate(mdf.groups):
                master = mdf.masters_db.get(g)
                for c, channel in enumerate(group.channels):
                    rule = RULES.get((Path(path).stem, channel.name))
                    words = channel.conversion is not None and channel.conversion.conversion_type in WORDS
                    if c == master:
                        values, unit = mdf.get_master(g), channel.unit
                    else:
                        signal = mdf.get(group=g, index=c, raw=words or rule is not None, ignore_invalidation_bits=True)
                        if signal.samples.dtype.kind not in "uifb":
                            continue
                        values, unit = signal.samples, signal.unit
                        if signal.invalidation_bits is not None:
                            values = np.where(np.asarray(signal.invalidation_bits), np.nan, values.astype(float))
                    if rule:
                        values = np.array(rule(values))
                    kind = "time" if c == master else "rule" if rule else "value"
                    numbers = [repr(int(v)) if values.dtype.kind in "uib" else repr(float(v)) for v in values]
                    lines.append(",".join([str(g), kind, channel.name.replace(",", ";"),
                                           unit, str(len(values)), *numbers]))
    return "\n".join(lines) + "\n"


def main(folder):
    folder.mkdir(parents=True, exist_ok=True)
    files = {
        "plain": lambda p: save(p, [(plain_signals(), "pull 1")]),
        "plain_400": lambda p: save(p, [(plain_signals(), "pull 1")], version="4.00"),
        "deflate": lambda p: save(p, [(plain_signals(), "pull 1")], compression=1),
        "turned": lambda p: save(p, [(plain_signals(), "pull 1")], compression=2),
        "split": lambda p: save(p, [(plain_signals(400), "pull 1")], fragment=4096),
        "split_deflate": lambda p: save(p, [(plain_signals(400), "pull 1")], compression=1, fragment=4096),
        "split_turned": lambda p: save(p, [(plain_signals(400), "pull 1")], compression=2, fragment=4096),
        "two_rates": two_rates,
        "two_rates_420": lambda p: two_rates(p, version="4.20"),
        "columns_420": lambda p: columns(p) and None,
        "columns_420_listed": lambda p: columns(p, listed=True),
        "conversions": conversions,
        "invalid": invalid,
        "unsorted_1": lambda p: unsorted(p, 1),
        "unsorted_2": lambda p: unsorted(p, 2, with_text=True),
        "unsorted_4": lambda p: unsorted(p, 4),
        "unsorted_8": lambda p: unsorted(p, 8),
        "big_endian": big_endian,
        "bit_fields": bit_fields,
        "offset_list": offset_list,
        "unfinished": unfinished,
        "empty_group": empty_group,
        "virtual_time": virtual_time,
    }
    for name, make in files.items():
        path = folder / f"{name}.mf4"
        text = make(path) or reading(path)
        (folder / f"{name}.csv").write_text(text)
        marks = sorted({path.read_bytes()[i + 2:i + 4].decode() for i in range(64, path.stat().st_size - 4)
                        if path.read_bytes()[i:i + 2] == b"##" and path.read_bytes()[i + 2:i + 4].isalpha()})
        print(f"{name}: {path.stat().st_size} bytes, {text.count(chr(10))} channels, blocks {' '.join(marks)}")
    print("asammdf", asammdf.__version__, "numpy", np.__version__)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
