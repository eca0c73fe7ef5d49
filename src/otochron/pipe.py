"""A spaCy component: the mentions of a text as ``doc.spans["otochron"]``.

Installed with the package, it is found by name: ``spacy.blank("fr").add_pipe("otochron")``. Each span carries
the concept as label (the kind where the concept is null) and the status as ``span.id_``'s companion in
``doc.user_data["otochron"]``: a list of ``(start, end, concept, kind, status)``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

from otochron import pipeline
from otochron.lexicon import load
from otochron.model import Line, Record, Recording
from otochron.text.normal import clean

if TYPE_CHECKING:
    from spacy.language import Language
    from spacy.tokens import Doc

KEY = "otochron"
_SKIPPED = frozenset({"find_repairs", "group_steps", "link_case", "find_checks"})


def create_otochron(nlp: Language, name: str, lexicons: Iterable[str] = ()) -> Callable[[Doc], Doc]:
    """Make the component.

    Parameters
    ----------
    nlp : Language
        The pipeline; its language does not matter.
    name : str
        The name under which it was added.
    lexicons : iterable of str
        Paths of overlay files.

    Returns
    -------
    callable
        ``Doc -> Doc``. Words are not repaired: a ``Doc`` cannot change its text.
    """
    del nlp, name
    lexicon = load(*lexicons)
    stages = tuple(stage for stage in pipeline.STAGES if stage.name not in _SKIPPED)

    def find(doc: Doc) -> Doc:
        text = clean(doc.text)
        if len(text) != len(doc.text):
            # Offsets would not be true: the text is not NFC, and a Doc cannot be normalised.
            raise ValueError("otochron: the text of the Doc must be NFC; normalise it before nlp(text)")
        line = Line(id="line-1", start_ms=0, end_ms=0, heard=text, text=text)
        record = pipeline.run(Record(recording=Recording(name="doc"), lines=(line,)), lexicon, stages=stages)
        spans = []
        facts = []
        for mention in record.mentions:
            span = doc.char_span(
                mention.start, mention.end, label=mention.concept or mention.kind, alignment_mode="expand"
            )
            if span is not None:
                spans.append(span)
                facts.append((span.start, span.end, mention.concept, mention.kind, mention.status))
        doc.spans[KEY] = spans
        doc.user_data[KEY] = facts
        return doc

    return find


def _register() -> None:
    from spacy.language import Language

    if not Language.has_factory(KEY):
        Language.factory(KEY, default_config={"lexicons": []}, func=create_otochron)


_register()
