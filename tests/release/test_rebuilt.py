"""A stored result is derived once for an input in a process, and anew for any other input."""

import pytest
from chapters_case import DEMO, demo_documents, facts_of

from dossier.methods.registry import method_of
from dossier.release.chapters import rebuilt as module


def test_the_same_input_runs_once_and_a_changed_one_again(monkeypatch: pytest.MonkeyPatch) -> None:
    module._rebuilt.cache_clear()
    documents, method, runs = demo_documents(), method_of("mass.joint"), []
    run = type(method).run
    monkeypatch.setattr(type(method), "run", lambda self, given: runs.append(given) or run(self, given))

    def total() -> float:
        facts = facts_of(DEMO, documents)
        return module.rebuilt(facts, facts.project.get("C-002"), method).outcome.values["total"].value

    first = total()
    assert total() == first and len(runs) == 1
    documents["calculations/C-002.toml"]["result"]["inputs"]["design"]["pin"]["neck_radius"] += 0.5
    assert total() > first and len(runs) == 2
