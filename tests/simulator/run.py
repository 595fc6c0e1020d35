"""Try the advice on simulated tanks: ``python -m tests.simulator.run [TANKS] [DAYS]``.

The same tanks are followed three times: with no action on any test, with a dose to
the middle of the band every week, and by the sheets. The figures are printed as
they come out.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass, field

from fleet.reference import load_reference
from tests.simulator.policies import Sheets, middle_every_week, nothing
from tests.simulator.population import draw
from tests.simulator.trial import Count, Trial, follow
from tests.simulator.truth import leading_causes, stages_near

DAYS = 182
CAUSES_EVERY = 28  # days between the what-ifs, which live four weeks again each


@dataclass(slots=True)
class Score:
    """Figures of the three ways of keeping, and of the judging."""

    nothing: Count = field(default_factory=Count)
    middle: Count = field(default_factory=Count)
    sheets: Count = field(default_factory=Count)
    stages: int = 0
    stages_right: int = 0
    causes: int = 0
    causes_right: int = 0
    wrong_stages: dict[tuple[str, str], int] = field(default_factory=dict)
    wrong_causes: dict[tuple[str, str], int] = field(default_factory=dict)


def run(tanks: int, days: int = DAYS, seed: int = 1) -> Score:
    """Follow ``tanks`` tanks for ``days`` days in all three ways."""
    reference, score = load_reference(), Score()
    for keeper in draw(tanks, seed):
        score.nothing.add(follow(keeper, nothing, days).count)
        score.middle.add(follow(keeper, middle_every_week, days).count)
        sheets = Sheets(reference)
        trial = follow(keeper, sheets, days)
        score.sheets.add(trial.count)
        _judge_stages(score, trial, sheets)
        _judge_causes(score, trial, sheets)
    return score


def _judge_stages(score: Score, trial: Trial, sheets: Sheets) -> None:
    for day, report in sheets.reports:
        true = stages_near(trial, day)
        name = report.findings.stage.name
        score.stages += 1
        score.stages_right += name in true
        if name not in true:
            pair = ("/".join(sorted(true)), name)
            score.wrong_stages[pair] = score.wrong_stages.get(pair, 0) + 1


def _judge_causes(score: Score, trial: Trial, sheets: Sheets) -> None:
    last = -CAUSES_EVERY
    for day, report in sheets.reports:
        low = [cause for cause in report.findings.causes if cause.side == "low"]
        if day - last < CAUSES_EVERY or not low or day >= len(trial.past):
            continue
        true = leading_causes(trial, day)
        if not true:
            continue
        last = day
        first = sorted(low, key=lambda cause: -cause.share)[:2]
        said = {cause.cause for cause in first}
        score.causes += 1
        score.causes_right += bool(said & true)
        if not said & true:
            pair = ("/".join(sorted(true)), "/".join(cause.cause for cause in first))
            score.wrong_causes[pair] = score.wrong_causes.get(pair, 0) + 1


def table(score: Score, tanks: int, days: int) -> str:
    """Return the figures as a table."""
    ways = {"nothing": score.nothing, "weekly mid-band": score.middle,
            "the sheets": score.sheets}  # fmt: skip
    lines = [
        f"{tanks} tanks, {days} days each; counted from the end of the cycle.",
        "",
        f"{'':28}" + "".join(f"{name:>18}" for name in ways),
    ]
    shares = ("good", "flat", "over", "jumps")
    names = {
        "good": "both in a healthy range", "flat": "one at flat zero",
        "over": "one over", "jumps": "days with a jump",
    }  # fmt: skip
    for key in shares:
        cells = (getattr(c, key) / max(c.days, 1) for c in ways.values())
        lines.append(f"{names[key]:28}" + "".join(f"{v:>17.1%} " for v in cells))
    for key, said in (("jumps", "days with a jump (count)"), ("doses", "doses given"),
                      ("dosed_in_plenty", "doses given in plenty")):  # fmt: skip
        cells_ = (getattr(c, key) for c in ways.values())
        lines.append(f"{said:28}" + "".join(f"{v:>17d} " for v in cells_))
    lines += [
        "",
        f"stage right (or within a week of it): {score.stages_right} of {score.stages}"
        f" = {score.stages_right / max(score.stages, 1):.1%}",
        f"a true leading cause among the first two: {score.causes_right} of"
        f" {score.causes} = {score.causes_right / max(score.causes, 1):.1%}",
    ]
    for title, wrong in (
        ("stages", score.wrong_stages),
        ("causes", score.wrong_causes),
    ):
        lines += ["", f"{title} that were not right (true | said):"]
        ordered = sorted(wrong.items(), key=lambda pair: -pair[1])[:12]
        lines += [f"  {count:4d}  {true} | {said}" for (true, said), count in ordered]
    return "\n".join(lines)


def main(arguments: list[str]) -> None:
    """Print the table."""
    tanks = int(arguments[0]) if arguments else 100
    days = int(arguments[1]) if len(arguments) > 1 else DAYS
    print(table(run(tanks, days), tanks, days))


if __name__ == "__main__":
    main(sys.argv[1:])
