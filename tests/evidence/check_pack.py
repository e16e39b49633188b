#!/usr/bin/env python3
"""Checks an evidence pack from docs/evidence-pack.md alone, with the standard library: what a stranger would write.

    check_pack.py PACK.zip VKEY      0: it holds and is that ledger's; 1: it does not, with the first reason
"""
import base64
import hashlib
import json
import sys
import zipfile

from ed25519 import is_signed


def sha(data):
    return hashlib.sha256(data).digest()


def need(holds, what):
    if not holds:
        raise ValueError(what)


def lines(text):
    need(text == "" or text.endswith("\n"), "a line without an end")
    return text.split("\n")[:-1]


def root_of(leaf, index, size, path):
    """RFC 9162, section 2.1.3.2."""
    node, at, last = leaf, index, size - 1
    for one in path:
        need(last > 0, "proof too long")
        if at % 2 or at == last:
            node = sha(b"\1" + one + node)
            while at % 2 == 0 and at:
                at, last = at >> 1, last >> 1
        else:
            node = sha(b"\1" + node + one)
        at, last = at >> 1, last >> 1
    need(last == 0, "proof too short")
    return node


def stand_ins(value):
    if isinstance(value, list):
        return set().union(*map(stand_ins, value), set())
    if not isinstance(value, dict):
        return set()
    own = {value["sha256"]} if set(value) == {"sha256"} else set()
    return own.union(*map(stand_ins, value.values()))


def files_named(event):
    found = set(event.get("files", []))
    if event.get("kind") == "curve-measured":
        found.add(event["file"])
    if event.get("kind") == "recall-opened":
        found.add(event["answer"])
    return found | (files_named(event["replacement"]) if event.get("replacement") else set())


def read_members(path):
    with zipfile.ZipFile(path) as pack:
        names = pack.namelist()
        need(len(names) == len(set(names)), "a member twice")
        return {name: pack.read(name) for name in names}


def check_sums(members):
    told = dict(line.split("  ")[::-1] for line in lines(members["SHA256SUMS"].decode()))
    need(set(told) == set(members) - {"SHA256SUMS", "signature.json"}, "members and SHA256SUMS differ")
    for name, hexed in told.items():
        need(sha(members[name]).hex() == hexed, f"{name} was changed")


def read_checkpoint(text, vkey):
    name, _, encoded = vkey.split("+", 2)
    key = base64.b64decode(encoded)[1:]
    body, signature = text.split("\n\n")
    origin, size, root = body.split("\n")
    need(origin == name, "another ledger's checkpoint")
    signed = any(line.startswith(f"\u2014 {name} ") and is_signed(key, (body + "\n").encode(), base64.b64decode(line.split(" ")[2])[4:])
                 for line in lines(signature))
    need(signed, "checkpoint not signed by the key")
    return int(size), base64.b64decode(root)


def check_entries(members, size, root):
    rows = [json.loads(line) for line in lines(members["entries.jsonl"].decode())]
    proofs = members["proofs.txt"].decode().split("\n\n")
    need(len(proofs) == len(rows) + 1 and proofs[-1] == "", "not one proof an entry")
    events, keys, waiting, before = [], {}, {}, (0, "0" * 64)
    for row, proof in zip(rows, proofs):
        event, first, index, *path = json.loads(row["entry"]), *proof.split("\n")
        leaf, seq, key = sha(b"\0" + row["entry"].encode()), event["seq"], row["key"]
        need(first == "c2sp.org/tlog-proof@v1" and index == f"index {seq - 1}", f"seq {seq}: proof of another")
        need(root_of(leaf, seq - 1, size, [base64.b64decode(one) for one in path]) == root, f"seq {seq}: not in the tree")
        need(row["hash"] == leaf.hex() and event["key"] == key and seq > before[0], f"seq {seq}: not what it says")
        need(seq != before[0] + 1 or event["prev"] == before[1], f"seq {seq}: chain broken")
        need(seq <= 2 or keys.get(key, "ledger") != "ledger", f"seq {seq}: key never added")
        waiting.setdefault(key, set()).add(seq)
        if row["sig"]:
            need(is_signed(bytes.fromhex(key), leaf, bytes.fromhex(row["sig"])), f"seq {seq}: signature")
            waiting[key] -= set(range(max(event.get("signs", seq), seq - 10000), seq + 1))
        if event["kind"] == "key-added":
            said = "\n".join(["trayproof/key-added/1", events[0]["ledger"], event["owner"], event["sort"], event["public"], ""])
            need(is_signed(bytes.fromhex(event["public"]), said.encode(), bytes.fromhex(event["proof"])), f"seq {seq}: key not proved")
            keys[event["public"]] = event["sort"]
        if event["kind"] == "key-retired":
            keys.pop(event["public"], None)
        events.append(event)
        before = (seq, row["hash"])
    need(not any(waiting.values()), "entries that nobody signed")
    return events, keys


def check_beside(members, events, about):
    texts, named = set(), set().union(*map(stand_ins, events))
    for line in lines(members["texts.jsonl"].decode()):
        text = json.loads(line)
        need(sha(bytes.fromhex(text["salt"]) + text["text"].encode()).hex() == text["sha256"], "a text was changed")
        texts.add(text["sha256"])
    need(named == texts | {one["sha256"] for one in about["texts_absent"]}, "texts and entries differ")
    files = {name[12:] for name in members if name.startswith("attachments/")}
    need(all(sha(members["attachments/" + one]).hex() == one for one in files), "an attachment was changed")
    need(set().union(*map(files_named, events)) == files | {one["sha256"] for one in about["files_absent"]}, "files and entries differ")


def check(path, vkey):
    members = read_members(path)
    check_sums(members)
    about = json.loads(members["pack.json"])
    size, root = read_checkpoint(members["checkpoint.txt"].decode(), vkey)
    events, keys = check_entries(members, size, root)
    need(events[0]["kind"] == "ledger-opened" and "trayproof/" + events[0]["ledger"] == vkey.split("+")[0], "another ledger's entries")
    check_beside(members, events, about)
    said = json.loads(members["signature.json"])
    signs = f"trayproof/evidence/1\n{events[0]['ledger']}\n{sha(members['SHA256SUMS']).hex()}\n"
    need(keys.get(said["key"], "ledger") != "ledger", "the page is signed by no key of the record")
    need(is_signed(bytes.fromhex(said["key"]), signs.encode(), bytes.fromhex(said["sig"])), "the page is not signed")
    return len(events)


if __name__ == "__main__":
    try:
        print(f"{check(sys.argv[1], sys.argv[2])} entries stand in that record")
    except Exception as found:  # whatever a broken pack does to a parser, it does not hold
        print(f"does not hold: {type(found).__name__}: {found}")
        sys.exit(1)
