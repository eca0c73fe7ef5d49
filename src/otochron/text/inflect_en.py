"""English forms by rule: plurals of nouns, conjugation of regular verbs."""

from __future__ import annotations

import re

_VOWEL_CONSONANT = re.compile(r"^[^aeiou]*[aeiou][^aeiouwxy]$")
_PRONOUNS = frozenset({"i", "we", "you", "they", "to", "can", "will", "let", "lets", "let's"})
_KEEP_BEFORE = ("of", "for", "to", "in", "on", "with")


def plural(word: str) -> str:
    """Give the regular plural.

    >>> plural("biopsy"), plural("crus"), plural("hook")
    ('biopsies', 'cruses', 'hooks')
    """
    if re.search(r"(?:s|x|z|ch|sh)$", word):
        return word + "es"
    if re.search(r"[^aeiou]y$", word):
        return word[:-1] + "ies"
    if word.endswith("fe"):
        return word[:-2] + "ves"
    return word + "s"


def noun_forms(words: tuple[str, ...]) -> set[tuple[str, ...]]:
    """Give singular and plural of a noun phrase; the head stands last, or before a preposition."""
    head = next((n for n, w in enumerate(words) if n > 0 and w in _KEEP_BEFORE), len(words)) - 1
    return {words, (*words[:head], plural(words[head]), *words[head + 1 :])}


def verb_forms(words: tuple[str, ...]) -> set[tuple[str, ...]]:
    """Give the forms of a regular verb; of a phrase (``take down``), its first word conjugates."""
    verb, rest = words[0], words[1:]
    if verb in _PRONOUNS:
        return {words}
    stem = verb.removesuffix("e")
    if re.search(r"[^aeiou]y$", verb):
        forms = {verb, verb[:-1] + "ies", verb[:-1] + "ied", verb + "ing"}
    elif _VOWEL_CONSONANT.match(verb):
        forms = {verb, verb + "s", verb + verb[-1] + "ed", verb + verb[-1] + "ing"}
    else:
        forms = {verb, plural(verb) if re.search(r"(?:s|x|z|ch|sh)$", verb) else verb + "s", stem + "ed", stem + "ing"}
    return {(form, *rest) for form in forms}


def adjective_forms(words: tuple[str, ...]) -> set[tuple[str, ...]]:
    """English adjectives do not change."""
    return {words}
