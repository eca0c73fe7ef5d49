"""The spaCy component, found by its name through the entry point."""

from __future__ import annotations

import spacy

import otochron.pipe  # noqa: F401  # registers the factory in an environment without the entry point


def test_pipe_puts_mentions_into_spans() -> None:
    nlp = spacy.blank("en")
    nlp.add_pipe("otochron")
    doc = nlp("the footplate is not fractured and the incus is mobile")
    found = {(span.text, span.label_) for span in doc.spans["otochron"]}
    assert {("footplate", "stapes-footplate"), ("incus", "incus")} <= found
    assert all(len(fact) == 5 for fact in doc.user_data["otochron"])


def test_pipe_refuses_text_that_is_not_composed() -> None:
    import pytest

    nlp = spacy.blank("fr")
    nlp.add_pipe("otochron")
    with pytest.raises(ValueError, match="NFC"):
        nlp("l'e\u0301trier")
