"""The facts of the case, from mentions, sizes, status and steps to what a surgeon would answer for.

One module per family. Rules are data: ``lexicons/rules/*.toml``, ``lexicons/cues/*.toml``.
"""

from __future__ import annotations

from dataclasses import replace

from otochron.lexicon import Lexicon
from otochron.lexicon.reading import Reading
from otochron.model import Case, Record
from otochron.stages.case.classifications import classify
from otochron.stages.case.complications import find_complications
from otochron.stages.case.drugs import find_drugs
from otochron.stages.case.ears import with_ears
from otochron.stages.case.ending import find_closure, find_packing, find_specimens, with_removal
from otochron.stages.case.findings import find_findings
from otochron.stages.case.grafts import find_grafts
from otochron.stages.case.illness import find_anaesthesia, find_diagnoses, find_history, find_indications
from otochron.stages.case.implants import find_implants
from otochron.stages.case.plan import find_plan
from otochron.stages.case.procedures import find_approaches, find_procedures
from otochron.stages.case.requests import find_requests
from otochron.stages.case.sayings import find_cautions, find_reasons
from otochron.stages.case.scene import Scene
from otochron.stages.case.side import find_side
from otochron.stages.case.taught import told_of_this
from otochron.stages.case.tissue import find_tissue

__all__ = ["link_case"]


def link_case(record: Record, lexicon: Lexicon) -> Record:
    """Add ``case``: every fact with its evidence.

    Parameters
    ----------
    record : Record
        Needs ``lines``, ``clauses``, ``mentions``, ``measurements`` and ``steps``.
    lexicon : Lexicon
        All entries: concepts, cues, and rules.

    Returns
    -------
    Record
        With ``case``, and the ear of each step where both are operated. What is planned, supposed or denied keeps that
        status; nothing is added that was not said.
    """
    scene = Scene(record, lexicon, Reading(told_of_this(record, lexicon), lexicon))
    side = find_side(scene)  # first: it sets the ear of every other fact, and of the steps
    record = with_ears(record, scene)
    scene = replace(scene, record=record)
    implants, grafts = find_implants(scene), find_grafts(scene)
    packing = find_packing(scene)
    plan = find_plan(scene, packing)
    packing = with_removal(packing, plan)
    case = Case(
        side=side,
        procedures=find_procedures(scene, implants, grafts),
        approaches=find_approaches(scene),
        diagnoses=find_diagnoses(scene),
        indications=find_indications(scene),
        history=find_history(scene),
        anaesthesia=find_anaesthesia(scene),
        drugs=find_drugs(scene, plan),
        findings=find_findings(scene),
        implants=implants,
        grafts=grafts,
        tissue=find_tissue(scene),
        specimens=find_specimens(scene),
        complications=find_complications(scene),
        closure=find_closure(scene),
        packing=packing,
        reasons=find_reasons(scene),
        requests=find_requests(scene),
        cautions=find_cautions(scene),
        plan=plan,
    )
    return record.evolve(case=case.evolve(classifications=classify(scene, case)))
