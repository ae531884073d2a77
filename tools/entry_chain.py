#!/usr/bin/env python3
"""Entries of the record as JSON lines, and their hashes worked out without any of our code.

    entry_chain.py make > validation/entry_chain/entries.jsonl     an invented shop of two jobs
    entry_chain.py check FILE            recomputes every hash and every link in the job, as `plateau job export` writes them
    entry_chain.py check FILE --shop     the same of a whole shop, with the links between entries of different jobs

Needs nothing but Python. The canonical form is RFC 8785: names sorted by UTF-16 code units, numbers as ECMAScript
writes them (shortest digits that give the double back), no spaces.
"""
import hashlib
import json
import sys

ZEROS = "0" * 64
NAMES = ["at", "author", "before", "body", "files", "id", "job", "kind", "number", "received", "shop_before"]


def number(value):
    """A number as ECMAScript's Number::toString writes it."""
    if isinstance(value, int):
        value = float(value)
    if value == 0:
        return "0"
    sign = "-" if value < 0 else ""
    mantissa, _, exponent = f"{abs(value)!r}".partition("e")
    whole, _, part = mantissa.partition(".")
    part = "" if part == "0" and not exponent else part
    digits = (whole + part).lstrip("0")
    # value = 0.digits * 10^point
    point = len(whole) + int(exponent or 0) - (len(whole + part) - len((whole + part).lstrip("0")))
    digits = digits.rstrip("0") or "0"
    count = len(digits)
    if count <= point <= 21:
        return sign + digits + "0" * (point - count)
    if 0 < point <= 21:
        return sign + digits[:point] + "." + digits[point:]
    if -6 < point <= 0:
        return sign + "0." + "0" * -point + digits
    power = f"e{'+' if point > 0 else '-'}{abs(point - 1)}"
    return sign + digits[0] + ("." + digits[1:] if count > 1 else "") + power


def text(value):
    """A string as RFC 8785 writes it."""
    short = {'"': '\\"', "\\": "\\\\", "\b": "\\b", "\f": "\\f", "\n": "\\n", "\r": "\\r", "\t": "\\t"}
    return '"' + "".join(short.get(c) or (f"\\u{ord(c):04x}" if ord(c) < 32 else c) for c in value) + '"'


def canonical(value):
    if value is None or value is True or value is False:
        return json.dumps(value)
    if isinstance(value, (int, float)):
        return number(value)
    if isinstance(value, str):
        return text(value)
    if isinstance(value, list):
        return "[" + ",".join(canonical(v) for v in value) + "]"
    names = sorted(value, key=lambda name: name.encode("utf-16-be"))
    return "{" + ",".join(text(n) + ":" + canonical(value[n]) for n in names) + "}"


def hash_of(entry):
    whole = {name: entry.get(name, [] if name == "files" else None) for name in NAMES}
    return hashlib.sha256(canonical(whole).encode()).hexdigest()


def make():
    jobs = ["0198c7a2-5f3e-7cc1-8a51-2f6d3b0e9f1" + d for d in "01"]
    photo = {"name": "bore 3 “front”.jpg", "sha256": "ab" * 32}
    told = [
        (0, "job_opened", {"engine": "invented 2.4-litre four", "owner": "A. Tester"}, []),
        (1, "job_opened", {"engine": "", "note": None}, []),
        (0, "reading", {"value_m": 0.0860123, "u_m": 2e-6, "list": [1.5, -0.0, 1e21, 123456789012345680000, 1e-7, 0.1 + 0.2]}, []),
        (0, "photo", {"é": "\u00e9\U0001F600\ufb33\u007f", "\ufb33": 1, "\U0001F600": 2, "tab\t": "\"\\\b\u000f"}, [photo]),
        (1, "claim", {"nested": {"b": [], "a": {}}, "true": True, "B": False}, [photo, photo]),
    ]
    shop, last, count = ZEROS, {}, {}
    for n, (job, kind, body, files) in enumerate(told):
        count[job] = count.get(job, 0) + 1
        entry = {
            "id": f"0198c7a2-5f3e-7cc1-8a51-2f6d3b0e9a0{n}", "job": jobs[job], "number": count[job], "kind": kind,
            "at": "2026-04-08T08:10:00+02:00", "received": f"2026-04-08T06:10:0{n}.120Z", "author": "A. \"Tester\"",
            "body": body, "files": files, "before": last.get(job, ZEROS), "shop_before": shop, "seq": n + 1,
        }
        entry["hash"] = shop = last[job] = hash_of(entry)
        print(json.dumps(entry, ensure_ascii=False))


def check(path, whole_shop):
    shop, last, count, bad = ZEROS, {}, {}, 0
    for line in open(path, encoding="utf-8"):
        entry = json.loads(line)
        job = entry["job"]
        count[job] = count.get(job, 0) + 1
        wrong = [
            what for what, well in [
                ("hash", entry["hash"] == hash_of(entry)),
                ("link in the job", entry["before"] == last.get(job, ZEROS)),
                ("link in the shop", not whole_shop or entry["shop_before"] == shop),
                ("number", entry["number"] == count[job]),
            ] if not well
        ]
        if wrong:
            bad += 1
            print(f"entry {entry['id']}: {', '.join(wrong)} not as it should be")
        shop = last[job] = entry["hash"]
    print(f"{sum(count.values())} entries of {len(count)} jobs, {bad} not as they should be; the last hash is {shop}")
    return bad


if __name__ == "__main__":
    if sys.argv[1:2] == ["make"]:
        make()
    elif sys.argv[1:2] == ["check"] and sys.argv[3:] in ([], ["--shop"]):
        sys.exit(1 if check(sys.argv[2], sys.argv[3:] == ["--shop"]) else 0)
    else:
        sys.exit(__doc__)
