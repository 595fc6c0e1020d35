"""The frozen records that pass between stages; the project's glossary.

Kept units everywhere: mg/L of the ion (NO3, NO2, PO4; ammonia as total
NH3-N), L, g, degC, practical salinity, pH as read, meq/L, days. Shares are 0 to 1.

Those of the mentor and of chains stand apart, in ``records.mentoring`` and
``records.shops``: a report does not wait for them.
"""

from __future__ import annotations

from fleet.records.found import (
    Budget,
    Cause,
    CauseList,
    Crossing,
    Effect,
    Finding,
    Findings,
    Stage,
    Trend,
)
from fleet.records.measured import Doubt, Measured, Measurement, Results
from fleet.records.planned import Action, DoseWorking, Plan, ScorePart
from fleet.records.reported import (
    Bottle,
    Picture,
    Portion,
    Report,
    ShoppingLine,
    TankChange,
    TankReport,
)
from fleet.records.words import (
    ATTENTION_ORDER,
    STAGE_ORDER,
    ActionKind,
    Attention,
    CellAddress,
    NewWater,
    Sentence,
    StageName,
    VerdictWord,
    say,
)
from fleet.records.workbook import (
    Band,
    Book,
    ColumnUse,
    Method,
    Problem,
    Reading,
    Result,
    Settings,
    SheetCount,
    ShelfItem,
    SourceFile,
    Tank,
    Work,
)

__all__ = [
    "ATTENTION_ORDER",
    "Action",
    "ActionKind",
    "Attention",
    "Band",
    "Book",
    "Bottle",
    "Budget",
    "Cause",
    "CauseList",
    "CellAddress",
    "ColumnUse",
    "Crossing",
    "DoseWorking",
    "Doubt",
    "Effect",
    "Finding",
    "Findings",
    "Measured",
    "Measurement",
    "Method",
    "NewWater",
    "Picture",
    "Plan",
    "Portion",
    "Problem",
    "Reading",
    "Report",
    "Result",
    "Results",
    "STAGE_ORDER",
    "ScorePart",
    "Sentence",
    "Settings",
    "SheetCount",
    "ShelfItem",
    "ShoppingLine",
    "SourceFile",
    "Stage",
    "StageName",
    "Tank",
    "TankChange",
    "TankReport",
    "Trend",
    "VerdictWord",
    "Work",
    "say",
]
