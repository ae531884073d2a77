"""Make the damaged MDF files of crates/pull/tests/bad_mdf from the good ones of validation/mdf.

    python3 tools/make_bad_mdf.py validation/mdf crates/pull/tests/bad_mdf

Each file is a small good one with one thing spoilt. Needs nothing but Python.
"""

import struct
import sys
from pathlib import Path


def find(data, mark, nth=0):
    """Offset of the nth block with this mark."""
    at = 56
    for _ in range(nth + 1):
        at = data.index(b"##" + mark, at + 8)
    return at


def body(data, at):
    return at + 24 + 8 * struct.unpack_from("<Q", data, at + 16)[0]


def put(code, place):
    """A change of one number at a place found in the data."""
    def spoil(value):
        def change(data):
            struct.pack_into("<" + code, data, place(data), value)
            return data
        return change
    return spoil


def link(mark, index, nth=0):
    return put("Q", lambda d: find(d, mark, nth) + 24 + 8 * index)


def field(mark, offset, code, nth=0):
    return put(code, lambda d: body(d, find(d, mark, nth)) + offset)


def bytes_at(place, what):
    def change(data):
        at = place(data)
        data[at:at + len(what)] = what
        return data
    return change


def to_itself(mark, index):
    return lambda d: link(mark, index)(find(d, mark))(d)


def to_block(mark, index, nth, other):
    return lambda d: link(mark, index, nth)(find(d, other))(d)


def cut(place):
    return lambda d: d[:place(d)]


def all_text(data):
    for nth in range(3):
        field(b"CN", 0, "B", nth)(0)(data)
        field(b"CN", 2, "B", nth)(7)(data)
    return data


BAD = {
    "empty": ("empty_group", cut(lambda d: 0)),
    "text": ("empty_group", lambda d: bytearray(b"time;speed;torque\r\n0,0;2500;412,5\r\n")),
    "cut_in_identification": ("empty_group", cut(lambda d: 20)),
    "cut_in_header": ("empty_group", cut(lambda d: 100)),
    "version_330": ("empty_group", lambda d: put("H", lambda _: 28)(330)(bytes_at(lambda _: 8, b"3.30    ")(d))),
    "version_unknown": ("empty_group", lambda d: put("H", lambda _: 28)(5120)(bytes_at(lambda _: 8, bytes(8))(d))),
    "header_spoilt": ("empty_group", bytes_at(lambda d: 64, b"#!HD")),
    "header_short": ("empty_group", put("Q", lambda d: 72)(16)),
    "no_groups": ("empty_group", link(b"HD", 0)(0)),
    "group_link_outside": ("empty_group", link(b"HD", 0)(1 << 50)),
    "group_circle": ("virtual_time", to_itself(b"DG", 0)),
    "group_second_lost": ("empty_group", link(b"DG", 0)(65)),
    "channel_chain_broken": ("big_endian", link(b"CN", 0, 2)(1000)),
    "channel_outside_record": ("big_endian", field(b"CN", 4, "I", 1)(4000)),
    "channel_bits_300": ("big_endian", field(b"CN", 8, "I", 1)(300)),
    "channel_all_text": ("unfinished", all_text),
    "links_too_many": ("big_endian", put("Q", lambda d: find(d, b"CG") + 16)(1 << 61)),
    "name_lost": ("big_endian", link(b"CN", 2, 1)(3)),
    "data_link_outside": ("virtual_time", link(b"DG", 2)(999_999)),
    "data_cut": ("unfinished", lambda d: put("H", lambda _: 60)(0)(
        put("Q", lambda x: find(x, b"DT") + 8)(24 + 75 * 20)(
            field(b"CG", 8, "Q")(75)(bytes_at(lambda _: 0, b"MDF     ")(d))))[:-400]),
    "rows_too_many": ("big_endian", field(b"CG", 8, "Q")(1 << 60)),
    "rows_too_few": ("big_endian", field(b"CG", 8, "Q")(12)),
    "rows_no_bytes": ("big_endian", field(b"CG", 24, "I")(0)),
    "list_circle": ("offset_list", lambda d: link(b"DL", 0, 0)(find(d, b"DL", 0))(d)),
    "list_count_too_big": ("offset_list", field(b"DL", 4, "I")(4_000_000_000)),
    "list_offset_wrong": ("offset_list", field(b"DL", 16, "Q", 1)(777)),
    "deflate_flipped": ("turned", lambda d: bytes_at(lambda x: body(x, find(x, b"DZ")) + 300, b"\xff\x00\xff")(d)),
    "deflate_bomb": ("deflate", field(b"DZ", 8, "Q")(1 << 40)),
    "deflate_longer_than_said": ("deflate", field(b"DZ", 8, "Q")(100)),
    "deflate_unknown_kind": ("deflate", field(b"DZ", 2, "B")(2)),
    "record_id_unknown": ("unsorted_1", bytes_at(lambda d: body(d, find(d, b"DT")) + 21 * 10, b"\x09" * 22)),
    "record_id_bytes_3": ("unsorted_1", field(b"DG", 0, "B")(3)),
    "record_cut": ("unsorted_2", put("Q", lambda d: find(d, b"DT") + 8)(1000)),
    "conversion_lost": ("virtual_time", to_block(b"CN", 4, 0, b"TX")),
    "conversion_formula": ("virtual_time", field(b"CC", 0, "B")(3)),
    "conversion_short": ("virtual_time", field(b"CC", 6, "H")(60)),
    "master_angle": ("big_endian", field(b"CN", 1, "B")(2)),
    "validity_outside": ("big_endian", lambda d: field(b"CN", 16, "I", 1)(900)(field(b"CN", 12, "I", 1)(2)(d))),
    "kinds_mixed": ("unsorted_4", field(b"DG", 0, "B")(0)),
}


def main(good, bad):
    bad.mkdir(parents=True, exist_ok=True)
    for name, (base, spoil) in BAD.items():
        data = bytearray((good / f"{base}.mf4").read_bytes())
        (bad / f"{name}.mf4").write_bytes(spoil(data))
    print(len(BAD), "damaged files")


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]))
