"""The written-out sounds of forms are those of the sound tables, so that they save time and change nothing."""

from __future__ import annotations

import lzma

from otochron.lexicon import load
from otochron.lexicon.weights import weights_folder
from otochron.stages.repair.form_sounds import FILE, tables_hash, word_sounds
from otochron.stages.repair.targets import targets_of
from otochron.text.sounds import phones


def test_written_sounds_are_those_of_the_tables() -> None:
    head = lzma.decompress((weights_folder() / FILE).read_bytes()).decode().partition("\n")[0]
    assert head == tables_hash(), "run tests/fit/fit_forms.py"
    words = sorted({word for target in targets_of(load()).targets for word in target.text.split()})
    for word in words[::23]:
        assert (word_sounds(word, "en"), word_sounds(word, "fr")) == (phones(word, "en"), phones(word, "fr"))
