"""How often the search for signs errs: the simulated trade-off of each reading scheme that was kept."""

from __future__ import annotations

from reportlab.platypus import Flowable

from dossier.checks.told_sign_rates import ASSUMED, missing_words, rates_rows, rates_sentence, schemes_with_rates
from dossier.records.signs import SimulatedRates
from dossier.release.facts import Facts
from dossier.release.flow import block
from dossier.release.kit import Kit
from dossier.release.tables import Column, table

READ = "Each cell: found % of the faulty / false alarms % of the sound curves, with all limits times the factor above it."


def sign_rates(kit: Kit, facts: Facts) -> list[Flowable]:
    """A table for each scheme with kept rates, and which schemes have none; nothing without an evaluated stiffness curve."""
    content: list[Flowable] = []
    for scheme in schemes_with_rates(facts.view):
        assert scheme.sign_rates is not None
        content += [kit.paragraph([kit.ref(scheme.id), " ", rates_sentence(scheme, scheme.sign_rates)]),
                    _trade_off(kit, scheme.sign_rates)]  # fmt: skip
    note = "simulated, never measured" if content else "not known"
    if content:
        content.append(kit.paragraph(f"{READ} {ASSUMED}", "small"))
    if missing := missing_words(facts.view):
        content.append(kit.paragraph(missing, "small"))
    return [block(kit, "How often the search for signs errs", content, note)] if content else []


def _trade_off(kit: Kit, rates: SimulatedRates) -> Flowable:
    factors, rows = rates_rows(rates)
    columns = [Column("sign", 78), Column("fault put in"), *(Column(f"× {factor:g}", 42, "r") for factor in factors)]
    return table(kit, columns, rows, size=6.9, pad=1.1)
