"""French forms by rule: plurals, gender of adjectives, conjugation of regular verbs."""

from __future__ import annotations

import re

_PREPOSITIONS = {"de", "du", "des", "d'", "à", "au", "aux", "en", "sur", "sous", "pour", "par", "avec", "sans", "et"}
_PRONOUNS = frozenset({"je", "j'", "on", "nous", "vous", "vais", "va", "à", "de", "se", "s'"})
_PREFIXES = {"semi", "demi", "sous", "péri", "sus", "mi"}
_BEFORE_ADJECTIVE = frozenset({"trop", "bien", "très", "peu", "mal", "non", "assez", "plus", "moins", "est", "un"})
_ER = "e es ons ez ent er é ée és ées ais ait ions iez aient ai as a erai era erons erez eront ant"
_IR = "is it issons issez issent ir i ie ies issais issait issaient irai ira irons irez iront issant"
_RE = "s ons ez ent re u ue us ues ais ait aient rai ra rons rez ront ant"


def plural(word: str) -> str:
    """Give the regular plural.

    >>> plural("marteau"), plural("canal"), plural("os"), plural("diabolo")
    ('marteaux', 'canaux', 'os', 'diabolos')
    """
    if word[-1] in "sxz" or word in _PREFIXES:
        return word
    if word.endswith(("eau", "eu")):
        return word + "x"
    if word.endswith("al"):
        return word[:-2] + "aux"
    return word + "s"


def feminine(word: str) -> str:
    """Give the regular feminine of an adjective or participle.

    >>> feminine("bloqué"), feminine("osseux"), feminine("libre"), feminine("actif")
    ('bloquée', 'osseuse', 'libre', 'active')
    """
    if word.endswith("e"):
        return word
    for ending, changed in (("eux", "euse"), ("f", "ve"), ("en", "enne"), ("el", "elle"), ("er", "ère")):
        if word.endswith(ending):
            return word.removesuffix(ending) + changed
    return word + "e"


def noun_forms(words: tuple[str, ...]) -> set[tuple[str, ...]]:
    """Give singular and plural of a noun phrase: noun and adjectives agree up to the first preposition.

    >>> sorted(" ".join(form) for form in noun_forms(("artère", "carotico", "tympanique")))
    ['artère carotico tympanique', 'artères carotico tympaniques']
    """
    end = next((n for n, w in enumerate(words) if w in _PREPOSITIONS), len(words))
    return {words, (*(_agreeing(words, n) for n in range(end)), *words[end:])}


def _agreeing(words: tuple[str, ...], n: int) -> str:
    """Give the plural of one word of a phrase; the first part of a compound (carotico-tympanique) does not agree."""
    first_part = words[n].endswith("o") and n > 0 and n + 1 < len(words)
    return words[n] if first_part else plural(words[n])


def adjective_forms(words: tuple[str, ...]) -> set[tuple[str, ...]]:
    """Give the four forms of an adjective, also after an adverb (``trop serré``); another phrase gets its plural.

    >>> sorted(" ".join(form) for form in adjective_forms(("trop", "serré")))
    ['trop serré', 'trop serrée', 'trop serrées', 'trop serrés']
    """
    *before, word = words
    if before and before[0] not in _BEFORE_ADJECTIVE:
        return noun_forms(words)
    return {(*before, form) for base in (word, feminine(word)) for form in (base, plural(base))}


def verb_forms(words: tuple[str, ...]) -> set[tuple[str, ...]]:
    """Give the forms of a regular verb; of a phrase (``glisser sous``), its first word conjugates."""
    verb, rest = words[0], words[1:]
    if verb in _PRONOUNS:
        return {words}
    forms = {verb}
    if verb.endswith("er"):
        forms |= _er_forms(verb[:-2])
    elif verb.endswith("ir"):
        forms |= {verb[:-2] + ending for ending in _IR.split()}
    elif verb.endswith("re"):
        forms |= {verb[:-2] + ending for ending in _RE.split()}
    return {(form, *rest) for form in forms}


def _er_forms(stem: str) -> set[str]:
    soft = {"g": stem + "e", "c": stem[:-1] + "ç"}.get(stem[-1], stem)
    forms = {(soft if ending[0] in "aâo" else stem) + ending for ending in _ER.split()}
    # lever: je lève; prélever, peler, répéter: the e before the last consonant opens before a silent e.
    if match := re.match(r"(.*)[eé]([^aeiouéèy]+)$", stem):
        open_stem = match[1] + "è" + match[2]
        forms |= {open_stem + ending for ending in ["e", "es", "ent", "erai", "era", "erons", "erez", "eront"]}
    if stem.endswith("y"):
        forms |= {stem[:-1] + "i" + ending for ending in ["e", "es", "ent", "erai", "era", "erons", "erez", "eront"]}
    return forms
