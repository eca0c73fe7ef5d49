"""The published measures, on worked examples and against reference libraries."""

from __future__ import annotations

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from otochron.score import measures

LABELS = st.lists(st.sampled_from("abc"), min_size=1, max_size=40)
BOUNDARIES = st.lists(st.integers(0, 1), min_size=8, max_size=60)


@given(st.data())
def test_kappa_is_scikit_learns(data: st.DataObject) -> None:
    """Reference: scikit-learn, cohen_kappa_score."""
    from sklearn.metrics import cohen_kappa_score

    gold = data.draw(LABELS)
    made = data.draw(st.lists(st.sampled_from("abc"), min_size=len(gold), max_size=len(gold)))
    if len(set(gold) | set(made)) > 1:
        assert measures.cohen_kappa(gold, made) == pytest.approx(cohen_kappa_score(gold, made))


@given(st.data())
def test_macro_f1_is_scikit_learns(data: st.DataObject) -> None:
    """Reference: scikit-learn, f1_score over the labels of the gold."""
    from sklearn.metrics import f1_score

    gold = data.draw(LABELS)
    made = data.draw(st.lists(st.sampled_from("abc"), min_size=len(gold), max_size=len(gold)))
    wanted = f1_score(gold, made, labels=sorted(set(gold)), average="macro", zero_division=0.0)
    assert measures.macro_f1(gold, made) == pytest.approx(wanted)


@given(st.data())
def test_window_measures_are_nltks(data: st.DataObject) -> None:
    """Reference: nltk.metrics.segmentation."""
    from nltk.metrics.segmentation import pk, windowdiff

    gold = data.draw(BOUNDARIES)
    made = data.draw(st.lists(st.integers(0, 1), min_size=len(gold), max_size=len(gold)))
    k = measures.window_size(gold)
    if k > len(gold):
        return
    one, two = "".join(map(str, gold)), "".join(map(str, made))
    assert measures.pk(gold, made) == pytest.approx(pk(one, two, k))
    assert measures.window_diff(gold, made) == pytest.approx(windowdiff(one, two, k))


def test_word_errors_are_jiwers() -> None:
    """Reference: jiwer, word error rate."""
    import jiwer

    rng = random.Random(1)
    for _ in range(50):
        reference = [rng.choice("abcd") for _ in range(rng.randint(1, 12))]
        heard = [rng.choice("abcd") for _ in range(rng.randint(1, 12))]
        rate = measures.word_errors(reference, heard) / len(reference)
        assert rate == pytest.approx(jiwer.wer(" ".join(reference), " ".join(heard)))


def test_segmental_f1_on_a_worked_example() -> None:
    """One segment of two right at IoU 0.5; one split in two counts one false alarm."""
    gold = list("aaaabbbb")
    assert measures.segmental_f1(gold, list("aaaabbbb"), 0.5) == 1.0
    assert measures.segmental_f1(gold, list("aaaaccbb"), 0.5) == pytest.approx(0.8)
    assert measures.segmental_f1(gold, list("aabaabbb"), 0.5) == pytest.approx(2 * 2 / (4 + 2))
    assert measures.segmental_f1(["none"] * 4, ["none"] * 4, 0.5) is None


def test_edit_score_counts_the_order_of_steps() -> None:
    assert measures.edit_score(list("aabbcc"), list("abbbbc")) == 1.0
    assert measures.edit_score(list("aabbcc"), list("aaccbb")) == pytest.approx(1 - 2 / 3)


def test_boundary_errors_are_seconds_to_the_nearest_start_of_the_label() -> None:
    assert measures.boundary_errors(list("aabbb"), list("aaabb")) == [0, 1]


def test_f1_of_nothing_is_nothing() -> None:
    assert measures.f1(0, 0, 0) == {"precision": None, "recall": None, "f1": None}
    assert measures.f1(3, 4, 6)["f1"] == pytest.approx(0.6)
