"""Pack the CMU pronouncing dictionary for ``lexicons/sounds``; run by hand when a new release appears.

``python tests/makers/cmu_dictionary.py cmudict.txt lexicons/sounds/cmu-en.txt.xz``

Input: the dictionary's own text (BSD-2-Clause), ``WORD  PH0 PH1``. Output: xz of sorted lines
``word phones [phones]`` in the program's joint broad phone set, at most two readings a word;
possessives that follow from their word are left out.
"""

from __future__ import annotations

import lzma
import re
import sys
from pathlib import Path

BROAD = {
    "AA": "a", "AE": "a", "AH": "a", "AO": "o", "AW": "au", "AY": "ai", "EH": "e", "ER": "@r",
    "EY": "ei", "IH": "i",
    "IY": "i", "OW": "ou", "OY": "oi", "UH": "u", "UW": "u", "B": "b", "CH": "tʃ", "D": "d", "DH": "ð",
    "F": "f",
    "G": "g", "HH": "h", "JH": "dʒ", "K": "k", "L": "l", "M": "m", "N": "n", "NG": "n", "P": "p",
    "R": "r", "S": "s",
    "SH": "ʃ", "T": "t", "TH": "θ", "V": "v", "W": "w", "Y": "j", "Z": "z", "ZH": "ʒ", "AH0": "@",
}  # fmt: skip


def broad(word: str, arpabet: str) -> str:
    """Broad phones of one dictionary reading; stress is dropped, an unstressed AH is a schwa.

    The dictionary is American and has one phone for the vowels of *father* and *box*; others say *box*
    with an o, and so does French. Where the nearest of the letters a and o is an o, it is an o here.
    """
    phones = arpabet.split()
    letters = [place / len(word) for place, letter in enumerate(word) if letter in "ao"]
    for number, phone in enumerate(phones):
        if phone.startswith("AA") and letters:
            place = min(letters, key=lambda share: abs(share - number / len(phones)))
            if word[round(place * len(word))] == "o":
                phones[number] = "AO1"
    return "".join(BROAD.get(phone) or BROAD[phone.rstrip("012")] for phone in phones)


def pack(text: str) -> bytes:
    """The packed file for a dictionary text."""
    readings: dict[str, list[str]] = {}
    for line in text.splitlines():
        word, _, arpabet = line.partition("#")[0].strip().partition(" ")
        word = re.sub(r"\(\d+\)$", "", word.lower())
        if not re.fullmatch(r"[a-z]+('[a-z]+)?", word):
            continue
        phones = broad(word, arpabet)
        if phones not in (known := readings.setdefault(word, [])):
            known.append(phones)
    kept = {w for w in readings if not (w.endswith("'s") and w[:-2] in readings)}
    lines = (f"{word} {' '.join(readings[word][:2])}\n" for word in sorted(kept))
    return lzma.compress("".join(lines).encode(), preset=9 | lzma.PRESET_EXTREME)


if __name__ == "__main__":
    source, target = map(Path, sys.argv[1:])
    target.write_bytes(pack(source.read_text(encoding="latin-1")))
