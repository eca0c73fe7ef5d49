"""A narration that loses one sentence loses exactly the facts of that sentence."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from build import tell
from otochron.model import Record

Fact = tuple[str, str | None, str | None, str]

SENTENCES: dict[str, set[Fact]] = {
    "The facial nerve is dehiscent.": {("finding", "facial-nerve", "dehiscent", "present")},
    "La platine est bloquée.": {("finding", "stapes-footplate", "fixed", "present")},
    "Le manche du marteau est mobile.": {("finding", "malleus-handle", "mobile", "present")},
    "The mucosa is inflamed.": {("finding", "middle-ear-mucosa", "inflamed", "present")},
    "Pas d'épanchement.": {("finding", "tympanic-cavity", "effusion", "absent")},
    "We do this under general anaesthesia.": {("anaesthesia", "general-anaesthesia", None, "affirmed")},
    "Céfazoline à l'induction.": {("drug", "cefazolin", None, "affirmed")},
    "The mastoid is sclerotic.": {("finding", "mastoid", "sclerotic", "present")},
    "Le scutum est érodé.": {("finding", "scutum", "eroded", "present")},
    "No nose blowing for three weeks.": {("plan", "no-nose-blowing", "P3W", "planned")},
    "Pas d'avion pendant un mois.": {("plan", "no-flying", "P1M", "planned")},
    "There was no gusher.": {
        ("complication", "gusher", None, "negated"),
        ("finding", "oval-window", "gusher", "absent"),
    },
    "Can I have the sickle knife please.": {("request", "sickle-knife", None, "affirmed")},
}


def facts(record: Record) -> set[Fact]:
    """The facts of a record, without their places."""
    case = record.case
    found: set[Fact] = {("finding", f.structure, f.finding, f.status) for f in case.findings}
    found |= {("anaesthesia", i.concept, None, i.status) for i in case.anaesthesia}
    found |= {("drug", i.concept, None, i.status) for i in case.drugs}
    found |= {("complication", i.concept, None, i.status) for i in case.complications}
    found |= {("plan", p.what, p.when.for_, p.status) for p in case.plan}
    found |= {("request", r.what, None, r.status) for r in case.requests}
    return found


@pytest.mark.parametrize("sentence", SENTENCES)
def test_each_sentence_tells_its_facts(sentence: str) -> None:
    assert facts(tell(sentence)) == SENTENCES[sentence]


NARRATIONS = st.lists(st.sampled_from(sorted(SENTENCES)), min_size=2, max_size=6, unique=True)


@settings(max_examples=40, deadline=None, derandomize=True)
@given(NARRATIONS, st.data())
def test_one_sentence_less_loses_exactly_its_facts(narration: list[str], data: st.DataObject) -> None:
    choose: Callable[..., str] = data.draw
    gone = choose(st.sampled_from(narration))
    whole = facts(tell(*narration))
    rest = facts(tell(*[sentence for sentence in narration if sentence != gone]))
    assert whole - rest == SENTENCES[gone]
    assert rest <= whole
